"""Typed readings: the text that a person or a gauge types, read as an exact value or refused.

Nothing is guessed: a text that can mean two values raises `TypedError` with both spellings.
"""

from __future__ import annotations

import re
from decimal import Decimal
from enum import StrEnum

from qlog.drawing.units import HARDNESS, Unit, convert
from qlog.frozen import frozen
from qlog.problem import Problem, ToSay

_LONGEST = 60  # characters; a longer text is a paste accident and no reading
_MOST_DIGITS = 18  # exact arithmetic with any step; no instrument shows half of them
_FRACTION_BASES = (2, 4, 8, 16, 32, 64, 128)  # as divided on inch rules; all exact in decimal

_LENGTHS = (Unit.MM, Unit.INCH, Unit.MICROMETRE, Unit.MICROINCH)

# What keyboards, spreadsheets and gauges write for the same sign. Not Unicode's NFKC: that
# would turn "1½" into "11/2".
SPELLINGS = str.maketrans(
    {
        "\u2212": "-",  # minus sign
        "\u2013": "-",  # en dash, as spreadsheets replace it
        "\ufe63": "-",
        "\uff0d": "-",
        "\u00a0": " ",  # no-break space
        "\u202f": " ",  # narrow no-break space
        "\u2007": " ",  # figure space
        "\u2009": " ",  # thin space
        "\u2032": "'",
        "\u2019": "'",
        "\u2033": '"',
        "\u201d": '"',
        "\u00ba": "°",  # ordinal sign, where the keyboard has no degree sign
        "\u03bc": "µ",  # Greek mu
        "\u2044": "/",
        "\u00bc": " 1/4",
        "\u00bd": " 1/2",
        "\u00be": " 3/4",
        "\u215b": " 1/8",
        "\u215c": " 3/8",
        "\u215d": " 5/8",
        "\u215e": " 7/8",
        "\ufeff": "",  # byte order mark left by a file or a pipe
        "\u200b": "",  # zero-width space from a pasted page
    }
)

_UNIT_WORDS = {
    "mm": Unit.MM,
    "in": Unit.INCH,
    "in.": Unit.INCH,
    "inch": Unit.INCH,
    '"': Unit.INCH,
    "''": Unit.INCH,
    "µm": Unit.MICROMETRE,
    "um": Unit.MICROMETRE,
    "µin": Unit.MICROINCH,
    "uin": Unit.MICROINCH,
    "°": Unit.DEGREE,
    "deg": Unit.DEGREE,
    "degree": Unit.DEGREE,
    "degrees": Unit.DEGREE,
    "g": Unit.GRAM,
    "kg": Unit.KILOGRAM,
    "oz": Unit.OUNCE,
    "lb": Unit.POUND,
    "lbs": Unit.POUND,
    "gu": Unit.GLOSS,
    **{unit.value.lower(): unit for unit in HARDNESS},
}

# Patterns are compiled by `re` when they are first used: a plain number needs none of them.
_NUMBER = r"([+-]?)\s*([0-9]*)(?:([.,])([0-9]*))?"
_WITH_UNIT = r"(?i)(?P<number>.*?)\s*(?P<unit>[a-zµ°\"'][a-zµ°\"'.]*)?"
_FRACTION = r"([+-]?)\s*(?:([0-9]+)(?:\s+|\s*-\s*))?([0-9]+)\s*/\s*([0-9]+)"
_DEGREES = (
    r"(?i)([+-]?)\s*(?:([0-9]+)\s*(?:°|deg(?:rees?)?)\s*)?"
    r"(?:([0-9]+(?:[.,][0-9]+)?)\s*(?:'|min)\s*)?"
    r"(?:([0-9]+(?:[.,][0-9]+)?)\s*(?:\"|''|sec))?"
)
_EXPONENT = r"(?i)[+-]?\s*[0-9.,]*[0-9][.,]?\s*e\s*[+-]?[0-9]+"
_GROUPED = r"[+-]?\s*[0-9]+(?:[.,'_ ][0-9]*){2,}|[+-]?\s*[0-9]+[ '_][0-9]+"

