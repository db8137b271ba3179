"""Capability: the index where it means something, and the reason where it does not."""

from __future__ import annotations

from decimal import Decimal

import pytest

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.study.batch.capability import Capability, NoIndex, NoIndexReason, capability, cpk_at_least

D = Decimal
LIMITS = Limits(D("8"), D("8.020"), Unit.MM)
TEN = [D("8.010") + D(v) / 1000 for v in (-3, -2, -1, -1, 0, 0, 1, 1, 2, 3)]


def reason(*args: object, **more: object) -> NoIndexReason:
    found = capability(*args, **more)  # type: ignore[arg-type]
    assert isinstance(found, NoIndex)
    return found.reason


def test_ten_pieces_of_one_setup_have_an_index_with_its_interval() -> None:
    found = capability(TEN, LIMITS)
    assert isinstance(found, Capability)
    assert found.cp is not None and found.cp_interval is not None
    assert found.cp == pytest.approx(found.cpk) and found.cpk in found.cpk_interval
    assert found.cp in found.cp_interval
    assert found.cpk_interval.low < found.cpk_at_least < found.cpk
    assert found.cpk_at_least == cpk_at_least(found.cpk, 10)


def test_off_the_middle_the_worse_side_counts() -> None:
    found = capability([v + D("0.004") for v in TEN], LIMITS)
    assert isinstance(found, Capability)
    assert found.cpu is not None and found.cpl is not None and found.cp is not None
    assert found.cpk == found.cpu < found.cp < found.cpl


def test_one_limit_has_no_cp() -> None:
    found = capability(TEN, Limits(None, D("8.020"), Unit.MM))
    assert isinstance(found, Capability)
    assert found.cp is None and found.cp_interval is None and found.cpl is None
    assert found.cpk == found.cpu


def test_nine_pieces_are_too_few_and_it_says_what_they_would_prove() -> None:
    few = capability(TEN[:9], LIMITS)
    assert isinstance(few, NoIndex)
    assert (few.reason, few.n, few.least) == (NoIndexReason.TOO_FEW, 9, 10)
    assert few.proven is not None and round(few.proven, 2) == 0.75
    # More pieces would bring no index of what drifts or ends at zero: nothing is said of them.
    for more in ({"drifting": True}, {"zero_based": True}, {"setups": 2}):
        none = capability(TEN[:9], LIMITS, **more)  # type: ignore[arg-type]
        assert isinstance(none, NoIndex) and none.proven is None
    assert capability(TEN[:1], LIMITS) == NoIndex(NoIndexReason.TOO_FEW, 1, 10)
    assert capability([], LIMITS) == NoIndex(NoIndexReason.TOO_FEW, 0, 10)


def test_other_reasons_for_silence() -> None:
    assert reason(TEN, LIMITS, setups=2) is NoIndexReason.SEVERAL_SETUPS
    assert reason(TEN, LIMITS, drifting=True) is NoIndexReason.DRIFTS
    assert reason(TEN, LIMITS, zero_based=True) is NoIndexReason.ENDS_AT_ZERO
    assert reason(TEN, Limits(None, None, Unit.MM)) is NoIndexReason.NO_LIMITS
    assert reason([D("8.01")] * 12, LIMITS) is NoIndexReason.ALIKE


def test_bad_input_is_refused() -> None:
    with pytest.raises(ValueError, match="finite"):
        capability([*TEN, D("NaN")], LIMITS)
    with pytest.raises(ValueError, match="at least 2"):
        cpk_at_least(1.33, 1)
    with pytest.raises(ValueError, match="confidence"):
        cpk_at_least(1.33, 8, 1.5)
    assert cpk_at_least(1.33, 2) < cpk_at_least(1.33, 3) < 1.33
