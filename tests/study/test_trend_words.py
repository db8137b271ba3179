"""The sentences about a trend: right numbers, never rounded onto a limit."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qlog.drawing.units import Unit
from qlog.study.drift.forecast import forecast
from qlog.study.drift.trend_test import DriftStatus, assess
from qlog.study.drift.trend_words import describe, glance, rate, shown_beside

D = Decimal
STEP = D("0.001")


def say(values: list[float], *, planned: int, upper: str, first: int = 1, **words: object) -> str:
    order = range(first, first + len(values))
    measures = str(words.pop("measures", ""))
    lower, limit = D("7.980"), D(upper)
    drift = assess(
        order, values, planned=planned, step=STEP, tolerance=limit - lower, measures=measures
    )
    outlook = forecast(drift, planned=planned, lower=lower, upper=limit)
    return describe(drift, outlook, name="cup bore", step=STEP, **words)  # type: ignore[arg-type]


GROWING = [7.992, 7.996, 8.000, 8.004, 8.008, 8.012]


def test_a_drift_in_a_machinists_words() -> None:
    assert say(GROWING, planned=12, upper="8.015", first=3, tool="boring tool", unit=Unit.MM) == (
        "cup bore: growing 0.004 a piece since piece 3 (boring tool, not re-touched); "
        "piece 9 is expected at 8.016, limit 8.015; no good piece left at this rate"
    )
    assert "piece 9 is expected at 8.024, limit 8.021; 2 good pieces left at this rate" in say(
        GROWING, planned=10, upper="8.021"
    )
    # The last piece of the batch is the one that leaves.
    assert "limit 8.021; 2 good pieces left at this rate" in say(GROWING, planned=9, upper="8.021")
    assert "; 1 good piece left at this rate" in say(GROWING, planned=10, upper="8.017")


def test_the_direction_is_read() -> None:
    grown = say(GROWING, planned=10, upper="8.021", measures="inside", tool="boring tool")
    assert "(boring tool, not re-touched; not wear: thermal growth, a stop that creeps" in grown
    worn = say(GROWING, planned=10, upper="8.021", measures="outside")
    assert "(not re-touched; the way a tool wears)" in worn


def test_a_drift_that_stays_inside_to_the_end() -> None:
    text = say(GROWING, planned=8, upper="8.030")
    assert "piece 8, the last, is expected at 8.020, limit 8.030" in text
    assert "left at this rate" not in text
    close = say([7.992, 7.997, 8.000, 8.005, 8.007, 8.012], planned=8, upper="8.021")
    assert "from piece 8 a piece may be outside" in close


def test_nothing_is_left_to_make() -> None:
    assert say(GROWING, planned=6, upper="8.021").endswith("; the batch is made")


def test_other_units_are_named() -> None:
    assert "growing 0.004 in a piece" in say(GROWING, planned=6, upper="8.021", unit=Unit.INCH)


def test_silence_is_explained() -> None:
    steady = [8.004, 8.006, 8.003, 8.005, 8.006, 8.003]
    assert say(steady, planned=10, upper="8.021").startswith("cup bore: no trend beyond")
    assert say(steady[:3], planned=10, upper="8.021").startswith("cup bore: too few: 3 readings")
    assert "too coarse" in say([8.0] * 6, planned=10, upper="8.021")
    assert "too small to matter" in say(GROWING, planned=10, upper="8.600")


def test_without_limits_the_next_piece_is_told() -> None:
    drift = assess(range(1, 7), GROWING, planned=10, step=STEP)
    outlook = forecast(drift, planned=10, lower=None, upper=None)
    assert describe(drift, outlook, name="cup bore", step=STEP).endswith(
        "; piece 7 is expected at 8.016"
    )
    assert describe(drift, None, name="cup bore").endswith("(not re-touched)")


@pytest.mark.parametrize(
    ("value", "limit", "text"),
    [
        (8.0162, "8.015", "8.016"),
        (8.01503, "8.015", "8.01503"),  # to the display step it would stand on the limit
        (8.01497, "8.015", "8.01497"),
        (8.0154, "8.015", "8.0154"),
        (8.015, "8.015", "8.015"),
        (8.25, "8.25", "8.250"),
    ],
)
def test_a_value_is_never_rounded_onto_its_limit(value: float, limit: str, text: str) -> None:
    assert shown_beside(value, D(limit), STEP) == text


@given(st.floats(7, 9, allow_nan=False), st.integers(7000, 9000))
def test_what_is_shown_lies_on_its_own_side_of_the_limit(value: float, raw: int) -> None:
    limit = D(raw).scaleb(-3)
    shown = D(shown_beside(value, limit, STEP))
    if abs(D(value) - limit) > D("1e-11"):
        assert (shown > limit) == (D(value) > limit)
        assert shown != limit
    else:
        assert abs(shown - limit) <= D("1e-11")


@pytest.mark.parametrize(
    ("slope", "step", "text"),
    [
        (0.0040, "0.001", "0.004"),
        (-0.00432, "0.001", "0.0043"),
        (0.0123, "0.001", "0.012"),
        (0.00004, "0.001", "0.00004"),  # never shown as nothing
        (0.0123, "0.01", "0.012"),
        (0.25, None, "0.25"),
        (12.0, "1", "12"),
    ],
)
def test_rates_have_two_digits_and_no_false_ones(slope: float, step: str | None, text: str) -> None:
    assert rate(slope, None if step is None else D(step)) == text


def test_the_glance_after_each_reading() -> None:
    def look(values: list[float], upper: str = "8.021") -> str:
        order, lower, limit = range(1, len(values) + 1), D("7.98"), D(upper)
        drift = assess(order, values, planned=10, step=STEP, tolerance=limit - lower)
        outlook = forecast(drift, planned=10, lower=lower, upper=limit, joint=False)
        return glance(drift, outlook, step=STEP)

    assert look(GROWING[:2]) == ""
    assert look(GROWING[:4]) == "no word on drift before the 5th reading"
    assert look(GROWING) == (
        "growing 0.004 a piece since piece 1; piece 9 is expected at 8.024, limit 8.021; "
        "2 good pieces left at this rate"
    )
    assert look([8.004, 8.006, 8.003, 8.005, 8.006]) == "steady so far"
    assert look([8.0] * 5) == "the display is too coarse to see drift"
    assert look(GROWING, upper="8.9") == "a trend, too small to matter"
    assert "shrinking 0.004" in look(GROWING[::-1])


def test_every_status_has_its_words() -> None:
    # A new status without words would be told as "steady".
    assert {status.value for status in DriftStatus} == {
        "drifting",
        "jumped",
        "settling",
        "coincides",
        "steady",
        "too few",
        "too coarse",
        "too small to matter",
    }
