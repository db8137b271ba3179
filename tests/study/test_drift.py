"""The drift test as it is used: what it finds, what it keeps quiet about, and what it refuses."""

import math
import subprocess
import sys
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qlog.study.drift import shapes
from qlog.study.drift.looks import allowance, due, look_at, look_levels
from qlog.study.drift.trend_test import Cause, DriftStatus, Pooled, assess, pool, read_cause

# Made-up cup bores: a boring tool that wears by 2 µm a piece, read to 1 µm.
WEARING = [8.012, 8.011, 8.008, 8.007, 8.004, 8.003, 8.000, 7.999]
# Made-up stem spigots that stay where they are.
QUIET = [8.004, 8.006, 8.003, 8.005, 8.006, 8.003, 8.005, 8.004, 8.006, 8.004]


def test_a_wearing_tool_is_found_and_named() -> None:
    drift = assess(range(1, 9), WEARING, planned=10, step=0.001, tolerance=0.015, measures="inside")
    assert drift.status is DriftStatus.DRIFTING
    assert drift.slope == pytest.approx(-0.0019, abs=1e-4)
    assert drift.slope_low is not None and drift.slope_high is not None
    assert drift.slope_low < -0.0019 < drift.slope_high < 0
    assert drift.change == pytest.approx(-0.0136, abs=5e-4)
    assert drift.since == 1
    assert drift.found_at in range(5, 9)
    assert drift.cause is Cause.WEAR


def test_a_steady_process_stays_quiet_at_every_piece() -> None:
    for n in range(1, 11):
        drift = assess(range(1, n + 1), QUIET[:n], planned=10, step=0.001)
        assert drift.status is (DriftStatus.TOO_FEW if n < 5 else DriftStatus.STEADY)
        assert not drift.found
        assert drift.cause is Cause.OPEN


def test_an_early_finding_stays_when_the_drift_levels_out() -> None:
    warming = [8.000, 8.004, 8.008, 8.0121, 8.016, 8.0199, 8.024]
    early = assess(range(1, 8), warming, planned=12)
    assert early.status is DriftStatus.DRIFTING
    later = assess(range(1, 13), [*warming, 8.023, 8.024, 8.023, 8.024, 8.023], planned=12)
    assert later.found_at == early.found_at


def test_too_few_readings_have_no_look_but_a_slope_from_three() -> None:
    none = assess([], [], planned=8)
    assert (none.status, none.n) == (DriftStatus.TOO_FEW, 0)
    one = assess([1], [8.0], planned=8)
    assert (one.status, one.slope, one.level) == (DriftStatus.TOO_FEW, None, None)
    assert (one.status, one.n) == (DriftStatus.TOO_FEW, 1)
    assert assess([1], [8.0], planned=8, pooled=Pooled(0.002, 12)).level is not None
    three = assess([1, 2, 3], [8.0, 8.001, 8.002], planned=8)
    assert three.slope == pytest.approx(0.001)
    assert three.looks == ()


def test_a_coarse_display_is_said_to_be_too_coarse() -> None:
    same = assess(range(1, 9), [8.01] * 8, planned=8, step=0.01)
    assert same.status is DriftStatus.TOO_COARSE
    assert same.status is DriftStatus.TOO_COARSE
    flips = [8.01, 8.01, 8.02, 8.01, 8.01, 8.02, 8.01, 8.01]
    assert assess(range(1, 9), flips, planned=8, step=0.01).status is DriftStatus.TOO_COARSE
    # Half of the readings a step apart in time: might be a drift, the display cannot tell.
    late = [8.01] * 4 + [8.02] * 4
    assert assess(range(1, 9), late, planned=8, step=0.01).status is not DriftStatus.DRIFTING


def test_a_drift_of_many_coarse_steps_is_found_all_the_same() -> None:
    steps = [8.00, 8.01, 8.02, 8.03, 8.04, 8.05, 8.06, 8.07]
    drift = assess(range(1, 9), steps, planned=8, step=0.01)
    assert drift.status is DriftStatus.DRIFTING
    # The scatter cannot be smaller than rounding makes it.
    assert drift.line is not None
    assert drift.line.s == pytest.approx(0.01 / math.sqrt(12))


