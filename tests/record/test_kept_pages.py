"""Pages taken over by what they are made of: the record is the one that is built from nothing."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pytest
from PIL import Image

from qlog import worked_out
from qlog.cli.handing_over import record as commanded
from qlog.record.pages.page import Page
from qlog.record.publish import build as building
from qlog.record.publish import manifest, templates
from qlog.record.publish.kept_pages import KeptPages
from qlog.record.publish.value_sums import ValueSums
from qlog.study.conformity.verdict import Verdict
from qlog.words.catalogue import load
from tests.conftest import Ran, run_qlog
from tests.demo_record import Demo, build

DRAWING = '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="{}"><path d="M0 0h9"/></svg>'
LONG_AGO = (1_700_000_000, 1_700_000_000)


@pytest.fixture(autouse=True)
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("QLOG_CACHE", str(tmp_path / "cache"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "4000000000")  # all records are built at one time
    return tmp_path / "cache"


def _photo(folder: Path, shade: int) -> Path:
    path = folder.parent / f"photo-{shade}.jpg"
    Image.new("RGB", (64, 48), (shade, 90, 90)).save(path)
    return path


def qlog_on(folder: Path, *words: str) -> Ran:
    ran = run_qlog("--build", str(folder), *words)
    assert ran.status in (0, 1), ran.err
    return ran


@pytest.fixture
def built(build_dir: Path) -> Path:
    """The small plan with a drawing, some readings and photos, and its record."""
    plan, drawing = build_dir / "build.toml", build_dir / "cup.svg"
    text = plan.read_text(encoding="utf-8")
    plan.write_text(text.replace('id = "cup"', 'id = "cup"\nimage = "cup.svg"'), encoding="utf-8")
    drawing.write_text(DRAWING.format(30), encoding="utf-8")
    os.utime(drawing, LONG_AGO)
    for piece, size in enumerate(("32.01", "32.02", "31.99", "32.04"), start=1):
        qlog_on(build_dir, "read", "cup", "10", "height", str(piece), size)
    qlog_on(build_dir, "read", "ring", "10", "outside", "1", "1.001")
    for part, shade in (("cup", 10), ("ring", 200)):
        qlog_on(build_dir, "photo", "add", str(_photo(build_dir, shade)), "-p", part, "-o", "10")
    qlog_on(build_dir, "record")
    return build_dir


def laid_out(folder: Path, *words: str) -> list[str]:
    """Build the record; the pages of the maker's edition that were laid out for it."""
    seen: list[str] = []
    real = building._Layout.text

    def watched(self, page, about):  # type: ignore[no-untyped-def]
        if page.template.startswith("maker/"):
            seen.append(page.path)
        return real(self, page, about)

    with patch.object(building._Layout, "text", watched):
        qlog_on(folder, "record", *words)
    return seen


def contents(record: Path) -> dict[str, bytes]:
    return {path: (record / path).read_bytes() for path in manifest.files_of(record)}


def from_nothing(folder: Path) -> dict[str, bytes]:
    out = folder.parent / "from-nothing"
    with patch.dict(os.environ, {"QLOG_CACHE": ""}):
        qlog_on(folder, "record", "--out", str(out))
    return contents(out)


def _reading(folder: Path) -> None:
    qlog_on(folder, "read", "cup", "20", "bore", "1", "22.03")


def _correction(folder: Path) -> None:
    qlog_on(folder, "correct", "cup", "10", "height", "2", "32.07", "--why", "read the wrong line")


def _another_photo(folder: Path) -> None:
    qlog_on(folder, "photo", "add", str(_photo(folder, 90)), "-p", "cup", "-o", "10", "-k", "2")


def _caption(folder: Path) -> None:
    qlog_on(folder, "photo", "caption", "1", "turned to length")


def _plan(*exchanges: tuple[str, str]) -> Callable[[Path], None]:
    def change(folder: Path) -> None:
        plan = folder / "build.toml"
        text = plan.read_text(encoding="utf-8")
        for old, new in exchanges:
            assert old in text
            text = text.replace(old, new)
        plan.write_text(text, encoding="utf-8")

    return change


