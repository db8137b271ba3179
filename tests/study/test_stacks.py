"""Stacks beyond the published example: edge cases, even spread, assemblies."""

from decimal import Decimal

import numpy as np
import pytest
import scipy.stats

from qlog.drawing.decision import DecisionRule, Rule
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.study.conformity.verdict import Verdict
from qlog.study.fit.evenly import TAIL, EvenlySpread, evenly_spread
from qlog.study.fit.joints import Sized
from qlog.study.fit.stacks import Term, assembly, budget, combinations, possible

dec = Decimal


def lim(low: str | None, high: str | None) -> Limits:
    return Limits(None if low is None else dec(low), None if high is None else dec(high), Unit.MM)


def test_one_limit_no_terms_and_zero_signs_are_refused() -> None:
    with pytest.raises(ValueError, match="only one limit"):
        budget([Term("x", 1, lim("1", None))])
    with pytest.raises(ValueError, match="at least one"):
        budget([])
    with pytest.raises(ValueError, match="cannot be 0"):
        budget([Term("x", 0, lim("1", "2"))])


def test_a_dimension_taken_twice_counts_twice_in_worst_case_but_not_in_square() -> None:
    result = budget([Term("washer", 2, lim("0.9", "1.1"))], lim("1.8", "2.2"))
    assert (result.middle, result.worst) == (dec("2.0"), dec("0.2"))
    assert float(result.rss) == pytest.approx(0.1 * 2**0.5)


def test_two_equal_dimensions_spread_evenly_make_a_triangle() -> None:
    # Two rectangles of half width 0.1 make a triangle: 3/4 within ±0.1, and
    # beyond x lies (0.2 - x)² / 0.08.
    terms = [Term("a", 1, lim("9.9", "10.1")), Term("b", -1, lim("4.9", "5.1"))]
    evenly = budget(terms, lim("4.9", "5.1")).evenly
    assert evenly is not None
    assert evenly.inside == pytest.approx(0.75)
    assert evenly.high == pytest.approx(5.2 - (0.00135 * 0.08) ** 0.5)
    assert evenly.low + evenly.high == pytest.approx(10)
    without, one = budget(terms).evenly, budget(terms, lim(None, "5.0")).evenly
    assert without is not None and without.inside is None
    assert one is not None and one.inside == pytest.approx(0.5)


@pytest.mark.parametrize("count", [1, 2, 3, 7, 12])
def test_equal_dimensions_spread_evenly_as_a_library_has_it(count: int) -> None:
    # scipy.stats.irwinhall: the sum of so many rectangular variables from 0 to 1.
    sums = scipy.stats.irwinhall(count)
    limits = lim("-0.7", "0.4")
    evenly = evenly_spread([dec("0.5")] * count, dec(0), limits.lower, limits.upper)
    middle = count / 2
    assert evenly is not None
    assert evenly.high == pytest.approx(sums.isf(TAIL) - middle)
    assert evenly.inside == pytest.approx(sums.cdf(middle + 0.4) - sums.cdf(middle - 0.7))


@pytest.mark.parametrize("count", [2, 5, 11, 18, 40])
def test_unlike_dimensions_spread_evenly_as_a_million_draws_do(count: int) -> None:
    # Halves with six digits: from twelve terms on they are rounded to a step, which must not show.
    random = np.random.default_rng(count)
    halves = [dec(str(half)).quantize(dec("1e-6")) for half in random.uniform(0.01, 0.2, count)]
    drawn = sum(random.uniform(-float(half), float(half), 1_000_000) for half in halves)
    evenly = evenly_spread(halves, dec(0), dec("-0.1"), dec("0.2"))
    assert evenly is not None
    assert float(np.mean(drawn > evenly.high)) == pytest.approx(TAIL, abs=0.00015)
    inside = float(np.mean((drawn >= -0.1) & (drawn <= 0.2)))
    assert evenly.inside == pytest.approx(inside, abs=0.002)


def test_dimensions_without_a_tolerance_do_not_spread() -> None:
    assert evenly_spread([dec(0)], dec(5), dec(5), dec(6)) == EvenlySpread(5, 5, 1)
    assert evenly_spread([], dec(5), dec("5.1"), dec(6)) == EvenlySpread(5, 5, 0)
    assert evenly_spread([dec("0.1")] * 61 + [dec(0)], dec(5)) is None


