"""Setups compared, and the same pieces before and after."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from qlog.study.batch.comparison import before_and_after, setups

D = Decimal
FIRST = [D(v) for v in ("20.003", "20.005", "20.004", "20.006")]


def test_a_resharpened_tool_is_seen() -> None:
    found = setups(FIRST, [v + D("0.012") for v in FIRST], step=D("0.001"))
    assert found is not None and found.found
    assert found.difference == pytest.approx(0.012)
    assert 0.012 in found.interval and 0 not in found.interval


def test_the_same_setting_again_is_not() -> None:
    again = [D(v) for v in ("20.004", "20.006", "20.003", "20.005")]
    found = setups(FIRST, again)
    assert found is not None and not found.found and found.p == pytest.approx(1)


def test_the_step_keeps_readings_all_alike_from_being_infinitely_sure() -> None:
    alike, next_step = [D("8.01")] * 3, [D("8.02")] * 3
    told = setups(alike, next_step, step=D("0.01"))
    assert told is not None and math.isfinite(told.t)
    # One step apart with s = 0.29 steps each: t = 1 / sqrt(2 / 36), 4 degrees of freedom.
    assert told.t == pytest.approx(math.sqrt(18)) and told.dof == pytest.approx(4)
    assert not told.found
    untold = setups(alike, next_step)
    assert untold is not None and math.isinf(untold.t) and untold.p == 0
    same = setups(alike, alike)
    assert same is not None and same.p == 1 and not same.found


def test_two_against_two_is_enough_to_compare() -> None:
    assert setups(FIRST[:2], FIRST[2:]) is not None
    assert before_and_after([(D(8), D("8.01")), (D(9), D("9.02"))]) is not None


def test_too_few_to_compare() -> None:
    assert setups(FIRST, FIRST[:1]) is None
    assert setups([], FIRST) is None
    assert before_and_after([]) is None
    assert before_and_after([(D(8), D(8))]) is None


def test_a_finish_changes_every_piece_a_little() -> None:
    # The pieces differ far more than the finish changes them; pairing sees it all the same.
    before = [D(v) for v in ("19.98", "20.01", "20.03", "19.96", "20.05")]
    change = [D(v) for v in ("0.003", "0.004", "0.003", "0.002", "0.003")]
    pairs = [(b, b + c) for b, c in zip(before, change, strict=True)]
    found = before_and_after(pairs, step=D("0.001"))
    assert found is not None and found.found
    assert found.mean == pytest.approx(0.003) and 0.003 in found.interval
    unpaired = setups(before, [after for _, after in pairs])
    assert unpaired is not None and not unpaired.found


def test_a_change_below_the_display_is_not_proven() -> None:
    pairs = [(D("8.01"), D("8.01")), (D("8.02"), D("8.02")), (D("8.01"), D("8.02"))]
    found = before_and_after(pairs, step=D("0.01"))
    assert found is not None and not found.found
    still = before_and_after([(D(8), D(8))] * 4, step=D("0.01"))
    assert still is not None and still.mean == 0 and still.p == 1
    assert still.s == pytest.approx(0.01 / math.sqrt(6))


def test_bad_input_is_refused() -> None:
    for wrong in ({"alpha": 1.0}, {"confidence": 95.0}):
        with pytest.raises(ValueError, match="between 0 and 1"):
            setups(FIRST, FIRST, **wrong)
        with pytest.raises(ValueError, match="between 0 and 1"):
            before_and_after([(D(8), D(8))] * 3, **wrong)
    with pytest.raises(ValueError, match="finite"):
        before_and_after([(D(8), D("NaN")), (D(8), D(8))])
