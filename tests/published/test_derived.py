"""Computed sizes against worked examples, geometry done otherwise, and another propagation."""

import math
from decimal import Decimal

import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import umath

from qlog.drawing.formulas import RULES
from qlog.study.derived import FORMULAS, Contradiction, DerivedSize, derive


def value(rule: str, **sizes: str) -> Decimal:
    return derive(
        rule, {n.replace("_", "-"): DerivedSize(Decimal(v), None) for n, v in sizes.items()}
    ).value


def test_every_rule_has_its_formula_and_takes_what_the_plan_gives() -> None:
    assert list(RULES) == list(FORMULAS)
    for name, rule in RULES.items():
        assert rule.source and rule.formula
        sizes = {t.name: DerivedSize(Decimal(t.default or 10 + 7 * i), None) for i, t in
                 enumerate(rule.takes)}  # fmt: skip
        try:
            assert set(derive(name, sizes).sensitivities) == set(sizes)
        except Contradiction:
            assert name in ("taper-balls", "sine-bar")


def test_three_wires_by_a_worked_example() -> None:
    # F. D. Jones, Turning and Boring (1914), U.S. standard thread: 1 1/2 inch, 6 threads an inch,
    # wires 0.140, m = 1 1/2 - 1.5155/6 + 3 x 0.140 = 1.6674. Pitch diameter: d - 0.6495/6.
    found = value("wires", over="1.6674", wire=".140", pitch=str(1 / 6), angle="60")
    assert float(found) == pytest.approx(1.5 - 0.64952 / 6, abs=5e-5)


def test_the_best_wire_touches_at_the_pitch_line() -> None:
    # ASME B1.2: best wire p / (2 cos 30) = 0.57735 p; a half degree of flank angle then moves the
    # result by less than a tenth of what a wire a third larger would let through.
    def slope(wire: float) -> float:
        sizes = {"over": "9", "wire": str(wire), "pitch": "1.25", "angle": "60"}
        known = {n: DerivedSize(Decimal(v), None) for n, v in sizes.items()}
        return abs(derive("wires", known).sensitivities["angle"])

    best = 1.25 / (2 * math.cos(math.radians(30)))
    assert best == pytest.approx(0.57735 * 1.25, abs=1e-5)
    assert slope(best) < slope(best * 4 / 3) / 10


def test_a_dovetail_over_rollers_by_its_geometry() -> None:
    # A roller of radius r in the corner of angle A touches the base and the flank: its centre
    # stands r above the base and r / tan(A/2) from the corner.
    for angle in (45, 55, 60):
        r, width = 5.0, 40.0
        to_centre = r / math.tan(math.radians(angle) / 2)
        over = width + 2 * (to_centre + r)
        between = width - 2 * (to_centre + r)
        for rule, name, measured in (
            ("dovetail-outside", "over", over), ("dovetail-inside", "between", between),
        ):  # fmt: skip
            sizes = {name: str(measured), "roller": "10", "angle": str(angle)}
            assert float(value(rule, **sizes)) == pytest.approx(width, abs=1e-9)


@pytest.mark.parametrize(
    ("rule", "sizes", "expected"),
    [
        # Right triangles of whole sides: 3-4-5 (chord 8 in a circle of 5), 6-8-10 (two balls).
        ("chord", {"chord": "8", "height": "2"}, "5"),
        ("two-balls", {"height": "18", "lower": "10", "upper": "10"}, "16"),
        ("taper", {"large": "20", "small": "18", "length": "40"}, "0.05"),
        ("sine-bar", {"height": "50", "length": "100"}, "30"),
        ("rollers-radius", {"over": "90", "roller": "10"}, "80"),
        ("centres-outside", {"over": "60", "first": "12", "second": "8"}, "50"),
        ("centres-inside", {"between": "40", "first": "12", "second": "8"}, "50"),
        ("wall", {"outside": "30", "inside": "22"}, "4"),
        ("mean", {"a": "8.01", "b": "8.02"}, "8.015"),
        ("difference", {"a": "30.1", "b": "29.8"}, "0.3"),
    ],
)
def test_exact_shapes_come_out_exactly(rule: str, sizes: dict[str, str], expected: str) -> None:
    assert value(rule, **sizes) == Decimal(expected)