@pytest.mark.parametrize(
    ("step", "tolerance", "status"),
    [
        ("0.001", "0.13", DriftStatus.DRIFTING),  # a tenth is 0.013: 0.0136 matters
        ("0.001", "0.15", DriftStatus.TOO_SMALL),  # a tenth is 0.015
        ("0.006", None, DriftStatus.DRIFTING),  # two steps are 0.012
        ("0.007", None, DriftStatus.TOO_SMALL),  # two steps are 0.014
        (None, "0.15", DriftStatus.TOO_SMALL),
        (None, None, DriftStatus.DRIFTING),
    ],
)
def test_only_what_matters_is_reported(
    step: str | None, tolerance: str | None, status: DriftStatus
) -> None:
    drift = assess(
        range(1, 9),
        WEARING,
        planned=8,
        step=None if step is None else Decimal(step),
        tolerance=None if tolerance is None else Decimal(tolerance),
    )
    assert drift.status is status
    assert drift.found
    if status is DriftStatus.TOO_SMALL:
        assert drift.status is DriftStatus.TOO_SMALL


def test_a_change_exactly_at_the_threshold_matters() -> None:
    # 0.004 over the batch, a tenth of 0.04: equal in decimal, not in binary.
    values = [Decimal("8.000") + Decimal("0.001") * k for k in range(5)]
    drift = assess(range(1, 6), values, planned=5, tolerance=Decimal("0.04"))
    assert drift.status is DriftStatus.DRIFTING


def test_earlier_setups_lend_their_scatter() -> None:
    # Eight readings alone cannot show it, with thirty degrees of freedom more they can.
    values = [8.000, 8.003, 8.001, 8.004, 8.006, 8.004, 8.007, 8.006]
    alone = assess(range(1, 9), values, planned=8)
    helped = assess(range(1, 9), values, planned=8, pooled=Pooled(0.0012, 30))
    assert alone.line is not None and helped.line is not None
    assert (alone.line.df, helped.line.df) == (6, 36)
    assert helped.looks[-1].p < alone.looks[-1].p
    assert helped.pooled and not alone.pooled


def test_a_pool_that_the_readings_refute_is_not_used() -> None:
    wild = [8.00, 8.09, 7.95, 8.06, 7.93, 8.08, 7.97, 8.04]
    drift = assess(range(1, 9), wild, planned=8, pooled=Pooled(0.001, 30))
    assert not drift.pooled
    assert drift.line is not None and drift.line.df == 6
    assert drift.status is DriftStatus.STEADY
    # A pool without scatter cannot explain any, and says nothing where there is none.
    assert not assess(range(1, 9), wild, planned=8, pooled=Pooled(0, 30)).pooled
    assert not assess(range(1, 6), [8.0] * 5, planned=8, pooled=Pooled(0, 30)).pooled


def test_a_level_keeps_its_own_scatter_where_a_young_drift_may_hide() -> None:
    # Not provable in five pieces, but too wide about its level for siblings with 0.9 µm.
    values = [8.0000, 8.0018, 8.0005, 8.0035, 8.0030]
    drift = assess(range(1, 6), values, planned=12, pooled=Pooled(0.0009, 30))
    assert not drift.found and drift.pooled
    assert drift.line is not None and drift.level is not None
    assert (drift.line.df, drift.level.df) == (33, 4)
    assert drift.level.s == pytest.approx(0.00153, abs=1e-5)
    calm = assess(
        range(1, 6), [8.000, 8.001, 8.0005, 8.001, 8.000], planned=12, pooled=Pooled(0.0009, 30)
    )
    assert calm.level is not None and calm.level.df == 34


