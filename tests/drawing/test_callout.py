"""Callouts, form by form, with limits worked out by hand."""

from decimal import Decimal

import pytest

from qlog.drawing.callouts.callout import CalloutError, Kind
from qlog.drawing.callouts.grammar import FORMS, markdown
from qlog.drawing.callouts.reading import parse, parse_fit, parse_limits
from qlog.drawing.callouts.spelling import format_callout
from qlog.drawing.units import Unit

D = Decimal
MM, INCH = Unit.MM, Unit.INCH


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.example)
def test_every_documented_form_is_read(form):
    callout = parse(form.example, general="m")
    assert callout.text == form.example
    assert form.meaning


def test_every_kind_is_documented():
    assert {parse(form.example, general="m").kind for form in FORMS} == set(Kind)


def test_spellings_in_the_documentation_are_read():
    """What the meanings name as other spellings, in backquotes, is read as well."""
    import re

    named = [
        (form, spelling) for form in FORMS for spelling in re.findall(r"`([^`]+)`", form.meaning)
    ]
    spellings = [(f, s) for f, s in named if any(c.isdigit() for c in s)]
    assert len(spellings) > 20
    for form, spelling in spellings:
        expected = parse(form.example, general="m").kind
        assert parse(spelling, general="m").kind is expected, spelling


