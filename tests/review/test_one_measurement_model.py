"""Budget, verdict and aim come from one model of a reading: same guard, same temperature."""

import math
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import PlanError, load
from qlog.drawing.decision import DecisionRule, Rule
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.logbook.facts import Trial
from qlog.logbook.store import Logbook
from qlog.review.instrument.budget import DimensionBudget, dimension_budget
from qlog.review.whole import picture_from
from qlog.study.batch.allowance import learn, ordered
from qlog.study.batch.comparison import setups
from qlog.study.conformity.verdict import Verdict, guard_factor, judge
from qlog.study.fit.aim import Need, aim
from qlog.study.fit.joints import (
    ReadWith,
    Side,
    Sized,
    clearances,
    combined_dof,
    combined_sizes,
    mate_window,
)
from qlog.study.fit.stacks import assembly
from qlog.study.gauge.repeatability import offset
from tests.conftest import Ran, run_qlog

D = Decimal
GUARDED = DecisionRule(Rule.GUARDED)

PLAN = """\
title = "Straightedges"
units = "mm"

[material.aluminium]
name = "aluminium"
expansion = 23

[instrument.caliper]
name = "long caliper"
kind = "caliper"
step = 0.001
error = 0.002

[[part]]
id = "edge"
name = "Straightedge"
material = "aluminium"
needed = 3
  [[part.op]]
  number = 10
  name = "mill"
  kind = "milling"
  [[part.dim]]
  id = "length"
  name = "length"
  callout = "400 ±0.02"
  op = 10
  instrument = "caliper"
  [[part.dim]]
  id = "runout"
  name = "runout"
  callout = "runout 0.02"
  op = 10
  instrument = "caliper"
  [[part.dim]]
  id = "step"
  name = "step"
  callout = "5 ±{narrow}"
  op = 10
  instrument = "caliper"
"""


@pytest.fixture
def q(tmp_path: Path) -> Callable[..., Ran]:
    folder = tmp_path / "b"
    assert run_qlog("new", str(folder)).status == 0
    write(folder)
    return lambda *words: run_qlog("--build", str(folder), *words)


def write(folder: Path, *, head: str = "", narrow: str = "0.01") -> None:
    text = head + PLAN.replace("{narrow}", narrow)
    (folder / "build.toml").write_text(text, encoding="utf-8")


def seen(folder: Path, dimension: str) -> tuple[DimensionBudget, object]:
    """The budget of a dimension, and the judgement of its first reading."""
    build = load(folder)
    part = build.part("edge")
    with Logbook(folder / "logbook.db") as log:
        picture = picture_from(build, log)
        found = dimension_budget(
            build, log, part, part.dimension(dimension), build.instrument("caliper")
        )
    series = next(s for s in picture.parts[0].series if s.dimension.id == dimension)
    return found, series.readings[0].judgement


@pytest.mark.parametrize("narrow", ["0.01", "0.0024", "0.00204"])  # T/u from 16 down to 4 and 3.4
def test_the_budget_guards_as_the_verdict_does(
    q: Callable[..., Ran], tmp_path: Path, narrow: str
) -> None:
    write(tmp_path / "b", narrow=narrow)
    q("read", "edge", "10", "step", "1", "5.000")
    budget, judgement = seen(tmp_path / "b", "step")
    assert budget.guard == judgement.guard  # type: ignore[attr-defined]


def test_a_runout_is_guarded_on_one_side_in_the_budget_too(
    q: Callable[..., Ran], tmp_path: Path
) -> None:
    q("read", "edge", "10", "runout", "1", "0.005")
    budget, judgement = seen(tmp_path / "b", "runout")
    assert budget.guard == judgement.guard  # type: ignore[attr-defined]
    assert budget.usable == D("0.02") - budget.guard


def test_a_study_of_two_degrees_of_freedom_needs_2_92() -> None:
    # Student's t, one-sided 95 %, 2 degrees of freedom: 2.920 (any table of t; NIST/SEMATECH
    # e-Handbook 1.3.6.7.2).
    assert guard_factor(D("0.95"), math.inf, 2) == D("2.92")
    limits = Limits(D("9.9"), D("10.1"), Unit.MM)
    few = judge(D("10.075"), limits, decision=GUARDED, uncertainty=D("0.01"), dof=2)
    many = judge(D("10.075"), limits, decision=GUARDED, uncertainty=D("0.01"))
    assert (few.verdict, many.verdict) == (Verdict.NOT_PROVEN, Verdict.GOOD)
    assert few.conformance_probability is not None and many.conformance_probability is not None
    assert few.conformance_probability < 0.95 < many.conformance_probability


