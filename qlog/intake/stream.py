"""The stream: the empty places of one operation, one after the other, until all are read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from qlog.drawing.callout import Callout
from qlog.drawing.plan import Build, Dimension, Instrument, Part
from qlog.intake.readings import (
    instrument_for,
    make_reading,
    requirement_for,
    typed_value,
    unit_of_entry,
)
from qlog.intake.route import scrapped
from qlog.logbook.facts import Gap, Reading
from qlog.logbook.store import Appended, Logbook


@dataclass(frozen=True, slots=True)
class Ask:
    """The next empty place: what is to be read on which piece, and with what."""

    dimension: Dimension
    piece: int
    callout: Callout
    instrument: Instrument | None

    @property
    def unit(self) -> str:
        """Unit in which a bare number is taken."""
        return "" if self.callout.counted else unit_of_entry(self.callout, self.instrument).symbol


def empty_places(
    build: Build,
    logbook: Logbook,
    part: Part,
    op: int,
    *,
    dimensions: Sequence[Dimension] | None = None,
    instrument: str | None = None,
    by_piece: bool = False,
) -> list[Ask]:
    """The places that wait for a reading after `op`, in the order in which they are asked for.

    Down the pieces for one dimension after the other (one instrument stays in the hand), or
    `by_piece` down the dimensions of one piece after the other. Scrapped pieces are left out, and
    so is what was skipped on purpose or cannot be measured.
    """
    dead = scrapped(logbook, part)
    filled = {(e.fact.dimension, e.fact.piece) for e in logbook.live(Reading, part=part.id, op=op)}
    filled |= {(e.fact.dimension, e.fact.piece) for e in logbook.live(Gap, part=part.id, op=op)}
    wanted = part.read_after(op) if dimensions is None else tuple(dimensions)
    asks = [
        Ask(
            dimension,
            piece,
            requirement_for(part, dimension, op),
            instrument_for(build, dimension, instrument),
        )
        for dimension in wanted
        for piece in part.pieces
        if piece not in dead and part.takes(op, piece) and (dimension.id, piece) not in filled
    ]
    return sorted(asks, key=lambda a: (a.piece, a.dimension.number)) if by_piece else asks


def answer(
    logbook: Logbook, part: Part, op: int, ask: Ask, text: str, *, made: str | None = None
) -> Appended[Reading]:
    """Enter what was typed for a place. Raises ReadingError when it is no reading."""
    typed = typed_value(ask.callout, ask.instrument, text)
    reading = make_reading(
        part, op, ask.dimension, ask.piece, typed, text=text, instrument=ask.instrument
    )
    return logbook.append(reading, made=made)
