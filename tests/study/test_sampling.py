"""What a sample proves, held against scipy's hypergeometric law and the binomial bound."""

import pytest
from scipy.stats import hypergeom

from qlog.study.batch.counts import at_most, sampled


@pytest.mark.parametrize("confidence", [0.9, 0.95, 0.99])
@pytest.mark.parametrize(
    ("pieces", "read", "bad"),
    [(10, 4, 0), (10, 4, 1), (12, 4, 0), (20, 7, 2), (8, 8, 0), (8, 8, 3), (60, 20, 0), (9, 1, 1)],
)
def test_the_bound_is_the_largest_number_that_is_not_contradicted(
    pieces: int, read: int, bad: int, confidence: float
) -> None:
    found = sampled(pieces, read, bad, confidence)
    possible = range(bad, pieces - read + bad + 1)
    wanted = max(
        total for total in possible
        if total == bad or hypergeom.cdf(bad, pieces, total, read) > 1 - confidence
    )  # fmt: skip
    assert found.bad_at_most == wanted


def test_all_read_leaves_nothing_open_and_none_read_proves_nothing() -> None:
    assert sampled(10, 10, 0).bad_at_most == 0
    with pytest.raises(ValueError, match="no sample"):
        sampled(10, 0, 0)
    with pytest.raises(ValueError, match="no sample"):
        sampled(3, 4, 0)


def test_a_large_batch_comes_to_the_binomial_bound() -> None:
    # Clopper and Pearson 1934, one tail: none bad of 8 still allows 31.2 %.
    share = sampled(20_000, 8, 0).bad_at_most / 20_000
    assert share == pytest.approx(at_most(0, 8), abs=2e-4)
