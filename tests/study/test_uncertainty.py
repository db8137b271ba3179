"""Budgets of a reading: what counts, what is only listed, and what is not known."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from qlog.study.conformity import thermal
from qlog.study.conformity.uncertainty import (
    BasisNote,
    Distribution,
    budget,
    combine,
    component,
    effective_dof,
    reading_components,
    reading_uncertainty,
    two_digits,
)

D = Decimal


def test_a_micrometer_by_hand() -> None:
    # Error limit 0.004 and step 0.001: sqrt(0.004^2 / 3 + 0.001^2 / 12).
    u = reading_uncertainty(error=D("0.004"), step=D("0.001"))
    assert u is not None
    assert float(u) == pytest.approx(math.sqrt(0.004**2 / 3 + 0.001**2 / 12), rel=1e-12)


def test_nothing_known_gives_no_number() -> None:
    assert reading_uncertainty() is None
    assert reading_uncertainty(step=D("0.001")) is None
    with pytest.raises(ValueError, match="nothing is known"):
        reading_components()


def test_the_larger_of_step_and_repeatability_counts() -> None:
    rough = reading_components(error=D("0.03"), step=D("0.01"), repeatability=D("0.008"))
    by_name = {c.source: c for c in rough}
    assert not by_name["display step"].counts and by_name["repeatability"].counts
    fine = reading_components(error=D("0.03"), step=D("0.01"), repeatability=D("0.001"))
    by_name = {c.source: c for c in fine}
    assert by_name["display step"].counts and not by_name["repeatability"].counts
    assert combine(fine) == reading_uncertainty(error=D("0.03"), step=D("0.01"))


def test_a_check_within_the_limit_changes_nothing_and_one_beyond_takes_over() -> None:
    plain = reading_uncertainty(error=D("0.004"))
    assert reading_uncertainty(error=D("0.004"), check_error=D("-0.003")) == plain
    beyond = reading_components(error=D("0.004"), check_error=D("-0.006"))
    assert [c.value for c in beyond] == [D("0.006")]
    assert beyond[0].note == BasisNote("worst_over", (D("0.004"),))
    only = reading_components(check_error=D("0.002"))
    assert [c.source for c in only] == ["error in checks"]


def test_temperature_joins_in() -> None:
    heat = thermal.components(
        D(100), part_expansion=D("20.5"), part_temperature=D(24), instrument_expansion=D("11.5")
    )
    parts = reading_components(error=D("0.004"), temperature=heat)
    assert {c.source for c in parts} >= {"error limit", "part expansion"}
    found = budget(parts)
    assert float(found.combined) == pytest.approx(
        math.sqrt(sum(float(c.contribution) ** 2 for c in parts)), rel=1e-12
    )
    assert sum(found.share(c) for c in found.components) == pytest.approx(1)


def test_what_is_only_listed_has_no_share_and_no_freedom() -> None:
    parts = reading_components(
        error=D("0.03"), step=D("0.01"), repeatability=D("0.001"), repeatability_dof=4
    )
    found = budget(parts)
    assert found.share(next(c for c in parts if not c.counts)) == 0
    assert math.isinf(found.dof) and found.k == pytest.approx(1.959964, rel=1e-6)


def test_degrees_of_freedom_lie_between_the_least_and_the_sum() -> None:
    parts = [
        component("a", D(3), Distribution.MEASURED, dof=4),
        component("b", D(4), Distribution.MEASURED, dof=9),
    ]
    assert combine(parts) == 5
    assert 4 < effective_dof(parts) < 13
    # Welch and Satterthwaite by hand: 5^4 / (3^4 / 4 + 4^4 / 9).
    assert effective_dof(parts) == pytest.approx(625 / (81 / 4 + 256 / 9))
    # k is that of 12 degrees of freedom, 12.83 cut to a whole number.
    assert budget(parts).k == pytest.approx(2.1788, abs=1e-4)
    assert float(budget(parts).expanded) == pytest.approx(5 * budget(parts).k)


def test_a_budget_of_nothing_is_nothing() -> None:
    found = budget([component("a", D(0), Distribution.NORMAL)])
    assert found.combined == 0 and math.isinf(found.dof)
    assert found.share(found.components[0]) == 0


@pytest.mark.parametrize(
    ("u", "text"), [("0.0023127", "0.0024"), ("0.0020", "0.0020"), ("12.31", "13"), ("0", "0")]
)
def test_stated_with_two_digits_and_never_too_small(u: str, text: str) -> None:
    assert str(two_digits(D(u))) == text


def test_bad_input_is_refused() -> None:
    for value in (D("-1"), D("NaN")):
        with pytest.raises(ValueError, match="0 or more"):
            component("a", value, Distribution.NORMAL)
    with pytest.raises(ValueError, match="degrees of freedom"):
        component("a", D(1), Distribution.NORMAL, dof=0)
    with pytest.raises(ValueError, match="coverage"):
        budget([component("a", D(1), Distribution.NORMAL)], coverage=95)
    with pytest.raises(ValueError, match="too few"):
        budget([component("a", D(1), Distribution.NORMAL, dof=0.5)])
