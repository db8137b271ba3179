"""Known biases: said above a tenth of the tolerance, silent below."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from qlog.drawing.units import Unit
from qlog.study.conformity.bias import bore_with_jaws, too_coarse

D = Decimal


def test_jaws_read_a_small_bore_low() -> None:
    # 0.5 mm of flat in 8 mm: 0.25 / 16 = 0.0156, more than a tenth of 0.015.
    found = bore_with_jaws(D(8), D("0.015"))
    assert found is not None
    assert float(found.amount) == pytest.approx(0.5**2 / (2 * 8), rel=2e-3)
    assert float(found.amount) == pytest.approx(8 - math.sqrt(8**2 - 0.5**2), rel=1e-9)
    assert found.share == found.amount / D("0.015") > 1


def test_a_wide_tolerance_does_not_mind() -> None:
    assert bore_with_jaws(D(8), D("0.2")) is None
    assert bore_with_jaws(D(80), D("0.046")) is None


def test_inch_bores_have_the_same_jaws() -> None:
    metric = bore_with_jaws(D("25.4"), D("0.0254"))
    inch = bore_with_jaws(D(1), D("0.001"), Unit.INCH)
    assert metric is not None and inch is not None
    assert float(metric.amount) == pytest.approx(25.4 * float(inch.amount))


@pytest.mark.parametrize(
    ("error", "finer"),
    [
        ("0.001", None),
        ("0.0015", None),  # a tenth exactly
        ("0.0016", False),
        ("0.003", False),  # a fifth exactly
        ("0.0031", True),
        ("0.03", True),
    ],
)
def test_how_coarse_is_too_coarse(error: str, finer: bool | None) -> None:
    found = too_coarse(D(error), D("0.015"))
    assert (found.over_a_fifth if found else None) is finer
    if found is not None:
        assert found.error == D(error) and found.share == D(error) / D("0.015")


def test_impossible_questions_are_refused() -> None:
    with pytest.raises(ValueError, match="do not go into"):
        bore_with_jaws(D("0.5"), D("0.01"))
    with pytest.raises(ValueError, match="above 0"):
        bore_with_jaws(D(8), D(0))
    with pytest.raises(ValueError, match="above 0"):
        too_coarse(D("0.01"), D(0))
    with pytest.raises(ValueError, match="0 or more"):
        too_coarse(D("-0.01"), D("0.1"))
