"""Entry checks: the mistake is asked about, the honest reading is not.

Where a check rests on a published figure it is held against that; the mistakes themselves are
common practice, and their readings here are made up.
"""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Instrument
from qlog.drawing.units import Unit
from qlog.intake.entry_checks import Check, Context, EarlierReading, Other, Question, Scope, examine
from qlog.intake.typed.parse import Typed, parse_value
from qlog.words.catalogue import load
from qlog.words.questions import question_text

D = Decimal


def said(question: Question) -> str:
    return (
        question_text(question, load("en"))
        .replace("\N{MINUS SIGN}", "-")
        .replace("\N{MINUS SIGN}", "-")
    )


def callout(
    lower: str | None,
    upper: str | None,
    nominal: str | None = None,
    unit: Unit = Unit.MM,
    kind: Kind = Kind.DIAMETER,
) -> Callout:
    limits = Limits(None if lower is None else D(lower), None if upper is None else D(upper), unit)
    return Callout("", kind, unit, None if nominal is None else D(nominal), limits, "as written")


def tool(kind: str, step: str, error: str | None, unit: Unit = Unit.MM) -> Instrument:
    return Instrument(kind, kind, kind, unit, D(step), None if error is None else D(error))


MICROMETER = tool("micrometer", "0.001", "0.004")
CALIPER = tool("caliper", "0.01", "0.03")
GAUGE = tool("bore gauge", "0.001", "0.004")

#: A bore 8 +0.1/0 read with a bore gauge, three pieces into the batch.
BORE = Context(
    callout=callout("8", "8.1", "8"),
    name="bore",
    op=20,
    measures="inside",
    instrument=GAUGE,
    batch=(D("8.041"), D("8.047"), D("8.052")),
)
#: A spigot 12 -0.01/-0.03 read with a micrometer.
SPIGOT = Context(
    callout=callout("11.97", "11.99", "12"),
    name="spigot",
    op=20,
    measures="outside",
    instrument=MICROMETER,
    batch=(D("11.978"), D("11.981"), D("11.979")),
)


def about_the_reading(text: str, context: Context) -> list[Question]:
    typed = parse_value(text, context.callout.unit, context.callout.nominal)
    return [q for q in examine(typed, context) if not q.once]


def asked(text: str, context: Context) -> Question:
    questions = about_the_reading(text, context)
    assert len(questions) == 1
    return questions[0]


def test_a_missing_point_in_tenths_is_asked_about_before_a_finer_instrument_is() -> None:
    caliper = tool("caliper", "0.0005", "0.001", Unit.INCH)
    half = callout("0.5000", "0.5010", "0.5", Unit.INCH)
    context = Context(callout=half, name="pin", measures="outside", instrument=caliper)
    questions = examine(parse_value("5010", Unit.INCH, D("0.5")), context)
    assert [q.check for q in questions] == [Check.SLIP, Check.COARSE]
    assert (questions[0].likely, questions[0].retype) == (D("0.5010"), ".5010 in")


def test_a_slip_is_asked_about_even_where_the_batch_has_one_already() -> None:
    kept = replace(BORE, batch=(D("80.41"), D("80.47")))
    assert asked("80.5", kept).check is Check.SLIP


@pytest.mark.parametrize(
    ("kind", "text", "offered"),
    [
        (Kind.DIAMETER, "-8.05", "8.05 mm"), (Kind.RADIUS, "-8.05", "8.05 mm"),
        (Kind.LENGTH, "\N{MINUS SIGN}8.05", "8.05 mm"),
    ],
)  # fmt: skip
def test_a_size_below_zero_is_asked_about(kind: Kind, text: str, offered: str) -> None:
    context = replace(BORE, callout=callout("8", "8.1", "8", kind=kind))
    question = asked(text, context)
    assert (question.check, question.retype) == (Check.IMPOSSIBLE, offered)


def test_runout_below_zero_is_asked_about_and_a_negative_limit_is_not() -> None:
    runout = Context(callout=callout(None, "0.05", kind=Kind.GEOMETRY))
    assert asked("-0.02", runout).check is Check.IMPOSSIBLE
    offset = Context(callout=callout("-0.1", "0.1", "0", kind=Kind.LENGTH))
    assert about_the_reading("-0.05", offset) == []


