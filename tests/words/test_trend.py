"""Trends in words: right numbers, never rounded onto a limit, in every language."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.review.part.trend import Glance
from qlog.study.drift.forecast import forecast
from qlog.study.drift.trend_test import DriftStatus, assess
from qlog.words.catalogue import languages, load
from qlog.words.trend import figure, glance_text, rate, shown_beside, trend_text

D = Decimal
STEP = D("0.001")


def say(
    values: list[float],
    *,
    planned: int,
    upper: str,
    first: int = 1,
    measures: str = "",
    unit: Unit = Unit.MM,
    language: str = "en",
) -> str:
    order = range(first, first + len(values))
    limits = Limits(D("7.980"), D(upper), unit)
    drift = assess(
        order, values, planned=planned, step=STEP, tolerance=limits.width, measures=measures
    )
    outlook = forecast(drift, planned=planned, lower=limits.lower, upper=limits.upper)
    return plain(trend_text(drift, outlook, limits, STEP, load(language), 3))


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ")


GROWING = [7.992, 7.996, 8.000, 8.004, 8.008, 8.012]


def test_a_drift_in_a_machinists_words() -> None:
    assert say(GROWING, planned=12, upper="8.015", first=3) == (
        "It is growing by about 0.004 mm a piece since piece 3. "
        "At this rate piece 9 would be 8.016 mm, past the limit of 8.015 mm. "
        "Most likely it passes the limit with one of the pieces 9 to 10. "
        "No good piece is left until then."
    )
    two = say(GROWING, planned=10, upper="8.021")
    assert "piece 9 would be 8.024 mm, past the limit of 8.021 mm. Most likely it passes" in two
    assert two.endswith("with one of the pieces 8 to 9. 2 good pieces are left until then.")
    # The last piece of the batch is the one that leaves.
    assert "pieces 8 to 9. 2 good pieces are left" in say(GROWING, planned=9, upper="8.021")
    assert "One good piece is left" in say(GROWING, planned=10, upper="8.017")


def test_the_same_in_german() -> None:
    assert say(GROWING, planned=12, upper="8.015", first=3, language="de") == (
        "Es wächst um etwa 0,004 mm je Teil seit Teil 3. "
        "Geht es so weiter, misst Teil 9 8,016 mm und liegt jenseits der Grenze von 8,015 mm. "
        "Am ehesten überschreitet es die Grenze mit einem der Teile 9 bis 10. "
        "Bis dahin bleibt kein gutes Teil."
    )


def test_the_direction_is_read() -> None:
    assert "not the way a tool wears" in say(GROWING, planned=10, upper="8.021", measures="inside")
    assert "the way a worn tool goes" in say(GROWING, planned=10, upper="8.021", measures="outside")


def test_a_drift_that_stays_inside_to_the_end() -> None:
    text = say(GROWING, planned=8, upper="8.030")
    assert "At this rate every piece up to 8 stays within the limits." in text
    close = say([7.992, 7.997, 8.000, 8.005, 8.007, 8.012], planned=8, upper="8.021")
    assert "From piece 8 on a piece may be outside." in close


def test_nothing_is_left_to_make() -> None:
    assert "The batch is made" in say(GROWING, planned=6, upper="8.021")


def test_units_are_named() -> None:
    assert "by about .004 in a piece" in say(GROWING, planned=6, upper="8.021", unit=Unit.INCH)


def test_silence_is_explained() -> None:
    steady = [8.004, 8.006, 8.003, 8.005, 8.006, 8.003]
    assert "from piece 1 to piece 6 would be found with 50 % chance" in say(
        steady, planned=10, upper="8.021"
    )
    assert say(steady[:3], planned=10, upper="8.021").startswith("Too few readings in this setup")
    assert "too coarse" in say([8.0] * 6, planned=10, upper="8.021")
    assert "too small to matter" in say(GROWING, planned=10, upper="8.600")


def test_a_limit_likely_passed_in_the_batch_is_not_said_to_be_kept() -> None:
    """Made up: the expected crossing lies one piece after the batch, the likeliest before it."""
    values = [0.0, 0.3, -0.3, -0.9, -0.5, -1.0, 0.1, 1.3, -0.5, -0.6, 1.2, 1.9, 2.4, 2.1, 3.7]
    drift = assess(range(1, 16), values, planned=20)
    outlook = forecast(drift, planned=20, lower=None, upper=D(7))
    assert outlook is not None and (outlook.leaves, outlook.between) == (21, (19, 21))
    told = plain(trend_text(drift, outlook, Limits(None, D(7), Unit.MM), D("0.1"), load("en"), 1))
    assert "Most likely it passes the limit with one of the pieces 19 to 21." in told
    assert "stays within" not in told


def test_without_limits_the_next_piece_is_told() -> None:
    drift = assess(range(1, 7), GROWING, planned=10, step=STEP)
    outlook = forecast(drift, planned=10, lower=None, upper=None)
    none = Limits(None, None, Unit.MM)
    told = plain(trend_text(drift, outlook, none, STEP, load("en"), 3))
    assert told.endswith("At this rate piece 7 would be 8.016 mm.")
    alone = plain(trend_text(drift, None, none, STEP, load("en"), 3))
    assert alone == "It is growing by about 0.004 mm a piece since piece 1."


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0123, "0.012"),
        (12.0, "12"),
        (0, "0"),
        (0.1, "0.1"),
        (1234.5, "1234"),
        (9.99e-6, "0.00001"),
    ],
)
def test_figures_have_no_exponent(value: float, text: str) -> None:
    assert figure(value) == text


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
        limits = Limits(D("7.98"), D(upper), Unit.MM)
        drift = assess(
            range(1, len(values) + 1), values, planned=10, step=STEP, tolerance=limits.width
        )
        outlook = None
        if drift.status is DriftStatus.DRIFTING:
            outlook = forecast(
                drift, planned=10, lower=limits.lower, upper=limits.upper, joint=False
            )
        return plain(glance_text(Glance(drift, outlook, None, STEP), limits, load("en")))

    assert look(GROWING[:2]) == ""
    assert look(GROWING[:4]) == "drift is judged from the 5th reading on"
    assert look(GROWING) == (
        "It is growing by about 0.004 mm a piece since piece 1. At this rate piece 9 would be "
        "8.024 mm, past the limit of 8.021 mm. Most likely it passes the limit with one of the "
        "pieces 8 to 9. 2 good pieces are left until then."
    )
    assert look([8.004, 8.006, 8.003, 8.005, 8.006]) == "steady so far"
    assert look([8.0] * 5) == "the display is too coarse to see drift"
    assert look(GROWING, upper="8.9") == "a trend, too small to matter"
    assert "shrinking by about 0.004" in look(GROWING[::-1])


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("status", DriftStatus)
def test_every_status_has_its_words(status: DriftStatus, language: str) -> None:
    words = load(language)
    if status is DriftStatus.DRIFTING:
        assert words.has("drift.found")
        return
    assert words.has(f"drift.{status.name.lower()}")
    assert words.has(f"glance.{status.name.lower()}")
