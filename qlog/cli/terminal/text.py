"""Text: numbers, limits, marks and strips of readings as every command prints them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from decimal import Decimal

import click

from qlog.cli.terminal.say import on_screen
from qlog.drawing.callouts.callout import Callout
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Build
from qlog.study.conformity.verdict import Verdict
from qlog.words.catalogue import Words
from qlog.words.values import limits_text, source_text, verdict_name

#: Verdict -> colour. The word carries it: colour alone says nothing.
_COLOURS = {
    Verdict.GOOD: "green",
    Verdict.HIGH: "red",
    Verdict.LOW: "red",
    Verdict.NOT_PROVEN: "yellow",
}


def number(value: Decimal | None) -> str:
    """A decimal as it is, without an exponent and never rounded; a dash where there is none."""
    return "-" if value is None else f"{value:f}"


def limits(limits: Limits, words: Words) -> str:
    """Limits in words: `21.95 to 22.05 mm`, `0.8 µm at most`."""
    return on_screen(limits_text(words, limits))


def limits_of(callout: Callout, words: Words) -> str:
    """What a callout asks for, in limits or as a check."""
    if callout.attribute:
        return words(f"check.{callout.kind.name.lower()}")
    return limits(callout.limits, words)


def required(callout: Callout, words: Words) -> str:
    """The same, and that the limits are those of the general tolerance where they are."""
    general = f" ({source_text(callout, words)})" if callout.general else ""
    return f"{limits_of(callout, words)}{general}"


def rule_of(build: Build, words: Words) -> str:
    """The rule that verdicts follow: `guarded rule (ISO 14253-1, 95 %)` or `simple rule`."""
    if not build.decision.guarded:
        return words("rule.simple")
    percent = f"{build.decision.conformance * 100:f}"
    percent = percent.rstrip("0").rstrip(".") if "." in percent else percent
    return words("rule.guarded", percent=words.number(percent))


def verdict(found: Verdict, words: Words) -> str:
    """A verdict in a word or two, coloured where the terminal takes it."""
    return click.style(verdict_name(words, found), fg=_COLOURS[found])


def outcome(passed: bool, words: Words) -> str:
    """The outcome of a check that passes or fails, coloured like a verdict."""
    word = words("verdict.passed" if passed else "verdict.failed")
    return click.style(word, fg="green" if passed else "red")


def rounded(value: Decimal | None, like: Decimal | None) -> str:
    """A statistic rounded to one digit more than the readings have; never used for limits."""
    if value is None:
        return "-"
    if like is None:
        return f"{value:.4g}"
    exponent = like.as_tuple().exponent
    digits = -exponent if isinstance(exponent, int) and exponent < 0 else 0
    return f"{value:.{digits + 1}f}"


#: A strip is plain ASCII, so that it survives any terminal, font and pipe.
INSIDE = 21  # cells between the limits; odd, so that there is a middle one
OUTSIDE = 3  # cells beyond each limit


def strip(shares: Iterable[Decimal | float], *, middle: bool = True) -> str:
    """A strip of readings given as places in the tolerance: 0 lower limit, 1 upper.

    The `middle` is marked where there is one to come close to: a runout has none.

    `o` is one reading, a digit that many, `+` more than nine. A reading outside is never drawn
    inside, one inside never outside, however near the limit.
    """
    cells = Counter(_cell(float(share)) for share in shares)
    marked = INSIDE // 2 if middle else None
    drawn = []
    for cell in range(-OUTSIDE, INSIDE + OUTSIDE):
        if cell in (0, INSIDE):
            drawn.append("|")
        inside = 0 <= cell < INSIDE
        blank = ":" if cell == marked else ("." if inside else " ")
        drawn.append(_mark(cells[cell], blank))
    return "".join(drawn)


def _cell(share: float) -> int:
    if share < 0:
        return max(-OUTSIDE, int(share * INSIDE) - 1)
    if share > 1:
        return min(INSIDE + OUTSIDE - 1, INSIDE + int((share - 1) * INSIDE))
    return min(INSIDE - 1, int(share * INSIDE))


def _mark(number: int, blank: str) -> str:
    if number == 0:
        return blank
    if number == 1:
        return "o"
    return str(number) if number <= 9 else "+"
