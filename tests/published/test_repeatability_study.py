"""Repeatability study: the published data set of ten parts, three people and three trials."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from qlog.study.gauge.repeatability import GaugeReading, GaugeStudy, study

DATA = Path(__file__).parent / "data"


def readings() -> list[GaugeReading]:
    # AIAG, Measurement Systems Analysis, 4th ed., figure III-B 6, as widely reprinted.
    with (DATA / "grr_aiag_dataset.csv").open(encoding="utf-8", newline="") as file:
        return [
            GaugeReading(int(r["part"]), float(r["value"]), r["appraiser"])
            for r in csv.DictReader(file)
        ]


@pytest.fixture(scope="module")
def found() -> GaugeStudy:
    return study(readings())


def test_table_of_variances(found: GaugeStudy) -> None:
    # Table III-B 7. The pieces are printed as 88.3619.
    table = {row.source: row for row in found.table}
    assert round(table["people"].squares, 4) == 3.1673
    assert round(table["pieces"].squares, 4) == 88.3619
    assert round(table["people x pieces"].squares, 4) == 0.3590
    assert round(table["repeatability"].squares, 4) == 2.7589
    assert round(sum(row.squares for row in found.table), 4) == 94.6471
    assert [row.dof for row in found.table] == [2, 9, 18, 60]
    interaction = table["people x pieces"].f
    assert interaction is not None and round(interaction, 3) == 0.434
    assert found.pooled


def test_components(found: GaugeStudy) -> None:
    # Tables III-B 7 and 8; the printed 0.302373 of the whole gauge is 0.3023715 unrounded.
    assert round(found.repeatability, 6) == 0.199933
    assert found.reproducibility is not None and round(found.reproducibility, 5) == 0.22684
    assert abs(found.combined - 0.302373) < 2e-6
    assert found.piece_spread is not None and abs(found.piece_spread - 1.042327) < 1e-6
    assert found.total is not None and round(found.total, 3) == 1.085
    shares = [
        found.repeatability / found.total,
        found.reproducibility / found.total,
        found.combined / found.total,
        found.piece_spread / found.total,
    ]
    assert [round(100 * s, 1) for s in shares] == [18.4, 20.9, 27.9, 96.0]


def test_against_the_linear_model_of_statsmodels(found: GaugeStudy) -> None:
    import numpy as np
    from statsmodels.regression.linear_model import OLS

    data = readings()
    y = np.array([float(r.value) for r in data])

    def residual(*keys: list[object]) -> float:
        columns = [np.ones((len(data), 1))]
        for key in keys:
            # One level is the baseline, so that the model has full rank.
            levels = list(dict.fromkeys(key))[1:]
            columns.append(np.array([[k == level for level in levels] for k in key], dtype=float))
        return float(OLS(y, np.hstack(columns)).fit().ssr)

    people: list[object] = [r.person for r in data]
    pieces: list[object] = [r.piece for r in data]
    cells: list[object] = [(r.person, r.piece) for r in data]
    table = {row.source: row.squares for row in found.table}
    both = residual(people, pieces)
    assert math.isclose(table["people"], residual(pieces) - both, rel_tol=1e-9)
    assert math.isclose(table["pieces"], residual(people) - both, rel_tol=1e-9)
    assert math.isclose(table["people x pieces"], both - residual(cells), rel_tol=1e-8)
    assert math.isclose(table["repeatability"], residual(cells), rel_tol=1e-9)


def test_kept_interaction_against_its_expected_mean_squares() -> None:
    kept = study(readings(), pool_above=0.999)
    table = {row.source: row for row in kept.table}
    assert not kept.pooled
    assert math.isclose(kept.repeatability**2, table["repeatability"].mean_square, rel_tol=1e-12)
    # The interaction is smaller than the repeatability here, so its component is none.
    assert kept.interaction == 0
    assert kept.reproducibility is not None
    expected = (table["people"].mean_square - table["people x pieces"].mean_square) / 30
    assert math.isclose(kept.reproducibility**2, expected, rel_tol=1e-12)
