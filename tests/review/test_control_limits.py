"""Control limits stand over one setup and one set of limits, never over two."""

from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.review.part.charts.control import control_stretches
from qlog.review.part.charts.deviations import target_of
from qlog.review.part.charts.runs import (
    AcceptanceRun,
    Run,
    acceptance_runs,
    instrument_runs,
    sitting_runs,
)

OLD = Limits(Decimal("9.9"), Decimal("10.1"), Unit.MM)
NEW = Limits(Decimal("9.8"), Decimal("10.0"), Unit.MM)


def read(piece: int, value: str, setup: int = 1, limits: Limits = OLD) -> Any:
    return SimpleNamespace(piece=piece, value=Decimal(value), setup=setup, limits=limits)


def test_a_new_setup_begins_limits_of_its_own() -> None:
    """By hand: mean 10.00, mean range 0.02, limits 10.00 -+ 3 x 0.02 / 1.128."""
    first = [read(n, v) for n, v in enumerate(["10.01", "9.99"] * 3, 1)]
    second = [read(n, v, 2) for n, v in enumerate(["10.06", "10.05", "10.06", "10.05", "10.06"], 7)]
    one, two = control_stretches([*first, *second])
    assert one.control is not None and two.control is not None
    assert one.control.chart.lower == pytest.approx(9.94681, abs=1e-5)
    assert one.control.chart.upper == pytest.approx(10.05319, abs=1e-5)
    assert two.pieces == (7, 8, 9, 10, 11)
    assert two.control.chart.centre == pytest.approx(10.056)


def test_new_limits_begin_limits_of_their_own_in_the_same_setup() -> None:
    found = control_stretches([read(n, "10.0", limits=OLD if n < 6 else NEW) for n in range(1, 9)])
    assert [(s.limits, s.pieces) for s in found] == [(OLD, (1, 2, 3, 4, 5)), (NEW, (6, 7, 8))]


def test_few_readings_and_readings_all_alike_have_none() -> None:
    few = control_stretches([read(n, v) for n, v in enumerate(["1", "2", "1", "2"])])
    alike = control_stretches([read(n, "10.0") for n in range(9)])
    assert few[0].control is None and alike[0].control is None


def test_where_nothing_can_be_below_zero_no_limit_is() -> None:
    """By hand: mean 0.02, mean range 0.02, limits 0.02 -+ 3 x 0.02 / 1.128: -0.0332 and 0.0732."""
    runouts = [read(n, v) for n, v in enumerate(["0.03", "0.01"] * 3, 1)]
    (as_any,), (based,) = control_stretches(runouts), control_stretches(runouts, zero_based=True)
    assert as_any.control is not None and based.control is not None
    assert as_any.control.chart.lower == pytest.approx(-0.0332, abs=1e-4)
    assert based.control.chart.lower == 0
    assert based.control.chart.upper == as_any.control.chart.upper
    assert based.control.ewma.settled_lower == max(as_any.control.ewma.settled_lower, 0)
    assert min(based.control.ewma.lower) >= 0 > min(as_any.control.ewma.lower)
    assert based.control.signals == as_any.control.signals


def test_the_target_of_a_reading_is_the_middle_of_the_limits_that_judged_it() -> None:
    series: Any = SimpleNamespace(limits=NEW, callout=SimpleNamespace(nominal=Decimal("9.9")))
    assert target_of(series, read(1, "10.0", limits=OLD)) == Decimal("10.0")
    assert target_of(series, read(2, "10.0", limits=NEW)) == Decimal("9.9")


def test_scrapped_pieces_stand_apart() -> None:
    """A size that slipped and was scrapped would else widen the limits of the pieces that stay."""
    readings = [read(n, v) for n, v in enumerate(["10.01", "9.99"] * 3, 1)]
    found = control_stretches([*readings, read(7, "12.0")], scrapped={7})
    assert found == control_stretches(readings)


def run_of(piece: int, instrument: str, made: str, guard: str | None = "0.01") -> Any:
    judgement = None if guard is None else SimpleNamespace(guard=Decimal(guard))
    return SimpleNamespace(
        piece=piece, instrument=instrument, made=made, temperature=None, limits=OLD,
        judgement=judgement, person="",
    )  # fmt: skip


def test_instruments_sittings_and_acceptance_limits_go_run_by_run() -> None:
    """Two instruments, of which the second guards with 0.02 at each limit; a second day."""
    day_1, day_2 = "2026-03-01T10:0{}:00+00:00", "2026-03-02T10:0{}:00+00:00"
    series: Any = SimpleNamespace(
        readings=[
            run_of(1, "mike", day_1.format(1)),
            run_of(2, "mike", day_1.format(2)),
            run_of(3, "caliper", day_1.format(3), "0.02"),
            run_of(4, "caliper", day_2.format(4), "0.02"),
            run_of(5, "rule", day_2.format(5), "0.1"),
        ],
        callout=SimpleNamespace(kind="length"),
    )
    assert instrument_runs(series) == (Run("mike", 1, 2), Run("caliper", 3, 4), Run("rule", 5, 5))
    assert sitting_runs(series) == (Run("2026-03-01", 1, 3), Run("2026-03-02", 4, 5))
    assert acceptance_runs(series) == (
        AcceptanceRun(Decimal("9.91"), Decimal("10.09"), 1, 2),
        AcceptanceRun(Decimal("9.92"), Decimal("10.08"), 3, 4),
    )  # 0.1 at each limit takes the whole tolerance: there is nothing left to draw
    one: Any = SimpleNamespace(readings=series.readings[:2], callout=series.callout)
    assert instrument_runs(one) == sitting_runs(one) == ()
