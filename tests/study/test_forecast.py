"""Forecasts as the bench needs them: where the line leaves, and what is still to be had."""

from decimal import Decimal

import numpy as np
import pytest
from scipy import stats

from qlog.study.drift.forecast import COVERAGE, Forecast, Model, forecast
from qlog.study.drift.predicted import UNSTEADY, Predicted, wandered
from qlog.study.drift.shapes import GOING_ON, TrendShape
from qlog.study.drift.trend_test import FittedLine, Pooled, SetupDrift, assess

# Made-up cup bores growing 4 µm a piece, with a scatter of about 0.4 µm.
GROWING = [7.9922, 7.9958, 8.0004, 8.0038, 8.0082, 8.0119]
D = Decimal


def ahead(
    values: list[float], planned: int, lower: str | None, upper: str | None, joint: bool = True
) -> Forecast:
    drift = assess(range(1, len(values) + 1), values, planned=planned)
    outlook = forecast(
        drift,
        planned=planned,
        lower=None if lower is None else D(lower),
        upper=None if upper is None else D(upper),
        joint=joint,
    )
    assert outlook is not None
    return outlook


def test_the_piece_at_which_the_line_leaves() -> None:
    outlook = ahead(GROWING, 10, "7.990", "8.020")
    assert outlook.model is Model.LINE
    assert [coming.piece for coming in outlook.coming] == [7, 8, 9, 10]
    assert outlook.next.piece == 7
    # 7: 8.016, 8: 8.0199, 9: 8.0239
    assert outlook.leaves == 9
    assert outlook.over == "upper"
    assert outlook.leaves_at == pytest.approx(8.0239, abs=2e-4)
    assert outlook.good_left == 2
    assert outlook.may_leave == 8
    chances = [coming.chance_inside for coming in outlook.coming]
    assert all(chance is not None for chance in chances)
    assert chances == sorted(chances, reverse=True)
    assert chances[0] is not None and chances[0] > 0.99
    assert outlook.chance_all is not None
    assert outlook.chance_all <= min(chance for chance in chances if chance is not None)


def test_a_line_exactly_on_the_limit_is_still_in() -> None:
    # Quarters are exact in binary: pieces 1 to 5 read 1.25 to 2.25, piece 8 will be 3.00.
    values = [1.25, 1.5, 1.75, 2.0, 2.25]
    outlook = ahead(values, 12, None, "3.00")
    assert outlook.leaves == 9
    assert outlook.good_left == 3
    # In thousandths binary dust must not push the line over: piece 6 is 8.015.
    assert ahead([8.010, 8.011, 8.012, 8.013, 8.014], 12, None, "8.015").leaves == 7


def test_shrinking_leaves_over_the_lower_limit() -> None:
    outlook = ahead([-value for value in GROWING], 10, "-8.020", None)
    assert (outlook.leaves, outlook.over) == (9, "lower")


def test_leaving_after_the_batch_is_told_as_well() -> None:
    outlook = ahead(GROWING, 7, "7.990", "8.020")
    assert outlook.leaves == 9
    assert [coming.piece for coming in outlook.coming] == [7]


def test_nothing_left_to_make() -> None:
    outlook = ahead(GROWING, 6, "7.990", "8.020")
    assert outlook.coming == ()
    assert outlook.chance_all is None
    assert outlook.next.piece == 7


def test_a_level_is_carried_on_where_no_trend_was_found() -> None:
    values = [8.004, 8.006, 8.003, 8.005, 8.006, 8.003]
    outlook = ahead(values, 10, "7.990", "8.020")
    assert outlook.model is Model.LEVEL
    assert [coming.expected for coming in outlook.coming] == pytest.approx([8.0045] * 4)
    assert outlook.leaves is None and outlook.good_left is None
    # Six readings cannot rule a slow creep out, nor one that begins later: not in this batch.
    assert outlook.may_leave is None or outlook.may_leave > outlook.planned
    assert outlook.over == ""
    assert outlook.chance_all is not None and outlook.chance_all > 0.95


