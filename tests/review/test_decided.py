"""What is decided about pieces; invented builds, the answers known by hand."""

from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.drawing.plan import Build
from qlog.logbook.facts import Assembly, Disposition, Done, Reading, Shipment
from qlog.logbook.store import Logbook
from qlog.review.findings.kinds import Drift, Out
from qlog.review.part.decided import spare_pieces
from qlog.review.whole import picture_from

GROUPS = """
[[item]]
id = "plain"
count = 1
takes = { cup = 1 }
only = { cup = [1, 2] }

[[item]]
id = "dark"
count = 2
takes = { cup = 1 }
only = { cup = [3, 4] }
"""


@pytest.fixture
def build(build_dir: Path) -> Build:
    with (build_dir / "build.toml").open("a", encoding="utf-8") as plan:
        plan.write(GROUPS)
    return load(build_dir / "build.toml")


@pytest.mark.parametrize(
    ("good", "built_in", "spare"),
    [
        ([1, 2, 3, 4], [], {2}),  # both of the dark group are needed, one of the plain group is not
        ([1, 2, 3, 4], [2], {1}),  # what is built in is needed
        ([1, 2, 4], [], set()),
        ([2, 3, 4], [], set()),
        ([1, 2], [], set()),
    ],
)
def test_spare_is_what_no_item_waits_for(
    build: Build, good: list[int], built_in: list[int], spare: set[int]
) -> None:
    assert spare_pieces(build, build.part("cup"), good, built_in) == spare


def test_without_groups_the_last_ones_are_spare(build_dir: Path) -> None:
    build = load(build_dir / "build.toml")
    assert spare_pieces(build, build.part("cup"), [1, 2, 3, 4], []) == {4}
    assert spare_pieces(build, build.part("cup"), [1, 2, 3, 4], [4]) == {3}
    assert spare_pieces(build, build.part("cup"), [1, 3, 4], []) == frozenset()


def test_a_decision_holds_wherever_the_piece_goes(build_dir: Path) -> None:
    build = load(build_dir / "build.toml")
    with Logbook(build_dir / "logbook.db", revision=build.revision, source=build.source) as log:
        for number in (1, 2, 3, 4):
            log.append(Done("cup", 10, number))
            log.append(Done("cup", 20, number))
            log.append(Reading("cup", 20, "bore", number, "22.07", "22.07", "mm"))
        log.append(Disposition("cup", 1, 20, "rework", "polish it out"))
        log.append(Disposition("cup", 1, 20, "use as is", "nobody will see"))
        log.append(Disposition("cup", 2, 20, "use as is", "nobody will see"))
        log.append(Disposition("cup", 3, 20, "rework", "bore again"))
        log.append(Assembly("first", "cup", 1))
        log.append(Shipment("a", "out", "cup", 20, 2, "the plater"))
        log.append(Shipment("a", "out", "cup", 20, 3, "the plater"))
        picture = picture_from(build, log)
    view = picture.part("cup")
    assert [p.decision for p in view.pieces] == ["use as is", "use as is", "rework", ""]
    asked = {f.place.piece: f.weight.value for f in picture.of_part["cup"] if isinstance(f, Out)}
    assert asked == {1: "note", 2: "note", 3: "bad", 4: "bad"}


def test_a_drift_asks_for_the_tool_while_pieces_are_still_to_come(build_dir: Path) -> None:
    plan = build_dir / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("spare = 1", "spare = 7"), encoding="utf-8")
    build = load(plan)
    sizes = [f"22.0{45 - 4 * i + i % 2:02}" for i in range(10)]
    with Logbook(build_dir / "logbook.db", revision=build.revision, source=build.source) as log:
        for number, size in enumerate(sizes, 1):
            log.append(Reading("cup", 20, "bore", number, size, size, "mm", "micrometer"))
            if number < 9:
                continue
            told = [f.ahead for f in picture_from(build, log).findings if isinstance(f, Drift)]
            assert told == [number == 9]
