"""What Kendall's test makes of a finished batch, and what it refuses."""

from decimal import Decimal

import pytest

from qlog.study.drift.kendall import kendall, score_counts


def test_four_readings_can_never_be_significant() -> None:
    assert kendall(range(1, 5), [1, 2, 3, 4]).p > 0.05
    assert kendall(range(1, 6), [1, 2, 3, 4, 5]).p == 2 / 120


def test_one_outlier_makes_no_trend() -> None:
    steady = [8.004, 8.006, 8.003, 8.005, 8.007, 8.002]
    found = kendall(range(1, 8), [*steady, 9.9])
    assert found.p > 0.3
    assert abs(found.slope) < 0.01


def test_a_falling_batch_is_found_on_its_side() -> None:
    found = kendall(range(1, 9), [9, 8, 7, 6, 5, 4, 3, 2])
    assert found.score == -28
    assert found.slope == -1
    assert found.p_lower == pytest.approx(1 / 40320)
    assert found.p == pytest.approx(2 / 40320)
    assert found.p_upper == 1


def test_equal_readings_say_nothing() -> None:
    found = kendall(range(1, 7), [8.01] * 6)
    assert (found.score, found.rising, found.p, found.z, found.slope) == (0, 0, 1, 0, 0)


def test_missing_pieces_count_in_the_slope() -> None:
    assert kendall([1, 3, 7], [0, 2, 6]).slope == 1


def test_decimals_tie_as_they_were_written() -> None:
    sums = [Decimal("0.1") + Decimal("0.2"), Decimal("0.3"), Decimal("0.30")]
    found = kendall([1, 2, 3], sums)
    assert (found.rising, found.falling) == (0, 0)


def test_counts_cover_every_order() -> None:
    counts = score_counts(6, [3, 2])
    assert sum(counts.values()) == 60  # 6! / (3! 2!)
    assert counts[11] == counts[-11] == 1
    assert score_counts(0) == {0: 1}
    assert score_counts(3, [1, 1, 1]) == score_counts(3)


@pytest.mark.parametrize(
    ("order", "values", "words"),
    [
        ([1, 2], [8.0], "2 piece numbers for 1 reading"),
        ([1], [8.0], "at least two"),
        ([2, 1], [8.0, 8.1], "must rise"),
        ([1, 2], [8.0, float("nan")], "not a finite number"),
    ],
)
def test_bad_input_is_refused(order: list[int], values: list[float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        kendall(order, values)


def test_ties_must_fit() -> None:
    with pytest.raises(ValueError, match="do not fit"):
        score_counts(3, [2, 2])
    with pytest.raises(ValueError, match="do not fit"):
        score_counts(3, [0])
