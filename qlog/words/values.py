"""Values as every page, sheet and screen writes them: numbers, limits, verdicts, readings."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.callouts.callout import FRACTIONS, TITLE_BLOCK
from qlog.drawing.decimals import decimals_of as decimals_of
from qlog.drawing.decimals import places_within, shortened
from qlog.drawing.limits import Limits, without_zero
from qlog.drawing.units import Unit
from qlog.frozen import frozen
from qlog.study.conformity.verdict import Judgement, Verdict, show
from qlog.words.catalogue import Words

if TYPE_CHECKING:
    from qlog.drawing.callouts.callout import Callout
    from qlog.drawing.plan import Instrument
    from qlog.review.items.overall import OverallSize
    from qlog.review.part.series import Series
    from qlog.review.views import ReadingView
    from qlog.study.batch.counts import Sampled

#: Limits of a number that has none.
NO_LIMITS = Limits(None, None, Unit.NONE)
_KEYS = {
    Verdict.GOOD: "verdict.good",
    Verdict.HIGH: "verdict.high",
    Verdict.LOW: "verdict.low",
    Verdict.NOT_PROVEN: "verdict.open",
}


def places(limits: Limits, instrument: Instrument | None) -> int:
    """Decimals to show: as fine as the limits are written or the instrument reads."""
    if instrument is None:
        return places_within(limits, None, None)
    return places_within(limits, instrument.step, instrument.unit)


def fixed(number: Decimal | float, decimals: int) -> str:
    """A number with so many decimals, halves away from zero, never "-0"."""
    exact = number if isinstance(number, Decimal) else Decimal(repr(number))
    return show(exact, NO_LIMITS, decimals)


@frozen
class NumbersIn:
    """Numbers of one unit with so many decimals, as a chart asks for them."""

    words: Words
    symbol: str

    def __call__(self, value: float, decimals: int) -> str:
        """The number alone."""
        return self.words.number(fixed(value, decimals), self.symbol)


def with_unit(text: str, symbol: str) -> str:
    """A number and its unit: a degree sign stands close, any other after a narrow space.

    Inches have no zero before the point (ASME Y14.5), in whatever sentence they stand.
    """
    if not symbol:
        return text
    if symbol == "in":
        text = without_zero(text)
    return f"{text}{symbol}" if symbol == "°" else f"{text}\N{NARROW NO-BREAK SPACE}{symbol}"


def limits_text(words: Words, limits: Limits, decimals: int | None = None) -> str:
    """Limits in words: `8.000 to 8.015 mm`, `0.8 µm at most`."""
    finest = places(limits, None) if decimals is None else decimals

    def number(value: Decimal) -> str:
        shown = show(value, limits, finest)
        return words.number(shown, limits.unit.symbol)

    symbol = limits.unit.symbol
    if limits.lower is not None and limits.upper is not None:
        return with_unit(
            words("limits.both", lower=number(limits.lower), upper=number(limits.upper)), symbol
        )
    if limits.upper is not None:
        return words("limits.most", value=with_unit(number(limits.upper), symbol))
    if limits.lower is not None:
        return words("limits.least", value=with_unit(number(limits.lower), symbol))
    return words("limits.none")


def source_text(callout: Callout, words: Words) -> str:
    """Where a callout's limits come from: a standard by its name, a title block in words."""
    whence, _, which = callout.source.partition(", ")
    if whence != TITLE_BLOCK:
        return callout.source
    said = words("source.title_block")
    return (
        f"{said}, {words('source.fractions') if which == FRACTIONS else which}" if which else said
    )


def verdict_name(words: Words, verdict: Verdict) -> str:
    """A verdict in a word or two."""
    return words(_KEYS[verdict])


def judged_text(words: Words, judged: Judgement) -> str:
    """A verdict, and that nothing was known to guard it with where that is so."""
    name = verdict_name(words, judged.verdict)
    return name if judged.rule is judged.rule_used else f"{name} ({words('echo.unknown')})"


def verdict_word(words: Words, reading: ReadingView) -> str:
    """The verdict of a reading or a counted check in a word or two."""
    if reading.verdict is not None:
        return verdict_name(words, reading.verdict)
    return words("verdict.failed" if reading.passed is False else "verdict.passed")


def value_text(words: Words, series: Series, reading: ReadingView) -> str:
    """A reading's value with its unit; never rounded onto or inside a limit that it exceeds."""
    if reading.value is None:
        return words("value.no_go" if reading.passed is False else "value.go")
    text = show(reading.value, series.limits, reading.places)
    return with_unit(words.number(text), series.limits.unit.symbol)


def overall_text(words: Words, size: OverallSize) -> str:
    """An overall size as it was measured, with its unit."""
    shown = fixed(Decimal(size.fact.value), size.places)
    return with_unit(words.number(shown), size.fact.unit)


def difference(amount: Decimal, finest: int) -> Decimal:
    """How far a value shown with `finest` places lies from a limit or the middle, as written.

    A middle may lie half a place between two; more is what a conversion left, and is cut. More
    places where it would become nothing.
    """
    return amount if decimals_of(amount) <= finest + 1 else shortened(amount, finest)


def signed(number: Decimal, words: Words, unit: str = "") -> str:
    """A number with its sign, a plus as well; without a zero before the point in inches."""
    return words.number(number, unit) if number < 0 else f"+{words.number(number, unit)}"


def raws_text(reading: ReadingView, words: Words) -> str:
    """The readings that a size was computed from, as they were typed: `over 8.19 mm`."""
    return ", ".join(
        f"{r.name} {with_unit(words.number(r.typed), r.unit.symbol)}"
        for r in reading.raws
        if r.dimension
    )


def sample_text(found: Sampled, words: Words) -> str:
    """How many were read, and how many may be out at most."""
    return words(
        "sample.proves",
        read=found.read,
        pieces=found.pieces,
        bad=found.bad,
        most=found.bad_at_most,
        share=f"{100 * found.confidence:.0f} %",
    )
