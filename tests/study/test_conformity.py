"""Verdicts: exact, at the edges, and with what cannot be proven."""

from __future__ import annotations

import subprocess
import sys
from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qlog.drawing.decision import DecisionRule, Rule
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.study.conformity.verdict import (
    Verdict,
    conformance_probability,
    guard_factor,
    judge,
    show,
)

D = Decimal
BORE = Limits(D("8"), D("8.015"), Unit.MM)
RUNOUT = Limits(D("0"), D("0.02"), Unit.MM)


def simple(value: str, limits: Limits = BORE) -> Verdict:
    return judge(D(value), limits, decision=DecisionRule(Rule.SIMPLE)).verdict


def guarded(value: str, u: str, limits: Limits = BORE, **more: object) -> Verdict:
    return judge(
        D(value), limits, decision=DecisionRule(Rule.GUARDED), uncertainty=D(u), **more
    ).verdict  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        ("8", Verdict.GOOD),
        ("8.000", Verdict.GOOD),
        ("8.015", Verdict.GOOD),
        ("8.0150000001", Verdict.HIGH),
        ("8.01500000000000000000000000000000000000000001", Verdict.HIGH),
        ("7.9999999999", Verdict.LOW),
    ],
)
def test_the_limits_belong_to_the_tolerance_and_nothing_is_rounded(
    value: str, verdict: Verdict
) -> None:
    assert simple(value) is verdict


def test_what_a_float_would_get_wrong() -> None:
    # 0.1 + 0.2 is over 0.3 in binary, and on the limit on the drawing.
    limits = Limits(None, D("0.3"), Unit.MM)
    assert (
        judge(D("0.1") + D("0.2"), limits, decision=DecisionRule(Rule.SIMPLE)).verdict
        is Verdict.GOOD
    )


def test_one_limit_or_none() -> None:
    assert simple("100", Limits(D("8"), None, Unit.MM)) is Verdict.GOOD
    assert simple("7.9", Limits(D("8"), None, Unit.MM)) is Verdict.LOW
    judgement = judge(
        D("3"), Limits(None, None, Unit.MM), decision=DecisionRule(Rule.GUARDED), uncertainty=D(1)
    )
    assert judgement.verdict is Verdict.GOOD
    assert judgement.share is None and judgement.deviation_from_middle is None


def test_what_ends_at_zero_has_room_to_its_limit_and_no_middle() -> None:
    """A runout is the better the smaller (ISO 1101: the tolerance is the width of the zone)."""
    rule = DecisionRule(Rule.SIMPLE)
    inside = judge(D("0.014"), RUNOUT, decision=rule, zero_based=True)
    assert inside.deviation_from_middle is None and inside.room == D("0.006")
    assert judge(D("0.023"), RUNOUT, decision=rule, zero_based=True).room == D("-0.003")
    # A gap that may be 0 to 0.02 has a middle all the same, and a size with one limit has none.
    gap = judge(D("0.014"), RUNOUT, decision=rule)
    assert gap.deviation_from_middle == D("0.004") and gap.room is None
    assert judge(D("8.3"), Limits(D("8"), None, Unit.MM), decision=rule).room == D("0.3")
    assert judge(D("8.3"), Limits(None, D("8"), Unit.MM), decision=rule).room == D("-0.3")
    assert judge(D("8.3"), Limits(None, None, Unit.MM), decision=rule).room is None


def test_what_a_judgement_says_besides_the_verdict() -> None:
    judgement = judge(D("8.018"), BORE, decision=DecisionRule(Rule.SIMPLE))
    assert judgement.beyond == D("0.003")
    assert judgement.deviation_from_middle == D("0.0105")
    assert judgement.share == D("1.2")
    assert judgement.verdict.out and judgement.guard is None
    low = judge(D("7.998"), BORE, decision=DecisionRule(Rule.SIMPLE))
    assert low.beyond == D("0.002") and low.deviation_from_middle == D("-0.0095")
    inside = judge(D("8.003"), BORE, decision=DecisionRule(Rule.SIMPLE))
    assert inside.beyond == 0 and inside.share == D("0.2")


