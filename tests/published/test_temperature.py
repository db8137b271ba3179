"""Temperature: NPL's worked example of a length brought to 20 °C."""

from __future__ import annotations

from decimal import Decimal

from qlog.study.conformity.thermal import to_20

D = Decimal


def test_length_of_npl() -> None:
    # NPL, frequently asked questions on length: 500.035 mm at 23.7 °C, steel 11.7e-6 per kelvin,
    # is 500.013 mm at 20 °C.
    found = to_20(D("500.035"), part_expansion=D("11.7"), part_temperature=D("23.7"))
    assert round(found, 3) == D("500.013")
    # To first order 500.01335; the exact quotient differs by less than a nanometre and a bit.
    assert abs(found - D("500.01335348")) < D("1e-6")
