"""Outlier readings: found, and left alone."""

from __future__ import annotations

from decimal import Decimal

import pytest

from qlog.study.batch.outlier import OutlierSide, grubbs, grubbs_critical

D = Decimal
CLEAN = [D(v) for v in ("8.003", "8.005", "8.004", "8.006", "8.002", "8.005", "8.003")]


def test_a_burr_is_found_and_named() -> None:
    found = grubbs([*CLEAN, D("8.021")], step=D("0.001"))
    assert found is not None and found.found
    assert found.index == 7 and found.value == D("8.021") and found.deviation > 0
    assert found.g > found.critical


def test_a_clean_batch_stays_quiet() -> None:
    found = grubbs(CLEAN, step=D("0.001"))
    assert found is not None and not found.found


def test_sides() -> None:
    batch = [*CLEAN, D("7.985")]
    low = grubbs(batch, side=OutlierSide.LOW)
    high = grubbs(batch, side=OutlierSide.HIGH)
    either = grubbs(batch)
    assert low is not None and low.found and low.index == 7 and low.deviation < 0
    assert high is not None and not high.found
    assert either is not None and either.found and either.index == 7
    assert low.critical < either.critical


@pytest.mark.parametrize("n", [5, 8, 12, 20])
def test_one_step_on_a_coarse_display_is_no_outlier(n: int) -> None:
    batch = [D("8.01")] * (n - 1) + [D("8.02")]
    told = grubbs(batch, step=D("0.01"))
    untold = grubbs(batch)
    assert told is not None and not told.found
    assert untold is not None and untold.found
    # Five steps are one, whatever the display.
    far = grubbs([D("8.01"), D("8.02")] * (n // 2) + [D("8.11")], step=D("0.01"))
    assert far is not None and (far.found or n == 5)


def test_too_little_to_say_anything() -> None:
    assert grubbs([]) is None
    assert grubbs(CLEAN[:2]) is None
    three = grubbs(CLEAN[:3])
    assert three is not None and not three.found
    assert grubbs([D("8.01")] * 8, step=D("0.01")) is None


def test_bad_input_is_refused() -> None:
    with pytest.raises(ValueError, match="false-alarm rate"):
        grubbs(CLEAN, alpha=5)
    with pytest.raises(ValueError, match="finite"):
        grubbs([*CLEAN, D("NaN")])
    with pytest.raises(ValueError, match="at least 3"):
        grubbs_critical(2)