@pytest.mark.parametrize(
    ("value", "verdict"),
    [  # u = 0.001: guard band 0.00165
        ("8.0075", Verdict.GOOD),
        ("8.01335", Verdict.GOOD),  # on the edge of the narrowed limits
        ("8.01336", Verdict.NOT_PROVEN),
        ("8.015", Verdict.NOT_PROVEN),
        ("8.01665", Verdict.NOT_PROVEN),  # beyond by the guard band, not by more
        ("8.01666", Verdict.HIGH),
        ("8.00165", Verdict.GOOD),
        ("8.00164", Verdict.NOT_PROVEN),
        ("7.99835", Verdict.NOT_PROVEN),
        ("7.99834", Verdict.LOW),
    ],
)
def test_guarded_rule_on_both_sides_of_both_limits(value: str, verdict: Verdict) -> None:
    assert guarded(value, "0.001") is verdict


def test_guarded_without_uncertainty_is_judged_simply_and_says_so() -> None:
    judgement = judge(D("8.015"), BORE, decision=DecisionRule(Rule.GUARDED))
    assert judgement.verdict is Verdict.GOOD
    assert judgement.rule is Rule.GUARDED and judgement.rule_used is Rule.SIMPLE
    assert judgement.guard is None


def test_no_uncertainty_at_all_makes_both_rules_one() -> None:
    for value in ("7.999", "8", "8.015", "8.016"):
        assert guarded(value, "0") is simple(value)


def test_an_instrument_too_coarse_can_prove_nothing_in() -> None:
    # 0.015 of tolerance is 3 u: even the middle may be out too often.
    judgement = judge(
        D("8.0075"), BORE, decision=DecisionRule(Rule.GUARDED), uncertainty=D("0.005")
    )
    assert judgement.verdict is Verdict.NOT_PROVEN
    assert judgement.guard is not None and 2 * judgement.guard > D("0.015")
    fine = judge(D("8.0075"), BORE, decision=DecisionRule(Rule.GUARDED), uncertainty=D("0.001"))
    assert fine.verdict is Verdict.GOOD
    # It can still prove a piece out.
    assert guarded("8.0233", "0.005") is Verdict.HIGH


def test_runout_is_not_guarded_at_zero() -> None:
    assert guarded("0.001", "0.002", RUNOUT) is Verdict.NOT_PROVEN
    assert guarded("0.001", "0.002", RUNOUT, zero_based=True) is Verdict.GOOD
    assert guarded("0.018", "0.002", RUNOUT, zero_based=True) is Verdict.NOT_PROVEN
    assert guarded("0.024", "0.002", RUNOUT, zero_based=True) is Verdict.HIGH
    assert guarded("-0.001", "0.002", RUNOUT, zero_based=True) is Verdict.LOW
    # A lower limit that is no zero is guarded whatever the caller says.
    assert guarded("8.001", "0.001", zero_based=True) is Verdict.NOT_PROVEN


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity", "sNaN"])
def test_no_number_no_verdict(value: str) -> None:
    with pytest.raises(ValueError, match="finite"):
        judge(D(value), BORE, decision=DecisionRule(Rule.SIMPLE))


def test_an_impossible_uncertainty_or_probability_is_refused() -> None:
    for u in ("-0.001", "NaN", "Infinity"):
        with pytest.raises(ValueError, match="standard uncertainty"):
            judge(D("8.01"), BORE, decision=DecisionRule(Rule.GUARDED), uncertainty=D(u))
        with pytest.raises(ValueError, match="standard uncertainty"):
            conformance_probability(D("8.01"), D(u), BORE)
    for p in ("0.5", "1", "95"):
        with pytest.raises(ValueError, match="conformance probability"):
            judge(D("8.01"), BORE, decision=DecisionRule(Rule.GUARDED, D(p)), uncertainty=D(1))


