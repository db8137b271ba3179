"""Tables that were computed for these tests, by another way than the code's: no published values.

data/kendall_*.csv: exact counts of inversions. data/small_sample_factors.csv: from quantiles of
chi-square and t. The constants of the moving range: their closed
forms, d2 = 2 / sqrt(pi) and D4 = 1 + 3 d3 / d2 with d3 = sqrt(2 - 4 / pi).
"""

import csv
import math
from pathlib import Path

import pytest

from qlog.study.batch.control_charts import D2, D4
from qlog.study.batch.intervals import s_factors
from qlog.study.batch.outlier import grubbs_critical
from qlog.study.drift.kendall import score_counts

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_constants_of_the_moving_range_are_their_closed_forms_rounded() -> None:
    d2, d3 = 2 / math.sqrt(math.pi), math.sqrt(2 - 4 / math.pi)
    assert round(d2, 3) == D2
    assert pytest.approx(1 + 3 * d3 / d2, abs=6e-4) == D4


@pytest.mark.parametrize(
    "n", sorted({int(row["n"]) for row in rows("kendall_exact_upper_tail.csv")})
)
def test_exact_tails_agree_with_independently_computed_ones(n: int) -> None:
    counts = score_counts(n)
    total = sum(counts.values())
    table = [row for row in rows("kendall_exact_upper_tail.csv") if int(row["n"]) == n]
    assert table
    for row in table:
        tail = sum(count for s, count in counts.items() if s >= int(row["S"]))
        # The table has six digits.
        assert tail / total == pytest.approx(float(row["p_upper_one_sided_no_ties"]), rel=5e-6)


@pytest.mark.parametrize("row", rows("kendall_critical_S.csv"), ids=lambda row: f"n{row['n']}")
def test_critical_scores_agree_with_independently_computed_ones(row: dict[str, str]) -> None:
    n = int(row["n"])
    for column, level in (
        ("S_crit_two_sided_0.10", 0.10),
        ("S_crit_0.05", 0.05),
        ("S_crit_0.01", 0.01),
    ):
        wanted = int(row[column]) if row[column] else None
        counts = score_counts(n)
        allowed = level * sum(counts.values()) / 2
        far = [
            s
            for s in counts
            if s > 0 and sum(c for other, c in counts.items() if other >= s) <= allowed
        ]
        assert min(far, default=None) == wanted


@pytest.mark.parametrize("row", rows("small_sample_factors.csv"), ids=lambda r: f"n{r['n']}")
def test_factors_for_s_and_grubbs_critical_values(row: dict[str, str]) -> None:
    # Computed for the file from chi-square and t quantiles, independently of this code.
    n = int(row["n"])
    low, high = s_factors(n)
    assert f"{low:.5f}" == row["sd_ci95_lower_factor"]
    assert f"{high:.5f}" == row["sd_ci95_upper_factor"]
    one = grubbs_critical(n, two_sided=False)
    two = grubbs_critical(n)
    assert f"{one:.5f}" == row["grubbs_crit_one_sided_0.05"]
    assert f"{two:.5f}" == row["grubbs_crit_two_sided_0.05"]