_PASSED = frozenset(("go", "g", "ok", "pass", "passed"))
_FAILED = frozenset(("nogo", "no-go", "no go", "n", "not ok", "nok", "fail", "failed"))


class Refusal(StrEnum):
    """Why a text is not taken as a reading."""

    EMPTY = "empty"
    WORDS = "words"
    AMBIGUOUS = "ambiguous"  # two values are possible: ask
    GROUPED = "grouped"  # digits in groups of thousands, or two separators
    EXPONENT = "exponent"
    FRACTION = "fraction"
    ANGLE = "angle"
    UNIT = "unit"
    COUNT = "count"
    TEMPERATURE = "temperature"
    TIME = "time"


class TypedError(Problem, ValueError):
    """A text that is not a reading.

    `kind` says why, `what` in words, `accepted` what to type instead.
    """

    def __init__(self, kind: Refusal, text: str, what: str, accepted: str) -> None:
        self.kind = kind
        self.text = text
        self.what = what
        self.accepted = accepted
        shown = text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."
        super().__init__(ToSay("error.typed", text=shown, what=what, accepted=accepted))


@frozen
class Typed:
    """A reading as typed: the text untouched, and the value that it means in `unit`.

    `unit` is the one written behind the number, else the one that the reading was asked for in.
    Decimal numbers and inch fractions are exact; minutes and seconds of angle are rounded once,
    to the 28 digits of the decimal context.
    """

    text: str
    value: Decimal
    unit: Unit

    def to(self, unit: Unit) -> Decimal:
        """The value in another unit of the same kind. Raises ValueError for another kind."""
        return convert(self.value, self.unit, unit)


def parse_value(text: str, unit: Unit, near: Decimal | None = None) -> Typed:
    """Read one measured value.

    `unit` is taken when the text carries none. `near` (in `unit`; the nominal, or what is
    expected) settles `8,012`, which is 8.012 with a decimal comma and 8012 with a grouping one;
    without it the text is asked about. Raises TypedError.
    """
    plain = text.translate(SPELLINGS).strip()
    if not plain:
        what = ToSay("error.nothing_typed")
        raise TypedError(Refusal.EMPTY, text, what, ToSay("error.type", example=_example(unit)))
    if len(plain) > _LONGEST:
        what = ToSay("error.characters_are_reading", n=len(plain))
        raise TypedError(Refusal.WORDS, text, what, _accepted(unit))
    if _is_plain(plain):
        return Typed(text, _counted(Decimal(plain), unit, text), unit)
    if unit is Unit.DEGREE and (angle := _angle(plain, text)) is not None:
        return Typed(text, angle, Unit.DEGREE)
    if "e" in plain.lower() and re.fullmatch(_EXPONENT, plain):
        raise TypedError(
            Refusal.EXPONENT, text, ToSay("error.number_exponent"), ToSay("error.type_out_example")
        )
    number, written = _split_unit(plain, unit, text)
    taken = unit if written is None else written
    if "/" in number:
        return Typed(text, _fraction(number, unit, written, text), taken)
    value = _number(number, taken, None if near is None else convert(near, unit, taken), text)
    return Typed(text, _counted(value, taken, text), taken)


def _is_plain(text: str) -> bool:
    """Whether it is digits with at most one decimal point, as nearly every reading is typed."""
    digits = text.removeprefix("-").replace(".", "", 1)
    return digits.isascii() and digits.isdigit() and len(digits) <= _MOST_DIGITS


def _counted(value: Decimal, unit: Unit, text: str) -> Decimal:
    """The same value; what is counted is a whole number."""
    if unit is Unit.EACH and (value != value.to_integral_value() or value < 0):
        raise TypedError(
            Refusal.COUNT, text, ToSay("error.count_whole_number"), ToSay("error.type_example")
        )
    return value


