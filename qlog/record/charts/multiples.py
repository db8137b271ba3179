"""Small multiples, one little chart a dimension on one scale; and one size among its siblings."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from qlog.frozen import frozen
from qlog.record.charts.chart import spread

_WIDTH, _HEIGHT = 300.0, 120.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 62.0, 8.0, 10.0, 12.0
_TEXT = 12.0  # px, as it is seen: a multiple is never made smaller


@frozen
class SharedLine:
    """A line that all multiples of a group share."""

    y: float
    text_y: float
    text: str
    kind: str  # "control", "centre" or "target"


@frozen
class Multiple:
    """One little chart on paper; paths are SVG path data."""

    width: float
    height: float
    left: float
    right: float
    text_x: float  # where the values at the left edge end
    rules: tuple[SharedLine, ...]
    run: str  # the readings joined in the order of making, one stroke a setup
    dots: str  # every reading, as strokes of no length
    rings: tuple[tuple[float, float], ...]  # readings outside the control limits


def multiple(
    stretches: Sequence[Sequence[float]],
    outside: Collection[int],
    lines: Sequence[tuple[float, str]],
    scale: tuple[float, float],
    number: Callable[[float], str],
) -> Multiple:
    """A multiple of readings setup by setup, on a scale that its group shares.

    `outside` holds places over all stretches, from 0; `lines` are values with their kind; `scale`
    is the smallest and the largest value of the group, all in one unit. Raises ValueError when
    there is no reading or no scale.
    """
    count = sum(len(s) for s in stretches)
    low, high = scale
    if not count or not high > low:
        raise ValueError("a multiple needs a reading and a scale")
    step = (_WIDTH - _LEFT - _RIGHT) / count

    def y(value: float) -> float:
        share = (value - low) / (high - low)
        return round(_HEIGHT - _BOTTOM - share * (_HEIGHT - _TOP - _BOTTOM), 1)

    run, dots, rings = [], [], []
    place = 0
    for stretch in stretches:
        for n, value in enumerate(stretch):
            at = f"{round(_LEFT + (place + 0.5) * step, 1):g} {y(value):g}"
            run.append(f"{'L' if n else 'M'}{at}")
            dots.append(f"M{at}h0")
            if place in outside:
                rings.append((round(_LEFT + (place + 0.5) * step, 1), y(value)))
            place += 1
    ordered = sorted(lines, key=lambda line: -line[0])
    places = spread([y(value) for value, _ in ordered], _TEXT)
    return Multiple(
        width=_WIDTH,
        height=_HEIGHT,
        left=_LEFT,
        right=_WIDTH - _RIGHT,
        text_x=_LEFT - 6,
        rules=tuple(
            SharedLine(y(value), round(text_y + _TEXT * 0.35, 1), number(value), kind)
            for (value, kind), text_y in zip(ordered, places, strict=True)
        ),
        run="".join(run),
        dots="".join(dots),
        rings=tuple(rings),
    )


#: A strip: its width, and where the limits stand, a little inside.
_STRIP, _LOW, _HIGH = 200.0, 24.0, 176.0


@frozen
class Strip:
    """Places on a strip of `width`: the limits, the siblings and the size itself."""

    width: float
    low: float
    high: float
    others: tuple[float, ...]
    own: float


def strip(share: float, others: Sequence[float]) -> Strip:
    """Places of shares of the tolerance, 0 on the lower limit and 1 on the upper one.

    A share outside 0..1 stands outside the limits, within the strip.
    """
    return Strip(_STRIP, _LOW, _HIGH, tuple(_x(s) for s in others), _x(share))


def _x(share: float) -> float:
    within = min(max(share, -0.12), 1.12)
    return round(_LOW + within * (_HIGH - _LOW), 1)