@pytest.mark.parametrize(
    ("text", "kind", "nominal", "lower", "upper"),
    [
        ("12 ±0.05", Kind.LENGTH, "12", "11.95", "12.05"),
        ("12±0.05", Kind.LENGTH, "12", "11.95", "12.05"),
        ("12 +-0.05", Kind.LENGTH, "12", "11.95", "12.05"),
        ("12 +/-0.05", Kind.LENGTH, "12", "11.95", "12.05"),
        ("12 ±0,05", Kind.LENGTH, "12", "11.95", "12.05"),
        ("12,5 ±0,05", Kind.LENGTH, "12.5", "12.45", "12.55"),
        ("12 mm ±0.05 mm", Kind.LENGTH, "12", "11.95", "12.05"),
        ("12mm±0.05", Kind.LENGTH, "12", "11.95", "12.05"),
        ("12 +0.02/-0.01", Kind.LENGTH, "12", "11.99", "12.02"),
        ("12 +0.02 -0.01", Kind.LENGTH, "12", "11.99", "12.02"),
        ("12 -0.01/+0.02", Kind.LENGTH, "12", "11.99", "12.02"),
        ("12 +0.05/+0.02", Kind.LENGTH, "12", "12.02", "12.05"),
        ("12 -0.02/-0.05", Kind.LENGTH, "12", "11.95", "11.98"),
        ("12 +0.02/0", Kind.LENGTH, "12", "12", "12.02"),
        ("12 0/-0.02", Kind.LENGTH, "12", "11.98", "12"),
        ("12 +0/-0.02", Kind.LENGTH, "12", "11.98", "12"),
        ("12 0.00/−0.02", Kind.LENGTH, "12", "11.98", "12"),
        ("11.95..12.05", Kind.LENGTH, None, "11.95", "12.05"),
        ("11.95…12.05", Kind.LENGTH, None, "11.95", "12.05"),
        ("11.95 to 12.05", Kind.LENGTH, None, "11.95", "12.05"),
        ("12 max", Kind.LENGTH, None, None, "12"),
        ("12 max mm", Kind.LENGTH, None, None, "12"),
        ("max. 12", Kind.LENGTH, None, None, "12"),
        ("<= 12", Kind.LENGTH, None, None, "12"),
        ("12 min.", Kind.LENGTH, None, "12", None),
        ("≥12", Kind.LENGTH, None, "12", None),
        ("0 ±0.02", Kind.LENGTH, "0", "-0.02", "0.02"),
        ("Ø8 ±0.02", Kind.DIAMETER, "8", "7.98", "8.02"),
        ("ø 8 ±0.02", Kind.DIAMETER, "8", "7.98", "8.02"),
        ("dia 8 +-0.02", Kind.DIAMETER, "8", "7.98", "8.02"),
        ("Dia. 8 +-0.02", Kind.DIAMETER, "8", "7.98", "8.02"),
        ("Ø11.95..Ø12.05", Kind.DIAMETER, None, "11.95", "12.05"),
        ("SØ20 ±0.1", Kind.DIAMETER, "20", "19.9", "20.1"),
        ("Ø8 H7", Kind.DIAMETER, "8", "8", "8.015"),
        ("⌀8H7", Kind.DIAMETER, "8", "8", "8.015"),
        ("12 g6", Kind.LENGTH, "12", "11.983", "11.994"),
        ("R5 ±0.1", Kind.RADIUS, "5", "4.9", "5.1"),
        ("r.5 ±.1", Kind.RADIUS, "0.5", "0.4", "0.6"),
        ("SR5 ±0.1", Kind.RADIUS, "5", "4.9", "5.1"),
        ("R0.4 max", Kind.RADIUS, None, None, "0.4"),
        ("0.5 x 45° ±0.1", Kind.CHAMFER, "0.5", "0.4", "0.6"),
        ("0.5×45° +0.2/0", Kind.CHAMFER, "0.5", "0.5", "0.7"),
        ("0.5 ±0.1 x 45 deg", Kind.CHAMFER, "0.5", "0.4", "0.6"),
        ("45° x 0.5 ±0.1", Kind.CHAMFER, "0.5", "0.4", "0.6"),
        ("0.5 x 45° max", Kind.CHAMFER, None, None, "0.5"),
        ("0.3..0.5 x 45°", Kind.CHAMFER, None, "0.3", "0.5"),
        ("depth 5 ±0.1", Kind.DEPTH, "5", "4.9", "5.1"),
        ("5 ±0.1 deep", Kind.DEPTH, "5", "4.9", "5.1"),
        ("↧5 +0.2/0", Kind.DEPTH, "5", "5", "5.2"),
        ("45° ±0.5°", Kind.ANGLE, "45", "44.5", "45.5"),
        ("45 deg +-30'", Kind.ANGLE, "45", "44.5", "45.5"),
        ("45 degrees +-30 minutes", Kind.ANGLE, "45", "44.5", "45.5"),
        ("45°30' ±15'", Kind.ANGLE, "45.5", "45.25", "45.75"),
        ('10° 30\' 36" ±36"', Kind.ANGLE, "10.51", "10.5", "10.52"),
        ("45° ±0.5", Kind.ANGLE, "45", "44.5", "45.5"),
        ("44.5°..45.5°", Kind.ANGLE, None, "44.5", "45.5"),
        ("60° max", Kind.ANGLE, None, None, "60"),
        ("max 60°", Kind.ANGLE, None, None, "60"),
        ("count 4", Kind.COUNT, "4", "4", "4"),
        ("6x", Kind.COUNT, "6", "6", "6"),
        ("count 3..5", Kind.COUNT, None, "3", "5"),
        ("runout 0.02", Kind.GEOMETRY, None, "0", "0.02"),
        ("Circular runout 0.02 to A-B", Kind.GEOMETRY, None, "0", "0.02"),
        ("↗ 0.02 A", Kind.GEOMETRY, None, "0", "0.02"),
        ("⌖ Ø0.1 | A | B", Kind.GEOMETRY, None, "0", "0.1"),
        ("flatness 0,01", Kind.GEOMETRY, None, "0", "0.01"),
        ("parallelism 0.05 max to A", Kind.GEOMETRY, None, "0", "0.05"),
    ],
)
def test_millimetres_and_degrees(text, kind, nominal, lower, upper):
    callout = parse(text)
    assert callout.kind is kind
    assert callout.nominal == (None if nominal is None else D(nominal))
    assert callout.limits.lower == (None if lower is None else D(lower))
    assert callout.limits.upper == (None if upper is None else D(upper))
    assert callout.limits.unit is callout.unit
    assert not callout.general
    assert not callout.attribute


