"""What is known of one part's batch while readings come in, and the entry checks put to it."""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.limits import Limits
from qlog.drawing.plan import Build, Dimension, Instrument
from qlog.drawing.units import convert
from qlog.frozen import replace
from qlog.intake.bench.readings import requirement_for
from qlog.logbook.facts import Entry, Reading
from qlog.logbook.measured import measured
from qlog.logbook.part_log import PartLog

if TYPE_CHECKING:
    from qlog.intake.entry_checks import Check, EarlierReading, Other, Question
    from qlog.intake.typed.parse import Typed


class BatchSoFar:
    """The entry checks put to a reading, against what is logged of its part."""

    def __init__(self, build: Build, log: PartLog) -> None:
        self.build = build
        self.log = log
        self.part = log.part
        self._instruments = {i.id: i for i in build.instruments}
        self._read_after: dict[int, list[tuple[Dimension, Other]]] = {}
        #: Whether a number has a digit that its instrument's display does not show.
        self._finer: dict[tuple[str, str, str | None], bool] = {}

    def add(self, reading: Reading) -> None:
        """Take a reading as entered, so that a file is checked whole before it is written."""
        self.log.expect(reading)

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
        from qlog.intake.entry_checks import Context, examine

        part, op = self.part, reading.op
        dimension = part.dimension(reading.dimension)
        callout = requirement_for(part, dimension, op, reading.piece)
        if callout.attribute:
            value = Decimal(0)
        if callout.raw and callout.nominal:  # a tenth about the size named: for slips alone
            about = callout.nominal / 10
            near = Limits(callout.nominal - about, callout.nominal + about, callout.unit)
            callout = replace(callout, limits=near)
        there = self._there(reading)
        stands = {
            place for place, (p, read, _) in enumerate(there)
            if p in confirmed or read.supersedes is not None  # read again
        }  # fmt: skip
        if reading.piece in confirmed:
            stands.add(len(there))
        material = None if part.material is None else self.build.material(part.material)
        context = Context(
            callout=callout,
            name=dimension.name,
            op=op,
            measures=dimension.measures,
            instrument=self._instrument(reading),
            batch=tuple([size for *_, size in there]),
            last=self._completes(dimension, op, reading.piece),
            confirmed=frozenset(stands),
            others=self._others(dimension, op, reading.piece),
            earlier=self._earlier(dimension, op, reading.piece),
            temperature=_decimal(reading.temperature),
            instrument_temperature=_decimal(reading.instrument_temperature),
            expansion=None if material is None else material.expansion,
            hot=hot,
            open_ops=self.log.open_ops(op, reading.piece),
            sealed_by=self.log.sealed_by(dimension, op, reading.piece),
            asked=frozenset(asked),
        )
        found = examine(value, context)
        return tuple([question for question in found if not self._asked(question.check, reading)])

    def _others(self, dimension: Dimension, op: int, piece: int) -> tuple[Other, ...]:
        """The other dimensions that are read then, by their limits of now."""
        from qlog.intake.entry_checks import Other

        if op not in self._read_after:
            self._read_after[op] = [
                (d, Other(d.name, found.callout.limits))
                for d in self.part.read_after(op)
                if (found := d.requirement_at(op)) is not None
            ]
        return tuple(
            [
                other
                for d, other in self._read_after[op]
                if d is not dimension and not requirement_for(self.part, d, op, piece).attribute
            ]
        )

    def batch_pieces(self, reading: Reading) -> tuple[int, ...]:
        """The other pieces of the setup that have a number in the same place, as they were made."""
        return tuple([p for p, *_ in self._there(reading)])

    def _there(self, reading: Reading) -> list[tuple[int, Entry[Reading], Decimal]]:
        """Those pieces with their readings, and the numbers in the unit of today's callout."""
        dimension, op = self.part.dimension(reading.dimension), reading.op
        pieces = self.log.setup(op, reading.piece).pieces
        sizes = self.log.sizes(dimension.id, op, pieces, dimension.callout.unit)
        return [one for one in sizes if one[0] != reading.piece]

    def _instrument(self, reading: Reading) -> Instrument | None:
        return self._instruments.get(reading.instrument or "")

    def _completes(self, dimension: Dimension, op: int, piece: int) -> bool:
        """Whether a reading of that piece leaves no place of its setup empty."""
        return not any(  # the last ones are still to be read, so these are asked first
            p != piece and self.log.waits(dimension, op, p)
            for p in reversed(self.log.setup(op, piece).pieces)
        )

    def _earlier(self, dimension: Dimension, op: int, piece: int) -> tuple[EarlierReading, ...]:
        from qlog.intake.entry_checks import EarlierReading

        found: list[EarlierReading] = []
        for operation in self.part.operations:
            at = operation.number
            entry = self.log.reading(dimension.id, at, piece) if at < op else None
            if entry is None:
                continue
            value = measured(entry.fact).to(dimension.callout.unit)
            if value is None:
                continue
            used = self._instrument(entry.fact)
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
            found.append(EarlierReading(at, value, since, error))
        return tuple(found)

    def _asked(self, check: Check, reading: Reading) -> bool:
        """Whether something was asked about before, as the readings that are there show.

        What is asked once for a dimension was asked with its first reading by that instrument (at
        that temperature); what is asked once for a piece, with its first reading after the
        operation.
        """
        from qlog.intake.entry_checks import Check

        op, piece, places = reading.op, reading.piece, self.log.places
        same = places.get((reading.dimension, op), {})
        if check is Check.SEALED:
            return piece in same
        if check is Check.OPEN:
            return any(piece in at for (_, after), at in places.items() if after == op)
        alike = (
            entry.fact
            for entries in same.values()
            for entry in entries
            if entry.fact.instrument == reading.instrument
        )
        if check in (Check.COARSE, Check.JAWS):
            return any(True for _ in alike)
        if check is Check.WARM:
            return any(known.temperature == reading.temperature is not None for known in alike)
        return check is Check.STEP and any(self._between_steps(known) for known in alike)

    def _between_steps(self, reading: Reading) -> bool:
        """Whether a logged reading has a digit that its instrument's display does not show."""
        key = (reading.value, reading.unit, reading.instrument)
        found = self._finer.get(key)
        if found is None:
            used = self._instrument(reading)
            found = self._finer[key] = bool(
                used and used.step and reading.unit == used.unit.value
                and Decimal(reading.value) % used.step != 0
            )  # fmt: skip
        return found


def _decimal(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