def test_a_digit_that_the_display_does_not_have_is_asked_about_once() -> None:
    context = Context(callout=callout("8", "9", "8.5"), instrument=CALIPER)
    found = examine(parse_value("8.505", Unit.MM), context)
    assert [(q.check, q.scope) for q in found] == [(Check.STEP, Scope.DIMENSION)]
    assert examine(parse_value("8.50", Unit.MM), context) == ()
    assert examine(parse_value('11/32"', Unit.MM), context) == ()  # no digits of a display
    assert examine(parse_value("8.505", Unit.MM), replace(context, asked={Check.STEP})) == ()


@pytest.mark.parametrize("text", ["8.000", "8.047", "8.1", "8.053", "7.995", "8.103"])
def test_good_and_slightly_bad_readings_raise_no_question(text: str) -> None:
    assert examine(parse_value(text, Unit.MM), BORE) == ()


def test_inch_where_millimetres_are_wanted() -> None:
    question = asked("0.315", replace(BORE, callout=callout("7.9", "8.1", "8")))
    assert question.check is Check.INCH
    assert said(question) == "inch? 0.315 in would be 8.001 mm"
    assert question.likely == D("8.001")
    assert question.retype == ".315 in"


def test_millimetres_where_inch_is_wanted() -> None:
    context = Context(callout=callout("0.3100", "0.3200", "0.315", Unit.INCH), measures="outside")
    question = asked("8.001", context)
    assert question.check is Check.INCH
    assert said(question).startswith("millimetres? 8.001 mm would be .315 in")
    assert question.likely == D("0.315")
    assert question.retype == "8.001 mm"


def test_a_value_typed_with_its_unit_is_judged_in_the_unit_of_the_drawing() -> None:
    assert about_the_reading("0.3168 in", BORE) == []
    assert asked("8.047 in", BORE).likely == D("8.047")  # says in, means mm


@pytest.mark.parametrize("text", ["80.47", "804.7", "0.8047", "0.08047", "8047"])
def test_decimal_slip(text: str) -> None:
    question = asked(text, BORE)
    assert question.check is Check.SLIP
    assert question.likely == D("8.047")
    assert said(question).startswith("8.047? the decimal point")
    assert parse_value(question.retype or "", Unit.MM).value == D("8.047")


def test_slip_in_a_dimension_with_one_limit_needs_the_batch_to_agree() -> None:
    roughness = Context(
        callout=callout(None, "0.8", None, Unit.MICROMETRE, Kind.ROUGHNESS),
        batch=(D("0.4"), D("0.5"), D("0.4")),
    )
    assert asked("4", roughness).check is Check.SLIP
    assert asked("4", roughness).likely == D("0.4")
    assert about_the_reading("1.0", roughness) == []  # merely rough
    assert asked("50", roughness).likely == D("0.5")
    assert said(asked("16", roughness)) == "µin? 16 µin would be 0.4064 µm"


@pytest.mark.parametrize("text", ["8.407", "8,407", "0.847"])
def test_two_digits_exchanged(text: str) -> None:
    question = asked(text, BORE)
    assert question.check is Check.SWAP
    assert question.likely == D("8.047")
    assert said(question) == "8.047? two digits exchanged"


@pytest.mark.parametrize("level", ["8.329", "8.293"])
def test_of_two_possible_exchanges_the_one_near_the_batch_is_offered(level: str) -> None:
    context = replace(BORE, callout=callout("8.29", "8.49", "8.39"), batch=(D(level),) * 3)
    assert asked("8.239", context).likely == D(level)


@pytest.mark.parametrize("text", ["8.470", "4.807", "8.355"])
def test_digits_that_no_exchange_brings_inside(text: str) -> None:
    assert about_the_reading(text, BORE) == []


def test_digits_exchanged_across_the_point_and_with_a_leading_zero() -> None:
    context = Context(callout=callout("50.1", "50.3", "50.2", kind=Kind.LENGTH))
    question = asked("05.22", context)
    assert question.check is Check.SWAP
    assert question.likely == D("50.22")
    angle = Context(callout=callout("44", "46", "45", Unit.DEGREE, Kind.ANGLE))
    assert asked("54.5", angle).likely == D("45.5")
    # Minutes were not typed as these digits: 54°30' is 54.5 but nobody exchanged anything in it.
    assert about_the_reading("54°30'", angle) == []


@pytest.mark.parametrize(("text", "likely"), [("12.480", "11.980"), ("11.479", "11.979")])
def test_one_turn_of_the_thimble(text: str, likely: str) -> None:
    question = asked(text, SPIGOT)
    assert question.check is Check.TURN
    assert question.likely == D(likely)
    assert "coarser instrument" in said(question)


