"""What one setup learns from those before it, and what a change in the reading explains."""

from decimal import Decimal

import pytest

from qlog.study.drift.coincidence import ChangeBeside, Conditions
from qlog.study.drift.setups import SetupReadings, SetupTrend, study_setups
from qlog.study.drift.shapes import TrendShape
from qlog.study.drift.trend_test import Cause, DriftStatus, Pooled, SetupDrift, assess

D = Decimal
NOISE = [3, -2, 1, -4, 2, 0, -1, 4, -3, 1, 2, -2, 3, -1, 0, -2, 1, 2, -3, 0]  # in 0.0001


def setup(first: int, count: int, rate: float, start: float = 8.0) -> SetupReadings:
    values = tuple(D(str(round(start + rate * i + NOISE[i] / 10_000, 4))) for i in range(count))
    return SetupReadings(first, tuple(range(first, first + count)), values)


def studied(*setups: SetupReadings, planned: int = 30) -> SetupTrend:
    return study_setups(
        setups, planned=planned, step=D("0.0001"), lower=D("7.98"), upper=D("8.02"),
        tolerance=D("0.04"), measures="outside", joint=False,
    )[-1]  # fmt: skip


def test_the_rate_of_the_worn_tool_tells_when_to_touch_it_again() -> None:
    worn = setup(1, 12, 0.002, start=7.99)
    trend = studied(worn, setup(13, 3, 0.002, start=7.998))
    assert trend.drift.status is DriftStatus.TOO_FEW
    touch = trend.retouch
    assert touch is not None and touch.earlier
    # 8.000 at piece 14, 0.002 a piece: piece 24 reads 8.020, the last one good.
    assert touch.after in (23, 24)
    assert touch.by == pytest.approx(-0.02, abs=0.003)
    # Without the worn setup before, three readings say nothing.
    assert studied(setup(13, 3, 0.002, start=7.998)).retouch is None


def test_a_creep_found_tells_its_own_re_touch() -> None:
    trend = studied(setup(1, 14, 0.002, start=7.982))
    touch, outlook = trend.retouch, trend.forecast
    assert touch is not None and not touch.earlier
    # 8.020 at piece 20, the limit: before the first piece that is likely to pass it.
    assert outlook is not None and outlook.between is not None
    assert touch.after == outlook.between[0] - 1 and touch.after in (18, 19, 20)
    assert touch.by == pytest.approx(-0.02 + 0.002 * (20 - touch.after), abs=0.0005)
    # Too far ahead to name a stretch: after the last piece that is expected inside.
    far = studied(setup(1, 14, 0.0005, start=7.99), planned=90)
    assert far.forecast is not None and far.retouch is not None and far.forecast.leaves is not None
    assert far.forecast.between is None
    assert far.retouch.after == far.forecast.leaves - 1


def test_the_re_touch_starts_from_what_the_forecast_says() -> None:
    """A late creep that may be a plain one as well: the forecast rises unlike the shape found."""
    values = [D(str(round(8 + 0.002 * max(i - 7, 0) + n / 2000, 4))) for i, n in enumerate(NOISE)]
    trend = studied(SetupReadings(1, tuple(range(1, 14)), tuple(values[:13])))
    assert trend.drift.shape is TrendShape.LATE_CREEP
    touch, outlook = trend.retouch, trend.forecast
    assert touch is not None and outlook is not None and outlook.leaves is not None
    assert outlook.last < touch.after < outlook.leaves - 1
    coming = {one.piece: one.expected for one in outlook.coming}
    # To 8.000, the middle, from one piece's wear short of the first piece made after it.
    assert touch.by == pytest.approx(8 - (coming[touch.after + 1] - touch.rate), abs=1e-9)


def test_a_touch_comes_before_a_crossing_that_is_likely_in_the_batch() -> None:
    """Made up: expected to pass 7 with piece 21 of 20, likeliest with one of 19 to 21."""
    values = [0.0, 0.3, -0.3, -0.9, -0.5, -1.0, 0.1, 1.3, -0.5, -0.6, 1.2, 1.9, 2.4, 2.1, 3.7]
    readings = SetupReadings(1, tuple(range(1, 16)), tuple(D(str(v)) for v in values))
    trend = study_setups([readings], planned=20, lower=D(-7), upper=D(7), joint=False)[-1]
    assert trend.forecast is not None
    assert (trend.forecast.leaves, trend.forecast.between) == (21, (19, 21))
    assert trend.retouch is not None and trend.retouch.after == 18


def test_a_steady_setup_needs_no_touch() -> None:
    trend = studied(setup(1, 12, 0.0))
    assert (trend.retouch, trend.pooled) == (None, None)


def test_setups_before_lend_their_scatter_and_a_named_build_too() -> None:
    one, two = setup(1, 8, 0.0), setup(9, 6, 0.0)
    trend = studied(one, two)
    assert trend.pooled is not None and trend.pooled.df == 6
    both = study_setups(
        [one, two], planned=30, tolerance=D("0.04"), learnt=Pooled(0.0002, 10), joint=False
    )[-1]
    assert both.pooled is not None and both.pooled.df == 16


def judged(values: list[float], conditions: list[Conditions]) -> SetupDrift:
    return assess(
        range(1, len(values) + 1), values, planned=20, measures="outside", conditions=conditions
    )


def sitting(pieces: int, *changes: int) -> list[Conditions]:
    return [Conditions(sitting=1 + sum(i > c for c in changes)) for i in range(1, pieces + 1)]


JUMPED = [n / 10 + 4 * (i >= 10) for i, n in enumerate(NOISE)]
CREPT = [n / 10 + 0.5 * i for i, n in enumerate(NOISE)]


@pytest.mark.parametrize(
    ("change", "before", "after"),
    [
        (ChangeBeside.SITTING, Conditions(sitting=1), Conditions(sitting=2)),
        (ChangeBeside.INSTRUMENT, Conditions(instrument="a"), Conditions(instrument="b")),
        (ChangeBeside.PERSON, Conditions(person="A"), Conditions(person="B")),
        (ChangeBeside.DAY, Conditions(day="2024-03-01"), Conditions(day="2024-03-02")),
        (ChangeBeside.TEMPERATURE, Conditions(temperature=D(20)), Conditions(temperature=D(27))),
    ],
)
def test_a_jump_with_a_change_of_the_reading_is_said_to_be_that(
    change: ChangeBeside, before: Conditions, after: Conditions
) -> None:
    drift = judged(JUMPED, [before] * 10 + [after] * 10)
    assert drift.status is DriftStatus.COINCIDES
    assert drift.coincides is not None
    assert (drift.coincides.change, drift.coincides.pieces) == (change, (11,))
    assert drift.cause is Cause.OPEN


def test_a_jump_inside_a_sitting_stays_a_jump() -> None:
    drift = judged(JUMPED, sitting(20, 5))
    assert (drift.status, drift.shape, drift.jumped_at) == (DriftStatus.JUMPED, TrendShape.JUMP, 10)
    assert drift.cause is Cause.OPEN  # no tool wears in one piece


def test_a_creep_that_goes_on_inside_the_sittings_stays_a_creep() -> None:
    drift = judged(CREPT, sitting(20, 7, 14))
    assert drift.status is DriftStatus.DRIFTING
    assert drift.cause is Cause.WEAR


def test_a_sitting_for_every_piece_explains_nothing() -> None:
    assert judged(CREPT, sitting(20, *range(1, 20))).status is DriftStatus.DRIFTING