def test_the_pool_takes_a_line_out_of_each_stretch() -> None:
    straight = (range(1, 9), [5 + 0.01 * k for k in range(8)])
    zigzag = ([1, 2, 4, 5], [3.0, 3.002, 3.0, 3.002])
    together = pool([straight, zigzag, ([1, 2], [7.0, 7.5])])
    assert together is not None
    assert together.df == 6 + 2  # two readings leave nothing beside their line
    # By hand: x about its mean -2 -1 1 2, y about its mean -1 1 -1 1 (in 0.001): Sxy = 2 - 1 - 1
    # + 2 = 2, Sxx = 10, Syy = 4, hence 4 - 4/10 = 3.6 about the line.
    assert together.s == pytest.approx(0.001 * math.sqrt(3.6 / 8), rel=1e-9)
    assert pool([([1, 2], [7.0, 7.5])]) is None
    assert pool([]) is None


@given(
    st.integers(5, 60).flatmap(
        lambda n: st.tuples(
            st.just(n),
            st.sets(st.integers(1, n), max_size=n),
            st.sets(st.integers(2, n), max_size=4),
        )
    )
)
def test_levels_of_all_setups_add_up_to_the_allowance_at_most(
    batch: tuple[int, set[int], set[int]],
) -> None:
    planned, read, changes = batch
    starts = [1, *sorted(changes)]
    ends = [*starts[1:], planned + 1]
    own = 0.0
    for first, end in zip(starts, ends, strict=True):
        order = [piece for piece in sorted(read) if first <= piece < end]
        levels = look_levels(order, planned, first)
        assert [k for k, _ in levels] == [
            k for k in range(5, len(order) + 1) if look_at(k) or order[k - 1] == planned
        ]
        assert all(0 < level < 0.02 for _, level in levels)
        own += due(order[-1], planned) - due(first - 1, planned) if levels else 0.0
    # What comes due over all setups is no more than the whole; a level is never below its share.
    assert own <= 1 + 1e-12


def test_a_look_is_given_at_least_what_came_due_since_the_look_before() -> None:
    levels = dict(look_levels(range(1, 21), 20))
    for k in range(6, 21):
        fresh = allowance(k) * (due(k, 20) - due(k - 1, 20))
        assert fresh < levels[k] < 5 * fresh


def test_long_setups_are_looked_at_less_often_but_at_the_last_piece() -> None:
    looks = [k for k, _ in look_levels(range(1, 301), 300)]
    assert looks[:36] == list(range(5, 41))
    assert len(looks) < 70
    assert looks[-1] == 300


def test_a_later_setup_is_a_trend_of_its_own() -> None:
    before, after = QUIET[:5], [value + 0.05 for value in QUIET[5:]]
    # One line across the touch would find the jump.
    assert assess(range(1, 11), before + after, planned=10).found
    assert not assess(range(6, 11), after, planned=10).found
    # A scrapped piece at the start of the setup leaves its share of the allowance to it.
    assert look_levels(range(7, 12), 12, first=6) > look_levels(range(7, 12), 12, first=7)


def test_more_pieces_than_planned_count_as_planned() -> None:
    longer = assess(range(1, 11), QUIET, planned=8)
    assert longer.looks == assess(range(1, 11), QUIET, planned=10).looks


@given(
    st.lists(st.integers(-400, 400), min_size=5, max_size=12), st.sampled_from([0.0, 8.0, 250.0])
)
def test_turning_the_readings_over_turns_the_sign_only(raw: list[int], size: float) -> None:
    up = assess(range(1, len(raw) + 1), [size + v / 1000 for v in raw], planned=12, step=0.001)
    down = assess(range(1, len(raw) + 1), [size - v / 1000 for v in raw], planned=12, step=0.001)
    assert up.slope is not None and down.slope is not None
    assert up.slope == pytest.approx(-down.slope, abs=1e-12)
    assert [look.p for look in up.looks] == pytest.approx([look.p for look in down.looks], abs=1e-6)


@given(st.lists(st.integers(-400, 400), min_size=5, max_size=12))
def test_the_unit_does_not_matter(raw: list[int]) -> None:
    order = range(1, len(raw) + 1)
    mm = assess(order, [8 + v / 1000 for v in raw], planned=12, step=0.001)
    um = assess(order, [8000 + v for v in raw], planned=12, step=1)
    assert [look.p for look in mm.looks] == pytest.approx([look.p for look in um.looks], abs=1e-6)


