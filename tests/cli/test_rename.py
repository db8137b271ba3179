"""`qlog rename`: plan and log follow together, nothing is lost or mixed, and it can go back."""

import re
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.logbook.build_log import BuildLog
from qlog.logbook.facts import Assembly, ItemSize, Reading, Renamed
from qlog.logbook.store import Logbook
from qlog.review.whole import picture_from
from tests.conftest import Ran, run_qlog


@pytest.fixture
def bored(build_dir: Path) -> Path:
    for op in ("10", "20"):
        qlog(build_dir, "done", "cup", op)
    for piece in (1, 2, 3):
        qlog(build_dir, "read", "cup", "20", "bore", str(piece), f"22.03{piece}")
    return build_dir


def qlog(folder: Path, *words: str, status: int = 0) -> Ran:
    ran = run_qlog("--build", str(folder), *words)
    assert ran.status == status, ran.out + ran.err
    return ran


def readings(folder: Path) -> dict[tuple[str, int, str, int], str]:
    build = load(folder)
    with Logbook(folder / "logbook.db") as log:
        assert picture_from(build, log, studied=False).homeless == ()
        own = [BuildLog(log).part(p) for p in build.parts]
    return {
        (e.fact.part, e.fact.op, e.fact.dimension, e.fact.piece): e.fact.value
        for part in own
        for e in part.readings
    }


@pytest.mark.parametrize(
    ("words", "place"),
    [
        (("dim", "cup.bore", "socket"), ("cup", 20, "socket")),
        (("op", "cup.20", "25"), ("cup", 25, "bore")),
        (("part", "cup", "bowl"), ("bowl", 20, "bore")),
        (("instrument", "micrometer", "mic"), ("cup", 20, "bore")),
    ],
)
def test_readings_follow_a_new_name_and_come_back_with_the_old(
    bored: Path, words: tuple[str, str, str], place: tuple[str, int, str]
) -> None:
    before, text = readings(bored), (bored / "build.toml").read_text(encoding="utf-8")
    said = qlog(bored, "rename", *words, "--why", "as drawn").out
    after = readings(bored)
    assert {key[:3] for key in after} == {place}
    assert list(after.values()) == list(before.values())
    back = said.rpartition("qlog rename ")[2].split(" --why")[0].split()
    qlog(bored, "rename", *back, "--why", "no")
    assert readings(bored) == before
    assert (bored / "build.toml").read_text(encoding="utf-8") == text


def test_the_bench_goes_on_under_the_new_name(bored: Path) -> None:
    qlog(bored, "rename", "dim", "cup.bore", "socket")
    assert "known already" in qlog(bored, "read", "cup", "20", "socket", "1", "22.031").out
    refused = qlog(bored, "read", "cup", "20", "socket", "1", "22.039", status=2)
    assert "logged already as 22.031" in refused.err
    qlog(bored, "correct", "cup", "20", "socket", "1", "22.04", "--why", "slip")
    assert "socket 22.04 (was 22.031: slip)" in qlog(bored, "piece", "cup-1").out
    assert "all sound" in qlog(bored, "verify").out
    assert (
        "1 to read" in run_qlog("--build", str(bored), "read", "cup", "20", "socket", stdin="").out
    )  # piece 4 alone waits


def test_several_renames_one_upon_the_other(bored: Path) -> None:
    for words in (("dim", "cup.bore", "socket"), ("part", "cup", "bowl"), ("op", "bowl.20", "25"),
                  ("dim", "bowl.socket", "mouth")):  # fmt: skip
        qlog(bored, "rename", *words)
    assert {key[:3] for key in readings(bored)} == {("bowl", 25, "mouth")}


def test_the_old_name_may_be_given_to_another_dimension(bored: Path) -> None:
    qlog(bored, "rename", "dim", "cup.bore", "socket")
    qlog(bored, "add", "dim", "cup", "bore", "Ø5 ±0.1", "--after", "20")
    qlog(bored, "read", "cup", "20", "bore", "1", "5.02")
    after = readings(bored)
    assert after["cup", 20, "bore", 1] == "5.02"
    assert after["cup", 20, "socket", 1] == "22.031"


def test_a_file_renamed_by_hand_is_mended_by_the_same_command(bored: Path) -> None:
    path = bored / "build.toml"
    path.write_text(
        path.read_text(encoding="utf-8").replace('id = "bore"', 'id = "socket"'), encoding="utf-8"
    )
    assert "without a home" in run_qlog("--build", str(bored), "status").out
    qlog(bored, "rename", "dim", "cup.bore", "socket")
    assert {key[2] for key in readings(bored)} == {"socket"}


