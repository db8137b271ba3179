"""One part's entries, read once: setups, scrapped pieces, operations done, readings, gaps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from qlog.drawing.plan import Dimension, Part
from qlog.drawing.units import Unit
from qlog.frozen import frozen
from qlog.logbook.facts import (
    Assembly,
    Disposition,
    Done,
    Entry,
    Fact,
    Gap,
    Note,
    Reading,
    Remade,
    Setting,
    Setup,
    Shipment,
    Start,
)
from qlog.logbook.measured import measured
from qlog.logbook.store import Logbook

#: The kinds of facts that name a part.
KINDS: tuple[type[Fact], ...] = (
    Reading, Gap, Start, Done, Setup, Disposition, Note, Shipment, Assembly, Remade,
    Setting,
)  # fmt: skip

SCRAP, REWORK, AS_IS = "scrap", "rework", "use as is"


@frozen
class SetupPieces:
    """The pieces made without touching the tool; `number` counts the operation's setups from 1."""

    number: int
    first_piece: int
    last_piece: int
    cause: str
    entry: Entry[Setup] | None  # None for the setup that the batch began with

    @property
    def pieces(self) -> range:
        """Numbers of its pieces."""
        return range(self.first_piece, self.last_piece + 1)


class PartEntries:
    """The live entries of one part, each where it is looked for, and the readings they replaced.

    `catch_up` takes in what was entered since, by this process or another. `expect` takes a
    reading that is about to be entered, so that a file can be checked as a whole before anything
    is written.
    """

    def __init__(self, part: Part, entries: Iterable[Entry[Any]] = (), last: int = 0) -> None:
        """`entries` in order of entry, superseded readings among them; `last` is the logbook's."""
        self.part = part
        self._last = last
        self._expected = 0
        self._live: dict[int, Entry[Any]] = {}
        self._replaced: dict[int, Entry[Reading]] = {}
        for entry in entries:
            if entry.superseded_by is None:
                self._live[entry.id] = entry
            elif isinstance(entry.fact, Reading):
                self._replaced[entry.id] = entry
        self._index()

    def catch_up(self, logbook: Logbook) -> None:
        """Take in what was entered since, by this process or another."""
        since = logbook.since(self._last, KINDS, part=self.part.id)
        self._last = since.last
        gone = [self._live.pop(id) for id in since.superseded if id in self._live]
        self._replaced |= {e.id: e for e in gone if isinstance(e.fact, Reading)}
        new: list[Entry[Any]] = []
        for entry in since.entries:
            if entry.superseded_by is not None:
                if isinstance(entry.fact, Reading):
                    self._replaced[entry.id] = entry
            elif entry.id not in self._live:
                self._live[entry.id] = entry
                new.append(entry)
        if gone or any(isinstance(entry.fact, Remade) for entry in new):
            self._index()
            return
        for entry in new:
            self._put(entry)

    def expect(self, reading: Reading) -> None:
        """Take a reading as entered; it takes the place of the one that is there."""
        self._expected += 1
        entry = Entry(-self._expected, reading, "", "", None, None, "")
        at = self._readings.setdefault((reading.dimension, reading.op), {})
        at[reading.piece] = (entry,)
        self._touch(reading.piece)

    def _index(self) -> None:
        """Put every live entry where it is looked for."""
        self._readings: dict[tuple[str, int], dict[int, tuple[Entry[Reading], ...]]] = {}
        self._gaps: dict[tuple[str, int, int], Entry[Gap]] = {}
        self._done: dict[tuple[int, int], Entry[Done]] = {}
        self._starts: list[Entry[Start]] = []
        self._setups: dict[int, dict[int, Entry[Setup]]] = {}
        self._setups_of: dict[int, tuple[SetupPieces, ...]] = {}
        self._settings: dict[int, list[Entry[Setting]]] = {}
        self._decided: dict[int, list[Entry[Disposition]]] = {}
        self._scrapped: dict[int, int] = {}
        self._notes: list[Entry[Note]] = []
        self._shipments: list[Entry[Shipment]] = []
        self._shipped: dict[int, Entry[Shipment]] = {}
        self._assembly: dict[int, Entry[Assembly]] = {}
        self._remade: dict[int, Entry[Remade]] = {}
        self._earlier: dict[int, list[Entry[Any]]] = {}
        self._touched: set[int] = set()
        #: Whether a dimension was found out after an operation, until another reading comes.
        self._out: dict[tuple[str, int], tuple[Dimension, bool]] = {}
        self._highest = 0
        for entry in self._live.values():
            self._put(entry)

    def _put(self, entry: Entry[Any]) -> None:
        fact = entry.fact
        kind = type(fact)
        if kind is Remade:
            self._remade[fact.piece] = entry
        elif (getattr(fact, "piece", None) or 0) < 0:
            self._earlier.setdefault(fact.piece, []).append(entry)
        elif kind is Reading:
            at = self._readings.setdefault((fact.dimension, fact.op), {})
            at[fact.piece] = (*at.get(fact.piece, ()), entry)
            self._touch(fact.piece)
        elif kind is Done:
            self._done[fact.op, fact.piece] = entry
            self._touch(fact.piece)
        elif kind is Gap:
            self._gaps[fact.dimension, fact.op, fact.piece] = entry
        elif kind is Setup:
            self._setups.setdefault(fact.op, {})[fact.piece] = entry
            self._setups_of.clear()
        elif kind is Setting:
            self._settings.setdefault(fact.op, []).append(entry)
        elif kind is Disposition:
            self._decided.setdefault(fact.piece, []).append(entry)
            if fact.decision == SCRAP:
                self._scrapped.setdefault(fact.piece, fact.op or 0)
        elif kind is Start:
            self._starts.append(entry)
        elif kind is Note:
            self._notes.append(entry)
        elif kind is Shipment:
            self._shipments.append(entry)
            self._shipped[fact.piece] = entry
        elif kind is Assembly:
            self._assembly[fact.piece] = entry

    def _touch(self, piece: int) -> None:
        self._touched.add(piece)
        self._out.clear()
        if piece > self._highest:
            self._highest = piece
            self._setups_of.clear()


