"""The trend line, its test and its forecast against published figures and reference libraries."""

import math

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from qlog.study.distributions import (
    f_above,
    incomplete_beta,
    normal_score,
    t_below,
    t_both_tails,
    t_critical,
)
from qlog.study.drift.forecast import _mixture, forecast
from qlog.study.drift.predicted import UNSTEADY
from qlog.study.drift.shapes import Sums, fits
from qlog.study.drift.trend_test import assess

# Average heights (in) and weights (lb) of women aged 30 to 39, The World Almanac and Book of
# Facts 1975, as in R's data set `women`: fifteen values over consecutive whole numbers.
HEIGHTS = range(58, 73)
WEIGHTS = [115, 117, 120, 123, 126, 129, 132, 135, 139, 142, 146, 150, 154, 159, 164]


def test_line_agrees_with_the_published_fit() -> None:
    # R, summary(lm(weight ~ height, data = women)): intercept -87.51667, slope 3.45000 with
    # standard error 0.09114, residual standard error 1.525 on 13 degrees of freedom, F = 1433;
    # read in R's output as open course notes print it.
    drift = assess(HEIGHTS, WEIGHTS, planned=72)
    assert drift.line is not None
    assert drift.line.slope == pytest.approx(3.45, abs=5e-6)
    assert drift.line.at(0) == pytest.approx(-87.51667, abs=5e-6)
    assert drift.line.s == pytest.approx(1.525, abs=5e-4)
    assert drift.line.df == 13
    assert drift.line.s / drift.line.sxx**0.5 == pytest.approx(0.09114, abs=5e-6)
    assert drift.looks[-1].t ** 2 == pytest.approx(1433, abs=0.5)


def test_every_look_is_the_slope_test_of_scipy() -> None:
    order = [1, 2, 3, 5, 6, 8, 9, 10]
    values = [8.003, 8.001, 8.006, 8.004, 8.009, 8.007, 8.012, 8.010]
    drift = assess(order, values, planned=10)
    assert [look.n for look in drift.looks] == [5, 6, 7, 8]
    for look in drift.looks:
        reference = stats.linregress(order[: look.n], values[: look.n])
        assert look.slope == pytest.approx(reference.slope, rel=1e-9)
        assert look.t == pytest.approx(reference.slope / reference.stderr, rel=1e-9)
        assert look.p == pytest.approx(reference.pvalue, rel=1e-9)
    low, high = sm.OLS(values, sm.add_constant(order)).fit().conf_int()[1]
    assert (drift.slope_low, drift.slope_high) == pytest.approx((low, high), rel=1e-9)


def test_prediction_interval_of_the_line_is_that_of_statsmodels() -> None:
    drift = assess(HEIGHTS, WEIGHTS, planned=76)
    creep = next(f for f in drift.fits if f.shape == "creep") if len(drift.fits) == 1 else None
    fitted = sm.OLS(WEIGHTS, sm.add_constant(np.asarray(HEIGHTS))).fit()
    ahead = np.column_stack([np.ones(4), np.arange(73, 77)])
    table = fitted.get_prediction(ahead).summary_frame(alpha=0.05)
    assert drift.line is not None
    reach = t_critical(0.05, drift.line.df)
    for i, piece in enumerate(range(73, 77)):
        for fit in filter(None, (drift.line, creep)):
            assert fit.at(piece) == pytest.approx(table["mean"][i], rel=1e-9)
            half = reach * fit.s * math.hypot(1, *fit.errors(piece))
            assert fit.at(piece) - half == pytest.approx(table["obs_ci_lower"][i], rel=1e-9)
            assert fit.at(piece) + half == pytest.approx(table["obs_ci_upper"][i], rel=1e-9)


def test_prediction_interval_of_the_level_is_that_of_statsmodels() -> None:
    values = [8.003, 8.001, 8.006, 8.000]  # below five readings no other shape has a say
    outlook = forecast(assess(range(1, 5), values, planned=8), planned=8, lower=None, upper=None)
    assert outlook is not None and outlook.model == "level"
    table = sm.OLS(values, np.ones(4)).fit().get_prediction(np.ones((1, 1)))
    interval = table.summary_frame(alpha=0.05)
    half = interval["obs_ci_upper"][0] - interval["mean"][0]
    for coming in outlook.coming:
        assert coming.expected == pytest.approx(interval["mean"][0], rel=1e-12)
        # Besides, the slope may change on the way: of k steps of it the last is felt once.
        steps = UNSTEADY * np.linalg.norm(np.arange(1, coming.piece - 3))
        wide = np.hypot(half, t_critical(0.05, 3) * np.std(values, ddof=1) * steps)
        assert coming.low == pytest.approx(coming.expected - wide, rel=1e-9)
        assert coming.high == pytest.approx(coming.expected + wide, rel=1e-9)


def test_every_shape_is_least_squares_as_statsmodels_fits_it() -> None:
    order = [2, 3, 4, 6, 7, 8, 9, 10, 12]
    noise = np.array([0.3, -0.6, 0.2, -0.1, 0.8, -0.4, 0.1, 0.5, -0.2])
    x = np.asarray(order, float)
    seen = set()
    cases = [noise, noise + 0.2 * x, noise * 0.3 - 9 * np.exp(-(x - 1) / 1.5) + 0.6 * x]
    listed = [(case.tolist(), fit) for case in cases for fit in fits(Sums(order, case.tolist(), 1))]
    for values, fit in listed:
        falls = np.exp(-(x - 1) / fit.place) if fit.place else x
        columns = {
            "level": [],
            "creep": [x],
            "late creep": [np.maximum(x - fit.place, 0)],
            "jump": [(x > fit.place) * 1.0],
            "settling": [falls],
            "run-in": [falls, x],
        }[fit.shape]
        design = np.column_stack([np.ones(len(x)), *columns])
        model = sm.OLS(values, design).fit()
        table = model.get_prediction(design[-1:]).summary_frame(alpha=0.05)
        assert fit.s == pytest.approx(np.sqrt(model.mse_resid), rel=1e-6)
        assert fit.at(12) == pytest.approx(table["mean"][0], rel=1e-9)
        half = t_critical(0.05, fit.df) * fit.s * math.hypot(1, *fit.errors(12))
        assert fit.at(12) + half == pytest.approx(table["obs_ci_upper"][0], rel=1e-7)
        seen.add(fit.shape)
    assert len(seen) == 6


