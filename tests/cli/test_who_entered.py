"""Who entered what is kept with every entry, and said where more than one person entered."""

from pathlib import Path

import pytest

from tests.conftest import run_qlog

READ = ("read", "cup", "20", "bore")


def by(folder: Path, person: str, *words: str) -> None:
    ran = run_qlog("--build", str(folder), *(("--person", person) if person else ()), *words)
    assert ran.status in (0, 1), ran.err


def shown(folder: Path, *words: str) -> str:
    ran = run_qlog("--build", str(folder), *words)
    assert ran.status in (0, 1), ran.err
    return ran.out


@pytest.fixture
def two(build_dir: Path) -> Path:
    """A build on which Adalind and Bodo worked, and somebody who gave no name."""
    by(build_dir, "Adalind", *READ, "1", "22.010")
    by(build_dir, "Bodo", *READ, "2", "22.015")
    by(build_dir, "Bodo", "note", "cup", "--piece", "1", "a scratch at the rim")
    by(build_dir, "", *READ, "3", "22.012")
    return build_dir


def test_a_piece_says_who_entered_what_where_two_worked(two: Path) -> None:
    lines = shown(two, "piece", "cup-1").splitlines()
    assert any("22.010" in line and "(Adalind)" in line for line in lines)
    assert any("a scratch at the rim" in line and "(Bodo)" in line for line in lines)
    assert "(" not in next(n for n in shown(two, "piece", "cup-3").splitlines() if "22.012" in n)


def test_where_one_person_worked_nobody_is_named(build_dir: Path) -> None:
    by(build_dir, "Adalind", *READ, "1", "22.010")
    assert "22.010" in shown(build_dir, "piece", "cup-1")
    assert "Adalind" not in shown(build_dir, "piece", "cup-1")


def test_the_build_names_who_enters_where_nobody_else_is_said(build_dir: Path) -> None:
    plan = build_dir / "build.toml"
    plan.write_text('person = "Adalind"\n' + plan.read_text(encoding="utf-8"), encoding="utf-8")
    by(build_dir, "", *READ, "1", "22.010")
    by(build_dir, "Bodo", *READ, "2", "22.015")
    assert "(Adalind)" in shown(build_dir, "piece", "cup-1")
    assert "(Bodo)" in shown(build_dir, "piece", "cup-2")


def test_the_maker_s_record_names_them_and_the_recipient_s_does_not(two: Path) -> None:
    shown(two, "record")
    found = {
        folder.name: "".join(p.read_text(encoding="utf-8") for p in folder.rglob("*")
                             if p.suffix in (".html", ".csv", ".json", ".txt", ".md"))
        for folder in (two / "record").iterdir() if folder.is_dir()
    }  # fmt: skip
    assert len(found) == 2
    for name, text in found.items():
        for who in ("Adalind", "Bodo"):
            assert (who in text) == name.startswith("maker"), (name, who)
    maker = next(text for name, text in found.items() if name.startswith("maker"))
    for line in ("Entered by Adalind", "a scratch at the rim (Bodo)", "Adalind (1), Bodo (2)"):
        assert line in maker
