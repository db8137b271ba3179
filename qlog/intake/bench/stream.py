"""The stream: the empty places of one operation, one after the other, until all are read."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any, TypeVar

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.plan import Build, Dimension, Instrument, Part
from qlog.frozen import frozen, replace
from qlog.intake.bench.batch_so_far import BatchSoFar
from qlog.intake.bench.readings import (
    ReadingError,
    instrument_for,
    make_reading,
    requirement_for,
    typed_value,
    unit_of_entry,
)
from qlog.intake.entry_checks import Check, Question, Scope
from qlog.intake.typed.parse import Typed
from qlog.logbook.facts import Disposition, Entry, Fact, Gap, Note, Reading
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Appended, Logbook
from qlog.problem import ToSay

if TYPE_CHECKING:
    from qlog.intake.bench.settings import SetDown
    from qlog.intake.typed.set_values import SetValue

F = TypeVar("F", Reading, Gap)


@frozen
class Ask:
    """The next empty place: what is to be read on which piece, and with what."""

    dimension: Dimension
    piece: int
    callout: Callout
    instrument: Instrument | None

    @property
    def unit(self) -> str:
        """Unit in which a bare number is taken."""
        return "" if self.callout.attribute else unit_of_entry(self.callout, self.instrument).symbol

    @property
    def place(self) -> tuple[str, int]:
        """Dimension and piece."""
        return self.dimension.id, self.piece


def empty_places(
    build: Build,
    log: PartLog,
    op: int,
    *,
    dimensions: Sequence[Dimension] | None = None,
    instrument: str | None = None,
    by_piece: bool = False,
    again: bool = False,
) -> list[Ask]:
    """The places that wait for a reading after `op`, in the order in which they are asked for.

    Down the pieces for one dimension after the other (one instrument stays in the hand), or
    `by_piece` down the dimensions of one piece after the other. Scrapped pieces are left out, and
    so is what was skipped on purpose or cannot be measured; what rework has cut again is asked for
    again. With `again` they are the places that have a reading instead.
    """
    part = log.part
    wanted = part.read_after(op)
    if dimensions is not None:
        wanted = tuple(dict.fromkeys(r for d in dimensions for r in part.read_for(d)))
    asks = [
        Ask(
            dimension,
            piece,
            requirement_for(part, dimension, op, piece),
            instrument_for(build, dimension, instrument),
        )
        for dimension in wanted
        for piece in part.pieces
        if (
            log.reading(dimension.id, op, piece) is not None and piece not in log.scrapped
            if again
            else log.waits(dimension, op, piece)
        )
    ]
    return sorted(asks, key=lambda a: (a.piece, a.dimension.number)) if by_piece else asks


@frozen
class ProposedReading:
    """A reading that was typed and not entered yet, with what the entry checks ask about it."""

    ask: Ask
    reading: Reading
    questions: tuple[Question, ...]


class _Step:
    """Something entered in this sitting, so that it can be taken back.

    `ask` is the place of a reading, `before` the reading that it replaced, `behind` the step that
    had entered that one. `also` was entered with it and is taken back with it.
    """

    def __init__(
        self,
        entry: Appended[Any],
        ask: Ask | None = None,
        before: Fact | None = None,
        behind: _Step | None = None,
        also: Sequence[_Step] = (),
    ) -> None:
        self.also = also
        self.entry = entry
        self.ask = ask
        self.before = before
        self.behind = behind


def _begun(
    logbook: Logbook, part: Part, op: int, piece: int, cause: str, note: str, made: str | None
) -> list[_Step]:
    """A new setup entered; no step where it was there."""
    from qlog.intake.bench.decisions import begin_setup

    entry = begin_setup(logbook, part, op, piece, cause, note=note, made=made)
    return [_Step(entry)] if entry.new else []


def _set_from(
    logbook: Logbook, part: Part, op: int, values: Sequence[SetValue], piece: int, made: str | None
) -> tuple[tuple[SetDown, ...], list[_Step]]:
    """What is set from a piece on, entered, and the steps that it took."""
    if not values:
        return (), []
    from qlog.intake.bench.settings import set_down

    done = set_down(logbook, part, op, values, first=piece, made=made)
    return done, [_Step(own, before=before) for one in done for own, before in one.entered]


def _remark(note: str, *, hot: bool) -> str:
    """What is kept with a reading: the note given, and that the piece was still hot."""
    if not hot:
        return note
    from qlog.logbook.own_words import Own

    return "; ".join(word for word in (note, Own.STRAIGHT_OFF) if word)


class Stream:
    """One sitting at the bench: part, operation and instrument stay, place after place is read.

    Every method that enters something answers only after the logbook has committed it. `later`
    are places put off in this sitting; they are asked for again in the next one. `hot` says that
    the pieces come straight off the machine, with no temperature given.
    """

    def __init__(
        self,
        build: Build,
        logbook: Logbook,
        part: Part,
        op: int,
        *,
        instrument: str | None = None,
        by_piece: bool = False,
        dimensions: Sequence[Dimension] | None = None,
        temperature: Decimal | None = None,
        instrument_temperature: Decimal | None = None,
        hot: bool = False,
        made: str | None = None,
        note: str = "",
        again: bool = False,
    ) -> None:
        self.build = build
        self.logbook = logbook
        self.part = part
        self.op = op
        self.made = made
        self.note = note
        self._read_again = again
        self._log = PartLog.read(logbook, part)
        self._instrument = instrument
        self._by_piece = by_piece
        self._dimensions = dimensions
        self._temperatures = (temperature, instrument_temperature)
        self._hot = hot
        self._later: set[tuple[str, int]] = set()
        self._asked_sitting: set[Check] = set()
        self._asked_dimension: dict[str, set[Check]] = {}
        self._asked_piece: dict[int, set[Check]] = {}
        self._confirmed: dict[str, set[int]] = {}
        self._steps: list[_Step | Ask] = []  # what was entered, and places put off
        self._again: Ask | None = None

    def places(self) -> list[Ask]:
        """All places that wait for a reading, those put off as well.

        In a sitting that reads again: those that have a reading of before this sitting.
        """
        asks = empty_places(
            self.build,
            self.log,
            self.op,
            dimensions=self._dimensions,
            instrument=self._instrument,
            by_piece=self._by_piece,
            again=self._read_again,
        )
        if not self._read_again:
            return asks
        taken = {s.ask.place for s in self._steps if isinstance(s, _Step) and s.ask is not None}
        return [ask for ask in asks if ask.place not in taken]

    @property
    def log(self) -> PartLog:
        """What is logged of the part at this moment."""
        self._log.catch_up(self.logbook)
        return self._log

    def place(self, dimension: Dimension, piece: int) -> Ask:
        """One place by name, whether it is empty or not. Raises PlaceError."""
        return Ask(
            dimension,
            piece,
            requirement_for(self.part, dimension, self.op, piece),
            instrument_for(self.build, dimension, self._instrument),
        )

    def next(self) -> Ask | None:
        """The place that is to be read now; None when none is left for this sitting."""
        if self._again is not None:
            return self._again
        return next((a for a in self.places() if a.place not in self._later), None)

    @property
    def repeating(self) -> bool:
        """Whether the place asked for is one that was read already."""
        return self._again is not None

    @property
    def last(self) -> Ask | None:
        """The place of the last reading of this sitting that was not taken back."""
        entered = (s.ask for s in reversed(self._steps) if isinstance(s, _Step))
        return next((ask for ask in entered if ask is not None), None)

    def propose(self, ask: Ask, text: str) -> ProposedReading:
        """Read what was typed for a place, and check it. Raises ReadingError when it is none."""
        value = typed_value(ask.callout, ask.instrument, text)
        warm, tool = (None, None) if ask.callout.attribute else self._temperatures
        reading = make_reading(
            self.part, self.op, ask.dimension, ask.piece, value, text=text,
            instrument=ask.instrument, temperature=warm, instrument_temperature=tool,
            note=_remark(self.note, hot=self._hot and not ask.callout.attribute),
        )  # fmt: skip
        known = BatchSoFar(self.build, self.log)
        questions = known.questions(
            reading,
            value if isinstance(value, Typed) else Decimal(0),
            asked=self._asked_sitting
            | self._asked_dimension.get(ask.dimension.id, set())
            | self._asked_piece.get(ask.piece, set()),
            confirmed=self._confirmed.get(ask.dimension.id, set())
            | ({ask.piece} if self.repeating else set()),
            hot=self._hot,
        )
        return ProposedReading(ask, reading, questions)

    def about(self, proposed: ProposedReading, question: Question) -> int:
        """The piece that a question is about."""
        if question.piece is None:
            return proposed.ask.piece
        known = BatchSoFar(self.build, self.log)
        return known.batch_pieces(proposed.reading)[question.piece]

    def answered(self, proposed: ProposedReading, question: Question) -> None:
        """Remember that a question was answered, so that it is not put again in this sitting."""
        ask = proposed.ask
        if question.check is Check.BURR:
            piece = self.about(proposed, question)
            self._confirmed.setdefault(ask.dimension.id, set()).add(piece)
        elif question.check is Check.OPEN:  # the same for the next piece: said once is enough
            self._asked_sitting.add(question.check)
        elif question.scope is Scope.DIMENSION:
            self._asked_dimension.setdefault(ask.dimension.id, set()).add(question.check)
        elif question.scope is Scope.PIECE:
            self._asked_piece.setdefault(ask.piece, set()).add(question.check)

    def enter(self, proposed: ProposedReading) -> Appended[Reading]:
        """Enter a reading.

        One that is taken again replaces the earlier one by the same instrument, and one after
        rework all that were there; one by another instrument stands beside them. All stay.
        """
        place = (proposed.ask.dimension.id, self.op)
        there = self.log.places.get(place, {}).get(proposed.ask.piece, ())
        if there and place in self.log.to_read_again(proposed.ask.piece):
            return self._replace(proposed, there, reworked=True)
        if self.repeating or self._read_again:
            mine = [e for e in there if e.fact.instrument == proposed.reading.instrument]
            if mine:
                return self._replace(proposed, mine[-1:], reworked=False)
        self._again = None
        entry = self._append(proposed.reading, proposed.ask)
        self._later.discard(proposed.ask.place)
        return entry

    def _replace(
        self, proposed: ProposedReading, there: Sequence[Entry[Reading]], *, reworked: bool
    ) -> Appended[Reading]:
        """Enter a reading in place of those there, the newest of which an undo brings back.

        Not so after rework: what was read before it says nothing of the piece any more.
        """
        from qlog.logbook.own_words import Own

        why = Own.AFTER_REWORK if reworked else Own.READ_AGAIN
        ask, old = proposed.ask, there[-1]
        with self.logbook.together():
            for other in there[:-1]:
                self.logbook.withdraw(other.id, why)
            entry = self.logbook.append(
                proposed.reading, made=self.made, supersedes=old.id, reason=why
            )
        entered = (s for s in self._steps if isinstance(s, _Step))
        behind = next((s for s in entered if s.entry.id == old.id), None)
        self._steps.append(_Step(entry, ask, None if reworked else old.fact, behind))
        self._again = None
        return entry

    def repeat(self, piece: int | None = None) -> Ask:
        """Ask once more for the last reading, or for that of another piece in the same dimension.

        Raises ReadingError when nothing was read in this sitting.
        """
        last = self.last
        if last is None:
            raise ReadingError(ToSay("error.nothing_read_sitting"))
        self._again = last if piece is None else replace(last, piece=piece)
        return self._again

    def read_again(self, ask: Ask) -> None:
        """Ask once more for a place that was read in this sitting or in an earlier one."""
        self._again = ask

    def put_off(self, ask: Ask) -> None:
        """Not yet: leave a place for the next sitting. A repeat is given up."""
        if self.repeating:
            self._again = None
        else:
            self._later.add(ask.place)
            self._steps.append(ask)

    def skip(self, ask: Ask, kind: str, why: str = "") -> Appended[Gap]:
        """Leave a place empty for good: `skipped` on purpose, or it `cannot` be measured."""
        if self.repeating:
            raise ReadingError(ToSay("error.place_reading_takes"))
        return self._append(Gap(self.part.id, self.op, ask.dimension.id, ask.piece, kind, why))

    def scrap(self, piece: int, why: str) -> Appended[Disposition]:
        """Scrap a piece. Raises Problem without a reason, or when it sits in an item."""
        from qlog.intake.bench.decisions import dispose

        entry = dispose(self.logbook, self.part, piece, "scrap", why, op=self.op, made=self.made)
        self._steps.append(_Step(entry))
        self._again = None
        return entry

    def remark(self, text: str, piece: int | None) -> Appended[Note]:
        """Keep a note with the operation and a piece. Raises Problem when it is empty."""
        from qlog.intake.bench.decisions import remark

        entry = remark(self.logbook, self.part, text, op=self.op, piece=piece, made=self.made)
        self._steps.append(_Step(entry))
        return entry

    def new_setup(
        self, piece: int, cause: str, note: str = "", values: Sequence[SetValue] = ()
    ) -> tuple[SetDown, ...]:
        """The tool was touched: a new setup begins with this piece, and `values` are set from it.

        Answers what was set down.
        """
        own = self.logbook, self.part, self.op
        with self.logbook.together():
            steps = _begun(*own, piece, cause, note, self.made)
            done, more = _set_from(*own, values, piece, self.made)
        if steps := [*steps, *more]:
            steps[0].also = steps[1:]
            self._steps.append(steps[0])
        return done

    def undo(self) -> Fact | Ask | None:
        """Take back the last thing done in this sitting; None when there is none.

        A place put off, or asked for again, is answered: it is asked for as before. A reading
        taken again gives way to the one before it; everything else is withdrawn. The logbook
        keeps both, with the reason.
        """
        if self._again is not None:
            again, self._again = self._again, None
            return again
        if not self._steps:
            return None
        step = self._steps.pop()
        if isinstance(step, Ask):
            self._later.discard(step.place)
            return step
        from qlog.intake.bench.take_back import undo_entry

        with self.logbook.together():
            for other in step.also:
                undo_entry(self.logbook, other.entry.id, other.before)
            restored = undo_entry(self.logbook, step.entry.id, step.before)
        if restored is not None and step.behind is not None:
            step.behind.entry = restored  # what is back in force is what the next undo takes back
        fact: Fact = step.entry.fact
        return fact

    def _append(self, fact: F, ask: Ask | None = None) -> Appended[F]:
        beside = isinstance(fact, Reading)
        entry = self.logbook.append(fact, made=self.made, beside=beside)
        if entry.new:
            self._steps.append(_Step(entry, ask))
        return entry

    def other_day(self) -> date | None:
        """The day of this operation's last reading, when it was another than that of this sitting.

        None also when nothing was read yet, when the next piece begins a setup anyway, and when
        pieces from there on were read already: then they were made before, and only their
        readings are late.
        """
        readings = [e for e in self.log.readings if e.fact.op == self.op]
        following = self.next()
        if not readings or following is None:
            return None
        today = datetime.fromisoformat(self.made) if self.made else datetime.now().astimezone()
        day = max(datetime.fromisoformat(e.made) for e in readings).astimezone(today.tzinfo).date()
        setup = self.log.setup(self.op, following.piece)
        if day >= today.date() or setup.first_piece == following.piece:
            return None
        return None if any(e.fact.piece >= following.piece for e in readings) else day