def test_one_turn_in_inch_and_of_a_dial() -> None:
    inch = replace(SPIGOT, instrument=tool("micrometer", "0.0001", "0.0002", Unit.INCH))
    question = asked("12.614", inch)  # 0.025 in = 0.635 mm
    assert question.check is Check.TURN
    assert question.likely == D("11.979")
    dial = replace(BORE, instrument=tool("dial caliper", "0.001", "0.001", Unit.INCH), batch=())
    assert asked("10.59", dial).likely == D("8.05")  # 0.1 in = 2.54 mm


def test_a_caliper_without_a_dial_has_no_turn() -> None:
    assert about_the_reading("12.480", replace(SPIGOT, instrument=CALIPER)) == []


def test_no_turn_is_told_from_a_wide_tolerance() -> None:
    wide = replace(SPIGOT, callout=callout("11.5", "12.5", "12"), batch=())
    assert about_the_reading("12.51", wide) == []


def test_wrong_dimension() -> None:
    height = Other("height", Limits(D("19.9"), D("20.1"), Unit.MM))
    edge = Other("edge", Limits(D("19.95"), D("20.3"), Unit.MM))
    flat = Other("flatness", Limits(None, D(30), Unit.MM))
    question = asked("20.02", replace(BORE, others=(flat, height)))
    assert question.check is Check.OTHER
    assert said(question) == "height instead of bore?"
    assert question.likely is None
    both = asked("20.02", replace(BORE, others=(height, edge)))
    assert said(both) == "height or edge instead of bore?"
    assert about_the_reading("20.2", replace(BORE, others=(height,))) == []


def test_a_bad_piece_is_not_called_another_dimension() -> None:
    close = Other("counterbore", Limits(D("8.11"), D("8.2"), Unit.MM))
    assert about_the_reading("8.115", replace(BORE, others=(close,))) == []


@pytest.mark.parametrize(
    ("measures", "between", "before", "now", "wrong"),
    [
        ("outside", ("polishing",), "11.980", "11.990", True),
        ("outside", ("polishing",), "11.980", "11.985", False),  # within both errors
        ("outside", ("polishing",), "11.985", "11.975", False),
        ("length", ("form turning", "deburring"), "11.975", "11.985", True),
        ("inside", ("boring",), "11.985", "11.975", True),
        ("inside", ("boring",), "11.975", "11.985", False),
        ("outside", ("nickel plating",), "11.985", "11.975", True),
        ("outside", ("electroplating",), "11.975", "11.985", False),
        ("inside", ("plating",), "11.975", "11.985", True),
        ("outside", ("electropolishing",), "11.975", "11.985", True),
        ("outside", ("hardening",), "11.975", "11.985", False),  # moves either way
        ("outside", ("polishing", "plating"), "11.975", "11.985", False),  # cannot be told
        ("outside", (), "11.975", "11.985", False),
        ("depth", ("facing",), "11.975", "11.985", False),
        ("", ("polishing",), "11.975", "11.985", False),
    ],
)
def test_impossible_direction(
    measures: str, between: tuple[str, ...], before: str, now: str, wrong: bool
) -> None:
    context = replace(
        SPIGOT,
        measures=measures,
        batch=(),
        earlier=(EarlierReading(10, D(before), between, D("0.004")),),
    )
    found = about_the_reading(now, context)
    assert bool(found) is wrong
    if wrong:
        assert found[0].check is Check.DIRECTION
        assert before.rstrip("0") in said(found[0])
        assert now.rstrip("0") in said(found[0])
        assert f"{D(now) - D(before):+f} mm" in said(found[0])


def test_direction_takes_both_instruments_errors_in_quadrature() -> None:
    # sqrt(0.004² + 0.003²) = 0.005: 0.005 passes, 0.006 does not.
    earlier = EarlierReading(10, D("11.980"), ("turning",), D("0.003"))
    context = replace(SPIGOT, batch=(), earlier=(earlier,))
    assert about_the_reading("11.985", context) == []
    assert asked("11.986", context).check is Check.DIRECTION


def test_burr_is_asked_about_at_the_end_of_the_batch_only() -> None:
    batch = tuple(D(f"11.97{n}") for n in (8, 9, 7, 8, 9))
    context = replace(SPIGOT, batch=batch)
    assert about_the_reading("11.991", context) == []
    question = asked("11.991", replace(context, last=True))
    assert question.check is Check.BURR
    assert question.piece is None
    assert "deburr, wipe, read again" in said(question)
    assert "both readings stay" in said(question)


