"""A page for the bench is written over nothing but an earlier page of its kind."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran

PAGES = [("sheet", "cup", "20"), ("card", "cup", "20"), ("photo", "clock", "--show")]


@pytest.mark.parametrize("words", PAGES, ids=lambda w: w[0])
@pytest.mark.parametrize("name", ["logbook.db", "build.toml", "notes.html", "photos/ab/x.html"])
def test_no_page_goes_over_a_file_of_another_kind(
    build_dir: Path, run: Callable[..., Ran], words: tuple[str, ...], name: str
) -> None:
    target = build_dir / name
    target.parent.mkdir(parents=True, exist_ok=True)
    if not target.exists():
        target.write_text("<!doctype html>\n<p>my own", encoding="utf-8")
    before = target.read_bytes()
    ran = run(*words, "--out", str(target))
    assert ran.status == 2
    assert name.rpartition("/")[2] in ran.err and "nothing was written" in ran.err
    assert target.read_bytes() == before


@pytest.mark.parametrize("words", PAGES, ids=lambda w: w[0])
def test_a_page_goes_over_an_earlier_one_and_carries_a_policy(
    build_dir: Path, run: Callable[..., Ran], words: tuple[str, ...]
) -> None:
    for _ in range(2):
        assert run(*words, "--out", str(build_dir / "page.html")).status == 0
    text = (build_dir / "page.html").read_text(encoding="utf-8")
    assert "Content-Security-Policy" in text and "default-src 'none'" in text
    assert [p.name for p in build_dir.iterdir() if p.suffix == ".part"] == []


@pytest.mark.skipif(os.name == "nt", reason="links and pipes of POSIX")
@pytest.mark.parametrize("words", PAGES, ids=lambda w: w[0])
def test_a_planted_link_or_pipe_is_refused(
    build_dir: Path, run: Callable[..., Ran], words: tuple[str, ...]
) -> None:
    away = build_dir.parent / "away.html"
    (build_dir / "page.html").symlink_to(away)
    os.mkfifo(build_dir / "pipe.html")
    for name in ("page.html", "pipe.html"):
        ran = run(*words, "--out", str(build_dir / name))
        assert (ran.status, "nothing was written" in ran.err) == (2, True)
    assert not away.exists()