def test_a_level_already_outside_leaves_at_once() -> None:
    outlook = ahead([8.034, 8.036, 8.033, 8.035, 8.036, 8.033], 10, "7.990", "8.020")
    assert (outlook.leaves, outlook.good_left, outlook.over) == (7, 0, "upper")
    assert outlook.chance_all is not None and outlook.chance_all < 1e-3


def test_without_limits_there_is_no_chance_and_no_leaving() -> None:
    outlook = ahead(GROWING, 10, None, None)
    assert outlook.next.chance_inside is None
    assert outlook.chance_all is None
    assert outlook.leaves is None and outlook.may_leave is None


def test_the_quick_way_leaves_out_the_joint_chance_only() -> None:
    quick, full = (ahead(GROWING, 10, "7.990", "8.020", joint) for joint in (False, True))
    assert quick.chance_all is None
    assert (quick.coming, quick.leaves) == (full.coming, full.leaves)


def test_one_piece_left_has_the_same_chance_alone_and_together() -> None:
    outlook = ahead(GROWING, 7, "7.990", "8.017")
    assert outlook.next.chance_inside is not None
    assert outlook.chance_all == pytest.approx(outlook.next.chance_inside, abs=2e-4)


def test_equal_readings_without_a_display_step_are_taken_at_their_word() -> None:
    outlook = ahead([8.0] * 6, 10, "7.990", "8.020")
    assert (outlook.next.low, outlook.next.high) == (8.0, 8.0)
    assert outlook.next.chance_inside == 1
    assert outlook.chance_all == 1


def test_one_reading_alone_says_nothing_with_siblings_it_does() -> None:
    alone = assess([1], [8.0], planned=8)
    assert forecast(alone, planned=8, lower=None, upper=None) is None
    assert forecast(assess([], [], planned=8), planned=8, lower=None, upper=None) is None
    helped = assess([1], [8.0], planned=8, pooled=Pooled(0.002, 12))
    outlook = forecast(helped, planned=8, lower=None, upper=None)
    assert outlook is not None
    # 2.571 is t for 5 degrees of freedom, one reading and a new one scatter by sqrt(2) s; the
    # slope may have changed with the new piece.
    assert outlook.next.high - 8.0 == pytest.approx(2.571 * 0.002 * (2 + 0.12**2) ** 0.5, rel=1e-3)


@pytest.mark.parametrize("rate", [0.0, -0.002])
def test_nothing_is_foretold_below_zero_where_nothing_can_be(rate: float) -> None:
    values = [0.010 + rate * i + 0.004 * e for i, e in enumerate(NOISE[:6])]
    drift = assess(range(1, 7), values, planned=20)
    plain, based = (
        forecast(drift, planned=20, lower=None, upper=D("0.02"), zero_based=zero)
        for zero in (False, True)
    )
    assert plain is not None and based is not None
    for one, other in zip(plain.coming, based.coming, strict=True):
        assert (other.expected, other.low) == (max(one.expected, 0.0), max(one.low, 0.0))
        assert other.low <= other.expected <= other.high
    assert min(coming.low for coming in plain.coming) < 0 <= based.coming[-1].low


def test_limits_the_wrong_way_round_are_refused() -> None:
    drift = assess(range(1, 7), GROWING, planned=8)
    with pytest.raises(ValueError, match="lies above"):
        forecast(drift, planned=8, lower=D(9), upper=D(8))


def test_the_joint_chance_is_the_same_every_time_and_shrinks_with_every_piece() -> None:
    fit = FittedLine(n=8, centre=4.5, mean=0.0, slope=0.05, sxx=42.0, s=1.0, df=6)
    chances, again = (
        [law.chance_all(range(9, 9 + k), -3, 3) for k in range(1, 8)]
        for law in (Predicted([(1.0, fit)], last=8), Predicted([(1.0, fit)], last=8))
    )
    assert chances == again
    assert chances == sorted(chances, reverse=True)
    everything = (float("-inf"), float("inf"))
    assert Predicted([(1.0, fit)], last=8).chance_all([9, 10], *everything) == pytest.approx(1)