def _drawing(folder: Path) -> None:
    (folder / "cup.svg").write_text(DRAWING.format(35), encoding="utf-8")
    os.utime(folder / "cup.svg", LONG_AGO)


def _edited(folder: Path) -> None:
    page = folder / "record" / "maker" / "dimensions" / "cup-height.html"
    page.write_bytes(page.read_bytes().replace(b"32", b"33"))


def _gone(folder: Path) -> None:
    (folder / "record" / "maker" / "piece" / "cup-2.html").unlink()


def _another_build(folder: Path) -> None:
    """The same place, readings and photos; another plan and another drawing."""
    _plan(('name = "Cup"', 'name = "Mug"'), ("22 +0.05/0", "23 +0.05/0"))(folder)
    _drawing(folder)


CHANGES = {
    "nothing but a note": lambda folder: qlog_on(folder, "note", "ring", "a word"),
    "a reading": _reading,
    "a correction": _correction,
    "a photo": _another_photo,
    "a caption": _caption,
    "a limit": _plan(("32 ±0.1", "32 ±0.03")),
    "a name": _plan(('name = "Cup"', 'name = "Mug"')),
    "marks": _plan(('id = "cup"', 'id = "cup"\nmarks = ["A", "B", "C", "D"]')),
    "an instrument": _plan(("error = 0.03", "error = 0.05")),
    "the rule": _plan(('rule = "simple"', 'rule = "guarded"')),
    "the title": _plan(("Two small parts", "Two small bits")),
    "the language": _plan(('units = "mm"', 'units = "mm"\nlanguage = "de"')),
    "a drawing": _drawing,
    "an edited page": _edited,
    "a page that is gone": _gone,
    "another build": _another_build,
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_whatever_changes_the_record_is_the_one_from_nothing(
    built: Path, change: Callable[[Path], None]
) -> None:
    change(built)
    laid_out(built)
    made = from_nothing(built)
    editions = {path.partition("/")[0] for path in made}  # another language, another folder
    there = contents(built / "record").items()
    assert {path: data for path, data in there if path.partition("/")[0] in editions} == made


def test_only_what_shows_an_entry_is_laid_out(built: Path) -> None:
    _reading(built)
    pages = laid_out(built)
    own = {path for path in pages if path.startswith(("dimensions/", "piece/"))}
    assert own == {"dimensions/cup-bore.html", "piece/cup-1.html"}
    assert "diary.html" in pages
    assert "photos.html" not in pages


def test_what_one_command_noted_the_next_one_knows_whatever_its_hashes(built: Path) -> None:
    qlog_on(built, "note", "ring", "a word")
    record = [sys.executable, "-m", "qlog", "--build", str(built), "record"]
    ran = subprocess.run(record, env=os.environ | {"PYTHONHASHSEED": "1"}, check=False)
    assert ran.returncode in (0, 1)
    qlog_on(built, "note", "ring", "another")
    pages = laid_out(built)
    assert "diary.html" in pages
    assert not [path for path in pages if path.startswith(("dimensions/", "piece/", "photos"))]


def test_every_page_of_the_example_that_may_be_known_is_known(shown: Demo, tmp_path: Path) -> None:
    out = Path(shutil.copytree(shown.edition("maker"), tmp_path / "maker"))
    laid: list[tuple[str, bool]] = []
    real = building._Layout.text

    def watched(self, page, about):  # type: ignore[no-untyped-def]
        laid.append((page.path, page.keyed))
        return real(self, page, about)

    with patch.object(building._Layout, "text", watched):
        build(shown.picture, shown.folder, "maker", out)
        first = [path for path, keyed in laid if keyed]
        laid.clear()
        build(shown.picture, shown.folder, "maker", out)
    assert len(first) > 60
    assert [path for path, keyed in laid if keyed] == []
    assert contents(out) == contents(shown.edition("maker"))


def test_a_template_changed_while_nothing_else_did(
    built: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "templates"
    shutil.copytree(templates.folder(), own)
    monkeypatch.setattr(templates, "folder", lambda: own)
    macros = own / "shared" / "macros.html"
    text = macros.read_text(encoding="utf-8")
    macros.write_text(text.replace('class="verdict ', 'class="said '), encoding="utf-8")
    laid_out(built)
    assert b'class="said ' in contents(built / "record")["maker/dimensions/cup-height.html"]
    assert contents(built / "record") == from_nothing(built)


def test_another_version_knows_nothing_of_this_one(
    built: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (worked_out, commanded):
        monkeypatch.setattr(module, "__version__", "99")
    pages = laid_out(built)
    assert {"dimensions/cup-height.html", "piece/cup-1.html", "photos.html"} <= set(pages)
    assert contents(built / "record") == from_nothing(built)


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-40])


def _flipped(path: Path) -> None:
    data = path.read_bytes()
    path.write_bytes(data[:-1] + bytes([data[-1] ^ 1]))


def _open_to_others(path: Path) -> None:
    path.chmod(0o666)


@pytest.mark.parametrize("harm", [_cut, _flipped, _open_to_others, Path.unlink])
def test_what_was_noted_and_harmed_is_not_believed(
    built: Path, cache: Path, harm: Callable[[Path], None]
) -> None:
    if harm is _open_to_others and sys.platform == "win32":
        pytest.skip("others are kept out by the folder's rights there")
    noted = list(cache.glob("*.pages"))
    assert noted
    for path in noted:
        harm(path)
    _reading(built)
    assert "photos.html" in laid_out(built)
    assert contents(built / "record") == from_nothing(built)


def test_a_record_that_was_received_is_not_believed_by_what_it_says_itself(built: Path) -> None:
    """Its pages and its manifest agree, and its build brings notes of its own."""
    record = built / "record" / "maker"
    page = record / "dimensions" / "cup-height.html"
    page.write_bytes(page.read_bytes().replace(b"32", b"33"))
    sums = [manifest.Sum(s.path, manifest.digest(record / s.path)) for s in manifest.read(record)]
    manifest.write(record, sums)
    laid_out(built)
    assert contents(built / "record") == from_nothing(built)


@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="every name is text there")
def test_a_folder_whose_name_is_no_text_gets_its_pages(tmp_path: Path) -> None:
    out = Path(os.fsdecode(os.fsencode(tmp_path) + b"/caf\xe9"))
    kept = KeptPages(out, ())
    key = kept.key(Page("a.html", "maker/a.html", "A", keyed=True))
    kept.note(key, "ab" * 32)
    kept.keep()
    assert KeptPages(out, ()).file(key) == "ab" * 32


