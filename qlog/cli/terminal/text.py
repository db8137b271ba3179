"""Text: numbers, limits and marks as every command prints them."""

from __future__ import annotations

from decimal import Decimal

import click

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Build

#: Verdict -> mark and colour. The word always stands beside it: colour alone says nothing.
_MARKS = {
    "good": ("ok", "green"),
    "pass": ("ok", "green"),
    "out high": ("!!", "red"),
    "out low": ("!!", "red"),
    "fail": ("!!", "red"),
    "not proven": ("??", "yellow"),
}


def number(value: Decimal | None) -> str:
    """A decimal as it is, without an exponent and never rounded; a dash where there is none."""
    return "-" if value is None else f"{value:f}"


def limits(limits: Limits) -> str:
    """Limits in words: `21.95 .. 22.05 mm`, `max 0.8 µm`, `min 5 mm`."""
    unit = f" {limits.unit.symbol}" if limits.unit.symbol else ""
    if limits.lower is None and limits.upper is None:
        return "no limits"
    if limits.lower is None:
        return f"max {number(limits.upper)}{unit}"
    if limits.upper is None:
        return f"min {number(limits.lower)}{unit}"
    return f"{number(limits.lower)} .. {number(limits.upper)}{unit}"


def limits_of(callout: Callout) -> str:
    """What a callout asks for, in limits or as a check."""
    return callout.kind.value if callout.attribute else limits(callout.limits)


def required(callout: Callout) -> str:
    """The same, and that the limits are those of the general tolerance where they are."""
    general = f" ({callout.source})" if callout.general else ""
    return f"{limits_of(callout)}{general}"


def rule_of(build: Build) -> str:
    """The rule that verdicts follow: `guarded rule (ISO 14253-1, 95 %)` or `simple rule`."""
    if build.rule == "simple":
        return "simple rule (on or between the limits is good)"
    percent = f"{build.conformance * 100:f}"
    percent = percent.rstrip("0").rstrip(".") if "." in percent else percent
    return f"guarded rule (ISO 14253-1, {percent} %)"


def verdict(word: str) -> str:
    """A verdict with its mark, coloured where the terminal takes it."""
    mark, colour = _MARKS.get(word, ("  ", "white"))
    return click.style(f"{mark} {word}", fg=colour)


def rounded(value: Decimal | None, like: Decimal | None) -> str:
    """A statistic rounded to one digit more than the readings have; never used for limits."""
    if value is None:
        return "-"
    if like is None:
        return f"{value:.4g}"
    exponent = like.as_tuple().exponent
    digits = -exponent if isinstance(exponent, int) and exponent < 0 else 0
    return f"{value:.{digits + 1}f}"