def parse_unit(text: str, like: Unit) -> Unit:
    """Read a unit by itself, as a column or a heading gives it, for a value asked for in `like`.

    Raises TypedError when it is not known or of another kind.
    """
    plain = text.translate(SPELLINGS).strip()
    written = _UNIT_WORDS.get(plain.lower())
    if written is None or not (written is like or {written, like} <= set(_LENGTHS)):
        known = ToSay("error.write_length_unit") if like in _LENGTHS else None
        alone = (
            ToSay("error.write_unit", unit=like.value)
            if like.value
            else ToSay("error.leave_unit_out")
        )
        what = "error.unit_known" if written is None else "error.unit_does_not_fit"
        raise TypedError(Refusal.UNIT, text, ToSay(what, match=text), known or alone)
    return written


def parse_passed(text: str) -> bool:
    """Read the outcome of a go/no-go check: True when it passed. Raises TypedError."""
    word = " ".join(text.translate(SPELLINGS).lower().split())
    if word in _PASSED:
        return True
    if word in _FAILED:
        return False
    accepted = ToSay("error.type_go")
    if not word:
        raise TypedError(Refusal.EMPTY, text, ToSay("error.nothing_typed"), accepted)
    raise TypedError(Refusal.WORDS, text, ToSay("error.neither_go_nor"), accepted)


def means(typed: str, value: str, unit: str, what: str = "") -> bool:
    """Whether a typed text means the value kept beside it in `unit`; True where it cannot tell.

    `what` names what an operation was set to, "" where it is a reading.
    """
    if what:
        from qlog.intake.typed.set_values import set_value

        one = set_value(what, typed, Unit.INCH if unit == Unit.INCH.symbol else Unit.MM)
        return (one.value, one.unit) == (value, unit)
    try:
        if value in ("go", "no-go"):
            return parse_passed(typed) is (value == "go")
        kept = Decimal(value)
        return parse_value(typed, Unit(unit), kept).to(Unit(unit)) == kept
    except TypedError:
        return True  # a gauge's own line, a cell of a file
    except (ValueError, ArithmeticError):
        return False  # the value is no number, or in no unit


def _split_unit(plain: str, unit: Unit, text: str) -> tuple[str, Unit | None]:
    """The number's text and the unit written behind it, if any."""
    match = re.fullmatch(_WITH_UNIT, plain)
    if match is None or not match["number"] or not any(c.isdigit() for c in match["number"]):
        raise TypedError(Refusal.WORDS, text, ToSay("error.typed_no_number"), _accepted(unit))
    if match["unit"] is None:
        return match["number"], None
    written = _UNIT_WORDS.get(match["unit"].lower())
    if written is None:
        raise TypedError(
            Refusal.UNIT, text, ToSay("error.unit_known", match=match["unit"]), _accepted(unit)
        )
    if not (written is unit or {written, unit} <= set(_LENGTHS)):
        said = "error.unit_asked" if unit.symbol else "error.plain_number_asked"
        what = ToSay(said, match=match["unit"], unit=unit.symbol)
        raise TypedError(Refusal.UNIT, text, what, _accepted(unit))
    return match["number"], written


def _number(number: str, taken: Unit, near: Decimal | None, text: str) -> Decimal:
    """A number with at most one decimal point or comma."""
    match = re.fullmatch(_NUMBER, number)
    if match is None or not (match[2] or match[4]):
        if re.fullmatch(_GROUPED, number):
            if " " in number:  # `13 30.02`: a piece and its value, typed where only a value goes
                what = ToSay("error.two_numbers_where")
                raise TypedError(Refusal.GROUPED, text, what, ToSay("error.type_value_alone"))
            raise TypedError(
                Refusal.GROUPED, text, ToSay("error.more_than_one"), ToSay("error.type_one_decimal")
            )
        raise TypedError(Refusal.WORDS, text, ToSay("error.typed_no_number"), _accepted(taken))
    sign, whole, separator, decimals = match[1], match[2], match[3], match[4] or ""
    digits = len((whole + decimals).lstrip("0"))
    if digits > _MOST_DIGITS:
        raise TypedError(
            Refusal.WORDS, text, ToSay("error.digits_are_reading", digits=digits), _accepted(taken)
        )
    if separator == "," and not decimals:
        raise TypedError(
            Refusal.WORDS,
            text,
            ToSay("error.nothing_follows_comma"),
            ToSay("error.type_decimals_well", sign=sign, whole=whole),
        )
    as_decimal = Decimal(f"{sign}{whole or '0'}.{decimals or '0'}" if separator else sign + whole)
    if separator == "," and len(decimals) == 3 and 1 <= len(whole) <= 3 and whole[0] != "0":
        point, grouped = f"{sign}{whole}.{decimals}", f"{sign}{whole}{decimals}"
        decimal_fits = near is not None and _alike(as_decimal, near)
        grouped_fits = near is not None and _alike(Decimal(grouped), near)
        if not decimal_fits or grouped_fits:
            order = (grouped, point) if grouped_fits and not decimal_fits else (point, grouped)
            raise TypedError(
                Refusal.AMBIGUOUS,
                text,
                ToSay("error.can_mean", point=point, grouped=grouped),
                ToSay("error.type_one_of", likely=order[0], other=order[1]),
            )
    if not separator or not decimals:
        return Decimal(sign + whole)
    return as_decimal