@pytest.mark.parametrize("read", [4, 6, 9, 14, 16])
def test_interval_and_chance_say_the_same(read: int) -> None:
    """The interval is itself a pair of limits: the chance to read within it is its coverage."""
    values = [e + max(i - 8, 0) for i, e in enumerate(NOISE, start=1)][:read]
    drift = assess(range(1, read + 1), values, planned=20)
    outlook = forecast(drift, planned=20, lower=None, upper=None)
    assert outlook is not None
    for coming in outlook.coming:
        within = forecast(drift, planned=20, lower=D(coming.low), upper=D(coming.high))
        assert within is not None
        chance = within.coming[coming.piece - read - 1].chance_inside
        # More only where the interval was widened to hold what the shape found expects.
        widened = coming.expected in (coming.low, coming.high)
        assert chance == pytest.approx(COVERAGE) or (widened and chance > COVERAGE)


def test_chances_fall_the_further_ahead_a_steady_setup_is_asked_about() -> None:
    values = [e + 5 for e in NOISE[:8]]
    outlook = ahead(values, 20, "4.0", "6.0")
    chances = [coming.chance_inside for coming in outlook.coming]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] > 0.9 and chances[-1] < 0.7  # type: ignore[operator]
    assert 0 < outlook.chance_all < chances[-1]  # type: ignore[operator]


def setup(values: list[float], planned: int, limit: str) -> tuple[SetupDrift, Forecast]:
    drift = assess(range(1, len(values) + 1), values, planned=planned)
    outlook = forecast(drift, planned=planned, lower=None, upper=D(limit), joint=False)
    assert outlook is not None
    return drift, outlook


NOISE = [0.3, -0.2, 0.1, -0.4, 0.2, 0.0, -0.1, 0.4, -0.3, 0.1, 0.2, -0.2, 0.3, -0.1, 0.0, -0.2]


def test_a_late_creep_is_carried_on_at_its_own_rate() -> None:
    # Level up to piece 8, then 1 a piece: piece 20 is at 12, the limit of 10.5 is passed at 19.
    values = [e + max(i - 8, 0) for i, e in enumerate(NOISE, start=1)]
    drift, outlook = setup(values, 20, "10.5")
    assert drift.shape is TrendShape.LATE_CREEP
    assert drift.since is not None and abs(drift.since - 8) <= 1
    assert outlook.leaves is not None and abs(outlook.leaves - 19) <= 1
    # One line through all of it would foretell it two pieces too late or more.
    assert drift.line is not None and drift.line.at(19) < 10


def test_a_late_creep_is_as_likely_at_any_rate_wherever_it_begins() -> None:
    """Weights of two places against numpy's least squares: fit, and the rate's standard error."""
    values = [4 * e + max(0, i - 9) for i, e in enumerate(NOISE[:15], start=1)]
    late = [f for f in setup(values, 20, "9")[0].fits if f.shape is TrendShape.LATE_CREEP]
    assert len(late) > 1

    def likely(place: float) -> float:
        grown = np.maximum(np.arange(1, 16) - place, 0)
        columns = np.column_stack([np.ones(15), grown])
        about = np.linalg.lstsq(columns, np.array(values), rcond=None)[1][0]
        return float(about ** (-15 / 2) / np.sqrt(((grown - grown.mean()) ** 2).sum()))

    first = late[0]
    for fit in late[1:]:
        expected = likely(fit.place) / likely(first.place)
        assert fit.weight / first.weight == pytest.approx(expected, rel=1e-9)


def test_a_settling_never_foretells_a_crossing() -> None:
    values = [e - 6 * 2.718 ** (-(i - 1) / 1.5) for i, e in enumerate(NOISE, start=1)]
    drift, outlook = setup(values, 20, "1.5")
    assert drift.shape is TrendShape.SETTLING
    assert outlook.leaves is None
    assert abs(outlook.coming[-1].expected) < 0.5


def test_after_a_jump_the_new_level_is_expected() -> None:
    values = [e + 3 * (i > 9) for i, e in enumerate(NOISE, start=1)]
    drift, outlook = setup(values, 20, "5")
    assert (drift.shape, drift.jumped_at) == (TrendShape.JUMP, 9)
    assert outlook.leaves is None
    assert outlook.next.expected == pytest.approx(3, abs=0.3)
    # A jump past the limit is no news of the coming pieces alone: they are expected outside.
    assert setup(values, 20, "2.5")[1].leaves == 17


