"""Thermal expansion by name, from the table that ships."""

from decimal import Decimal

import pytest

from qlog.drawing.standards.expansion import UnknownMaterial, coefficient, names


@pytest.mark.parametrize(
    ("name", "alpha"),
    [
        # Callister table B.6, as the table's source column says
        ("brass C36000 free-cutting", "20.5"),
        ("Brass C36000 Free-Cutting", "20.5"),
        ("aluminium 6061", "23.6"),
        # EN 10088-1
        ("austenitic stainless 304 and 303", "16.0"),
    ],
)
def test_known(name, alpha):
    assert coefficient(name) == Decimal(alpha)


def test_sources_that_disagree_are_not_averaged():
    with pytest.raises(UnknownMaterial) as error:
        coefficient("austenitic stainless 316")
    assert "15.9 and 16.0" in error.value.what
    assert "expansion = 15.9" in error.value.accepted


def test_unknown_and_inexact():
    with pytest.raises(UnknownMaterial) as error:
        coefficient("brass")
    assert "brass C36000 free-cutting" in error.value.accepted
    with pytest.raises(UnknownMaterial):
        coefficient("tool steel O1")  # "about 11", from memory: no figure to calculate with
    assert "tool steel O1" not in names()


def test_every_name_that_is_offered_can_be_used():
    agreed = 0
    for name in names():
        try:
            assert 2 < coefficient(name) < 110
            agreed += 1
        except UnknownMaterial as error:
            assert "disagree" in error.what
    assert agreed > 25
