"""One line of a dimension's table: a piece and its reading, or why there is none."""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.decimals import as_typed
from qlog.frozen import frozen
from qlog.record.charts.chart import Shape
from qlog.record.pages.verdict_marks import shape_of
from qlog.review.instrument.judging import ends_at_zero
from qlog.review.part.batch import SeriesView
from qlog.review.views import PieceView, ReadingView, SlotView, Standing
from qlog.study.conformity.verdict import Judgement
from qlog.words.catalogue import Words
from qlog.words.entries import own_text
from qlog.words.values import (
    decimals_of,
    difference,
    fixed,
    places,
    raws_text,
    value_text,
    verdict_name,
    verdict_word,
    with_unit,
)


@frozen
class RowPiece:
    """A piece as far as the line of its reading says it."""

    number: int
    anchor: str
    name: str
    gone: bool  # it was scrapped


def row_piece(piece: PieceView) -> RowPiece:
    """What the line of a piece says of it."""
    return RowPiece(piece.number, piece.anchor, piece.name, piece.standing is Standing.SCRAP)


@frozen
class Row:
    """One line of a dimension's table: a piece and its reading, or why there is none."""

    anchor: str
    number: int
    name: str
    gone: bool  # the piece was scrapped
    slot_word: str
    why: str
    reading: ReadingView | None
    value: str
    beyond: str  # how far over a limit, empty when it is not
    away: str  # from the middle of the tolerance, or from the only limit
    uncertainty: str
    chance: str  # chance that the true size is in (JCGM 106); empty without an uncertainty
    word: str
    shape: Shape | None
    instrument: str
    setup: int
    outlier: bool
    remarks: str


def row_of(
    slot: SlotView,
    series: SeriesView,
    piece: RowPiece,
    words: Words,
    *,
    named: bool,
    apart: bool,
) -> Row:
    """The line of one place of the series; where `named`, with who entered the reading."""
    reading = slot.reading
    finest = places(series.limits, series.instrument)
    if reading is not None:
        finest = max(finest, reading.places)
    symbol = series.limits.unit.symbol
    value = beyond = away = uncertainty = word = chance = ""
    shape = None
    if reading is not None:
        value = value_text(words, series, reading)
        word, shape = verdict_word(words, reading), shape_of(reading)
        judged = reading.judgement
        if judged is not None and judged.beyond:
            text = _away(judged.beyond, finest)
            beyond = words("row.beyond", amount=with_unit(words.number(text), symbol))
        if judged is not None:
            away = _from(judged, to_limit(series), finest, words, symbol)
        if reading.expanded is not None:
            text = words.number(fixed(reading.expanded, finest + 1), symbol)
            uncertainty = words("row.uncertainty", amount=text)
        if judged is not None and judged.conformance_probability is not None:
            chance = _chance(judged.conformance_probability, words)
    return Row(
        anchor=piece.anchor,
        number=piece.number,
        name=piece.name,
        gone=piece.gone,
        slot_word=words(f"slot.{slot.slot.name.lower()}"),
        why=slot.why,
        reading=reading,
        value=value,
        beyond=beyond,
        away=away,
        uncertainty=uncertainty,
        chance=chance,
        word=word,
        shape=shape,
        instrument=_instruments(reading),
        setup=reading.setup if reading is not None else 0,
        outlier=apart,
        remarks=_remarks(reading, series, words, named=named, apart=apart),
    )


def to_limit(series: SeriesView) -> bool:
    """Whether there is one limit to keep away from, and no middle to come close to."""
    limits = series.limits
    one = (limits.lower is None) != (limits.upper is None)
    return one or ends_at_zero(series.callout.kind, limits.lower)


def _from(judged: Judgement, limit: bool, finest: int, words: Words, symbol: str) -> str:
    """How far from the only limit, below 0 outside; else from the middle, with its sign."""
    amount = judged.room if limit else judged.deviation_from_middle
    if amount is None:
        return ""
    sign = "+" if amount > 0 and not limit else ""
    return words.number(f"{sign}{_away(amount, finest)}", symbol)


def _away(amount: Decimal, finest: int) -> str:
    """A distance from a limit or the middle, with as many places as the bench says it with."""
    shown = difference(amount, finest)
    return fixed(shown, max(finest, decimals_of(shown)))


def _instruments(reading: ReadingView | None) -> str:
    """What it was read with, or what was read for it."""
    if reading is None:
        return ""
    if not reading.raws:
        return reading.instrument or ""
    return ", ".join(dict.fromkeys(r.instrument for r in reading.raws if r.instrument))


def _chance(chance: float, words: Words) -> str:
    """A chance in percent that is never rounded to certainty."""
    if chance > 0.999:
        return words("row.chance_above")
    if chance < 0.001:
        return words("row.chance_below")
    return words("fact.percent", value=words.number(fixed(100 * chance, 1)))


def _remarks(
    reading: ReadingView | None,
    series: SeriesView,
    words: Words,
    *,
    named: bool,
    apart: bool,
) -> str:
    said = []
    if reading is not None:
        if reading.raws:
            said.append(words("row.computed", raws=raws_text(reading, words)))
        if reading.corrections:
            said.append(words("row.corrected"))
        if reading.suspect:
            said.append(words("row.suspect"))
        if reading.unguarded:
            said.append(words("row.uncertainty_unknown"))
        for other in reading.beside:
            said.append(
                words(
                    "row.beside",
                    value=as_typed(other.typed),
                    instrument=other.instrument or words("row.no_instrument"),
                    word=verdict_word(words, other),
                )
            )
        if reading.raw is not None:
            raw = fixed(reading.raw, reading.places - 1)
            said.append(words("row.raw", value=words.number(raw, series.limits.unit.symbol)))
        if reading.today is not None:
            said.append(words("row.today", verdict=verdict_name(words, reading.today)))
        if apart:
            said.append(words("row.outlier"))
        if reading.note:
            said.append(own_text(reading.note, words))
        if named and reading.person:
            said.append(words("row.person", who=reading.person))
    return ". ".join(said)


def signed(value: Decimal, decimals: int) -> str:
    """A number with its sign, zero without one."""
    text = fixed(value, decimals)
    return text if text.startswith("-") or not float(text) else f"+{text}"