def chances_by_scipy(drift: SetupDrift, limit: float, pieces: range) -> dict[int, float]:
    """Of each piece the chance that it is the first past: shapes that go on, by their weights."""
    going_on = [f for f in drift.fits if f.shape in GOING_ON]
    whole = sum(f.weight for f in going_on)
    last = pieces[0] - 1

    def passed(piece: int) -> float:
        return sum(
            f.weight / whole * stats.t.cdf(
                (f.at(last) + drift.shrink * (f.at(piece) - f.at(last)) - limit)
                / (f.s * np.linalg.norm(f.errors(piece))),
                f.df,
            )
            for f in going_on
        )  # fmt: skip

    return {p: passed(p) - (passed(p - 1) if p > pieces[0] else 0.0) for p in pieces}


@pytest.mark.parametrize(
    ("limit", "told"), [("7", True), ("15", True), ("16", True), ("18", False), ("20", False)]
)
def test_a_stretch_is_told_from_a_chance_of_a_quarter_on(limit: str, told: bool) -> None:
    values = [0.0, 0.3, -0.3, -0.9, -0.5, -1.0, 0.1, 1.3, -0.5, -0.6, 1.2, 1.9, 2.4, 2.1, 3.7]
    drift = assess(range(1, 16), values, planned=20)
    chances = chances_by_scipy(drift, float(limit), range(16, 50))
    best = max(range(16, 47), key=lambda p: sum(chances[p + k] for k in range(3)))
    assert (sum(chances[best + k] for k in range(3)) >= 0.25) == told
    found = forecast(drift, planned=60, lower=None, upper=Decimal(limit), joint=False)
    assert found is not None and found.leaves is not None
    assert found.between == ((best, best + 2) if told else None)


def test_the_stretch_in_which_a_limit_is_likeliest_passed() -> None:
    """Held against scipy's t: every shape that goes on, by its weight, passes the limit or not."""
    values = [0.1, -0.6, 0.4, 0.9, -0.3, 0.2, -0.8, 0.5, 0.0, 1.1, 1.6, 2.9, 3.2, 4.4, 5.1]
    drift = assess(range(1, 16), values, planned=20)
    found = forecast(drift, planned=20, lower=None, upper=Decimal("7.2"))
    assert found is not None and found.between is not None
    chances = chances_by_scipy(drift, 7.2, range(16, 40))
    best = max(range(16, 37), key=lambda p: sum(chances[p + k] for k in range(3)))
    stretch = [p for p in range(best, best + 3) if chances[p] >= 0.001]
    assert found.between == (stretch[0], stretch[-1])
    assert found.leaves is not None and found.between[0] <= found.leaves
    # Far beyond the batch, and where nothing goes on, there is none.
    assert forecast(drift, planned=16, lower=None, upper=Decimal("7.2")).between is None  # type: ignore[union-attr]
    level = assess(range(1, 9), values[:8], planned=20)
    assert forecast(level, planned=20, lower=None, upper=Decimal("1.2")).between is None  # type: ignore[union-attr]


@pytest.mark.parametrize("ahead", [1, 2, 8, 12])
def test_a_slope_that_wanders_spreads_as_the_state_space_model_says(ahead: int) -> None:
    # The covariance of level and slope carried on step by step: P <- F P F' + Q, with the slope's
    # step felt at once by the level (Harvey, smooth trend), and nothing unknown at the beginning.
    carried = np.array([[1.0, 1.0], [0.0, 1.0]])
    step = UNSTEADY**2 * np.ones((2, 2))
    unknown = np.zeros((2, 2))
    for _ in range(ahead):
        unknown = carried @ unknown @ carried.T + step
    assert wandered(ahead, ahead) == pytest.approx(unknown[0, 0])
    # Three pieces on, without further steps, the level has moved on by three slopes.
    assert wandered(ahead, ahead + 3) == pytest.approx(unknown[0, 0] + 3 * unknown[0, 1])
