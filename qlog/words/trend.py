"""A trend and its forecast in words: nothing is computed here but how many digits are shown."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_EVEN, Decimal
from typing import TYPE_CHECKING

from qlog.drawing.limits import Limits
from qlog.study.drift.forecast import Forecast
from qlog.study.drift.looks import FIRST_LOOK
from qlog.study.drift.predicted import DUST
from qlog.study.drift.setups import Retouch
from qlog.study.drift.trend_test import Cause, DriftStatus, SetupDrift
from qlog.words.catalogue import Words
from qlog.words.values import decimals_of, fixed, places, with_unit

if TYPE_CHECKING:
    from qlog.review.lessons import Lesson
    from qlog.review.part.charts.deviations import DeviationView, ToolDrift
    from qlog.review.part.series import Series
    from qlog.review.part.series_study import SeriesStudy, SetupStudy
    from qlog.review.part.trend import Glance


def shown_beside(value: float, limit: Decimal, step: Decimal | None) -> str:
    """A value to the display step, or finer where rounding would put it onto or past a limit.

    Two values that differ by more than binary dust are never shown alike or the wrong way round.
    """
    shown = max(decimals_of(limit), decimals_of(step) if step is not None else 0)
    exact = Decimal(value)
    if abs(exact - limit) <= Decimal(DUST) * abs(limit):
        exact = limit
    for extra in range(14):
        rounded = exact.quantize(Decimal(1).scaleb(-(shown + extra)), ROUND_HALF_EVEN)
        if (rounded > limit) == (exact > limit) and (rounded < limit) == (exact < limit):
            return str(rounded)
    return str(exact)


def figure(value: float, digits: int = 2) -> str:
    """A number to so many significant digits, without exponent and trailing zeros."""
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    shown = max(digits - 1 - math.floor(math.log10(abs(value))), 0)
    text = f"{value:.{shown}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def rate(slope: float, step: Decimal | None) -> str:
    """A rate per piece, unsigned: two significant digits, but no finer than a tenth of a step."""
    size = abs(slope)
    if step is None or size == 0:
        return figure(size)
    finest = decimals_of(step) + 1
    wanted = 1 - math.floor(math.log10(size))
    text = f"{size:.{max(min(wanted, finest), 0)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text if Decimal(text) else figure(size, 1)


def setup_text(series: Series, setup: SetupStudy, step: Decimal | None, words: Words) -> str:
    """What the trend of one setup of a series means, and where it leads."""
    shown = places(series.limits, series.instrument)
    limits, words = series.limits, words.about(series.part.id)
    said = [trend_text(setup.drift, setup.forecast, limits, step, words, shown)]
    said += _retouch(setup.retouch, limits.unit.symbol, shown, words)
    return " ".join(said)


def trend_text(
    drift: SetupDrift,
    outlook: Forecast | None,
    limits: Limits,
    step: Decimal | None,
    words: Words,
    shown: int,
) -> str:
    """A trend in words, for a drift found as well as for a silence; `shown` decimals of sizes."""
    symbol = limits.unit.symbol
    if drift.speaks and drift.status is not DriftStatus.DRIFTING:
        return _other_shape("drift", drift, symbol, shown, words)
    if drift.status is not DriftStatus.DRIFTING or drift.slope is None:
        return _silence(drift, symbol, shown, words)
    each = with_unit(words.number(rate(drift.slope, step)), symbol)
    way = words("drift.growing" if drift.slope > 0 else "drift.shrinking")
    said = [words("drift.found", way=way, rate=each, first=words.own(drift.since))]
    cause = {Cause.WEAR: "drift.wear", Cause.NOT_WEAR: "drift.not_wear"}.get(drift.cause)
    if cause:
        said.append(words(cause))
    if outlook is not None:
        said += _ahead(outlook, symbol, step, shown, words)
    return " ".join(said)


def glance_text(glance: Glance, limits: Limits, words: Words) -> str:
    """The trend so far in a few words, for the line under a reading; empty below three.

    `words` speak of the part.
    """
    drift, unit = glance.drift, limits.unit.symbol
    if drift.slope is None:
        return ""
    shown = max(places(limits, None), 0 if glance.step is None else decimals_of(glance.step))
    when = _retouch(glance.retouch, unit, shown, words)
    if not drift.speaks:
        return ". ".join([words(f"glance.{drift.status.name.lower()}", least=FIRST_LOOK), *when])
    if drift.status is not DriftStatus.DRIFTING:
        return _other_shape("glance", drift, unit, shown, words)
    return " ".join([trend_text(drift, glance.outlook, limits, glance.step, words, shown), *when])


def _other_shape(where: str, drift: SetupDrift, symbol: str, shown: int, words: Words) -> str:
    """What moved and does not go on: a jump, a settling, or how the pieces were read."""
    if drift.coincides is not None:
        return words(
            f"{where}.coincides",
            change=words(f"drift.change.{drift.coincides.change.value}"),
            piece=", ".join(words.own(p) for p in drift.coincides.pieces),
        )
    change = drift.change or 0.0
    amount = with_unit(words.number(fixed(abs(change), shown + 1)), symbol)
    if drift.status is DriftStatus.JUMPED:
        way = words("drift.larger" if change > 0 else "drift.smaller")
        return words(f"{where}.jumped", piece=words.own(drift.jumped_at), amount=amount, way=way)
    return words(f"{where}.settling", amount=amount)


def _retouch(retouch: Retouch | None, symbol: str, shown: int, words: Words) -> list[str]:
    if retouch is None:
        return []
    sign = "+" if retouch.by > 0 else ""
    amount = with_unit(sign + words.number(fixed(retouch.by, shown)), symbol)
    key = "drift.retouch.earlier" if retouch.earlier else "drift.retouch"
    return [words(key, amount=amount, piece=words.own(retouch.after))]


def no_process_text(study: SeriesStudy, words: Words) -> str:
    """Why nothing is said of the pieces still to be made; empty where there is one process."""
    if study.one_process:
        return ""
    if study.told_apart:
        return words("fact.told_apart")
    running = study.running
    if running is not None and running.drift.found:
        return words(f"fact.moved.{running.drift.status.name.lower()}")
    return words("fact.several_setups")


def machine_text(view: DeviationView, tool: ToolDrift, words: Words) -> str:
    """What a tool does over the pieces of several parts, against their targets."""
    drift, symbol = tool.found.drift, view.unit.symbol
    about = {
        "machine": view.machine,
        "tool": tool.tool,
        "instrument": view.instrument,
        "n": tool.pieces,
        "parts": ", ".join(tool.parts),
    }
    if drift.coincides is not None:
        changed = words(f"drift.change.{drift.coincides.change.value}")
        return words("drift.machine.coincides", change=changed, **about)
    amount = with_unit(words.number(figure(drift.change or 0.0)), symbol)
    if tool.found.aimed:
        return words("drift.machine.aimed", amount=amount, **about)
    if drift.goes_on and drift.slope:
        way = words("drift.growing" if drift.slope > 0 else "drift.shrinking")
        each = with_unit(words.number(rate(drift.slope, None)), symbol)
        return words("drift.machine", way=way, rate=each, first=drift.since, **about)
    if drift.speaks:
        return words("drift.machine.moved", amount=amount, **about)
    if drift.status is DriftStatus.STEADY and drift.detectable is not None:
        least = with_unit(words.number(figure(drift.detectable)), symbol)
        return words("drift.machine.steady", least=least, **about)
    return words("drift.machine.silent", **about)


def lesson_text(lesson: Lesson, words: Words) -> str:
    """What a dimension learns from an earlier build, or why it learns nothing."""
    about = {"part": lesson.part, "dimension": lesson.dimension, "op": lesson.op}
    if lesson.learnt is None:
        why = words(f"learn.unlike.{lesson.unlike.name.lower()}" if lesson.unlike else "")
        return words("learn.not", why=why, **about)
    s = with_unit(words.number(f"{lesson.learnt.s:f}"), lesson.unit)
    return words("learn.takes", s=s, df=lesson.learnt.df, **about)


def _silence(drift: SetupDrift, symbol: str, shown: int, words: Words) -> str:
    if drift.status is DriftStatus.STEADY and drift.detectable is not None:
        least = with_unit(words.number(fixed(drift.detectable, shown + 1)), symbol)
        first, last = words.own(drift.first), words.own(drift.last)
        return words("drift.steady_from", least=least, first=first, last=last)
    return words(f"drift.{drift.status.name.lower()}", n=drift.n, least=FIRST_LOOK)


def _ahead(
    outlook: Forecast, symbol: str, step: Decimal | None, shown: int, words: Words
) -> list[str]:
    limit = outlook.upper if outlook.over == "upper" else outlook.lower
    if outlook.lower is None and outlook.upper is None:
        coming = outlook.next
        value = with_unit(words.number(figure(coming.expected, 6)), symbol)
        return [words("drift.next", piece=words.own(coming.piece), value=value)]
    said: list[str] = []
    if outlook.leaves is not None and outlook.leaves_at is not None and limit is not None:
        values = {
            "piece": words.own(outlook.leaves),
            "value": with_unit(words.number(shown_beside(outlook.leaves_at, limit, step)), symbol),
            "limit": with_unit(words.number(fixed(limit, max(shown, decimals_of(limit)))), symbol),
        }
        if outlook.last >= outlook.planned:
            near = outlook.leaves <= outlook.last + max(outlook.planned, 1)
            return [words("drift.would_leave", **values) if near else words("drift.made")]
        if outlook.leaves <= outlook.planned:
            left = outlook.leaves - outlook.last - 1
            until = words.count("drift.left", left) if left else words("drift.left.none")
            return [words("drift.leaves", **values), *_stretch(outlook, words), until]
        # That it stays inside is not said where it is likeliest to pass the limit before.
        said += _stretch(outlook, words) or [words("drift.stays", last=words.own(outlook.planned))]
    elif outlook.last >= outlook.planned:
        return [words("drift.made")]
    if outlook.may_leave is not None and outlook.may_leave <= outlook.planned:
        said.append(words("drift.may_leave", piece=words.own(outlook.may_leave)))
    return said


def _stretch(outlook: Forecast, words: Words) -> list[str]:
    """The pieces among which the limit is likeliest passed; nothing where one piece says it."""
    if outlook.between in (None, (outlook.leaves, outlook.leaves)):
        return []
    first, final = outlook.between
    return [words("drift.between", first=words.own(first), last=words.own(final))]