def test_burr_on_an_earlier_piece_names_its_place() -> None:
    batch = tuple(D(x) for x in ("11.978", "11.998", "11.977", "11.978", "11.979"))
    question = asked("11.978", replace(SPIGOT, batch=batch, last=True))
    assert question.piece == 1
    assert said(question).startswith("11.998 stands apart")
    read_again = replace(SPIGOT, batch=batch, last=True, confirmed=frozenset((1,)))
    assert about_the_reading("11.978", read_again) == []


def test_burrs_do_not_make_outside_sizes_small_or_bores_large() -> None:
    batch = tuple(D(f"11.98{n}") for n in (8, 9, 7, 8, 9))
    assert about_the_reading("11.969", replace(SPIGOT, batch=batch, last=True)) == []
    bore = replace(SPIGOT, measures="inside", batch=batch, last=True)
    assert asked("11.960", bore).check is Check.BURR


def test_last_step_of_the_display_is_no_burr() -> None:
    batch = (D("11.98"),) * 5
    coarse = replace(SPIGOT, batch=batch, last=True, instrument=CALIPER)
    assert about_the_reading("11.99", coarse) == []


def once(context: Context, text: str = "8.05") -> list[Question]:
    return [q for q in examine(parse_value(text, context.callout.unit), context) if q.once]


def test_caliper_jaws_in_a_bore_read_low_by_their_chord() -> None:
    # Flats of w across a circle of D touch at sqrt(D² - w²), low by about w²/(2D): 0.5 mm in 8 mm
    # gives 8 - sqrt(63.75) = 0.01564.
    wide = replace(BORE, callout=callout("8", "8.16", "8"), instrument=CALIPER)
    assert once(wide) == []
    tight = replace(BORE, callout=callout("8", "8.1", "8"), instrument=CALIPER)
    (question,) = once(tight)
    assert question.check is Check.JAWS
    assert "0.016 mm low" in said(question)
    assert "pin, plug or bore gauge" in said(question)
    assert question.scope is Scope.DIMENSION
    assert once(replace(tight, asked=frozenset((Check.JAWS,)))) == []
    assert once(replace(tight, measures="outside"))[0].check is Check.COARSE


def test_instrument_too_coarse_above_a_fifth_of_the_tolerance() -> None:
    at_a_fifth = replace(BORE, instrument=tool("gauge", "0.01", "0.02"))
    assert once(at_a_fifth) == []
    (question,) = once(replace(BORE, instrument=tool("gauge", "0.01", "0.021")))
    assert question.check is Check.COARSE
    assert said(question) == (
        "gauge may be off by 0.021 mm where the whole tolerance is 0.1 mm: if a finer instrument "
        "is at hand, use it and name it with -i"
    )
    # No error limit registered: four display steps.
    assert once(replace(BORE, instrument=tool("gauge", "0.005", None))) == []
    assert once(replace(BORE, instrument=tool("gauge", "0.01", None)))[0].check is Check.COARSE
    # Inch instrument: 0.001 in is 0.0254 mm.
    inch = tool("gauge", "0.0005", "0.001", Unit.INCH)
    assert once(replace(BORE, instrument=inch))[0].check is Check.COARSE


def test_warm_part_by_expansion() -> None:
    # NPL, "How do I correct lengths to 20 °C": 11.7e-6/K steel; 80 mm, 10 K up: 0.00936 mm.
    hot = Context(
        callout=callout("79.96", "80.04", "80", kind=Kind.LENGTH),
        measures="length",
        expansion=D("11.7"),
        temperature=D(30),
        instrument_temperature=D(20),
    )
    (question,) = once(hot, "80")
    assert question.check is Check.WARM
    assert "0.0094 mm large" in said(question)
    assert once(replace(hot, temperature=D("28.5")), "80") == []  # 0.00796, no tenth of 0.08
    assert "small" in said(once(replace(hot, temperature=D(5)), "80")[0])
    assert once(replace(hot, temperature=None), "80") == []
    # A steel instrument as warm as the piece grows with it: the correction takes off 0.00016.
    assert once(replace(hot, instrument_temperature=None), "80") == []
    straight_off = replace(hot, temperature=None, hot=True)
    assert said(once(straight_off, "80")[0]).startswith("still warm? 30 K would make it 0.028 mm")
    assert once(replace(straight_off, expansion=None), "80") == []