def test_a_small_study_widens_the_guard_of_budget_and_verdict_alike(
    q: Callable[..., Ran], tmp_path: Path
) -> None:
    write(tmp_path / "b", narrow="0.1")
    with Logbook(tmp_path / "b" / "logbook.db") as log:
        for piece, (first, again) in enumerate([("5.000", "5.012"), ("5.001", "4.990")], start=1):
            for n, value in enumerate((first, again), start=1):
                log.append(Trial("s", "caliper", "edge", "step", "me", piece, n, value, "mm"))
    q("read", "edge", "10", "step", "1", "5.000")
    budget, judgement = seen(tmp_path / "b", "step")
    assert judgement.dof == 2  # type: ignore[attr-defined]
    assert budget.guard == judgement.guard  # type: ignore[attr-defined]
    assert budget.guard > D("2.5") * budget.budget.combined


def test_a_long_aluminium_piece_is_not_proven_by_two_micrometres(
    q: Callable[..., Ran], tmp_path: Path
) -> None:
    # By hand: (23 - 11.5)e-6/K x 400 mm x 3 K = 0.0138 mm either way, against limits of 0.02.
    said = q("read", "edge", "10", "length", "1", "400.014")
    assert "good" in said.out
    assert 'temperature = "20 ±3"' in q("gauge", "budget", "edge", "length").out
    write(tmp_path / "b", head='temperature = "20 ±3"\n')
    assert "not proven" in q("read", "edge", "10", "length", "2", "400.014").out
    budget, _ = seen(tmp_path / "b", "length")
    told = q("gauge", "budget", "edge", "length").out
    assert "room temperature" in told and "20 ±3 °C" in told
    room = next(c for c in budget.budget.components if c.source == "room temperature")
    assert room.contribution.quantize(D("0.0001")) == D("0.0080")  # 0.0138 / sqrt(3)


@pytest.mark.parametrize("text", ["20", "warm", "20 ±", "20 ±90", "300 ±1"])
def test_a_room_that_is_none_is_a_mistake_with_its_line(tmp_path: Path, text: str) -> None:
    write(tmp_path, head=f'temperature = "{text}"\n')
    with pytest.raises(PlanError) as no:
        load(tmp_path)
    assert 'such as "20 ±3"' in str(no.value)


@pytest.mark.parametrize("head", ["", 'temperature = "20 ±3"\n'])
def test_the_question_about_a_warm_piece_names_what_the_correction_takes_off(
    q: Callable[..., Ran], tmp_path: Path, head: str
) -> None:
    # By hand: (23 - 11.5)e-6/K x 400 mm x 10 K = 0.046 mm, whatever the room's own range is.
    write(tmp_path / "b", head=head)
    ran = q("read", "edge", "10", "length", "1", "400.046", "-t", "30")
    told = ran.out + ran.err
    assert "0.046 mm large" in told
    build = load(tmp_path / "b")
    with Logbook(tmp_path / "b" / "logbook.db") as log:
        length = next(
            s for s in picture_from(build, log).parts[0].series if s.dimension.id == "length"
        )
    (reading,) = length.readings
    assert reading.raw is not None and reading.value is not None
    assert (reading.raw - reading.value).quantize(D("0.001")) == D("0.046")


