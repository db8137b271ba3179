"""A record that stands is not built again, and nothing that was touched passes for standing."""

import os
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

import pytest

from qlog.review import whole
from tests.conftest import Ran, run_qlog

Run = Callable[..., Ran]
LONG_AGO = (1_700_000_000, 1_700_000_000)


@pytest.fixture
def built(build_dir: Path) -> Path:
    plan = build_dir / "build.toml"
    text = plan.read_text(encoding="utf-8")
    plan.write_text(f'{text}\n[letter]\ntext = "letter.txt"\n', encoding="utf-8")
    letter = build_dir / "letter.txt"
    letter.write_text("For the long table.", encoding="utf-8")
    os.utime(letter, LONG_AGO)
    assert run_qlog("--build", str(build_dir), "record").status == 0
    return build_dir


def record(folder: Path, *words: str) -> tuple[Ran, bool]:
    """Build the record; and whether anything was worked out for it."""
    with patch.object(whole, "picture_from", wraps=whole.picture_from) as worked:
        ran = run_qlog("--build", str(folder), "record", *words)
    return ran, worked.called


def looked(folder: Path) -> dict[str, tuple[bytes, int]]:
    files = sorted(p for p in (folder / "record").rglob("*") if p.is_file())
    return {str(p): (p.read_bytes(), p.stat().st_mtime_ns) for p in files}


def test_a_record_that_stands_says_the_same_and_touches_nothing(built: Path) -> None:
    before = looked(built)
    again, worked = record(built)
    assert not worked
    assert looked(built) == before
    shutil.rmtree(built / ".kept")
    afresh, worked = record(built)
    assert worked
    assert again.out == afresh.out
    assert "0 files written" in again.out


def test_each_edition_stands_by_itself(built: Path) -> None:
    shutil.rmtree(built / "record" / "maker")
    ran, worked = record(built, "--for", "recipient")
    assert ran.status == 0
    assert not worked
    ran, worked = record(built)
    assert worked
    assert (built / "record" / "maker" / "index.html").is_file()


def _entry(folder: Path) -> None:
    assert run_qlog("--build", str(folder), "note", "cup", "a word").status == 0


def _plan(folder: Path) -> None:
    plan = folder / "build.toml"
    text = plan.read_text(encoding="utf-8")
    plan.write_text(text.replace("Two small parts", "Two small bits"), encoding="utf-8")


def _letter(folder: Path) -> None:
    letter = folder / "letter.txt"
    letter.write_text("For the wide table.", encoding="utf-8")
    os.utime(letter, LONG_AGO)  # the same size and the same time


def _letter_gone(folder: Path) -> None:
    (folder / "letter.txt").unlink()


def _photo(folder: Path) -> None:
    place = folder / "photos" / "ab" / "abc.jpg"
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(b"no picture")


@pytest.mark.parametrize("change", [_entry, _plan, _letter, _letter_gone, _photo])
def test_whatever_it_is_made_of_changes_it_is_built_again(
    built: Path, change: Callable[[Path], None]
) -> None:
    change(built)
    assert record(built)[1]


def test_a_letter_written_this_moment_is_not_trusted_to_show_its_next_change(built: Path) -> None:
    letter = built / "letter.txt"
    letter.write_text("For the wide table.", encoding="utf-8")
    assert record(built)[1]
    letter.write_text("For the tall table.", encoding="utf-8")
    assert record(built)[1]
    assert "tall table" in (built / "record" / "recipient" / "letter.html").read_text("utf-8")


def _tampered(page: Path) -> None:
    status = page.stat()
    page.write_bytes(page.read_bytes().replace(b"small", b"SMALL"))
    os.utime(page, ns=(status.st_atime_ns, status.st_mtime_ns))  # as if nobody had been there


def _cut(page: Path) -> None:
    page.write_bytes(page.read_bytes()[:-20])


def _linked(page: Path) -> None:
    elsewhere = page.parents[2] / "elsewhere.html"
    page.rename(elsewhere)
    page.symlink_to(elsewhere)


@pytest.mark.skipif(os.name == "nt", reason="a change of a file's time shows on other systems only")
@pytest.mark.parametrize("harm", [_tampered, _cut, Path.unlink, _linked])
def test_an_output_file_that_was_touched_is_made_again(
    built: Path, harm: Callable[[Path], None]
) -> None:
    page = built / "record" / "maker" / "index.html"
    before = page.read_bytes()
    harm(page)
    _, worked = record(built)
    assert worked
    assert page.read_bytes() == before
    assert not page.is_symlink()


def test_a_file_of_ones_own_in_it_is_refused_as_ever(built: Path) -> None:
    (built / "record" / "maker" / "mine.txt").write_text("mine", encoding="utf-8")
    ran, _ = record(built)
    assert ran.status == 2
    assert "mine.txt" in ran.err


def _half(text: str) -> str:
    return text[: len(text) // 2]


def _list(text: str) -> str:
    return f"[{text}]"


def _other_field(text: str) -> str:
    return text.replace('"pages":', '"sheets":')


def _number(text: str) -> str:
    return re.sub(r'"lines": .*', '"lines": [7]}}', text)


def _deep(text: str) -> str:
    return "[" * 100_000 + text


@pytest.mark.parametrize("harm", [_half, _list, _other_field, _number, _deep])
def test_a_note_that_is_harmed_is_not_believed(built: Path, harm: Callable[[str], str]) -> None:
    before = looked(built)
    for note in (built / ".kept").iterdir():
        text = note.read_text(encoding="utf-8")
        note.write_text(harm(text), encoding="utf-8")
    ran, worked = record(built)
    assert ran.status == 0
    assert worked
    assert looked(built) == before
    assert not record(built)[1]


def test_a_note_of_another_state_is_not_believed(built: Path) -> None:
    kept = built / ".kept"
    shutil.copytree(kept, built / "older")
    _entry(built)
    assert record(built)[1]
    shutil.rmtree(kept)
    (built / "older").rename(kept)
    assert record(built)[1]


@pytest.mark.skipif(os.name == "nt", reason="links need a right of their own there")
def test_a_note_is_written_through_no_link(built: Path) -> None:
    own = built.parent / "of-ones-own.txt"
    own.write_text("mine", encoding="utf-8")
    for note in (built / ".kept").iterdir():
        note.with_suffix(".part").symlink_to(own)
    _entry(built)
    assert record(built)[1]
    assert own.read_text(encoding="utf-8") == "mine"
    assert not record(built)[1]


def test_what_is_handed_over_holds_no_note(built: Path) -> None:
    assert {p.name for p in (built / "record").iterdir()} == {"maker", "recipient"}