@pytest.mark.parametrize("moved", ["level", "creep", "late", "jump", "settling"])
@pytest.mark.parametrize("read", [4, 6, 8, 12, 15])
@pytest.mark.parametrize("half", [2.0, 3.5, 8.0])
def test_joint_chance_is_the_multivariate_t_of_scipy(moved: str, read: int, half: float) -> None:
    movement = {
        "level": lambda i: 0.0 * i,
        "creep": lambda i: 0.15 * i,
        "late": lambda i: 0.4 * max(i - 6, 0),
        "jump": lambda i: 3.0 * (i > 3),
        "settling": lambda i: -5 * np.exp(-i / 1.5),
    }[moved]
    rng = np.random.default_rng(read)
    values = [movement(i) + rng.standard_normal() for i in range(read)]
    drift = assess(range(1, read + 1), values, planned=20)
    law = _mixture(drift).predicted  # type: ignore[union-attr]
    pieces = list(range(read + 1, 21))
    # Place and covariance of the mixture of all shapes, written out with matrices: the scatter of
    # each reading, the errors of each fit, the steps of the slope, and what the shapes differ by.
    own = sum(w * f.s**2 for w, f in law.fits)
    steps = np.array([[max(p - read - k, 0) for k in range(20)] for p in pieces])
    cov = own * (np.eye(len(pieces)) + UNSTEADY**2 * steps @ steps.T)
    expected = np.array([[law.at(f, p) for p in pieces] for _, f in law.fits])
    middle = np.array([w for w, _ in law.fits]) @ expected
    for (w, f), places in zip(law.fits, expected, strict=True):
        errors = np.array([f.errors(p) for p in pieces])
        cov += w * (f.s**2 * errors @ errors.T + np.outer(places - middle, places - middle))
    df = min(5, *(f.df for _, f in law.fits))
    alone = stats.t(df, middle, np.sqrt(np.diag(cov)))
    for piece, chance in zip(pieces, alone.cdf(half) - alone.cdf(-half), strict=True):
        assert law.chance_inside(piece, -half, half) == pytest.approx(chance, abs=1e-9)
    ends = np.full(len(pieces), half)
    together = stats.multivariate_t(middle, cov, df=df, seed=1)
    reference = float(together.cdf(ends, lower_limit=-ends, maxpts=20_000))
    assert law.chance_all(pieces, -half, half) == pytest.approx(reference, abs=3e-3)


@pytest.mark.parametrize(
    ("df", "both_tails", "critical"),
    # Critical values of Student's t, three decimals: NIST/SEMATECH e-Handbook 1.3.6.7.2
    # (one-sided 0.05, 0.025, 0.01, 0.005, 0.001), read in a reprint of its table.
    [
        (3, 0.10, 2.353),
        (3, 0.01, 5.841),
        (6, 0.05, 2.447),
        (6, 0.01, 3.707),
        (10, 0.05, 2.228),
        (18, 0.01, 2.878),
        (30, 0.05, 2.042),
        (30, 0.002, 3.385),
        (100, 0.05, 1.984),
    ],
)
def test_t_table(df: int, both_tails: float, critical: float) -> None:
    assert t_critical(both_tails, df) == pytest.approx(critical, abs=5.1e-4)
    assert t_both_tails(critical, df) == pytest.approx(both_tails, rel=2e-3)


@pytest.mark.parametrize("df", [1, 2, 3, 6, 29, 30, 58, 400, 20_000])
def test_tails_agree_with_scipy(df: int) -> None:
    for t in (0.0, 1e-9, 0.3, 1.0, 2.5, 6.0, 25.0, -1.7, -9.0):
        assert t_both_tails(t, df) == pytest.approx(2 * stats.t.sf(abs(t), df), rel=1e-9)
        assert t_below(t, df) == pytest.approx(stats.t.cdf(t, df), rel=1e-9)
    for p in (0.9, 0.05, 1e-3, 7e-6):
        assert t_critical(p, df) == pytest.approx(stats.t.isf(p / 2, df), rel=1e-8)
    for bottom in (1, 5, 30, 300):
        for ratio in (0.01, 0.5, 1.0, 3.0, 40.0):
            assert f_above(ratio, df, bottom) == pytest.approx(
                stats.f.sf(ratio, df, bottom), rel=1e-8, abs=1e-14
            )


@pytest.mark.parametrize("tail", [1e-15, 1e-9, 1e-4, 0.01, 0.2, 0.4999, 0.5, 0.7, 0.999])
def test_normal_scores_agree_with_scipy(tail: float) -> None:
    assert normal_score(tail) == pytest.approx(float(stats.norm.isf(tail)), rel=1e-9, abs=1e-9)


def test_incomplete_beta_at_its_ends_and_outside() -> None:
    assert incomplete_beta(2.5, 0.5, 0) == 0
    assert incomplete_beta(2.5, 0.5, 1) == 1
    with pytest.raises(ValueError, match="needs a, b > 0"):
        incomplete_beta(0, 1, 0.5)
    with pytest.raises(ValueError, match="0 <= x <= 1"):
        incomplete_beta(1, 1, 1.5)
