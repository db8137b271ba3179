"""What is known of a batch while readings come in: setups, open operations, the checks' context."""

from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.drawing.plan import Build
from qlog.intake.bench.batch_so_far import BatchSoFar
from qlog.intake.bench.decisions import begin_setup, dispose
from qlog.intake.bench.stream import Stream
from qlog.intake.entry_checks import Check
from qlog.logbook.facts import Done, Gap, Reading
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Conflict, Logbook
from tests.conftest import SMALL_PLAN


@pytest.fixture
def build(build_dir: Path) -> Build:
    text = SMALL_PLAN.replace("spare = 1", "spare = 7")
    (build_dir / "build.toml").write_text(text, encoding="utf-8")
    return load(build_dir / "build.toml")


@pytest.fixture
def logbook(build: Build) -> Logbook:
    with Logbook(build.folder / "logbook.db") as opened:
        opened.append_all([Done("cup", 10, p) for p in range(1, 11)])
        yield opened


def bore(piece: int, value: str, **more: object) -> Reading:
    return Reading("cup", 20, "bore", piece, value, value, "mm", "micrometer", **more)  # type: ignore[arg-type]


def checks(known: BatchSoFar, reading: Reading) -> list[Check]:
    return [q.check for q in known.questions(reading, Decimal(reading.value))]


def test_a_setup_is_the_stretch_between_two_touches(build: Build, logbook: Logbook) -> None:
    part = build.part("cup")
    begin_setup(logbook, part, 20, 4, "tool change")
    begin_setup(logbook, part, 20, 8, "offset")
    begin_setup(logbook, part, 10, 2, "offset")
    known = BatchSoFar(build, PartLog.read(logbook, part))
    assert [known.log.setup(20, p).pieces for p in (1, 3, 4, 7, 8, 10)] == [
        range(1, 4), range(1, 4), range(4, 8), range(4, 8), range(8, 11), range(8, 11),
    ]  # fmt: skip


def test_the_batch_of_the_checks_ends_at_a_new_setup(build: Build, logbook: Logbook) -> None:
    part = build.part("cup")
    logbook.append_all([bore(1, "22.010"), bore(2, "22.012"), bore(4, "22.011")])
    begin_setup(logbook, part, 20, 3, "tool change")
    known = BatchSoFar(build, PartLog.read(logbook, part))
    assert known.batch_pieces(bore(5, "22.02")) == (4,)
    assert known.batch_pieces(bore(2, "22.02")) == (1,)


def test_a_burr_is_looked_for_when_the_batch_is_whole(build: Build, logbook: Logbook) -> None:
    part = build.part("cup")
    for piece in range(1, 10):
        logbook.append(bore(piece, f"22.04{piece % 3}"))
    known = BatchSoFar(build, PartLog.read(logbook, part))
    # A bore reads small with dirt in it; half the tolerance away from the rest.
    assert checks(known, bore(10, "22.004")) == [Check.BURR]
    assert known.questions(bore(10, "22.004"), Decimal("22.004"), confirmed={10}) == ()
    logbook.append(Gap("cup", 20, "bore", 9, "skipped"))
    # With another place still open the batch is not whole, and nothing is said yet.
    assert checks(BatchSoFar(build, PartLog.read(logbook, part)), bore(8, "22.004")) == []


def test_a_piece_read_again_stands(build: Build, logbook: Logbook) -> None:
    part = build.part("cup")
    first = logbook.append(bore(1, "22.005"))
    logbook.append(bore(1, "22.004"), supersedes=first.id, reason="read again")
    for piece in range(2, 10):
        logbook.append(bore(piece, f"22.04{piece % 3}"))
    assert checks(BatchSoFar(build, PartLog.read(logbook, part)), bore(10, "22.041")) == []


def test_another_piece_of_the_batch_may_be_the_one_in_question(
    build: Build, logbook: Logbook
) -> None:
    part = build.part("cup")
    logbook.append(bore(1, "22.004"))
    for piece in range(2, 10):
        logbook.append(bore(piece, f"22.04{piece % 3}"))
    stream = Stream(build, logbook, part, 20, dimensions=[part.dimension("bore")])
    ask = stream.next()
    assert ask is not None and ask.piece == 10
    proposed = stream.propose(ask, "22.041")
    (question,) = proposed.questions
    assert (question.check, stream.about(proposed, question)) == (Check.BURR, 1)
    stream.answered(proposed, question)
    assert stream.propose(ask, "22.041").questions == ()


def test_an_impossible_direction_needs_an_earlier_operation(
    build_dir: Path, build: Build, logbook: Logbook
) -> None:
    text = SMALL_PLAN.replace("spare = 1", "spare = 7").replace(
        'callout = "Ø22 +0.05/0"\n  op = 20',
        'callout = "Ø22 +0.05/0"\n  op = 20\n  before = { op = 10, callout = "Ø21.9 ±0.1" }',
    )
    (build_dir / "build.toml").write_text(text, encoding="utf-8")
    changed = load(build_dir / "build.toml")
    logbook.append(Reading("cup", 10, "bore", 1, "22.04", "22.04", "mm", "micrometer"))
    known = BatchSoFar(changed, PartLog.read(logbook, changed.part("cup")))
    assert checks(known, bore(1, "22.020")) == [Check.DIRECTION]  # boring cannot close a bore
    assert checks(known, bore(1, "22.045")) == []