@pytest.mark.parametrize(
    ("text", "unit", "lower", "upper"),
    [
        ("0.375 in ±.002", MM, "0.373", "0.377"),
        ('3/8" +.002/-.000', MM, "0.375", "0.377"),
        ("3/8 +.002/-.000", INCH, "0.375", "0.377"),
        ("3/8 in +.002 -.000", MM, "0.375", "0.377"),
        ("1 1/2 in ±1/64", MM, "1.484375", "1.515625"),
        ("1-1/2 ±1/64", INCH, "1.484375", "1.515625"),
        ("½ in ±.001", MM, "0.499", "0.501"),
        ("1½ ±.001", INCH, "1.499", "1.501"),
        ('Ø3/8" ±.001', MM, "0.374", "0.376"),
        ("R1/8 ±.010", INCH, "0.115", "0.135"),
        ("1/32 x 45° ±.005", INCH, "0.02625", "0.03625"),
        ("depth 1/4 in ±.005", MM, "0.245", "0.255"),
        (".500..0.505", INCH, "0.5", "0.505"),
        (".500...505", INCH, "0.5", "0.505"),
        ("Ø.500 .. .505", INCH, "0.5", "0.505"),
        ("0.500...0.505", INCH, "0.5", "0.505"),
        ("1/2 max", INCH, None, "0.5"),
        ("flatness .001", INCH, "0", "0.001"),
        ("flatness .001 in", MM, "0", "0.001"),
    ],
)
def test_inches(text, unit, lower, upper):
    callout = parse(text, unit=unit)
    assert callout.unit is INCH
    assert callout.limits.lower == (None if lower is None else D(lower))
    assert callout.limits.upper == (None if upper is None else D(upper))


def test_a_millimetre_callout_on_an_inch_drawing():
    callout = parse("Ø8 mm H7", unit=INCH)
    assert callout.unit is MM
    assert callout.limits.upper == D("8.015")


@pytest.mark.parametrize(
    ("text", "unit", "found", "lower", "upper"),
    [
        ("Ra 0.8", MM, Unit.MICROMETRE, None, "0.8"),
        ("Ra 0.8 max", MM, Unit.MICROMETRE, None, "0.8"),
        ("Ra max 0.8 µm", MM, Unit.MICROMETRE, None, "0.8"),
        ("RZ 6,3", MM, Unit.MICROMETRE, None, "6.3"),
        ("Ra 0.4..0.8", MM, Unit.MICROMETRE, "0.4", "0.8"),
        ("Ra 0.4 min", MM, Unit.MICROMETRE, "0.4", None),
        ("Ra 32", INCH, Unit.MICROINCH, None, "32"),
        ("Ra 32 µin", MM, Unit.MICROINCH, None, "32"),
        ("Ra 0.8 um", INCH, Unit.MICROMETRE, None, "0.8"),
    ],
)
def test_roughness_is_an_upper_limit_unless_written_otherwise(text, unit, found, lower, upper):
    callout = parse(text, unit=unit)
    assert callout.kind is Kind.ROUGHNESS
    assert callout.unit is found
    assert callout.characteristic == ("Rz" if "Z" in text else "Ra")
    assert callout.limits.lower == (None if lower is None else D(lower))
    assert callout.limits.upper == (None if upper is None else D(upper))


@pytest.mark.parametrize(
    ("text", "characteristic"),
    [
        ("M6-6H", "M6-6H"),
        ("M6 - 6g", "M6-6g"),
        ("M6", "M6"),
        ("M6x1-6g", "M6x1-6g"),
        ("m6 × 0,75 - 6H", "M6x0.75-6H"),
        ("M10x1-4g6g", "M10x1-4g6g"),
        ("M6-6H LH", "M6-6H-LH"),
        ("1/4-20 UNC-2B", "1/4-20 UNC-2B"),
        ('1/4"-20UNC-2B', "1/4-20 UNC-2B"),
        ("#10-32 UNF-2A", "#10-32 UNF-2A"),
        ("1-8 UNC", "1-8 UNC"),
        ("1 1/8-7 UNC-2A LH", "1 1/8-7 UNC-2A-LH"),
    ],
)
def test_threads_are_gauged(text, characteristic):
    callout = parse(text)
    assert callout.kind is Kind.THREAD
    assert callout.characteristic == characteristic
    assert callout.attribute
    assert callout.limits.lower is None and callout.limits.upper is None
    assert callout.unit is Unit.NONE