def test_two_readings_of_one_place_are_never_made_of_two_names(bored: Path) -> None:
    path = bored / "build.toml"
    path.write_text(
        path.read_text(encoding="utf-8").replace('id = "bore"', 'id = "socket"'), encoding="utf-8"
    )
    qlog(bored, "read", "cup", "20", "socket", "1", "22.02")
    refused = qlog(bored, "rename", "dim", "cup.bore", "socket", status=2)
    assert "used for the same place" in refused.err and "qlog undo" in refused.err


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("dim", "cup.bore", "height"), "has a dim height already"),
        (("dim", "cup.nothing", "x"), "nothing logged of it"),
        (("dim", "bore", "x"), "name it with its part"),
        (("op", "cup.20", "bore"), "is a number"),
        (("op", "cup.20", "5"), "stands behind"),
        (("part", "cup", "cup-2"), "ends like a piece number"),
        (("dim", "cup.bore", "a b"), "a b"),
    ],
)
def test_a_name_that_cannot_be_changes_nothing(
    bored: Path, words: tuple[str, ...], why: str
) -> None:
    text = (bored / "build.toml").read_bytes()
    assert why in qlog(bored, "rename", *words, status=2).err
    assert (bored / "build.toml").read_bytes() == text
    with Logbook(bored / "logbook.db") as log:
        assert log.live(Renamed) == []


def test_everything_that_names_a_part_follows(tmp_path: Path) -> None:
    folder = tmp_path / "b"
    qlog(tmp_path, "new", str(folder), "--example")
    text = (folder / "build.toml").read_text(encoding="utf-8")
    kept = '\n[[keep]]\napart = ["cup-1", "stem-2"]\n'
    (folder / "build.toml").write_text(text + kept, encoding="utf-8")
    qlog(folder, "rename", "part", "cup", "bowl")
    build = load(folder)
    assert build.joints[0].inside.part == "bowl"
    assert build.groups[0].takes[0][0] == "bowl"
    assert build.bans[0].pieces[0][0] == "bowl"
    assert build.stacks[0].terms[0][1].part == "bowl"
    changed = (folder / "build.toml").read_text(encoding="utf-8").splitlines()
    before = (text + kept).splitlines()
    assert len(changed) == len(before)
    assert [a for a, b in zip(before, changed, strict=True) if a != b] == [
        line for line in before
        if line.strip().startswith(('id = "cup"', "inside", "add", "takes", "apart"))
    ]  # fmt: skip


def test_an_earlier_drawing_judges_by_its_own_limits_under_the_new_name(bored: Path) -> None:
    path = bored / "build.toml"
    qlog(bored, "rename", "dim", "cup.bore", "socket")
    path.write_text(
        path.read_text(encoding="utf-8").replace("Ø22 +0.05/0", "Ø22 +0.02/0"), encoding="utf-8"
    )
    with Logbook(bored / "logbook.db") as log:
        part = picture_from(load(bored), log, studied=False).part("cup")
    socket = next(s for s in part.series if s.dimension.id == "socket")
    assert [r.word for r in socket.readings] == ["good"] * 3  # 22.03 is good by the drawing of then


def test_the_log_itself_keeps_the_name_as_it_was_written(bored: Path) -> None:
    import sqlite3

    qlog(bored, "rename", "dim", "cup.bore", "socket")
    db = sqlite3.connect(bored / "logbook.db")
    assert {row[0] for row in db.execute("SELECT dimension FROM reading")} == {"bore"}
    db.close()
    with Logbook(bored / "logbook.db") as log:
        assert len(log.live(Reading, part="cup", dimension="socket", piece=2)) == 1
        assert log.live(Reading, part="cup", dimension="bore") == []


ITEMS = """
[[stack]]
id = "sum"
add = ["cup.height"]
callout = "32 ±0.4"

[[item]]
id = "tall"
name = "Tall"
count = 2
takes = { cup = 1, ring = 1 }
"""


def test_items_and_overall_sizes_are_called_otherwise_and_back(bored: Path) -> None:
    plan = bored / "build.toml"
    plan.write_text(plan.read_text(encoding="utf-8") + ITEMS, encoding="utf-8")
    before = plan.read_text(encoding="utf-8")
    qlog(bored, "assemble", "tall-2", "cup-1", "ring-1", "--size", "32.01")
    qlog(bored, "rename", "item", "tall", "high", "--why", "as the choir says")
    said = qlog(bored, "rename", "stack", "sum", "overall").out
    assert "sum is overall now; 1 entry follows" in said
    status = run_qlog("--build", str(bored), "status").out
    assert "in high-2" in status and "tall" not in status, status
    assert "all sound" in qlog(bored, "verify").out
    with Logbook(bored / "logbook.db") as log:
        items = {(e.fact.item, e.fact.piece) for e in log.live(Assembly)}
        sizes = [(e.fact.item, e.fact.stack, e.fact.value) for e in log.live(ItemSize)]
    assert items == {("high-2", 1)} and sizes == [("high-2", "overall", "32.01")]
    # What is entered now meets what was entered before.
    assert "in high-2 already" in qlog(bored, "assemble", "high-1", "cup-1", "ring-2", status=2).err
    listed = qlog(bored, "rename").out
    assert re.search(r"\d{4}-\d\d-\d\d  item tall -> high: as the choir says", listed), listed
    assert "stack sum -> overall" in listed
    qlog(bored, "rename", "item", "high", "tall")
    qlog(bored, "rename", "stack", "overall", "sum")
    assert plan.read_text(encoding="utf-8") == before
    assert "in tall-2" in run_qlog("--build", str(bored), "status").out
    assert qlog(bored, "rename", "item", "low", "x", status=2).err