def test_a_small_study_widens_the_guard_of_pairs_mates_and_stacks() -> None:
    # u = 0.002 with 2 degrees of freedom, one-sided 95 %: 2.92 u (t tables, as above). Two
    # instruments: v = u_c^4 / (2 u^4 / 2) = 4 and t = 2.132, by Welch and Satterthwaite; one
    # instrument's study stands behind both readings, and its 2 degrees stay 2.
    few = [
        Sized(p, 1, D("8.000"), D("0.002"), D(0), s, dof=2)
        for p, s in (("cup", "a"), ("stem", "b"))
    ]
    cup, stem = few
    again = Sized("stem", 1, D("8.000"), D("0.002"), D(0), "a", dof=2)
    known = Sized("stem", 1, D("8.000"), D("0.002"), D(0), "b")
    assert combined_dof([(1, cup), (-1, stem)]) == 4
    assert combined_dof([(1, cup), (-1, again)]) == 2
    assert math.isinf(combined_dof([(1, known), (-1, known)]))
    u = combined_sizes([(1, cup), (-1, stem)])
    assert u is not None
    wanted = Limits(None, D("0.05"), Unit.MM)
    for mate, factor in ((stem, "2.14"), (again, "2.92")):
        ((pair,),) = clearances([cup], [mate], wanted, decision=GUARDED)
        whole = assembly([(1, cup), (-1, mate)], wanted, decision=GUARDED)
        assert whole.judgement is not None
        assert pair.judgement.guard == whole.judgement.guard == u * D(factor)
        reading = ReadWith(mate.uncertainty, mate.shared, mate.source, mate.dof)
        window = mate_window(cup, Side.INSIDE, wanted, decision=GUARDED, reading=reading)
        assert window is not None
        assert window.lower == D("7.95") + u * D(factor)
    # ... and the drawing's own limits of what is to be cut.
    own = aim(Need(Side.INSIDE, (), wanted), Limits(None, D("8.1"), Unit.MM),
              decision=GUARDED, reading=ReadWith(D("0.002"), D(0), "a", 2))  # fmt: skip
    assert own.drawing.upper == D("8.1") - D("0.002") * D("2.92")


def test_a_finish_learnt_from_few_pieces_brings_their_degrees_of_freedom() -> None:
    # Three pieces: 2 degrees. A size known without end beside it, as uncertain as the finish:
    # v = (u2 + u2)^2 / (u2^2 / 2) = 8 (JCGM 100:2008, G.4.1).
    learnt = learn([(D("8.00"), D("7.98")), (D("8.01"), D("7.98")), (D("8.02"), D("7.98"))])
    assert learnt is not None
    assert learnt.dof_with(D(0)) == learnt.dof_with(None) == 2
    assert learnt.dof_with(learnt.uncertainty) == 8
    assert math.isinf(ordered(2, D("0.005"), D("0.008")).dof_with(D("0.002")))


def test_an_offset_of_a_check_is_told_and_not_corrected(q: Callable[..., Ran]) -> None:
    ran = q("gauge", "check", "caliper", "10", "10.002", "10.002")
    assert "it reads 0.002 mm large" in ran.out and "corrects nothing by itself" in ran.out
    assert "it reads" not in q("gauge", "check", "caliper", "10", "10.001", "9.999").out
    assert offset([D("0.002"), D("-0.001")], None) is None
    assert offset([D("-0.003"), D("-0.001")], D("0.001")) == D("-0.002")
    assert offset([D("0.0005")], D("0.001")) is None  # rounding alone can show it


def test_a_comparison_between_two_instruments_carries_both_errors() -> None:
    one, two = [10.000, 10.001, 10.002, 10.001], [10.005, 10.006, 10.007, 10.006]
    same, other = setups(one, two), setups(one, two, apart=0.006)
    assert same is not None and other is not None
    assert same.found and not other.found
    assert other.interval.low < 0 < same.interval.low


def test_the_limits_for_a_mate_follow_the_error_that_both_readings_share() -> None:
    # One instrument, used in the same way on both: what is shared cancels in the clearance, in
    # the limits for the mate as in the verdict on the finished pair.
    cup = Sized("cup", 1, D("8.010"), D("0.005"), D("0.004"), "mic")
    wanted = Limits(D("0.010"), D("0.050"), Unit.MM)
    same = mate_window(
        cup, Side.INSIDE, wanted, decision=GUARDED,
        reading=ReadWith(D("0.005"), D("0.004"), "mic"),
    )  # fmt: skip
    apart = mate_window(cup, Side.INSIDE, wanted, decision=GUARDED, reading=ReadWith(D("0.005")))
    assert same is not None and apart is not None and same.width is not None
    assert apart.width is not None and same.width > apart.width
    for window, source in ((same, "mic"), (apart, None)):
        shared = D("0.004") if source else D(0)
        assert window.upper is not None
        edge = Sized("stem", 1, window.upper, D("0.005"), shared, source)
        beyond = Sized("stem", 1, window.upper + D("0.0001"), D("0.005"), shared, source)
        ((at_edge,),) = clearances([cup], [edge], wanted, decision=GUARDED)
        ((over,),) = clearances([cup], [beyond], wanted, decision=GUARDED)
        assert (at_edge.verdict, over.verdict) == (Verdict.GOOD, Verdict.NOT_PROVEN)