def test_a_measured_thread_is_a_number():
    callout = parse("M6-6H minor")
    assert (callout.limits.lower, callout.limits.upper) == (D("4.917"), D("5.153"))
    assert not callout.attribute
    assert callout.unit is MM


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("go/no-go: plug 8 H7", Kind.GO_NO_GO, "plug 8 H7"),
        ("Go/NoGo plug", Kind.GO_NO_GO, "plug"),
        ("go and no-go", Kind.GO_NO_GO, ""),
        ("by eye: no scratches at arm's length", Kind.BY_EYE, "no scratches at arm's length"),
        ("By eye  no  burr", Kind.BY_EYE, "no burr"),
    ],
)
def test_checks_that_are_passed_or_not(text, kind, said):
    callout = parse(text)
    assert callout.kind is kind
    assert callout.characteristic == said
    assert callout.attribute
    assert callout.unit is Unit.NONE


def test_what_a_callout_carries_besides_its_limits():
    assert parse("position Ø0.1 to A B").round_zone
    assert parse("position Ø0.1 to A B").datums == "A B"
    assert not parse("flatness 0.1").round_zone
    assert parse("∥ 0.02 to A").characteristic == "parallelism"
    assert parse("0.5 x 30° ±0.1").angle == 30
    for text in ("Ø8 H7 Ⓔ", "Ø8 H7 (E)", "Ø8 H7 (+0.015/0) Ⓔ", "Ø8 ±0.1 (E)"):
        assert parse(text).envelope
        assert parse(format_callout(parse(text))).envelope
    assert not parse("Ø8 H7 (+0.015/0)").envelope
    assert parse("Ø8 H7").fit_class == "H7"
    assert parse("Ø8 H7").source == "ISO 286-1 H7"
    assert parse("12 ±1").source == "as written"
    assert parse("SR5 ±1").characteristic == "spherical"


def test_a_general_tolerance_says_so():
    callout = parse("12", general="f")
    assert callout.general
    assert callout.source == "ISO 2768-1 f"
    assert (callout.limits.lower, callout.limits.upper) == (D("11.9"), D("12.1"))
    assert callout.nominal == 12
    edge = parse("R5", general="f")  # broken edges have a table of their own
    assert (edge.limits.lower, edge.limits.upper) == (D("4.5"), D("5.5"))


def test_a_class_with_its_deviations_is_held_against_the_table():
    assert parse("Ø8 H7 (+0.015/0)").limits.upper == D("8.015")
    assert parse("Ø8 H7 (8..8.015)").limits.upper == D("8.015")
    with pytest.raises(CalloutError, match="not what H7 means") as error:
        parse("Ø8 H7 (+0.018/0)")
    assert "+0.015" in error.value.accepted


