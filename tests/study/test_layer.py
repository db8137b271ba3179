"""Work sent out: the layer that came back, and what the ordered one would do."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.study.batch.layer import LayerVerdict, Surface, after_finish, implied_layer

D = Decimal
BEFORE = {p: D(v) for p, v in enumerate(("19.990", "19.994", "19.987", "19.992"), start=1)}


def plated(by: str, surface: Surface = Surface.OUTSIDE) -> dict[int, Decimal]:
    wobble = (D("0.001"), D("-0.001"), D("0"), D("0"))
    return {
        p: v + surface.factor * D(by) + w for (p, v), w in zip(BEFORE.items(), wobble, strict=True)
    }


def test_factors_by_geometry() -> None:
    # A layer on a shaft, in a bore, and on flanks that stand at 30 degrees to the axis' normal.
    assert Surface.OUTSIDE.factor == 2 and Surface.INSIDE.factor == -2
    assert Surface.LENGTH.factor == 2 and Surface.DEPTH.factor == 0
    assert Surface.PITCH_EXTERNAL.factor == round(2 / math.sin(math.radians(30)))
    assert Surface.PITCH_INTERNAL.factor == -Surface.PITCH_EXTERNAL.factor


@pytest.mark.parametrize("surface", [Surface.OUTSIDE, Surface.INSIDE, Surface.PITCH_EXTERNAL])
def test_thickness_is_the_change_over_the_factor(surface: Surface) -> None:
    found = implied_layer(BEFORE, plated("0.010", surface), surface)
    assert found is not None and found.seen
    assert found.thickness == pytest.approx(0.010)
    assert found.interval.low < 0.010 < found.interval.high
    assert found.verdict is LayerVerdict.NOT_ORDERED


@pytest.mark.parametrize(
    ("by", "verdict"),
    [
        ("0.010", LayerVerdict.AS_ORDERED),
        ("0.020", LayerVerdict.TOO_THICK),
        ("0.002", LayerVerdict.TOO_THIN),
        ("0.0125", LayerVerdict.NOT_PROVEN),
    ],
)
def test_against_the_order_in_micrometres(by: str, verdict: LayerVerdict) -> None:
    ordered = Limits(D(8), D("12.5"), Unit.MICROMETRE)
    found = implied_layer(BEFORE, plated(by), Surface.OUTSIDE, ordered=ordered, unit=Unit.MM)
    assert found is not None and found.verdict is verdict


@pytest.mark.parametrize(
    ("by", "verdict"),
    [
        ("-0.030", LayerVerdict.AS_ORDERED),
        ("-0.060", LayerVerdict.TOO_THICK),
        ("-0.010", LayerVerdict.TOO_THIN),
    ],
)
def test_a_removal_counts_the_other_way_round(by: str, verdict: LayerVerdict) -> None:
    ordered = Limits(D(-40), D(-20), Unit.MICROMETRE)
    found = implied_layer(BEFORE, plated(by), Surface.OUTSIDE, ordered=ordered, unit=Unit.MM)
    assert found is not None and found.verdict is verdict
    at_least = Limits(None, D(-20), Unit.MICROMETRE)
    found = implied_layer(BEFORE, plated(by), Surface.OUTSIDE, ordered=at_least, unit=Unit.MM)
    assert found is not None and (found.verdict is LayerVerdict.TOO_THIN) == (by == "-0.010")


def test_blackening_is_not_visible_to_a_caliper() -> None:
    # 1.5 micrometres on each side against a display step of 0.01.
    after = {p: round(v + D("0.003"), 2) for p, v in BEFORE.items()}
    before = {p: round(v, 2) for p, v in BEFORE.items()}
    found = implied_layer(before, after, Surface.OUTSIDE, step=D("0.01"))
    assert found is not None and not found.seen


def test_nothing_to_tell_it_by() -> None:
    assert implied_layer(BEFORE, plated("0.01"), Surface.DEPTH) is None
    assert implied_layer(BEFORE, {1: D("20.01")}, Surface.OUTSIDE) is None
    assert implied_layer(BEFORE, {}, Surface.OUTSIDE) is None


def test_which_pieces_the_finish_pushes_out() -> None:
    ordered = Limits(D(5), D(8), Unit.MICROMETRE)
    before = {3: D("19.996"), 1: D("19.980"), 2: D("19.985"), 4: D("19.960")}
    found = after_finish(
        before, Surface.OUTSIDE, ordered, Limits(D("19.979"), D("20.000"), Unit.MM)
    )
    assert [f.piece for f in found] == [1, 2, 3, 4]
    # Piece 2 would end between 19.995 and 20.001: out only with the thicker layer.
    assert [f.pushed_out for f in found] == [False, False, True, True]
    assert [f.may_be_out for f in found] == [False, True, True, True]
    assert (found[0].smallest, found[0].largest) == (D("19.990"), D("19.996"))
    tight = after_finish(before, Surface.OUTSIDE, ordered, Limits(None, D("19.997"), Unit.MM))
    assert [f.may_be_out for f in tight] == [False, True, True, False]
    assert [f.pushed_out for f in tight] == [False, False, True, False]


def test_a_bore_shrinks() -> None:
    ordered = Limits(D(5), D(8), Unit.MICROMETRE)
    (found,) = after_finish(
        {1: D("8.020")}, Surface.INSIDE, ordered, Limits(D("8.000"), D("8.015"), Unit.MM)
    )
    assert (found.smallest, found.largest) == (D("8.004"), D("8.010"))
    assert not found.may_be_out


def test_orders_that_foretell_nothing_are_refused() -> None:
    limits = Limits(D("19.979"), D("20"), Unit.MM)
    with pytest.raises(ValueError, match="both its limits"):
        after_finish(BEFORE, Surface.OUTSIDE, Limits(D(5), None, Unit.MICROMETRE), limits)
    with pytest.raises(ValueError, match="no conversion"):
        after_finish(BEFORE, Surface.OUTSIDE, Limits(D(5), D(8), Unit.DEGREE), limits)


def test_two_instruments_share_no_error_that_would_cancel() -> None:
    # By hand: the change scatters by s = 0.000816; two instruments whose errors differ by a
    # standard uncertainty of 0.004 leave half that in the thickness, 1.96 of it in the interval.
    ordered = Limits(D(8), D("12.5"), Unit.MICROMETRE)
    one = implied_layer(BEFORE, plated("0.010"), Surface.OUTSIDE, ordered=ordered, unit=Unit.MM)
    two = implied_layer(
        BEFORE, plated("0.010"), Surface.OUTSIDE, ordered=ordered, unit=Unit.MM, apart=0.004
    )
    assert one is not None and two is not None
    assert (one.verdict, two.verdict) == (LayerVerdict.AS_ORDERED, LayerVerdict.NOT_PROVEN)
    assert two.interval.high - two.thickness == pytest.approx(1.96 * 0.002, rel=0.03)
    assert one.thickness == two.thickness
