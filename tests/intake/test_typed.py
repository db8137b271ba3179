"""Readings as people, spreadsheets and gauges type them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from qlog.drawing.units import Unit
from qlog.intake.typed.parse import Refusal, TypedError, parse_passed, parse_value


@pytest.mark.parametrize(
    ("text", "unit", "value", "taken"),
    [
        ("8.012", Unit.MM, "8.012", Unit.MM),
        ("8,01", Unit.MM, "8.01", Unit.MM),
        ("0,123", Unit.MM, "0.123", Unit.MM),  # no grouping starts with a zero
        ("-0,123", Unit.MM, "-0.123", Unit.MM),
        ("1234,567", Unit.MM, "1234.567", Unit.MM),  # no grouping leaves four digits
        ("8,0125", Unit.MM, "8.0125", Unit.MM),
        ("8", Unit.MM, "8", Unit.MM),
        ("8.", Unit.MM, "8", Unit.MM),
        (".5", Unit.MM, "0.5", Unit.MM),
        (",5", Unit.MM, "0.5", Unit.MM),
        ("+008.020", Unit.MM, "8.020", Unit.MM),  # as serial gauges pad it
        (" \t8.02\r\n", Unit.MM, "8.02", Unit.MM),
        ("\u00a08.02\u202fmm\u00a0", Unit.MM, "8.02", Unit.MM),
        ("\ufeff8.02", Unit.MM, "8.02", Unit.MM),
        ("\u22120.02", Unit.MM, "-0.02", Unit.MM),
        ("\u20130.02", Unit.MM, "-0.02", Unit.MM),
        ("+ 0.02", Unit.MM, "0.02", Unit.MM),
        ("8.02mm", Unit.MM, "8.02", Unit.MM),
        ("8.02 MM", Unit.MM, "8.02", Unit.MM),
        ("0.315 in", Unit.MM, "0.315", Unit.INCH),
        ("0.315in.", Unit.MM, "0.315", Unit.INCH),
        ('0.315"', Unit.MM, "0.315", Unit.INCH),
        ("0.315\u2033", Unit.MM, "0.315", Unit.INCH),
        ("0.315''", Unit.INCH, "0.315", Unit.INCH),
        ("3/8", Unit.INCH, "0.375", Unit.INCH),
        ('3/8"', Unit.MM, "0.375", Unit.INCH),
        ('1 1/2"', Unit.MM, "1.5", Unit.INCH),
        ('1-1/2"', Unit.MM, "1.5", Unit.INCH),
        ("-1 1/2 in", Unit.INCH, "-1.5", Unit.INCH),
        ("1\u00bd in", Unit.INCH, "1.5", Unit.INCH),  # not 11/2, as Unicode folding would have it
        ("\u215c\u2033", Unit.INCH, "0.375", Unit.INCH),
        ("5/128", Unit.INCH, "0.0390625", Unit.INCH),
        ("9/8", Unit.INCH, "1.125", Unit.INCH),
        ("0.8 µm", Unit.MICROMETRE, "0.8", Unit.MICROMETRE),
        ("0,8 \u03bcm", Unit.MICROMETRE, "0.8", Unit.MICROMETRE),  # Greek mu
        ("12um", Unit.MM, "12", Unit.MICROMETRE),
        ("32 uin", Unit.MICROINCH, "32", Unit.MICROINCH),
        ("45.5", Unit.DEGREE, "45.5", Unit.DEGREE),
        ("45,5°", Unit.DEGREE, "45.5", Unit.DEGREE),
        ("45.5 deg", Unit.DEGREE, "45.5", Unit.DEGREE),
        ("45\u00ba", Unit.DEGREE, "45", Unit.DEGREE),
        ("45°30'", Unit.DEGREE, "45.5", Unit.DEGREE),
        ("45° 30\u2032", Unit.DEGREE, "45.5", Unit.DEGREE),
        ("-0°30'", Unit.DEGREE, "-0.5", Unit.DEGREE),
        ("45°30'36\"", Unit.DEGREE, "45.51", Unit.DEGREE),
        ("45°0'36''", Unit.DEGREE, "45.01", Unit.DEGREE),
        ("45 deg 30 min", Unit.DEGREE, "45.5", Unit.DEGREE),
        ("45°7.5'", Unit.DEGREE, "45.125", Unit.DEGREE),
        ("30'", Unit.DEGREE, "0.5", Unit.DEGREE),
        ("3", Unit.EACH, "3", Unit.EACH),
        ("0.8", Unit.NONE, "0.8", Unit.NONE),
    ],
)
def test_reads(text: str, unit: Unit, value: str, taken: Unit) -> None:
    typed = parse_value(text, unit)
    assert typed.text == text
    assert typed.value == Decimal(value)
    assert typed.unit is taken


@pytest.mark.parametrize(
    ("text", "unit", "kind"),
    [
        ("", Unit.MM, Refusal.EMPTY),
        ("\u00a0 ", Unit.MM, Refusal.EMPTY),
        ("1,234.5", Unit.MM, Refusal.GROUPED),
        ("1.234,5", Unit.MM, Refusal.GROUPED),
        ("1,234,567", Unit.MM, Refusal.GROUPED),
        ("1.234.567,8", Unit.MM, Refusal.GROUPED),
        ("1.234,", Unit.MM, Refusal.GROUPED),
        ("1 234", Unit.MM, Refusal.GROUPED),
        ("1'234.5", Unit.MM, Refusal.GROUPED),
        ("1_234", Unit.MM, Refusal.GROUPED),
        ("8.0.1", Unit.MM, Refusal.GROUPED),
        ("8..01", Unit.MM, Refusal.GROUPED),
        ("1,234", Unit.MM, Refusal.AMBIGUOUS),
        ("-1,234 mm", Unit.MM, Refusal.AMBIGUOUS),
        ("3/8", Unit.MM, Refusal.AMBIGUOUS),
        ("8,", Unit.MM, Refusal.WORDS),
        ("9" * 40, Unit.MM, Refusal.WORDS),  # no step divides it exactly
        ("0." + "1" * 19, Unit.MM, Refusal.WORDS),
        ("-", Unit.MM, Refusal.WORDS),
        (".", Unit.MM, Refusal.WORDS),
        ("mm", Unit.MM, Refusal.WORDS),
        ("eight", Unit.MM, Refusal.WORDS),
        ("nan", Unit.MM, Refusal.WORDS),
        ("inf", Unit.MM, Refusal.WORDS),
        ("-Infinity", Unit.MM, Refusal.WORDS),
        ("--5", Unit.MM, Refusal.WORDS),
        ("±5", Unit.MM, Refusal.WORDS),
        ("8²", Unit.MM, Refusal.WORDS),
        ("٣", Unit.MM, Refusal.WORDS),  # digits of another script are not taken
        ("0x10", Unit.MM, Refusal.WORDS),
        ("8" * 100, Unit.MM, Refusal.WORDS),
        ("1e3", Unit.MM, Refusal.EXPONENT),
        ("1.2E-3", Unit.MM, Refusal.EXPONENT),
        ("8 cm", Unit.MM, Refusal.UNIT),
        ("8°", Unit.MM, Refusal.UNIT),
        ("8 mm", Unit.DEGREE, Refusal.UNIT),
        ("8 mm", Unit.EACH, Refusal.UNIT),
        ("0.8 um", Unit.NONE, Refusal.UNIT),
        ('3/7"', Unit.MM, Refusal.FRACTION),
        ('3/0"', Unit.MM, Refusal.FRACTION),
        ('1 9/8"', Unit.INCH, Refusal.FRACTION),
        ("1/2/3", Unit.INCH, Refusal.FRACTION),
        ("3/8 mm", Unit.MM, Refusal.FRACTION),
        ("45°60'", Unit.DEGREE, Refusal.ANGLE),
        ("45°1.5'30\"", Unit.DEGREE, Refusal.ANGLE),
        ("2.5", Unit.EACH, Refusal.COUNT),
        ("-1", Unit.EACH, Refusal.COUNT),
    ],
)
def test_refuses(text: str, unit: Unit, kind: Refusal) -> None:
    with pytest.raises(TypedError) as caught:
        parse_value(text, unit)
    assert caught.value.kind is kind
    assert caught.value.what in str(caught.value)
    assert caught.value.accepted.startswith("type ")


@pytest.mark.parametrize(
    ("text", "near", "value"),
    [
        ("8,012", "8", "8.012"),
        ("8,012", "90", None),  # neither meaning is of the size expected
        ("8,012", "79", "8.012"),
        ("-8,012", "8", "-8.012"),
        ("25,400", "25.4", "25.400"),
        ("0,012", "8000", "0.012"),
        ("1,234", "0", "1.234"),  # runout and deviations are asked for near zero
        ("1,234", "1200", None),  # grouping is never taken silently
        ("1,234", "30", None),
    ],
)
def test_what_is_expected_settles_a_comma(text: str, near: str, value: str | None) -> None:
    if value is None:
        with pytest.raises(TypedError) as caught:
            parse_value(text, Unit.MM, Decimal(near))
        assert caught.value.kind is Refusal.AMBIGUOUS
    else:
        assert parse_value(text, Unit.MM, Decimal(near)).value == Decimal(value)


def test_likelier_spelling_is_offered_first() -> None:
    with pytest.raises(TypedError) as caught:
        parse_value("1,234", Unit.MM, Decimal(1200))
    assert caught.value.accepted == "type 1234 or 1.234"


def test_near_is_converted_to_the_unit_typed() -> None:
    assert parse_value("1,254 in", Unit.MM, Decimal(32)).value == Decimal("1.254")


def test_conversion_is_exact() -> None:
    # The inch is 25.4 mm exactly (international agreement of 1959, ISO 80000-3).
    assert parse_value("0.315 in", Unit.MM).to(Unit.MM) == Decimal("8.0010")
    assert parse_value("12 um", Unit.MM).to(Unit.MM) == Decimal("0.012")
    with pytest.raises(ValueError, match="no conversion"):
        parse_value("45", Unit.DEGREE).to(Unit.MM)


@settings(deadline=None, derandomize=True)
@given(st.decimals(min_value=-9999, max_value=9999, places=4), st.sampled_from([".", ","]))
def test_four_decimals_are_read_exactly(value: Decimal, separator: str) -> None:
    text = str(value).replace(".", separator)
    assert parse_value(text, Unit.MM).value == value


@settings(deadline=None, derandomize=True)
@given(st.text(max_size=80), st.sampled_from(list(Unit)))
def test_any_text_is_read_or_refused(text: str, unit: Unit) -> None:
    try:
        typed = parse_value(text, unit)
    except TypedError as error:
        assert error.text == text
        return
    assert typed.text == text
    assert typed.value.is_finite()


@settings(deadline=None, derandomize=True)
@given(st.text(alphabet="0123456789.,-+/ '\"°inmuµ", max_size=14), st.sampled_from(list(Unit)))
def test_any_number_like_text_is_read_or_refused(text: str, unit: Unit) -> None:
    try:
        assert parse_value(text, unit).value.is_finite()
    except TypedError as error:
        assert error.what


@pytest.mark.parametrize("word", ["go", "GO", "ok", "g", "pass", " Passed "])
def test_passed(word: str) -> None:
    assert parse_passed(word) is True


@pytest.mark.parametrize("word", ["nogo", "no-go", "No Go", "not  ok", "n", "fail", "no\u2013go"])
def test_not_passed(word: str) -> None:
    assert parse_passed(word) is False


@pytest.mark.parametrize("word", ["", "yes", "0", "8.02", "maybe", "in"])
def test_neither_go_nor_nogo(word: str) -> None:
    with pytest.raises(TypedError):
        parse_passed(word)