def test_two_pages_of_one_name_are_refused_whatever_they_are_called() -> None:
    names: dict[str, str] = {}
    building._refuse_twin(Page("parts/a.html", "maker/part.html", "A"), names)
    with pytest.raises(building.RecordError):
        building._refuse_twin(Page("parts/A.html", "maker/part.html", "A"), names)


@dataclass(frozen=True)
class Kept:
    one: object
    two: object = None


@dataclass
class Loose:
    one: object


def of(value: object) -> bytes:
    return ValueSums().of(value)


def test_values_that_differ_have_other_sums() -> None:
    values = [
        1, True, "1", b"1", 1.0, -0.0, 0.0, None, (), [], (1, 2), ((1,), 2), (1, (2,)), [1, 2],
        Decimal("1"), Decimal("1.0"), Verdict.GOOD, Verdict.GOOD.value, {"a": 1}, {"a": 2},
        Kept(1), Kept(1, 2), Kept(2, 1), Kept((1, None)), load("en"), load("de"),
        load("en").about("cup"),
    ]  # fmt: skip
    assert len({of(value) for value in values}) == len(values)


def test_equal_values_of_other_objects_have_one_sum() -> None:
    def made() -> object:
        return Kept(("".join(("ab", "c")), Decimal("1.50")), [Verdict.LOW, {"a": Kept(7)}])

    assert of(made()) == of(made())


def _local() -> Callable[[], int]:
    def inside() -> int:
        return 1

    return inside


@pytest.mark.parametrize(
    "value", [Loose(1), lambda: 1, _local(), np.float64(1), object(), range(3)]
)
def test_what_may_hold_more_than_it_says_has_no_sum(value: object) -> None:
    with pytest.raises(TypeError):
        of(Kept(value))