def test_all_assemblies_are_looked_at_and_the_extremes_named() -> None:
    foot = [Sized("foot", n, dec(s), dec("0.003")) for n, s in ((1, "20.00"), (2, "20.10"))]
    stem = [Sized("stem", n, dec(s), dec("0.004")) for n, s in ((1, "99.90"), (3, "100.00"))]
    terms = [(1, foot), (1, stem)]
    assert combinations(terms) == 4
    found = possible(terms, lim("119.95", "120.05"), decision=DecisionRule(Rule.GUARDED))
    assert found is not None
    ends = [(a.size, tuple(p.number for p in a.pieces)) for a in (found.smallest, found.largest)]
    assert ends == [(dec("119.90"), (1, 1)), (dec("120.10"), (2, 3))]
    assert {a.uncertainty for a in (found.smallest, found.largest)} == {dec("0.005")}  # 3-4-5
    assert found.smallest.judgement is not None and found.largest.judgement is not None
    assert found.smallest.judgement.verdict is Verdict.LOW
    assert found.largest.judgement.verdict is Verdict.HIGH
    assert found.out == 2  # the two of 120.00 are good


def test_an_assembly_just_beyond_a_limit_is_not_counted_out_when_it_cannot_be_proven() -> None:
    foot = [Sized("foot", 1, dec("20.01"), dec("0.02")), Sized("foot", 2, dec("20.09"))]
    terms = [(1, foot), (1, [Sized("stem", 1, dec(100), dec("0.01"))])]
    found = possible(terms, lim("119.90", "120.00"), decision=DecisionRule(Rule.GUARDED))
    assert found is not None and found.out == 1


def test_two_dimensions_of_one_part_come_from_one_piece() -> None:
    long = [Sized("stem", 1, dec(10)), Sized("stem", 2, dec(11))]
    short = [Sized("stem", 2, dec(2)), Sized("stem", 1, dec(1))]
    found = possible([(1, long), (-1, short)])
    assert found is not None and found.smallest.size == found.largest.size == dec(9)
    with pytest.raises(ValueError, match="different pieces"):
        possible([(1, long), (-1, short[:1])])
    assert possible([(1, long), (1, [])]) is None


def test_unknown_uncertainty_stays_unknown() -> None:
    found = assembly([(1, Sized("a", 1, dec(1), dec("0.1"))), (1, Sized("b", 1, dec(1)))])
    assert found.uncertainty is None and found.judgement is None


def test_heights_read_with_one_caliper_share_its_error() -> None:
    # A caliper that may be off by 0.03, rectangular: u = 0.03 / sqrt(3) = 0.0173. Three heights
    # by it are uncertain by three times that, 0.052; taken for independent it would be 0.030.
    shared, step = dec("0.03") / dec(3).sqrt(), dec("0.01") / dec(12).sqrt()
    u = (shared * shared + step * step).sqrt()
    names = ("foot", "stem", "cup")
    three = [(1, Sized(name, 1, dec(20), u, shared, "caliper length")) for name in names]
    found = assembly(three).uncertainty
    assert found is not None and round(found, 3) == dec("0.052")
    apart = [(1, Sized(name, 1, dec(20), u)) for name in names]
    alone = assembly(apart).uncertainty
    assert alone is not None and round(alone, 3) == dec("0.030")
    # In a difference it cancels, and only the steps of the display are left.
    less = assembly([(1, three[0][1]), (-1, three[1][1])]).uncertainty
    assert less is not None and float(less) == pytest.approx(float(step) * 2**0.5)


def test_an_inside_and_an_outside_measure_do_not_cancel() -> None:
    bore = Sized("cup", 1, dec("8.02"), dec("0.02"), dec("0.02"), "caliper inside")
    stem = Sized("stem", 1, dec(8), dec("0.02"), dec("0.02"), "caliper outside")
    found = assembly([(1, bore), (-1, stem)]).uncertainty
    assert found is not None and float(found) == pytest.approx(0.02 * 2**0.5)


def test_a_shared_error_agrees_with_an_independent_library() -> None:
    from uncertainties import ufloat

    caliper, scatter = ufloat(0, 0.017), [ufloat(0, 0.004) for _ in range(3)]
    signs = (1, 1, -1)
    reference = sum(k * (20 + caliper + e) for k, e in zip(signs, scatter, strict=True))
    u = dec("0.017") * dec("0.017") + dec("0.004") * dec("0.004")
    found = assembly(
        [
            (k, Sized(name, 1, dec(20), u.sqrt(), dec("0.017"), "caliper length"))
            for k, name in zip(signs, "abc", strict=True)
        ]
    ).uncertainty
    assert found is not None and float(found) == pytest.approx(reference.std_dev, rel=1e-9)