def test_decimals_are_welcome() -> None:
    exact = assess(
        range(1, 9), [Decimal(str(v)) for v in WEARING], planned=10, step=Decimal("0.001")
    )
    assert exact == assess(range(1, 9), WEARING, planned=10, step=0.001)


@pytest.mark.parametrize(
    ("slope", "measures", "cause"),
    [
        # A worn tool cuts less: outsides stay large, bores stay small (common practice).
        (0.1, "outside", Cause.WEAR),
        (-0.1, "outside", Cause.NOT_WEAR),
        (-0.1, "inside", Cause.WEAR),
        (0.1, "inside", Cause.NOT_WEAR),
        (0.1, "length", Cause.OPEN),
        (0.1, "depth", Cause.OPEN),
        (0.1, "", Cause.OPEN),
        (0.0, "outside", Cause.OPEN),
    ],
)
def test_the_sign_is_read_as_wear_or_not(slope: float, measures: str, cause: Cause) -> None:
    assert read_cause(slope, measures) is cause


def test_what_the_last_look_could_have_found_is_stated() -> None:
    drift = assess(range(1, 11), QUIET, planned=10)
    assert drift.detectable is not None and drift.line is not None
    # A line of just that change would have its t at the critical value of the look.
    error = drift.line.s / math.sqrt(drift.line.sxx)
    from scipy import stats

    t = drift.detectable / 9 / error
    assert 2 * stats.t.sf(t, 8) == pytest.approx(drift.looks[-1].level, rel=1e-6)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"order": [1, 2], "values": [8.0]}, "2 piece numbers for 1 reading"),
        ({"order": [2, 1], "values": [8.0, 8.1]}, "must rise"),
        ({"order": [1, 1], "values": [8.0, 8.1]}, "must rise"),
        ({"order": [0, 1], "values": [8.0, 8.1]}, "start at 1"),
        ({"order": [1, 2], "values": [8.0, math.nan]}, "not a finite number"),
        ({"order": [1], "values": [8.0], "planned": 0}, "at least one piece"),
        ({"order": [1], "values": [8.0], "step": -1}, "display step"),
        ({"order": [1], "values": [8.0], "tolerance": math.inf}, "tolerance"),
        ({"order": [3, 4], "values": [8.0, 8.0], "first": 4}, "cannot start at piece 4"),
    ],
)
def test_bad_input_is_refused_with_words(arguments: dict[str, object], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        assess(**{"planned": 8, **arguments})  # type: ignore[arg-type]


def test_a_pool_needs_degrees_of_freedom() -> None:
    with pytest.raises(ValueError, match="df >= 1"):
        Pooled(0.1, 0)
    with pytest.raises(ValueError, match="s >= 0"):
        Pooled(-0.1, 3)


def test_the_stream_loads_no_numpy_and_no_scipy() -> None:
    code = (
        "import sys\n"
        "from decimal import Decimal as D\n"
        "loaded = {'numpy', 'scipy'} & set(sys.modules)\n"
        "assert not loaded, loaded\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@given(
    st.lists(st.integers(-20, 20), min_size=8, max_size=30),
    st.floats(-6, 6),
    st.sampled_from([(0.0, 0), (400.0, 6)]),
    st.floats(0.05, 0.9),
)
def test_no_shape_that_a_quiet_look_passes_over_reaches_its_share(
    scatter: list[int], creep: float, known: tuple[float, int], reach: float
) -> None:
    """Quiet by sums of squares is what the figures say: explained / (whole + known) is the same."""
    squares, df = known
    n = len(scatter)
    sums = shapes.Sums(range(1, n + 1), [creep * k + y for k, y in enumerate(scatter)], 1)
    held = shapes.tested(sums, n, squares=squares, df=df, floor=0.0)
    shares = [t * t / (n - 2 + df + t * t) if math.isfinite(t) else 1.0 for _, t, _ in held]
    assert len(shares) == len(shapes.weights(n))
    if not any(abs(share - reach) < 1e-6 for share in shares):
        assert shapes.quiet(sums, n, [reach] * len(shares), squares) is all(
            s < reach for s in shares
        )
