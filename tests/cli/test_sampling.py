"""`every = 3`: asked for on the first piece of a setup and every third, on all once one is out."""

from pathlib import Path

from qlog.drawing.build_file.load import load
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Logbook, create
from tests.conftest import SMALL_PLAN, Ran, run_qlog

PLAN = SMALL_PLAN.replace("needed = 3\nspare = 1", "needed = 9\nspare = 1").replace(
    '  id = "bore"', '  id = "bore"\n  every = 3'
)


def run(folder: Path, *words: str, stdin: str = "") -> Ran:
    return run_qlog("--build", str(folder), *words, stdin=stdin)


def begun(folder: Path, head: str = "") -> Path:
    (folder / "build.toml").write_text(head + PLAN, encoding="utf-8")
    create(folder / "logbook.db")
    run(folder, "done", "cup", "10")
    return folder


def asked(folder: Path) -> list[int]:
    build = load(folder)
    part = build.part("cup")
    with Logbook(folder / "logbook.db") as log:
        own = PartLog.read(log, part)
    return [p for p in part.pieces if own.waits(part.dimension("bore"), 20, p)]


def test_every_third_is_asked_for_and_what_that_proves_is_said(tmp_path: Path) -> None:
    folder = begun(tmp_path)
    assert asked(folder) == [1, 4, 7, 10]
    ran = run(folder, "read", "cup", "20", "bore", stdin="22.021\n22.022\n22.023\n22.024\n")
    assert "4 to read" in ran.out and "cup-10 bore" in ran.out
    run(folder, "done", "cup", "20", "--override", "look is still to come")
    assert "reading" not in run(folder, "status", "cup").out.partition("bore")[2][:40]
    # By hand: of 10 with 4 out, C(6,4)/C(10,4) = 15/210 > 5 %; with 5 out, 5/210 is below.
    said = run(folder, "spread", "cup").out
    assert "4 of 10 pieces read, 0 out" in said and "at most 4 of the 10 are out" in said
    # A piece that was not asked for may be read: it counts.
    assert run(folder, "read", "cup", "20", "bore", "2", "22.02").status == 0
    assert "5 of 10 pieces read" in run(folder, "spread", "cup").out


def test_one_that_is_out_has_all_of_them_asked_for_and_a_new_setup_its_first(
    tmp_path: Path,
) -> None:
    folder = begun(tmp_path)
    run(folder, "setup", "cup", "20", "6", "re-touch")
    assert asked(folder) == [1, 4, 6, 9]
    run(folder, "read", "cup", "20", "bore", "4", "22.09")
    assert asked(folder) == [1, 2, 3, 5, 6, 7, 8, 9, 10]
    # Put right, it was a slip: the sample is enough again.
    run(folder, "correct", "cup", "20", "bore", "4", "22.02", "--why", "misread")
    assert asked(folder) == [1, 6, 9]


def test_the_pages_say_it_in_german_too(tmp_path: Path) -> None:
    folder = begun(tmp_path, 'language = "de"\n')
    run(folder, "read", "cup", "20", "bore", stdin="22.021\n22.022\n22.023\n22.024\n")
    assert "höchstens 4 von 10 außerhalb" in run(folder, "spread", "cup").out
    assert run(folder, "record").status in (0, 1)
    pages = [p.read_text("utf-8") for p in (folder / "record").rglob("*.html")]
    assert any("4 von 10" in page and "nicht in der Stichprobe" in page for page in pages)