@pytest.mark.parametrize(
    ("text", "what", "accepted"),
    [
        ("", "empty", "12 ±0.05"),
        ("   ", "empty", ""),
        ("12", "no tolerance", "ISO 2768-m"),
        ("45°", "no tolerance", "45° ±0.5°"),
        ("12.05..11.95", "reversed", "smaller"),
        ("12 +0.02/+0.05", "reversed", "upper deviation first"),
        ("12 -0.05/-0.02", "reversed", "upper deviation first"),
        ("Ø8 H7 (E) x", "cannot be read", ""),
        ("12 +0.02/0.01", "no sign", "+0.02/-0.01"),
        ("12 0.02/-0.01", "cannot be read", ""),
        ("12 ±", "number is missing", ""),
        ("Ø", "number is missing", ""),
        ("12 ±0.05 ±0.1", "cannot be read behind", ""),
        ("1,5 ±0.1", "decimal comma and decimal point", "one of them"),
        ("12 mm ±.002 in", "mm and inch", "one unit"),
        ("3/8 ±0.1", "in millimetres", "3/8 in"),
        ("1/3 in ±.1", "a / between two numbers", "128"),
        ("Ø8 H7/p6", "two sides", "joint"),
        ("Ø8 H19", "not in the tables", "H18"),
        ("Ø8 H01", "not in the tables", "H1"),
        ("Ø8 t6", "not in the tables", "s6"),
        ("Ø8 i6", "not in the tables", "h6"),
        ("Ø20 cd6", "for sizes to 10 mm only", "c6"),
        ("Ø20 j9", "not in the tables", "js9"),
        ("Ø8 H0", "not in the tables", "H1"),
        ("Ø8 hH7", "not in the tables", ""),
        ("Ø8 K2", "not in the tables", "K3"),
        ("Ø8 K9", "not in the tables", "K8"),
        ("Ø3200 H7", "outside the tables", "3150"),
        ("Ø600 a7", "not in the tables", "d7"),
        ("Ø1 a11", "not used for sizes up to 1 mm", "c11"),
        ("Ø0 H7", "size of 0", "above 0"),
        ("Ø0.5 H14", "not used for sizes up to 1 mm", "H13"),
        ("Ø0.5 N9", "not used for sizes up to 1 mm", "N8"),
        ("Ø3/8 in H7", "inch size", "mm"),
        ("R5 H7", "on a radius", "diameter"),
        ("0.5 H7 x 45°", "on a chamfer", ""),
        ("45° H7", "on an angle", ""),
        ("(12)", "in brackets", "leave it out"),
        ("[12]", "in brackets", "leave it out"),
        ("Ø-5 ±0.1", "below zero", ""),
        ("R0.1 ±0.2", "below zero", ""),
        ("400° ±1°", "above 360", ""),
        ("0.5 x 95° ±0.1", "between 0° and 90°", ""),
        ("0.5 x 45° ±1°", "cannot be read", "dimension of its own"),
        ("Runot 0.02", "no callout", "runout"),
        ("roundnes 0.02", "no callout", "roundness"),
        ("runout", "without a number", "runout 0.02"),
        ("runout 0", "zero cannot be met", ""),
        ("runout 0.02 to a", "cannot be read", ""),
        ("Ra", "number is missing", ""),
        ("Ra 0.8 H7", "cannot be read", "Ra 0.8"),
        ("Ra -1..2", "below zero", ""),
        ("count 2.5", "whole number", ""),
        ("count", "number is missing", ""),
        ("by eye", "for what", "no scratches"),
        ("M6-6Q", "no metric thread", "M6-6H"),
        ("M6x7-6H", "pitch", ""),
        ("M13-6H pitch", "not in the table", "M12x1.75"),
        ("M6x0.8-6H pitch", "not in the table", "M6x0.75"),
        ("M6-6g minor", "no two limits", "6g major"),
        ("M12-6Q pitch", "no metric thread", "M6-6H"),
        ("M12x0.25-6g pitch", "not in the table", "M12x1"),
        ("1/4-20 UNC-9Z", "no unified thread", "1/4-20 UNC-2B"),
        ("1234567890.5 ±1", "more digits", "9"),
        ("hello", "no callout", "12 ±0.05"),
    ],
)
def test_what_is_refused_and_what_would_be_accepted(text, what, accepted):
    with pytest.raises(CalloutError) as error:
        parse(text)
    assert what in error.value.what
    assert accepted in error.value.accepted
    assert str(error.value).startswith(error.value.what)


@pytest.mark.parametrize(
    ("text", "general", "what"),
    [
        ("0.4", "m", "below 0.5 mm"),
        ("2", "v", "no value"),
        ("45°", "m", "shorter side"),
        ("45° side 0", "m", "no length"),
        ("12 in", "m", "no inch sizes"),
        ("12", "x", "no general tolerance"),
    ],
)
def test_general_tolerances_that_do_not_exist(text, general, what):
    with pytest.raises(CalloutError, match=what):
        parse(text, general=general)