def _alike(value: Decimal, near: Decimal) -> bool:
    """Whether a value is of the size expected: within a factor of ten.

    The two meanings of a comma differ by a thousand, so that at most one of them is. A zero
    expectation (runout, a deviation) counts as one unit.
    """
    wanted = abs(near) if near else Decimal(1)
    return wanted / 10 < abs(value) < wanted * 10


def _fraction(number: str, unit: Unit, written: Unit | None, text: str) -> Decimal:
    """An inch fraction such as `3/8` or `1 1/2`, exact."""
    example = ToSay("error.type_fraction")
    match = re.fullmatch(_FRACTION, number)
    if match is None:
        raise TypedError(Refusal.FRACTION, text, ToSay("error.not_a_fraction"), example)
    if (written or unit) is not Unit.INCH:
        if written is None and unit in _LENGTHS:
            raise TypedError(
                Refusal.AMBIGUOUS,
                text,
                ToSay("error.fraction_inch_size", symbol=unit.symbol),
                ToSay("error.type_when_inches", number=number),
            )
        raise TypedError(Refusal.FRACTION, text, ToSay("error.fraction_stands_inches"), example)
    whole, top, bottom = int(match[2] or 0), int(match[3]), int(match[4])
    if bottom not in _FRACTION_BASES or (match[2] is not None and top >= bottom):
        what = ToSay("error.fraction_halves_ths")
        raise TypedError(Refusal.FRACTION, text, what, ToSay("error.or_a_decimal", example=example))
    value = whole + Decimal(top) / bottom
    return -value if match[1] == "-" else value


def _angle(plain: str, text: str) -> Decimal | None:
    """Degrees, minutes and seconds in degrees; None when the text has no minutes or seconds."""
    match = re.fullmatch(_DEGREES, plain)
    if match is None or (match[3] is None and match[4] is None):
        return None
    degrees = Decimal(match[2] or 0)
    minutes = Decimal((match[3] or "0").replace(",", "."))
    seconds = Decimal((match[4] or "0").replace(",", "."))
    if minutes >= 60 or seconds >= 60 or (match[4] and minutes != minutes.to_integral_value()):
        what = ToSay("error.minutes_seconds_angle")
        raise TypedError(Refusal.ANGLE, text, what, ToSay("error.type_angle_such_as"))
    value = (degrees * 3600 + minutes * 60 + seconds) / 3600
    return -value if match[1] == "-" else value


def _example(unit: Unit) -> str:
    if unit is Unit.DEGREE:
        return ToSay("error.such_as_angle")
    if unit in (Unit.EACH, Unit.NONE):
        return ToSay("error.such_as_count" if unit is Unit.EACH else "error.such_as_number")
    first, second = {
        Unit.MM: ("8.012", "8,012 mm"),
        Unit.INCH: ("0.3155", '5/16"'),
        Unit.MICROMETRE: ("0.8", "0.8 um"),
        Unit.MICROINCH: ("32", "32 uin"),
    }.get(unit, ("58", f"58 {unit.symbol}"))
    return ToSay("error.such_as_value", first=first, second=second)


def _accepted(unit: Unit) -> str:
    return ToSay("error.type", example=_example(unit))
