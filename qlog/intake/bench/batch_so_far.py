"""What is known of one part's batch while readings come in, and the entry checks put to it."""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from qlog.drawing.plan import Build, Dimension, Instrument, Part
from qlog.drawing.units import Unit, convert
from qlog.intake.bench.readings import requirement_for
from qlog.logbook.facts import Disposition, Done, Gap, Reading, Setup
from qlog.logbook.store import Logbook

if TYPE_CHECKING:
    from qlog.intake.entry_checks import Check, Earlier, Question
    from qlog.intake.typed.values import Typed

#: Why a reading that was taken once more replaces the first one; both stay in the logbook.
READ_AGAIN = "read again"


class BatchSoFar:
    """A part's readings, gaps, marks and setups, as the logbook has them at this moment.

    `add` tells it of a reading that is about to be entered, so that a file can be checked as a
    whole before anything is written.
    """

    def __init__(self, build: Build, logbook: Logbook, part: Part) -> None:
        self.build = build
        self.part = part
        self._readings: dict[tuple[str, int, int], Reading] = {}
        self._again: set[tuple[str, int, int]] = set()
        for entry in logbook.live(Reading, part=part.id):
            place = (entry.fact.dimension, entry.fact.op, entry.fact.piece)
            self._readings[place] = entry.fact
            if entry.supersedes is not None:
                self._again.add(place)
        self._gaps = {
            (e.fact.dimension, e.fact.op, e.fact.piece) for e in logbook.live(Gap, part=part.id)
        }
        self._done = {(e.fact.op, e.fact.piece) for e in logbook.live(Done, part=part.id)}
        self._setups = [(e.fact.op, e.fact.piece) for e in logbook.live(Setup, part=part.id)]
        self._dead = {
            e.fact.piece
            for e in logbook.live(Disposition, part=part.id)
            if e.fact.decision == "scrap"
        }

    def add(self, reading: Reading) -> None:
        """Take a reading as entered."""
        self._readings[reading.dimension, reading.op, reading.piece] = reading

    def setup(self, op: int, piece: int) -> range:
        """The pieces of the setup of `op` that a piece was made in."""
        begun = sorted({first for at, first in self._setups if at == op} | {1})
        start = max((first for first in begun if first <= piece), default=1)
        end = min((first for first in begun if first > piece), default=self.part.pieces[-1] + 1)
        return range(start, max(end, piece + 1))

    def open_ops(self, op: int, piece: int) -> tuple[int, ...]:
        """Operations before `op` that the piece gets and has not had."""
        return tuple(
            o.number
            for o in self.part.operations
            if o.number < op
            and self.part.takes(o.number, piece)
            and (o.number, piece) not in self._done
        )

    def sealed_by(self, dimension: Dimension, op: int, piece: int) -> int | None:
        """An operation that the piece has had and that puts the dimension out of reach."""
        sealing = self.part.sealed_by(dimension, piece)
        if sealing is None or op >= sealing or (sealing, piece) not in self._done:
            return None
        return sealing

    def questions(
        self,
        reading: Reading,
        value: Typed | Decimal,
        *,
        asked: Collection[Check] = (),
        confirmed: Collection[int] = (),
        hot: bool = False,
    ) -> tuple[Question, ...]:
        """What the entry checks ask about a reading that is not entered yet, likeliest first.

        `asked` are the checks already answered for this dimension or piece, besides those that
        earlier readings show to have been; `confirmed` are pieces whose reading stands although
        it is far from the rest; `hot` says that the piece comes straight off the machine.
        `Question.piece` is given back as a place in `batch_pieces`.
        """
        from qlog.intake.entry_checks import Context, Other, examine

        part, op = self.part, reading.op
        dimension = part.dimension(reading.dimension)
        callout = requirement_for(part, dimension, op)
        if callout.attribute:
            value = Decimal(0)
        batch = self.batch_pieces(reading)
        stands = {
            p for p in batch
            if p in confirmed or (dimension.id, op, p) in self._again
        }  # fmt: skip
        material = None if part.material is None else self.build.material(part.material)
        context = Context(
            callout=callout,
            name=dimension.name,
            op=op,
            measures=dimension.measures,
            instrument=self._instrument(reading),
            batch=tuple(v for p in batch if (v := self._value(dimension, op, p)) is not None),
            last=self._completes(dimension, op, reading.piece),
            confirmed=frozenset(
                {i for i, p in enumerate(batch) if p in stands}
                | ({len(batch)} if reading.piece in confirmed else set())
            ),
            others=tuple(
                Other(d.name, d.requirement_at(op).callout.limits)  # type: ignore[union-attr]
                for d in part.read_after(op)
                if d is not dimension and not requirement_for(part, d, op).attribute
            ),
            earlier=self._earlier(dimension, op, reading.piece),
            temperature=None if reading.temperature is None else Decimal(reading.temperature),
            expansion=None if material is None else material.expansion,
            hot=hot,
            open_ops=self.open_ops(op, reading.piece),
            sealed_by=self.sealed_by(dimension, op, reading.piece),
            asked=frozenset(asked) | self._asked(reading),
        )
        return examine(value, context)

    def batch_pieces(self, reading: Reading) -> tuple[int, ...]:
        """The other pieces of the setup that have a number in the same place, as they were made."""
        dimension = self.part.dimension(reading.dimension)
        return tuple(
            p
            for p in self.setup(reading.op, reading.piece)
            if p != reading.piece and self._value(dimension, reading.op, p) is not None
        )

    def _instrument(self, reading: Reading) -> Instrument | None:
        return next((i for i in self.build.instruments if i.id == reading.instrument), None)

    def _value(self, dimension: Dimension, op: int, piece: int) -> Decimal | None:
        """A logged number in the unit of today's callout; None without one in that kind of unit."""
        reading = self._readings.get((dimension.id, op, piece))
        if reading is None:
            return None
        try:
            value, unit = Decimal(reading.value), Unit(reading.unit)
            return convert(value, unit, dimension.callout.unit)
        except (InvalidOperation, ValueError):
            return None

    def _completes(self, dimension: Dimension, op: int, piece: int) -> bool:
        """Whether a reading of that piece leaves no place of its setup empty."""
        return all(
            p == piece
            or p in self._dead
            or not self.part.takes(op, p)
            or (dimension.id, op, p) in self._readings
            or (dimension.id, op, p) in self._gaps
            for p in self.setup(op, piece)
        )

    def _earlier(self, dimension: Dimension, op: int, piece: int) -> tuple[Earlier, ...]:
        from qlog.intake.entry_checks import Earlier

        found: list[Earlier] = []
        for operation in self.part.operations:
            at = operation.number
            value = self._value(dimension, at, piece) if at < op else None
            if value is None:
                continue
            used = self._instrument(self._readings[dimension.id, at, piece])
            error = None if used is None else used.error
            if error is not None and used is not None:
                try:
                    error = convert(error, used.unit, dimension.callout.unit)
                except ValueError:  # a length instrument named for an angle
                    error = None
            since = tuple(
                o.kind
                for o in self.part.operations
                if at < o.number <= op and self.part.takes(o.number, piece)
            )
            found.append(Earlier(at, value, since, error))
        return tuple(found)

    def _asked(self, reading: Reading) -> set[Check]:
        """What was asked about before, as the readings that are there show.

        What is asked once for a dimension was asked with its first reading by that instrument (at
        that temperature); what is asked once for a piece, with its first reading after the
        operation.
        """
        from qlog.intake.entry_checks import Check

        found: set[Check] = set()
        for (name, op, piece), known in self._readings.items():
            if op != reading.op:
                continue
            if name == reading.dimension and known.instrument == reading.instrument:
                found |= {Check.COARSE, Check.JAWS}
                if known.temperature == reading.temperature is not None:
                    found.add(Check.WARM)
            if piece == reading.piece:
                found.add(Check.OPEN)
                if name == reading.dimension:
                    found.add(Check.SEALED)
        return found
