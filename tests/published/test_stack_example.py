"""A stack-up against a published worked example.

Source: a public article for machine designers with a worked tolerance stack: a gap of
40.00 ± 0.10 less 25.00 ± 0.05, 2.00 ± 0.03 and 10.00 ± 0.05. Published: nominal 3.00. The worst
case and the root-sum-square were worked out from the definitions (0.10 + 0.05 + 0.03 + 0.05, and
the root of 0.0159); the page's own figures for them were not read.
"""

from decimal import Decimal

import pytest

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.study.fit.stacks import Term, budget


def term(name: str, sign: int, nominal: str, tolerance: str) -> Term:
    middle, half = Decimal(nominal), Decimal(tolerance)
    return Term(name, sign, Limits(middle - half, middle + half, Unit.MM))


TERMS = [
    term("housing", 1, "40.00", "0.10"),
    term("bearing", -1, "25.00", "0.05"),
    term("washer", -1, "2.00", "0.03"),
    term("spacer", -1, "10.00", "0.05"),
]


def test_nominal_worst_case_and_root_sum_square() -> None:
    result = budget(TERMS)
    assert result.middle == Decimal("3.00")
    assert result.worst == Decimal("0.23")
    assert result.worst_limits == (Decimal("2.77"), Decimal("3.23"))
    assert float(result.rss) == pytest.approx(0.1260952, abs=5e-8)
    assert [round(float(x), 4) for x in result.rss_limits] == [2.8739, 3.1261]


def test_the_housing_costs_most() -> None:
    largest = budget(TERMS).shares[0]
    assert largest.name == "housing"
    assert largest.of_worst == pytest.approx(10 / 23)


@pytest.mark.parametrize(
    ("terms", "nominal", "worst", "rss"),
    [
        # A worked example of a public page on stacks: housing depth 20.0 ± 0.1, bushing flange
        # 15.0 ± 0.05, shaft shoulder 4.8 ± 0.08, clip 0.2 ± 0.02; published: a gap of 0.0 ± 0.25,
        # which fails the ± 0.2 that is wanted.
        (
            [(1, "20.0", "0.1"), (-1, "15.0", "0.05"), (-1, "4.8", "0.08"), (-1, "0.2", "0.02")],
            "0.0", "0.25", None,
        ),
        # Another: ten parts of ± 0.1 each; published: worst case ± 1.0, root sum square ± 0.316.
        ([(1, "5.0", "0.1")] * 10, "50.0", "1.0", 0.316),
    ],
)  # fmt: skip
def test_published_stacks(
    terms: list[tuple[int, str, str]], nominal: str, worst: str, rss: float | None
) -> None:
    found = budget([term(str(n), *one) for n, one in enumerate(terms)])
    assert found.middle == Decimal(nominal)
    assert found.worst == Decimal(worst)
    if rss is not None:
        assert round(float(found.rss), 3) == rss
