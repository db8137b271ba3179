"""Entries without a home: what they name is not in the plan, or not any more.

Nothing logged is invisible: what no series, piece, item or instrument shows is listed here.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.logbook import facts
from qlog.logbook.build_log import BuildLog
from qlog.logbook.facts import Entry, Fact


class Gone(StrEnum):
    """What the plan has not."""

    PART = "part"
    OPERATION = "operation"
    DIMENSION = "dimension"
    PIECE = "piece"
    ITEM = "item"
    STACK = "stack"
    INSTRUMENT = "instrument"


@frozen
class Homeless:
    """Entries that name one thing which the plan has not, in order of entry."""

    gone: Gone
    part: str  # "" where it belongs to none: an item, a stack, an instrument
    op: int | None
    name: str  # of what is gone: "bore", "30", "cup", "tall-3"
    entries: tuple[Entry[Any], ...]

    @property
    def readings(self) -> tuple[Entry[facts.Reading], ...]:
        """The readings among them."""
        return tuple(e for e in self.entries if isinstance(e.fact, facts.Reading))


def homeless(build: Build, log: BuildLog) -> tuple[Homeless, ...]:
    """Live entries that name what the plan has not, by what that is."""
    home = _Plan(build, log)
    found: dict[tuple[Gone, str, int | None, str], list[Entry[Any]]] = {}
    for kind in facts.NAMES_THE_PLAN:
        known: dict[tuple[object, ...], tuple[Gone, str, int | None, str] | None] = {}
        for entry in log.live(kind):
            names = home.named_by(entry.fact)
            if names not in known:
                known[names] = home.lacks(entry.fact)
            lacking = known[names]
            if lacking is not None:
                found.setdefault(lacking, []).append(entry)
    return tuple(
        Homeless(gone, part, op, name, tuple(sorted(entries, key=lambda e: e.id)))
        for (gone, part, op, name), entries in sorted(
            found.items(), key=lambda pair: (pair[0][0], pair[0][1], pair[0][2] or 0, pair[0][3])
        )
    )


class _Plan:
    """The names that a plan has."""

    _NAMES = ("part", "op", "dimension", "piece", "item", "stack", "instrument")

    def __init__(self, build: Build, log: BuildLog) -> None:
        self._log = log
        self._parts = {p.id: p for p in build.parts}
        self._pieces: dict[str, frozenset[int]] = {}
        self._ops = {p.id: frozenset(o.number for o in p.operations) for p in build.parts}
        self._dimensions = {p.id: {d.id: d for d in p.dimensions} for p in build.parts}
        self._items = frozenset(id for id, _, _ in build.items)
        self._stacks = frozenset(s.id for s in build.stacks)
        self._instruments = frozenset(i.id for i in build.instruments)

    def named_by(self, fact: Fact) -> tuple[object, ...]:
        """What a fact names, as far as that decides whether it has a home."""
        if isinstance(fact, facts.Reading):  # its piece has a home as soon as it was read
            return fact.part, fact.op, fact.dimension
        return tuple(getattr(fact, name, None) for name in self._NAMES)

    def lacks(self, fact: Fact) -> tuple[Gone, str, int | None, str] | None:
        """What the plan has not of the things that a fact names; None when it has them all."""
        part, op = getattr(fact, "part", None), getattr(fact, "op", None)
        if isinstance(fact, facts.Assembly) and part not in self._ops:  # an item within an item
            names = (fact.item, f"{part}-{fact.piece}")
            gone = next((name for name in names if name not in self._items), None)
            return None if gone is None else (Gone.ITEM, "", None, gone)
        if part is not None:
            if part not in self._ops:
                return Gone.PART, part, None, part
            if op is not None and op not in self._ops[part]:
                return Gone.OPERATION, part, op, str(op)
            dimension = getattr(fact, "dimension", None)
            if dimension is not None and dimension not in self._dimensions[part]:
                return Gone.DIMENSION, part, op, dimension
            if isinstance(fact, facts.Gap) and not self._asked(fact):
                return Gone.DIMENSION, part, op, fact.dimension
            piece = getattr(fact, "piece", None)
            if piece is not None and piece < 0:  # an earlier making: the piece's history shows it
                return None
            if isinstance(fact, facts.Note | facts.Placement) and not self._has(part, piece):
                return Gone.PIECE, part, None, f"{part}-{piece}"
        item = getattr(fact, "item", None)
        if item and item not in self._items:
            return Gone.ITEM, "", None, item
        if isinstance(fact, facts.ItemSize) and fact.stack not in self._stacks:
            return Gone.STACK, "", None, fact.stack
        if (
            isinstance(fact, facts.GaugeCheck | facts.Trial)
            and fact.instrument not in self._instruments
        ):
            return Gone.INSTRUMENT, "", None, fact.instrument
        return None

    def _has(self, part: str, piece: int | None) -> bool:
        """Whether a piece is planned; any other is known once something was done or read on it."""
        if piece is None or piece in self._parts[part].pieces:
            return True
        if part not in self._pieces:
            self._pieces[part] = frozenset(self._log.part(self._parts[part]).pieces)
        return piece in self._pieces[part]

    def _asked(self, gap: facts.Gap) -> bool:
        """Whether the place of a gap is shown: it is one that is to be read."""
        wanted = self._dimensions[gap.part][gap.dimension].requirements
        return any(r.op == gap.op for r in wanted)


def hanging(old: Build, new: Build, log: BuildLog) -> tuple[Homeless, ...]:
    """What would lose its home when the plan becomes the new one."""
    known = {(h.gone, h.part, h.op, h.name) for h in homeless(old, log)}
    return tuple(h for h in homeless(new, log) if (h.gone, h.part, h.op, h.name) not in known)
