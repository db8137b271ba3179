"""A trend and its forecast in a machinist's words: text out of findings, nothing computed anew."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_EVEN, Decimal

from qlog.drawing.units import Unit
from qlog.study.drift.forecast import DUST, Forecast
from qlog.study.drift.trend_test import Cause, Drift, DriftStatus, figure

_CAUSES = {
    Cause.NOT_WEAR: "not wear: thermal growth, a stop that creeps, a chip",
    Cause.WEAR: "the way a tool wears",
    Cause.OPEN: "",
}


def shown_beside(value: float, limit: Decimal, step: Decimal | None) -> str:
    """A value to the display step, or finer where rounding would put it onto or past a limit.

    Two values that differ by more than binary dust are never shown alike or the wrong way round.
    """
    places = max(_places(limit), _places(step) if step is not None else 0)
    exact = Decimal(value)
    if abs(exact - limit) <= Decimal(DUST) * abs(limit):
        exact = limit
    for extra in range(14):
        rounded = exact.quantize(Decimal(1).scaleb(-(places + extra)), ROUND_HALF_EVEN)
        if (rounded > limit) == (exact > limit) and (rounded < limit) == (exact < limit):
            return str(rounded)
    return str(exact)


def _places(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return max(-exponent, 0) if isinstance(exponent, int) else 0


def _shown(value: float, step: Decimal | None) -> str:
    return figure(value, 6) if step is None else f"{value:.{_places(step)}f}"


def rate(slope: float, step: Decimal | None) -> str:
    """A rate per piece, unsigned: two significant digits, but no finer than a tenth of a step."""
    size = abs(slope)
    if step is None or size == 0:
        return figure(size)
    finest = _places(step) + 1
    wanted = 1 - math.floor(math.log10(size))
    text = f"{size:.{max(min(wanted, finest), 0)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text if Decimal(text) else figure(size, 1)


def describe(
    drift: Drift,
    outlook: Forecast | None,
    *,
    name: str,
    unit: Unit = Unit.NONE,
    step: Decimal | None = None,
    tool: str = "",
) -> str:
    """One line on one dimension in one setup, for a drift found as well as for a silence.

    `name` is the dimension as the drawing calls it ("cup bore"), `step` the display step of its
    instrument, `tool` the tool that cut it. The unit is named only where it is not millimetres.
    """
    if drift.speaks and drift.status is not DriftStatus.DRIFTING:
        return f"{name}: {_other_shape(drift, step)}"
    if drift.status is not DriftStatus.DRIFTING or drift.slope is None:
        return f"{name}: {drift.reason}"
    symbol = "" if unit is Unit.MM or not unit.symbol else f" {unit.symbol}"
    hints = [f"{tool}, not re-touched" if tool else "not re-touched"]
    if _CAUSES[drift.cause]:
        hints.append(_CAUSES[drift.cause])
    way = "growing" if drift.slope > 0 else "shrinking"
    parts = [
        f"{name}: {way} {rate(drift.slope, step)}{symbol} a piece since piece {drift.since} "
        f"({'; '.join(hints)})"
    ]
    if outlook is not None:
        parts += _ahead(outlook, step)
    return "; ".join(parts)


def _other_shape(drift: Drift, step: Decimal | None) -> str:
    """What moved and does not go on."""
    assert drift.change is not None
    amount = _shown(abs(drift.change), step)
    if drift.coincides is not None:
        pieces = ", ".join(str(p) for p in drift.coincides.pieces)
        return (
            f"moves with the {drift.coincides.change.value}, which changes at piece {pieces}; "
            "how it was read and not the pieces, as far as the readings tell"
        )
    if drift.status is DriftStatus.JUMPED:
        way = "larger" if drift.change > 0 else "smaller"
        return f"a jump after piece {drift.jumped_at}: {amount} {way} since"
    return f"settled after the start, which read {amount} off; the machine was warming up"


def _ahead(outlook: Forecast, step: Decimal | None) -> list[str]:
    if outlook.lower is None and outlook.upper is None:
        return [f"piece {outlook.next.piece} is expected at {_shown(outlook.next.expected, step)}"]
    if outlook.last >= outlook.planned:
        return ["the batch is made"]
    if outlook.leaves is not None and outlook.leaves <= outlook.planned:
        limit = outlook.upper if outlook.over == "upper" else outlook.lower
        assert limit is not None and outlook.leaves_at is not None
        count = outlook.leaves - outlook.last - 1
        left = {0: "no good piece", 1: "1 good piece"}.get(count, f"{count} good pieces")
        return [
            f"piece {outlook.leaves} is expected at "
            f"{shown_beside(outlook.leaves_at, limit, step)}, limit {limit}",
            f"{left} left at this rate",
        ]
    end = outlook.coming[-1]
    ahead = outlook.upper if outlook.fit.slope > 0 else outlook.lower
    expected = f"piece {end.piece}, the last, is expected at "
    if ahead is None:
        parts = [expected + _shown(end.expected, step)]
    else:
        parts = [f"{expected}{shown_beside(end.expected, ahead, step)}, limit {ahead}"]
    if outlook.may_leave is not None and outlook.may_leave <= outlook.planned:
        parts.append(f"from piece {outlook.may_leave} a piece may be outside")
    return parts


def glance(drift: Drift, outlook: Forecast | None, *, step: Decimal | None = None) -> str:
    """The trend so far in a few words, to be shown after each reading of a stream.

    Empty below three readings, where there is nothing to say.
    """
    if drift.slope is None:
        return ""
    if drift.status is DriftStatus.DRIFTING:
        way = "growing" if drift.slope > 0 else "shrinking"
        words = [f"{way} {rate(drift.slope, step)} a piece since piece {drift.since}"]
        return "; ".join(words + (_ahead(outlook, step) if outlook else []))
    if drift.speaks:
        return _other_shape(drift, step)
    return {
        DriftStatus.TOO_FEW: "no word on drift before the 5th reading",
        DriftStatus.TOO_COARSE: "the display is too coarse to see drift",
        DriftStatus.TOO_SMALL: "a trend, too small to matter",
    }.get(drift.status, "steady so far")