def test_only_mm_and_inch_drawings():
    with pytest.raises(ValueError, match="mm or inch"):
        parse("12 ±1", unit=Unit.DEGREE)


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("dia 8 H7", "Ø8 H7"),
        ("12 +-0.05", "12 ±0.05"),
        ("12 -0.01/+0.02", "12 +0.02/-0.01"),
        ("12 +0/-0.020", "12 0/-0.020"),
        ("max 12", "12 max"),
        ("45 deg +-10 minutes", "45° ±10'"),
        ("45° +10'/-20'", "45° +10'/-20'"),
        ("44°50'..45°10'", "44°50'..45°10'"),
        ('1°0\'1" ±1"', '1°1" ±0°1"'),
        ("3/8 in +.002/-.000", ".375 in +.002/0"),
        (".500...0.505 in", ".500 .. .505 in"),
        ("4X .250 in ±.002", "4x .250 in ±.002"),
        ("0.5 x 45° ±0.1", "0.5 ±0.1 x 45°"),
        ("0.5 x 45° max", "0.5 x 45° max"),
        ("Ra max 0.8", "Ra 0.8"),
        ("Ra 32 uin", "Ra 32 µin"),
        ("⌖ Ø0.1 to A", "position Ø0.1 to A"),
        ("6x", "count 6"),
        ("count 3..5", "count 3..5"),
        ("5 ±0.1 deep", "depth 5 ±0.1"),
        ("SØ5 ±0.1", "SØ5 ±0.1"),
        ("GO / NO GO", "go/no-go"),
        ("by eye no burr", "by eye: no burr"),
        ("M6x1-6G", "M6x1-6G"),
    ],
)
def test_canonical_spelling(text, written):
    assert format_callout(parse(text)) == written
    assert format_callout(parse(written)) == written


class TestFit:
    def test_both_sides_and_the_clearance(self):
        fit = parse_fit("Ø25 H7/p6")
        assert format_callout(fit.hole) == "Ø25 H7"
        assert format_callout(fit.shaft) == "Ø25 p6"
        # H7: 0..+21, p6: +22..+35 micrometres
        assert (fit.clearance.lower, fit.clearance.upper) == (D("-0.035"), D("-0.001"))

    @pytest.mark.parametrize(
        ("text", "what"),
        [
            ("H7", "is no fit"),
            ("H7/p6", "has no size"),
            ("p6/H7", "names the shaft first"),
            ("Ø8 H7/H6", "not a hole and a shaft"),
            ("Ø8 H19/p6", "not in the tables"),
            ("Ø8.5 H7/p6 tight", "is no fit"),
            ("1,5 . 2.5 H7/p6", "decimal comma"),
        ],
    )
    def test_refused(self, text, what):
        with pytest.raises(CalloutError, match=what):
            parse_fit(text)


class TestBareLimits:
    @pytest.mark.parametrize(
        ("text", "unit", "lower", "upper"),
        [
            ("0.01..0.05", MM, "0.01", "0.05"),
            ("-0.03..-0.005", MM, "-0.03", "-0.005"),
            ("-0,03 to 0,005", MM, "-0.03", "0.005"),
            ("0.02 max", MM, None, "0.02"),
            ("1..2 um", Unit.MICROMETRE, "1", "2"),
            ("0.5 µm min", Unit.MICROMETRE, "0.5", None),
            (".001...0.002 in", INCH, "0.001", "0.002"),
        ],
    )
    def test_read(self, text, unit, lower, upper):
        limits = parse_limits(text)
        assert limits.unit is unit
        assert limits.lower == (None if lower is None else D(lower))
        assert limits.upper == (None if upper is None else D(upper))

    @pytest.mark.parametrize("text", ["0.02", "H7", "", "0.05..0.01", "1..2 um x", "1,5..2.5"])
    def test_refused(self, text):
        with pytest.raises(CalloutError):
            parse_limits(text)


def test_the_reference_table_holds_every_form_on_one_line():
    lines = markdown().splitlines()
    assert len(lines) == len(FORMS) + 2
    for form, line in zip(FORMS, lines[2:], strict=True):
        assert line == f"| `{form.example}` | {form.meaning} |"
        assert line.count("|") == 3
