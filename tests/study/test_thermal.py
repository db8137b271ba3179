"""Temperature: corrections by hand, and when warmth matters."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from qlog.study.conformity.thermal import components, to_20

D = Decimal


def test_at_20_degrees_nothing_changes() -> None:
    found = to_20(D("50"), part_expansion=D("20.5"), part_temperature=D(20))
    assert found == 50


def test_part_and_instrument_that_grow_alike_cancel() -> None:
    found = to_20(
        D("50"), part_expansion=D("11.5"), part_temperature=D(27), instrument_expansion=D("11.5")
    )
    assert abs(found - 50) < D("1e-24")


def test_brass_on_a_steel_scale() -> None:
    # 100 mm of brass at 25 °C, scale too: 100 (20.5 - 11.5) 5 = 0.0045 too long.
    found = to_20(
        D("100"), part_expansion=D("20.5"), part_temperature=D(25), instrument_expansion=D("11.5")
    )
    assert float(found - 100) == pytest.approx(-0.0045, abs=1e-6)


def test_a_warm_part_in_a_cool_instrument() -> None:
    found = to_20(
        D("100"),
        part_expansion=D("20.5"),
        part_temperature=D(40),
        instrument_expansion=D("11.5"),
        instrument_temperature=D(20),
    )
    assert float(found - 100) == pytest.approx(-100 * 20.5e-6 * 20, rel=1e-3)
    cold = to_20(D("100"), part_expansion=D("20.5"), part_temperature=D(10))
    assert cold > 100


def test_components_are_the_slopes_of_the_correction() -> None:
    # Each contribution against a small step in that quantity alone.
    def corrected(**change: str) -> float:
        values = {
            "part_expansion": D("20.5"),
            "part_temperature": D(26),
            "instrument_expansion": D("11.5"),
            "instrument_temperature": D(26),
        }
        for name, by in change.items():
            values[name] += D(by)
        return float(to_20(D(100), **values))

    found = {
        c.source: float(c.contribution) * math.sqrt(3)
        for c in components(
            D(100), part_expansion=D("20.5"), part_temperature=D(26), instrument_expansion=D("11.5")
        )
    }
    base = corrected()
    slopes = {
        "part expansion": abs(corrected(part_expansion="1") - base),
        "instrument expansion": abs(corrected(instrument_expansion="1") - base),
        "temperature": abs(corrected(part_temperature="1", instrument_temperature="1") - base),
        "part against instrument": abs(corrected(part_temperature="0.5") - base),
    }
    assert found.keys() == slopes.keys()
    for source, slope in slopes.items():
        assert found[source] == pytest.approx(slope, rel=2e-3), source


def test_an_instrument_that_does_not_grow_adds_no_uncertainty() -> None:
    names = [c.source for c in components(D(100), part_expansion=D("20.5"), part_temperature=D(26))]
    assert "instrument expansion" not in names


def test_a_slipped_temperature_is_refused() -> None:
    for t in (D(235), D(-60)):
        with pytest.raises(ValueError, match="between -50 and 200"):
            to_20(D(50), part_expansion=D(10), part_temperature=t)
    with pytest.raises(ValueError, match="between -50 and 200"):
        to_20(D(50), part_expansion=D(10), part_temperature=D(20), instrument_temperature=D(293))