def test_open_operations_are_those_the_piece_gets(build: Build, logbook: Logbook) -> None:
    with Logbook(build.folder / "logbook.db") as other:
        known = BatchSoFar(build, PartLog.read(other, build.part("ring")))
    assert known.log.open_ops(10, 1) == ()
    known = BatchSoFar(build, PartLog.read(logbook, build.part("cup")))
    assert (known.log.open_ops(20, 3), known.log.open_ops(20, 11)) == ((), (10,))


def test_a_reading_of_another_kind_of_unit_is_no_part_of_the_batch(
    build: Build, logbook: Logbook
) -> None:
    logbook.append(Reading("cup", 20, "bore", 1, "45", "45", "deg"))
    logbook.append(Reading("cup", 20, "bore", 2, "0.867", "0.867", "in"))
    known = BatchSoFar(build, PartLog.read(logbook, build.part("cup")))
    assert known.batch_pieces(bore(3, "22.02")) == (2,)


def test_what_is_put_off_comes_up_in_the_next_sitting(build: Build, logbook: Logbook) -> None:
    part = build.part("cup")
    stream = Stream(build, logbook, part, 20, dimensions=[part.dimension("bore")])
    first = stream.next()
    assert first is not None and first.piece == 1
    stream.put_off(first)
    second = stream.next()
    assert second is not None and second.piece == 2
    again = Stream(build, logbook, part, 20, dimensions=[part.dimension("bore")]).next()
    assert again is not None and again.piece == 1


def enter(stream: Stream, piece: int, text: str) -> None:
    ask = stream.place(stream.part.dimension("bore"), piece)
    stream.enter(stream.propose(ask, text))


def live(logbook: Logbook) -> list[tuple[int, str, str | None]]:
    return [(e.fact.piece, e.fact.typed, e.fact.instrument) for e in logbook.live(Reading)]


def test_a_second_instrument_stands_beside_the_first(build: Build, logbook: Logbook) -> None:
    part = build.part("cup")
    enter(Stream(build, logbook, part, 20, instrument="caliper"), 1, "22.03")
    enter(Stream(build, logbook, part, 20, instrument="micrometer"), 1, "22.034")
    assert live(logbook) == [(1, "22.03", "caliper"), (1, "22.034", "micrometer")]
    with pytest.raises(Conflict):  # the same instrument again, and another value
        enter(Stream(build, logbook, part, 20, instrument="micrometer"), 1, "22.036")


def test_read_again_later_both_stay(build: Build, logbook: Logbook) -> None:
    part = build.part("cup")
    bores = [part.dimension("bore")]
    enter(Stream(build, logbook, part, 20), 1, "22.03")
    enter(Stream(build, logbook, part, 20), 3, "22.04")
    again = Stream(build, logbook, part, 20, dimensions=bores, again=True)
    assert [a.piece for a in again.places()] == [1, 3]
    enter(again, 1, "22.031")
    assert [a.piece for a in again.places()] == [3]
    assert [v for _, v, _ in live(logbook)] == ["22.04", "22.031"]
    assert [e.reason for e in logbook.history(Reading) if e.supersedes] == ["read again"]
    again.undo()
    assert [a.piece for a in again.places()] == [1, 3]


def test_rework_asks_again_for_what_was_cut_and_closes_by_it(
    build: Build, logbook: Logbook
) -> None:
    part = build.part("cup")
    for instrument, value in (("caliper", "21.95"), ("micrometer", "21.951")):
        enter(Stream(build, logbook, part, 20, instrument=instrument), 2, value)
    dispose(logbook, part, 2, "rework", "too small", op=20)
    stream = Stream(build, logbook, part, 20, dimensions=[part.dimension("bore")])
    assert 2 in [a.piece for a in stream.places()]
    enter(stream, 2, "22.01")
    assert 2 not in [a.piece for a in stream.places()]
    assert [v for p, v, _ in live(logbook) if p == 2] == ["22.01"]
    assert not PartLog.read(logbook, part).in_rework(2)
    stream.undo()  # what was read before the cut does not come back
    assert [v for p, v, _ in live(logbook) if p == 2] == []
    assert 2 in [a.piece for a in stream.places()]


def test_together_is_all_or_nothing(build: Build, logbook: Logbook) -> None:
    before = logbook.count()
    with pytest.raises(RuntimeError), logbook.together():
        logbook.append(bore(1, "22.01"))
        raise RuntimeError
    assert logbook.count() == before
    with logbook.together():
        entry = logbook.append(bore(1, "22.01"))
        logbook.withdraw(entry.id, "made up")
    assert logbook.count() == before + 2