def test_angles_of_tapers_by_their_own_sines() -> None:
    half = math.radians(10)
    large, small, length = 20 + 2 * 30 * math.tan(half), 20.0, 30.0
    found = value("taper-angle", large=str(large), small=str(small), length=str(length))
    assert float(found) == pytest.approx(20, abs=1e-8)
    # Balls in the same bore, r = rho sin(half) along the axis from the tip of the cone.
    balls = {"large": 12.0, "small": 8.0}
    tip = 100.0
    tops = {n: tip - d / 2 / math.sin(half) - d / 2 for n, d in balls.items()}
    found = value(
        "taper-balls", large="12", small="8",
        large_depth=str(tops["large"]), small_depth=str(tops["small"]),
    )  # fmt: skip
    assert float(found) == pytest.approx(20, abs=1e-8)


@given(
    over=st.floats(8, 10), wire=st.floats(0.6, 0.9), u=st.floats(0.0005, 0.01),
    w=st.floats(0.0001, 0.001),
)  # fmt: skip
def test_the_uncertainty_is_that_of_another_propagation(
    over: float, wire: float, u: float, w: float
) -> None:
    m, d = uncertainties.ufloat(over, u), uncertainties.ufloat(wire, w)
    half = math.radians(30)
    other = m - d * (1 + 1 / umath.sin(half)) + 0.625 / math.tan(half)
    found = derive("wires", {
        "over": DerivedSize(Decimal(repr(over)), Decimal(repr(u)), Decimal(0), "micrometer"),
        "wire": DerivedSize(Decimal(repr(wire)), Decimal(repr(w)), Decimal(repr(w))),
        "pitch": DerivedSize(Decimal("1.25"), Decimal(0)),
        "angle": DerivedSize(Decimal(60), Decimal(0)),
    })  # fmt: skip
    assert found.uncertainty is not None
    assert float(found.value) == pytest.approx(other.nominal_value, abs=1e-8)
    assert float(found.uncertainty) == pytest.approx(other.std_dev, rel=1e-6)


def test_an_error_that_readings_share_is_never_taken_for_less() -> None:
    # GUM 5.2.2: r = 1 adds the contributions of a sum (0.002 + 0.002), and r = 0 takes their
    # root (0.0028); in a difference the shared part would vanish, which nobody can promise.
    same = {n: DerivedSize(Decimal(10), Decimal("0.002"), Decimal("0.002"), "m") for n in "ab"}
    assert derive("mean", same).uncertainty == Decimal("0.002")
    assert float(derive("difference", same).uncertainty or 0) == pytest.approx(0.002 * math.sqrt(2))
    other = same | {"b": DerivedSize(Decimal(10), Decimal("0.002"), Decimal("0.002"), "other")}
    assert float(derive("mean", other).uncertainty or 0) == pytest.approx(0.002 / math.sqrt(2))
    unknown = same | {"b": DerivedSize(Decimal(10), None)}
    assert derive("mean", unknown).uncertainty is None


@pytest.mark.parametrize(
    ("rule", "sizes"),
    [
        ("sine-bar", {"height": "101", "length": "100"}),
        ("two-balls", {"height": "31", "lower": "10", "upper": "10"}),
        ("chord", {"chord": "8", "height": "0"}),
        ("taper", {"large": "20", "small": "18", "length": "0"}),
    ],
)
def test_a_shape_that_cannot_be_is_refused(rule: str, sizes: dict[str, str]) -> None:
    with pytest.raises(Contradiction):
        value(rule, **sizes)