def test_route_is_asked_about_once_for_a_piece() -> None:
    (question,) = once(replace(BORE, open_ops=(10, 15)))
    assert question.check is Check.OPEN
    assert said(question).startswith("op 10, 15 are still open")
    assert question.scope is Scope.PIECE
    (question,) = once(replace(BORE, sealed_by=40))
    assert question.check is Check.SEALED
    assert "cannot be reached after op 40" in said(question)
    assert once(replace(BORE, sealed_by=40, asked=frozenset((Check.SEALED,)))) == []


def test_the_mistake_in_the_reading_is_asked_first() -> None:
    questions = examine(
        parse_value("80.47", Unit.MM), replace(BORE, open_ops=(10,), instrument=CALIPER)
    )
    assert [q.check for q in questions] == [Check.SLIP, Check.OPEN, Check.JAWS]


def test_go_nogo_raises_route_questions_only() -> None:
    thread = replace(
        BORE, callout=callout(None, None, None, Unit.NONE, Kind.GO_NO_GO), open_ops=(10,)
    )
    assert [q.check for q in examine(D(1), thread)] == [Check.OPEN]


def test_without_limits_nothing_is_asked_about_the_reading() -> None:
    bare = replace(BORE, callout=callout(None, None, "8"), batch=())
    assert examine(D(800), bare) == ()


def test_a_drift_that_leaves_the_limits_is_not_questioned() -> None:
    batch = tuple(D("8.060") + D("0.008") * n for n in range(6))
    assert about_the_reading("8.108", replace(BORE, batch=batch)) == []
    assert about_the_reading("8.116", replace(BORE, batch=(*batch, D("8.108")))) == []


def test_another_kind_of_unit_is_the_callers_mistake() -> None:
    with pytest.raises(ValueError, match="no conversion"):
        examine(Typed("45", D(45), Unit.DEGREE), BORE)


@settings(deadline=None, derandomize=True)
@given(
    st.decimals(min_value=-9999, max_value=9999, places=3),
    st.lists(st.decimals(min_value=7, max_value=9, places=3), max_size=6),
    st.booleans(),
)
def test_any_reading_has_at_most_one_question_about_itself(
    value: Decimal, batch: list[Decimal], last: bool
) -> None:
    questions = examine(value, replace(BORE, batch=tuple(batch), last=last))
    assert sum(not q.once for q in questions) <= 1
    for question in questions:
        if question.retype is not None:
            assert parse_value(question.retype, Unit.MM, D(8)).to(Unit.MM) == question.likely


def test_a_reading_inside_its_limits_is_never_called_a_slip_of_the_hand() -> None:
    for thousandths in range(101):
        value = D("8.000") + D(thousandths) / 1000
        assert about_the_reading(str(value), BORE) == []


def test_numerical_libraries_are_not_loaded() -> None:
    code = (
        "import sys; from qlog.intake.entry_checks import examine; from qlog.intake import typed; "
        "print([m for m in ('numpy', 'scipy', 'PIL', 'sqlite_utils') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, encoding="utf-8"
    )
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    ("lower", "upper", "typed", "meant"),
    [
        ("22.00", "22.05", ".031", "22.031"),
        ("22.00", "22.05", ",057", "22.057"),  # out by less than half the tolerance
        ("31.9", "32.1", ".95", "31.95"),  # whichever whole number brings it near
        ("31.9", "32.1", ".05", "32.05"),
        ("22.00", "22.05", ".6", None),  # near neither: another question, or none
        ("0.313", "0.314", ".3135", None),  # it is the size
        ("1.00", "1.04", ".98", None),  # out as it stands, and may be so
        ("22.00", "22.05", "0.031", None),  # nobody writes the nought who leaves out the 22
    ],
)
def test_the_decimals_alone_are_taken_behind_their_whole_number_when_asked(
    lower: str, upper: str, typed: str, meant: str | None
) -> None:
    context = Context(callout=callout(lower, upper, lower), instrument=MICROMETER)
    asked = examine(parse_value(typed, Unit.MM, D(lower)), context)
    found = [q for q in asked if q.case == "decimals"]
    assert [str(q.likely) for q in found] == ([] if meant is None else [meant])
    if meant is not None:
        assert asked[0].retype == f"{meant} mm"
        assert said(asked[0]) == f"{meant}? only what stands behind the point was typed"
