"""Shapes of verdicts: how a reading is drawn, and which of several matters most."""

from __future__ import annotations

from collections.abc import Iterable

from qlog.record.charts.chart import Shape
from qlog.review.views import ReadingView
from qlog.study.conformity.verdict import Verdict

VERDICT_SHAPES = {
    Verdict.GOOD: Shape.GOOD,
    Verdict.HIGH: Shape.HIGH,
    Verdict.LOW: Shape.LOW,
    Verdict.NOT_PROVEN: Shape.OPEN,
}


def shape_of(reading: ReadingView) -> Shape:
    """The shape in which a reading's verdict is drawn."""
    if reading.verdict is not None:
        return VERDICT_SHAPES[reading.verdict]
    return Shape.FAIL if reading.passed is False else Shape.GOOD


def worst(shapes: Iterable[Shape]) -> Shape:
    """The shape that matters most among several."""
    found = set(shapes)
    for shape in (Shape.FAIL, Shape.HIGH, Shape.LOW, Shape.OPEN):
        if shape in found:
            return shape
    return Shape.GOOD