class PartLog(PartEntries):
    """What is logged of one part, as it stands: what bench and review ask of its entries."""

    @classmethod
    def read(cls, logbook: Logbook, part: Part) -> PartLog:
        """Read everything logged of a part, one query for each kind."""
        last = logbook.last_entry()
        kinds = logbook.among(KINDS)
        entries = [e for kind in kinds for e in logbook.history(kind, part=part.id)]
        return cls(part, entries, last)

    # Readings ------------------------------------------------------------------------------

    @property
    def readings(self) -> Iterator[Entry[Reading]]:
        """The live readings, place by place."""
        for at in self._readings.values():
            for entries in at.values():
                yield from entries

    @property
    def places(self) -> Mapping[tuple[str, int], Mapping[int, tuple[Entry[Reading], ...]]]:
        """Dimension and operation -> piece -> its live readings, oldest first.

        There is more than one where a second instrument read the same place.
        """
        return self._readings

    def reading(self, dimension: str, op: int, piece: int) -> Entry[Reading] | None:
        """The newest live reading of a place."""
        found = self._readings.get((dimension, op), {}).get(piece)
        return found[-1] if found else None

    def size(self, dimension: str, op: int, piece: int, unit: Unit) -> Decimal | None:
        """The newest number of a place, as read, in that unit; None without one in that kind."""
        entry = self.reading(dimension, op, piece)
        return None if entry is None else measured(entry.fact).to(unit)

    def sizes(
        self, dimension: str, op: int, pieces: Iterable[int], unit: Unit
    ) -> list[tuple[int, Entry[Reading], Decimal]]:
        """What `size` answers for pieces that have such a number, each behind its reading."""
        read = self._readings.get((dimension, op), {})
        found = []
        for piece in pieces:
            if piece in read:
                entry = read[piece][-1]
                if (size := measured(entry.fact).to(unit)) is not None:
                    found.append((piece, entry, size))
        return found

    def replaced(self, entry: Entry[Reading]) -> tuple[Entry[Reading], ...]:
        """The readings that this one replaced, newest first."""
        found: list[Entry[Reading]] = []
        earlier = self._replaced.get(entry.supersedes or 0)
        while earlier is not None:
            found.append(earlier)
            earlier = self._replaced.get(earlier.supersedes or 0)
        return tuple(found)

    def gap(self, dimension: str, op: int, piece: int) -> Entry[Gap] | None:
        """Why a reading will not come."""
        return self._gaps.get((dimension, op, piece))

    @property
    def gaps(self) -> Mapping[tuple[str, int, int], Entry[Gap]]:
        """Dimension, operation and piece -> why there will be no reading."""
        return self._gaps

    def spared(self, dimension: Dimension, op: int, piece: int) -> bool:
        """Whether sampling leaves that place out: `every` asks for nothing there.

        It asks for the first piece of a setup and every so-manieth behind it, and for all of them
        as soon as one reading is outside its limits.
        """
        if dimension.every < 2 or self._found_out(dimension, op):
            return False
        return (piece - self.setup(op, piece).first_piece) % dimension.every != 0

    def _found_out(self, dimension: Dimension, op: int) -> bool:
        """Whether a reading of it is outside its limits as they stand, or no-go."""
        known = self._out.get((dimension.id, op))
        if known is None or known[0] is not dimension:
            read = self._readings.get((dimension.id, op), {})
            out = any(_is_out(dimension, op, p, entries[-1]) for p, entries in read.items())
            known = self._out[dimension.id, op] = dimension, out
        return known[1]

    def waits(self, dimension: Dimension, op: int, piece: int) -> bool:
        """Whether a reading of that place is still to come.

        A scrapped piece is asked for nothing; a reworked one for what was cut again.
        """
        if piece in self.scrapped or not self.part.takes(op, piece):
            return False
        if (dimension.id, op, piece) in self._gaps:
            return False
        if piece not in self._readings.get((dimension.id, op), {}):
            return not self.spared(dimension, op, piece)
        return (dimension.id, op) in self.to_read_again(piece)

    # The route -----------------------------------------------------------------------------

    @property
    def done(self) -> Mapping[tuple[int, int], Entry[Done]]:
        """Operation and piece -> the mark."""
        return self._done

    @property
    def starts(self) -> Sequence[Entry[Start]]:
        """When operations were begun, in order of entry."""
        return self._starts

    def open_ops(self, op: int, piece: int) -> tuple[int, ...]:
        """Operations before `op` that the piece gets and has not had."""
        return tuple(
            o.number
            for o in self.part.operations
            if o.number < op
            and (o.number, piece) not in self._done
            and self.part.takes(o.number, piece)
        )

    def sealed_by(self, dimension: Dimension, op: int, piece: int) -> int | None:
        """An operation that the piece has had and that puts the dimension out of reach."""
        sealing = self.part.sealed_by(dimension, piece)
        if sealing is None or op >= sealing or (sealing, piece) not in self._done:
            return None
        return sealing

    # Setups --------------------------------------------------------------------------------

    def setups(self, op: int) -> tuple[SetupPieces, ...]:
        """The setups of one operation over the batch, in the order of making."""
        found = self._setups_of.get(op)
        if found is not None:
            return found
        begun = self._setups.get(op, {})
        starts: list[tuple[int, Entry[Setup] | None]] = [(p, begun[p]) for p in sorted(begun)]
        if not starts or starts[0][0] > 1:
            starts.insert(0, (1, None))
        ends = [first - 1 for first, _ in starts[1:]]
        ends.append(max(self.part.pieces[-1], self._highest, starts[-1][0]))
        found = tuple(
            SetupPieces(number, first, last, "" if entry is None else entry.fact.cause, entry)
            for number, ((first, entry), last) in enumerate(zip(starts, ends, strict=True), 1)
        )
        self._setups_of[op] = found
        return found

    def setup(self, op: int, piece: int) -> SetupPieces:
        """The setup of an operation that a piece was or will be made in."""
        every = self.setups(op)
        return next((s for s in reversed(every) if s.first_piece <= piece), every[0])

    def settings(self, op: int, piece: int) -> dict[str, Entry[Setting]]:
        """What an operation is set to for a piece, by what it is; what holds no more is left out.

        What was set for an earlier piece holds until it is set anew.
        """
        found: dict[str, Entry[Setting]] = {}
        for entry in sorted(self._settings.get(op, ()), key=lambda e: e.fact.piece):
            if entry.fact.piece <= piece:
                found[entry.fact.what] = entry
        return {what: e for what, e in found.items() if e.fact.value}

    def all_settings(self, op: int) -> Sequence[Entry[Setting]]:
        """All that an operation was ever set to, in order of entry."""
        return self._settings.get(op, ())

    # Pieces --------------------------------------------------------------------------------

    @property
    def pieces(self) -> tuple[int, ...]:
        """Numbers of all pieces: those planned, and any further one that something was done to.

        A remark or a photo alone makes no piece.
        """
        further = (self._touched, self._decided, self._shipped, self._assembly)
        gaps = {piece for _, _, piece in self._gaps}
        return tuple(sorted(gaps.union(self.part.pieces, *further)))

    @property
    def touched(self) -> frozenset[int]:
        """Pieces on which something was done or read."""
        return frozenset(self._touched)

    @property
    def scrapped(self) -> Mapping[int, int]:
        """Scrapped pieces -> the operation at which each was scrapped, 0 when nobody said."""
        return self._scrapped

    @property
    def remade(self) -> Mapping[int, Entry[Remade]]:
        """Pieces that were made anew -> the entry that says so, the newest."""
        return self._remade

    @property
    def earlier(self) -> Mapping[int, Sequence[Entry[Any]]]:
        """What is logged of earlier makings, by their numbers below zero (`renames.making`)."""
        return self._earlier

    def decisions(self, piece: int) -> tuple[Entry[Disposition], ...]:
        """What was decided about a piece, oldest first."""
        return tuple(self._decided.get(piece, ()))

    def to_read_again(self, piece: int) -> frozenset[tuple[str, int]]:
        """Dimension and operation of what rework has cut again and nobody has read since.

        That is what the operation of the rework makes. A rework that names no operation asks for
        nothing: nobody can tell what was cut.
        """
        decided = self._decided.get(piece)
        if not decided or decided[-1].fact.decision != REWORK or piece in self._scrapped:
            return frozenset()
        last = decided[-1]
        op = last.fact.op
        return frozenset(
            (name, at)
            for (name, at), pieces in self._readings.items()
            if at == op
            and piece in pieces
            and all(0 < self._measured_by(e) < last.id for e in pieces[piece])
        )

    def _measured_by(self, entry: Entry[Reading]) -> int:
        """The entry with which a reading was taken: a correction is no new measurement."""
        from qlog.logbook.own_words import Own  # what rework alone asks for

        while entry.reason not in (Own.READ_AGAIN, Own.AFTER_REWORK):
            before = self._replaced.get(entry.supersedes or 0)
            if before is None:
                break
            entry = before
        return entry.id

    def in_rework(self, piece: int) -> bool:
        """Whether a rework stands open: it closes when what was cut again was read again."""
        decided = self._decided.get(piece)
        if not decided or decided[-1].fact.decision != REWORK or piece in self._scrapped:
            return False
        if self.to_read_again(piece):
            return True
        since = decided[-1].id
        return not any(
            self._measured_by(entry) > since or entry.id < 0
            for at in self._readings.values()
            for entry in at.get(piece, ())
        )

    @property
    def away(self) -> frozenset[int]:
        """Pieces that were sent out and are not back."""
        return frozenset(p for p, e in self._shipped.items() if e.fact.direction == "out")

    @property
    def shipments(self) -> Sequence[Entry[Shipment]]:
        """What was sent out and came back, in order of entry."""
        return self._shipments

    @property
    def notes(self) -> Sequence[Entry[Note]]:
        """Remarks, in order of entry."""
        return self._notes

    @property
    def assembly(self) -> Mapping[int, Entry[Assembly]]:
        """Pieces that were built in -> the entry that says into which item."""
        return self._assembly


def _is_out(dimension: Dimension, op: int, piece: int, entry: Entry[Reading]) -> bool:
    says, asked = measured(entry.fact), dimension.asked_of(piece, op)
    if says.passed is False:
        return True
    size = None if asked is None or asked.attribute else says.to(asked.unit)
    return asked is not None and size is not None and not asked.limits.contains(size)