@given(
    width=st.integers(1, 400),
    u=st.integers(1, 100),
    place=st.integers(-400, 800),
    conformance=st.sampled_from([D("0.9"), D("0.95"), D("0.99"), D("0.9973")]),
)
def test_a_guarded_verdict_holds_the_probability_it_claims(
    width: int, u: int, place: int, conformance: D
) -> None:
    limits = Limits(D(0), D(width), Unit.MICROMETRE)
    judgement = judge(
        D(place), limits, decision=DecisionRule(Rule.GUARDED, conformance), uncertainty=D(u)
    )
    p = conformance_probability(D(place), D(u), limits)
    slack = 1e-9
    if judgement.verdict is Verdict.GOOD:
        assert p >= float(conformance) - slack
        assert judgement.guard is not None and limits.width is not None
        assert 2 * judgement.guard <= limits.width
    elif judgement.verdict.out:
        assert p <= 1 - float(conformance) + slack
    else:
        # Rounding the factor up to two decimals may withhold no more than this.
        assert p <= float(conformance) + 0.003


@pytest.mark.parametrize(("p", "factor"), [("0.90", "1.29"), ("0.95", "1.65"), ("0.99", "2.33")])
def test_factor_of_one_limit(p: str, factor: str) -> None:
    assert guard_factor(D(p)) == D(factor)


def test_conformance_probability_is_certain_without_uncertainty() -> None:
    assert conformance_probability(D("8.015"), D(0), BORE) == 1
    assert conformance_probability(D("8.0151"), D(0), BORE) == 0


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        ("8.0150000001", 3, "8.0150000001"),  # over the limit, and shown over it
        ("8.0154", 3, "8.0154"),
        ("8.0156", 3, "8.016"),
        ("8.0149", 2, "8.01"),
        ("8.0149", 3, "8.015"),  # on the limit it is in, as the value is
        ("8", 3, "8.000"),
        ("7.9996", 3, "7.9996"),
        ("7.9994", 3, "7.999"),
        ("1E+1", 2, "10.00"),
        ("8.0075", 3, "8.008"),
    ],
)
def test_a_value_is_never_shown_on_the_wrong_side(value: str, decimals: int, text: str) -> None:
    assert show(D(value), BORE, decimals) == text


def test_a_value_inside_is_not_shown_outside() -> None:
    limits = Limits(None, D("8.0154"), Unit.MM)
    assert show(D("8.0153"), limits, 2) == "8.015"  # 8.02 would look out
    assert show(D("-0.0004"), Limits(None, D("0.02"), Unit.MM), 3) == "0.000"
    assert show(D("-0.0004"), Limits(D("0"), D("0.02"), Unit.MM), 3) == "-0.0004"


@given(
    value=st.decimals(-10, 10, places=6),
    lower=st.decimals(-10, 0, places=4),
    upper=st.decimals(0, 10, places=4),
    decimals=st.integers(0, 6),
)
def test_what_is_shown_has_the_verdict_of_the_value(
    value: D, lower: D, upper: D, decimals: int
) -> None:
    limits = Limits(lower, upper, Unit.MM)
    shown = D(show(value, limits, decimals))
    assert simple(str(shown), limits) is simple(str(value), limits)
    assert abs(shown - value) <= D("0.5").scaleb(-decimals)


def test_every_verdict_has_its_word() -> None:
    assert {str(v) for v in Verdict} == {"good", "out high", "out low", "not proven"}


def test_the_bench_path_loads_nothing_heavy() -> None:
    code = (
        "import sys; from qlog.study.conformity import verdict, uncertainty, thermal, bias;"
        "from qlog.study.batch import summary, outlier, comparison, control_charts, counts, layer;"
        "from qlog.study.gauge import repeatability;"
        "print(sorted({'numpy', 'scipy', 'statistics'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_sides_mirror_each_other() -> None:
    swap = {Verdict.HIGH: Verdict.LOW, Verdict.LOW: Verdict.HIGH}
    for place, u, width in product(range(-40, 80, 7), (1, 5, 10), (10, 40)):
        limits = Limits(D(0), D(width), Unit.MM)
        here = guarded(str(place), str(u), limits)
        assert guarded(str(width - place), str(u), limits) is swap.get(here, here)
