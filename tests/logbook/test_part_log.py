"""One part's entries read once: what stands, what was replaced, what still waits."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load_text
from qlog.drawing.plan import Part
from qlog.drawing.units import Unit
from qlog.frozen import replace
from qlog.logbook.build_log import BuildLog
from qlog.logbook.facts import Assembly, Disposition, Done, Gap, Note, Reading, Setup, Shipment
from qlog.logbook.measured import Measured, measured
from qlog.logbook.own_words import Own
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Conflict, Logbook, create
from tests.conftest import SMALL_PLAN


@pytest.fixture(scope="module")
def part(tmp_path_factory: pytest.TempPathFactory) -> Part:
    return load_text(SMALL_PLAN, tmp_path_factory.mktemp("plan")).part("cup")


@pytest.fixture
def logbook(tmp_path: Path) -> Iterator[Logbook]:
    create(tmp_path / "logbook.db")
    with Logbook(tmp_path / "logbook.db") as log:
        yield log


def bore(
    piece: int, value: str, instrument: str | None = "micrometer", unit: str = "mm"
) -> Reading:
    return Reading("cup", 20, "bore", piece, value, value, unit, instrument)


def test_an_empty_log_has_the_planned_pieces_and_one_setup(logbook: Logbook, part: Part) -> None:
    log = PartLog.read(logbook, part)
    assert log.pieces == (1, 2, 3, 4)
    assert [(s.number, s.pieces) for s in log.setups(20)] == [(1, range(1, 5))]
    assert log.waits(part.dimension("bore"), 20, 3)
    assert not list(log.readings) and not log.scrapped and not log.away


def test_a_setup_ends_where_the_next_one_begins(logbook: Logbook, part: Part) -> None:
    logbook.append(Setup("cup", 20, 3, "tool change"))
    log = PartLog.read(logbook, part)
    assert [(s.pieces, s.cause) for s in log.setups(20)] == [
        (range(1, 3), ""),
        (range(3, 5), "tool change"),
    ]
    assert log.setup(20, 2).number == 1 and log.setup(20, 4).number == 2
    assert log.setup(10, 4).number == 1, "another operation has its own setups"


def test_the_last_setup_holds_pieces_made_beyond_the_plan(logbook: Logbook, part: Part) -> None:
    logbook.append(bore(6, "22.02"))
    log = PartLog.read(logbook, part)
    assert log.setup(20, 6).last_piece == 6
    assert log.pieces == (1, 2, 3, 4, 6)


def test_a_correction_stands_and_what_it_replaced_is_kept(logbook: Logbook, part: Part) -> None:
    first = logbook.append(bore(1, "22.90"))
    second = logbook.append(bore(1, "22.09"), supersedes=first.id, reason="slip")
    third = logbook.append(bore(1, "22.02"), supersedes=second.id, reason="wrong line")
    log = PartLog.read(logbook, part)
    entry = log.reading("bore", 20, 1)
    assert entry is not None and entry.id == third.id
    assert [e.fact.value for e in log.replaced(entry)] == ["22.09", "22.90"]


def test_a_value_is_given_in_the_unit_asked_for(logbook: Logbook, part: Part) -> None:
    logbook.append(bore(1, "1", unit="in"))
    log = PartLog.read(logbook, part)
    assert log.size("bore", 20, 1, Unit.MM) == Decimal("25.4")
    assert log.size("bore", 20, 1, Unit.DEGREE) is None
    assert log.size("bore", 20, 2, Unit.MM) is None


def test_what_is_entered_later_is_caught_up_with(
    logbook: Logbook, part: Part, tmp_path: Path
) -> None:
    log = PartLog.read(logbook, part)
    with Logbook(tmp_path / "logbook.db") as other:  # another terminal, or a phone
        entry = other.append(bore(1, "22.02"))
        other.append(Done("cup", 20, 1))
        other.append(Reading("pan", 10, "rim", 1, "8", "8", "mm"))
    log.catch_up(logbook)
    assert log.size("bore", 20, 1, Unit.MM) == Decimal("22.02")
    assert (20, 1) in log.done and len(list(log.readings)) == 1
    logbook.withdraw(entry.id, "wrong piece")
    log.catch_up(logbook)
    assert log.reading("bore", 20, 1) is None
    assert (20, 1) in log.done, "only the reading was taken back"


def test_catching_up_ends_where_reading_anew_would(logbook: Logbook, part: Part) -> None:
    caught = PartLog.read(logbook, part)
    steps = [
        bore(1, "22.01"), Gap("cup", 20, "bore", 2, "skipped"), Setup("cup", 20, 3, "new day"),
        bore(3, "22.03"), Disposition("cup", 3, 20, "rework", "tight"), Note("cup", 20, 3, "see"),
        Shipment("p1", "out", "cup", 20, 1, "plater"), Assembly("set-1", "cup", 3), bore(9, "22"),
        Disposition("cup", 9, 20, "scrap", "dropped"),
    ]  # fmt: skip
    for fact in steps:
        logbook.append(fact)
        caught.catch_up(logbook)
    logbook.append(
        bore(3, "22.04"),
        supersedes=caught.reading("bore", 20, 3).id,
        reason="again",  # type: ignore[union-attr]
    )
    caught.catch_up(logbook)
    anew = PartLog.read(logbook, part)
    for name in ("pieces", "touched", "scrapped", "done", "gaps", "away", "places", "assembly"):
        assert getattr(caught, name) == getattr(anew, name), name
    assert caught.setups(20) == anew.setups(20)
    assert [e.id for e in caught.notes] == [e.id for e in anew.notes]
    assert [caught.in_rework(p) for p in (1, 3)] == [anew.in_rework(p) for p in (1, 3)]


def test_a_scrapped_piece_is_asked_for_nothing(logbook: Logbook, part: Part) -> None:
    logbook.append(Disposition("cup", 2, 20, "scrap", "dropped"))
    log = PartLog.read(logbook, part)
    assert dict(log.scrapped) == {2: 20}
    assert not log.waits(part.dimension("bore"), 20, 2)
    assert not log.waits(part.dimension("height"), 10, 2), "nor for what came before"


def test_rework_asks_again_for_what_was_cut_again_and_closes_by_it(
    logbook: Logbook, part: Part
) -> None:
    logbook.append(Reading("cup", 10, "height", 1, "32", "32", "mm"))
    old = logbook.append(bore(1, "21.98"))
    logbook.append(Disposition("cup", 1, 20, "rework", "tight"))
    log = PartLog.read(logbook, part)
    assert log.in_rework(1) and log.to_read_again(1) == {("bore", 20)}
    assert log.waits(part.dimension("bore"), 20, 1)
    assert not log.waits(part.dimension("height"), 10, 1), "its height was not cut again"
    logbook.append(bore(1, "22.01"), supersedes=old.id, reason=Own.AFTER_REWORK)
    log.catch_up(logbook)
    assert not log.in_rework(1) and not log.waits(part.dimension("bore"), 20, 1)


def test_rework_of_an_unnamed_operation_closes_by_any_reading(logbook: Logbook, part: Part) -> None:
    old = logbook.append(bore(1, "21.98"))
    logbook.append(Disposition("cup", 1, None, "rework", "tight"))
    log = PartLog.read(logbook, part)
    assert log.in_rework(1) and not log.to_read_again(1)
    logbook.append(bore(1, "22.01"), supersedes=old.id, reason=Own.AFTER_REWORK)
    log.catch_up(logbook)
    assert not log.in_rework(1)


def test_a_place_read_with_a_second_instrument_keeps_both(logbook: Logbook, part: Part) -> None:
    logbook.append(bore(1, "22.05", "caliper"))
    with pytest.raises(Conflict):
        logbook.append(bore(1, "22.046"))
    logbook.append(bore(1, "22.046"), beside=True)
    log = PartLog.read(logbook, part)
    assert [e.fact.value for e in log.places["bore", 20][1]] == ["22.05", "22.046"]
    with pytest.raises(Conflict, match=r"22\.046"):  # one instrument, one reading that stands
        logbook.append(bore(1, "22.04"), beside=True)
    assert not logbook.append(bore(1, "22.05", "caliper")).new, "told twice is told once"


def test_pieces_sent_out_are_away_until_they_are_back(logbook: Logbook, part: Part) -> None:
    for piece in (1, 2):
        logbook.append(Shipment("p1", "out", "cup", 20, piece, "plater"))
    logbook.append(Shipment("p1", "back", "cup", 20, 1, "plater"))
    assert PartLog.read(logbook, part).away == {2}


def test_a_reading_about_to_be_entered_counts_as_entered(logbook: Logbook, part: Part) -> None:
    logbook.append(bore(1, "22.05"))
    log = PartLog.read(logbook, part)
    log.expect(bore(1, "22.01"))
    log.expect(bore(2, "22.02"))
    assert [log.size("bore", 20, p, Unit.MM) for p in (1, 2)] == [
        Decimal("22.01"),
        Decimal("22.02"),
    ]
    assert not log.waits(part.dimension("bore"), 20, 2)


@pytest.mark.parametrize(
    ("reading", "expected"),
    [
        (bore(1, "go"), Measured(None, Unit.NONE, True)),
        (bore(1, "no-go"), Measured(None, Unit.NONE, False)),
        (bore(1, "22.050"), Measured(Decimal("22.050"), Unit.MM)),
        (bore(1, "twenty"), Measured(None, Unit.NONE)),
        (bore(1, "22", unit="furlong"), Measured(None, Unit.NONE)),
        (
            Reading("cup", 20, "bore", 1, "22", "22", "mm", None, "24.5", "21"),
            Measured(Decimal(22), Unit.MM, None, Decimal("24.5"), Decimal(21)),
        ),
    ],
)
def test_a_logged_text_becomes_a_value_once(reading: Reading, expected: Measured) -> None:
    assert measured(reading) == expected


def test_a_value_answers_a_callout_of_its_own_kind(part: Part) -> None:
    size, check = part.dimension("bore").callout, part.dimension("look").callout
    assert measured(bore(1, "22")).answers(size) and not measured(bore(1, "22")).answers(check)
    assert measured(bore(1, "go")).answers(check) and not measured(bore(1, "go")).answers(size)
    assert not measured(bore(1, "22", unit="deg")).answers(size)


def test_an_old_reading_put_right_after_a_rework_does_not_close_it(
    logbook: Logbook, part: Part
) -> None:
    old = logbook.append(bore(1, "21.98"))
    logbook.append(Disposition("cup", 1, 20, "rework", "tight"))
    right = logbook.append(bore(1, "21.97"), supersedes=old.id, reason="a digit misread")
    log = PartLog.read(logbook, part)
    assert log.in_rework(1) and log.waits(part.dimension("bore"), 20, 1)
    logbook.append(bore(1, "22.01"), supersedes=right.id, reason=Own.AFTER_REWORK)
    log.catch_up(logbook)
    assert not log.in_rework(1) and not log.waits(part.dimension("bore"), 20, 1)
    # A correction of the new reading opens nothing again.
    new = log.reading("bore", 20, 1)
    assert new is not None
    logbook.append(bore(1, "22.02"), supersedes=new.id, reason="a digit misread")
    log.catch_up(logbook)
    assert not log.in_rework(1) and not log.waits(part.dimension("bore"), 20, 1)


def test_sampling_ends_with_the_reading_that_is_out_and_begins_again_with_its_correction(
    logbook: Logbook, tmp_path: Path
) -> None:
    """What was found out once is asked again after every entry, expected, read and corrected."""
    text = SMALL_PLAN.replace('id = "bore"', 'id = "bore"\nevery = 3', 1)
    part = load_text(text, tmp_path).part("cup")
    dimension = part.dimension("bore")
    log = PartLog.read(logbook, part)
    assert dimension.every == 3 and [log.spared(dimension, 20, p) for p in (1, 2)] == [False, True]
    log.expect(bore(1, "99"))
    assert not log.spared(dimension, 20, 2)
    log = PartLog.read(logbook, part)
    assert log.spared(dimension, 20, 2)
    entry = logbook.append(bore(1, "99"))
    log.catch_up(logbook)
    assert not log.spared(dimension, 20, 2)
    nominal = str(dimension.callout.limits.middle)
    logbook.append(bore(1, nominal), supersedes=entry.id, reason="misread")
    log.catch_up(logbook)
    assert log.spared(dimension, 20, 2)


def test_a_part_asked_for_again_while_one_goes_through_all_is_whole(
    logbook: Logbook, part: Part
) -> None:
    logbook.append_all([bore(1, "22.01"), bore(2, "22.02")])
    log = BuildLog(logbook)
    other = replace(part, id="foot")
    for own in log.each((part, other)):
        assert [e.fact.piece for e in own.readings] == ([1, 2] if own.part is part else [])
        assert [e.fact.piece for e in log.part(part).readings] == [1, 2]
