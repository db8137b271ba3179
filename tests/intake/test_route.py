"""The route: order, overrides, and what an operation puts out of reach."""

import re
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.drawing.plan import Build
from qlog.intake.bench.route import OrderRefused, RouteError, mark_done, sealed_unread, start
from qlog.logbook.facts import Disposition, Done, Gap, Reading, Start
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Logbook
from qlog.words.catalogue import load as language
from qlog.words.ready import held_text
from tests.conftest import SMALL_PLAN

GROOVE = """
  [[part.dim]]
  id = "groove"
  name = "groove"
  callout = "3 ±0.1"
  op = 10
  unreachable-after = 10
"""


@pytest.fixture
def build(build_dir: Path) -> Build:
    text = SMALL_PLAN.replace('\n[[part]]\nid = "ring"', f'{GROOVE}\n[[part]]\nid = "ring"')
    text = text.replace('  kind = "boring"\n', '  kind = "boring"\n  only = [1, 2, 3]\n')
    text = text.replace(
        "  [[part.dim]]",
        '  [[part.op]]\n  number = 30\n  name = "polish"\n  kind = "polishing"\n\n  [[part.dim]]',
        1,
    )
    (build_dir / "build.toml").write_text(text, encoding="utf-8")
    return load(build_dir / "build.toml")


@pytest.fixture
def logbook(build: Build) -> Logbook:
    with Logbook(build.folder / "logbook.db") as opened:
        yield opened


def test_the_next_operation_of_a_piece_seals_a_dimension(build: Build) -> None:
    part = build.part("cup")
    groove = part.dimension("groove")
    assert part.sealed_by(groove) == 20
    assert part.sealed_by(groove, 1) == 20
    assert part.sealed_by(groove, 4) == 30  # it does not get op 20
    assert part.sealed_by(part.dimension("height")) is None


def test_order_is_kept_unless_a_reason_is_given(build: Build, logbook: Logbook) -> None:
    part = build.part("cup")
    with pytest.raises(OrderRefused) as caught:
        mark_done(logbook, part, 20, [1])
    assert held_text(caught.value.held, language("en")).startswith(
        "op 10 is open on cup-1; mark it first"
    )
    assert logbook.live(Done) == []
    mark_done(logbook, part, 20, [1], override=" from the bar ")
    assert [e.fact.override for e in logbook.live(Done)] == ["from the bar"]


def test_a_reason_is_kept_only_where_it_was_needed(build: Build, logbook: Logbook) -> None:
    part = build.part("cup")
    mark_done(logbook, part, 10, [1])
    logbook.append(Reading("cup", 10, "groove", 1, "3", "3", "mm"))
    mark_done(logbook, part, 20, [1, 2], override="hurry")
    assert {e.fact.piece: e.fact.override for e in logbook.live(Done, op=20)} == {1: "", 2: "hurry"}


def test_an_unread_dimension_holds_the_operation_that_seals_it(
    build: Build, logbook: Logbook
) -> None:
    part = build.part("cup")
    mark_done(logbook, part, 10)
    assert sealed_unread(PartLog.read(logbook, part), 20, [1, 2, 3, 4]) == {"groove": [1, 2, 3]}
    assert sealed_unread(PartLog.read(logbook, part), 30, [1, 2, 3, 4]) == {"groove": [4]}
    with pytest.raises(OrderRefused) as caught:
        mark_done(logbook, part, 20)
    said = held_text(caught.value.held, language("en"))
    assert re.match(r"groove of cup 1-3 is not read.*qlog read cup 10 groove", said)
    logbook.append(Reading("cup", 10, "groove", 1, "3", "3", "mm"))
    logbook.append(Gap("cup", 10, "groove", 2, "cannot"))
    logbook.append(Disposition("cup", 3, 10, "scrap", "dropped"))
    assert mark_done(logbook, part, 20).new == (1, 2)


def test_scrapped_pieces_are_refused(build: Build, logbook: Logbook) -> None:
    logbook.append(Disposition("cup", 1, None, "scrap", "dropped"))
    with pytest.raises(RouteError, match="cup-1 was scrapped"):
        mark_done(logbook, build.part("cup"), 10, [1])


def test_start_may_be_said_again(build: Build, logbook: Logbook) -> None:
    part = build.part("cup")
    start(logbook, part, 10, note="first evening", made="2026-03-01T19:00+01:00")
    start(logbook, part, 10)
    assert [e.fact for e in logbook.live(Start)] == [
        Start("cup", 10, "first evening"), Start("cup", 10),
    ]  # fmt: skip
