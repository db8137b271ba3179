"""Gauges: studies of every shape, checks, and the readings that a failed check puts in doubt."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from scipy import stats

from qlog.study.gauge.repeatability import Fitness, GaugeReading, check, one_way, study, suspects

D = Decimal
PIECES = {1: ["8.003", "8.004", "8.003"], 2: ["8.010", "8.009", "8.010"], 3: ["8.001"] * 3}


def alone() -> list[GaugeReading]:
    return [GaugeReading(p, D(v)) for p, values in PIECES.items() for v in values]


def test_one_person_several_pieces() -> None:
    found = study(alone(), tolerance=D("0.015"))
    assert (found.pieces, found.people) == (3, 1)
    groups = [[float(v) for v in values] for values in PIECES.values()]
    expected = stats.f_oneway(*groups)
    assert found.table[0].f == pytest.approx(expected.statistic, rel=1e-9)
    assert found.table[0].p == pytest.approx(expected.pvalue, rel=1e-9)
    # Pooled by hand: deviations 1/3 and 2/3 of a micrometre in two pieces, none in the third.
    assert found.repeatability == pytest.approx(math.sqrt(2 * (2 / 3) / 6) * 1e-3, rel=1e-9)
    assert found.repeatability_dof == 6 and found.repeatability in found.repeatability_interval
    assert found.reproducibility is None and found.interaction is None
    assert found.combined == found.repeatability
    assert found.share_of_tolerance == pytest.approx(6 * found.combined / 0.015)
    assert found.fitness is Fitness.WITH_CARE


def test_trials_may_differ_for_one_person() -> None:
    found = study(alone()[:-1])
    assert found.repeatability_dof == 5 and found.piece_spread is not None


def test_one_piece_again_and_again() -> None:
    found = study([GaugeReading(1, D(v)) for v in ("8.003", "8.005", "8.004")], tolerance=D("0.1"))
    assert found.repeatability == pytest.approx(0.001) and found.repeatability_dof == 2
    assert found.piece_spread is None and found.total is None
    assert found.fitness is Fitness.FIT


def test_without_tolerance_the_spread_of_the_pieces_is_the_measure() -> None:
    found = study(alone())
    assert found.share_of_tolerance is None and found.fitness is Fitness.WITH_CARE
    nothing = study([GaugeReading(1, D("8.003")), GaugeReading(1, D("8.004"))])
    assert nothing.fitness is None


def test_a_hopeless_gauge() -> None:
    found = study(alone(), tolerance=D("0.003"))
    assert found.fitness is Fitness.NOT_FIT


def test_an_instrument_that_never_scatters() -> None:
    found = study([GaugeReading(p, D(v)) for p, v in ((1, "8"), (1, "8"), (2, "9"), (2, "9"))])
    assert found.repeatability == 0
    assert found.table[0].f is None and found.table[0].p is None


def crossed(interaction: float = 0.0) -> list[GaugeReading]:
    """Two people, three pieces, two trials with a scatter of 0.5; person B reads 2 more."""
    sizes = {1: 0.0, 2: 10.0, 3: 20.0}
    return [
        GaugeReading(p, size + bias + twist + noise, person)
        for p, size in sizes.items()
        for person, bias in (("A", 0.0), ("B", 2.0))
        for twist in [interaction * (p - 2) * (1 if person == "A" else -1)]
        for noise in (-0.5, 0.5)
    ]


def test_two_people() -> None:
    found = study(crossed())
    assert (found.pieces, found.people) == (3, 2) and found.pooled
    # By hand: error 6 cells x 0.5, no interaction: (3 + 0) / 8; people: 12 readings x 1.
    assert found.repeatability == pytest.approx(math.sqrt(3 / 8))
    assert found.reproducibility == pytest.approx(math.sqrt((12 - 3 / 8) / 6))
    assert found.piece_spread == pytest.approx(math.sqrt((800 / 2 - 3 / 8) / 4))
    assert found.combined == pytest.approx(
        math.hypot(found.repeatability, found.reproducibility or 0)
    )


def test_people_who_read_pieces_differently() -> None:
    found = study(crossed(interaction=3))
    assert not found.pooled and found.interaction is not None and found.interaction > 0
    # Interaction by hand: 2 trials x 4 cells x 9 over 2 degrees; error 3 over 6.
    assert found.interaction == pytest.approx(math.sqrt((36 - 0.5) / 2))
    assert found.combined == pytest.approx(
        math.sqrt(0.5 + (found.reproducibility or 0) ** 2 + found.interaction**2)
    )


def test_order_of_the_readings_does_not_matter() -> None:
    assert study(list(reversed(crossed(1)))).combined == pytest.approx(study(crossed(1)).combined)


def test_missing_cells_are_named() -> None:
    with pytest.raises(ValueError, match="B read piece 3 1 time"):
        study(crossed()[:-1])
    with pytest.raises(ValueError, match="B read piece 3 0 time"):
        study(crossed()[:-2])
    with pytest.raises(ValueError, match="at least twice"):
        study(crossed()[::2])
    with pytest.raises(ValueError, match="at least 2 pieces"):
        study([GaugeReading(1, 8.0, person) for person in "AABB"])


def test_nothing_read_twice() -> None:
    for readings in ([], [GaugeReading(1, 8.0), GaugeReading(2, 9.0)]):
        with pytest.raises(ValueError, match="read each at least twice"):
            study(readings)


def test_one_way_needs_groups() -> None:
    for groups in ([], [[1.0, 2.0]], [[1.0], [2.0]], [[1.0, 2.0], []]):
        with pytest.raises(ValueError, match="at least 2 groups"):
            one_way(groups)


def test_groups_that_differ_less_than_their_scatter_have_no_component() -> None:
    found = one_way([[1.0, 3.0], [1.5, 2.5], [2.0, 2.0]])
    assert found.s_between == 0 and found.between.f == 0


def test_a_check_within_the_limit_the_limit_included() -> None:
    found = check([D("24.998"), D("25.004")], D(25), D("0.004"))
    assert found.fit and found.worst_error == D("0.004")
    assert found.errors == (D("-0.002"), D("0.004"))
    beyond = check([D("25.0040001")], D(25), D("0.004"))
    assert not beyond.fit
    zero = check([D("-0.02")], D(0), D("0.01"))
    assert not zero.fit and zero.worst_error == D("-0.02")


def test_checks_that_are_none() -> None:
    with pytest.raises(ValueError, match="at least one reading"):
        check([], D(25), D("0.004"))
    with pytest.raises(ValueError, match="error limit"):
        check([D(25)], D(25), D("-0.004"))
    with pytest.raises(ValueError, match="finite"):
        check([D("NaN")], D(25), D("0.004"))


READINGS = [(2, "a"), (4, "b"), (6, "c"), (8, "d"), (10, "e")]


@pytest.mark.parametrize(
    ("checks", "doubted"),
    [
        ([], ""),
        ([(1, True), (9, True)], ""),
        ([(1, True), (5, True), (9, False)], "cde"),  # since the last good check, and after
        ([(9, False)], "abcde"),  # never known to be good
        ([(1, True), (5, False), (7, True)], "abc"),  # and until it was put right
        ([(3, True), (5, False), (7, True)], "bc"),
        ([(5, True)], ""),
        ([(9, False), (1, True), (5, True)], "cde"),  # in any order
        ([(4, False), (7, True)], "abc"),
    ],
)
def test_what_a_failed_check_puts_in_doubt(checks: list[tuple[int, bool]], doubted: str) -> None:
    assert "".join(str(name) for name in suspects(checks, READINGS)) == doubted


def test_times_serve_as_well_as_numbers() -> None:
    day = [datetime(2024, 5, d, tzinfo=UTC) for d in (1, 2, 3)]
    assert suspects([(day[0], True), (day[2], False)], [(day[1], "x")]) == ("x",)
