"""Reading what stands on a drawing, sign by sign: numbers, inch fractions, angles, units."""

from __future__ import annotations

import re
from decimal import Decimal

from qlog.drawing.units import Unit
from qlog.problem import ToSay

_SIGNS = str.maketrans(
    {
        "−": "-",
        "–": "-",
        "‐": "-",
        "×": "x",
        "✕": "x",
        "µ": "u",
        "μ": "u",
        "ø": "Ø",
        "⌀": "Ø",
        "∅": "Ø",
        "Φ": "Ø",
        "φ": "Ø",
        "º": "°",
        "˚": "°",
        "′": "'",
        "’": "'",
        "″": '"',
        "”": '"',
        "“": '"',
        "…": "..",
        "≤": "<=",
        "≥": ">=",
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
        "⊥": "⟂",
        "◻": "□",
        "☐": "□",
        "⬜": "□",
        "▷": "⌲",
        "\N{NO-BREAK SPACE}": " ",
        "⫽": "∥",
        "↓": "↧",
    }
)

_NUMBER = r"[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+"
_FRACTION = r"(?:([0-9]{1,4})(?: |-))?([0-9]{1,3})/(2|4|8|16|32|64|128)(?![0-9.,])"
_MIXED = r"[0-9],[0-9].*[0-9]?\.[0-9]|[0-9]?\.[0-9].*[0-9],[0-9]"
_INCH = ('"', "in", "inch", "inches")
_MM = ("mm",)
_DEGREE = ("°", "deg", "degree", "degrees")
_MINUTE = ("'", "min", "minute", "minutes")
_SECOND = ('"', "sec", "second", "seconds")

#: Small units of a deviation, in the unit of the size that they stand behind.
_SMALL = {
    "um": Decimal("0.001"),
    "uin": Decimal("0.000001"),
    "thou": Decimal("0.001"),
    "mil": Decimal("0.001"),
    "mils": Decimal("0.001"),
    "tenth": Decimal("0.0001"),
    "tenths": Decimal("0.0001"),
}

#: A drawing carries no more; with it every sum stays far inside decimal's 28 digits.
_MOST_DIGITS = 9


class Unreadable(ValueError):
    """What stands at the scanner's place cannot be read; `accepted` says what could be."""

    def __init__(self, what: str, accepted: str) -> None:
        super().__init__(what)
        self.what = what
        self.accepted = accepted


def plain(text: str) -> str:
    """The text with one spelling for each sign and single spaces.

    Raises Unreadable when decimal comma and decimal point are mixed.
    """
    text = " ".join(text.translate(_SIGNS).split())
    # Each pattern is compiled only for a text that may match it: the bench reads a plan each time.
    if "+" in text:
        text = re.sub(r"\+ ?/ ?-|\+ ?-(?=[ .,0-9])", "±", text)
    if "..." in text:
        # .500...505 is how inches are written: the third point belongs to the number.
        text = re.sub(r"(?<![0-9])(\.[0-9]+) ?\.\.\.(?=[0-9]+(?![0-9.,]))", r"\1.. .", text)
        text = re.sub(r"(?<![.,0-9])([0-9]+) ?\.\.\.(?=0[0-9]*(?![0-9.,]))", r"\1.. .", text)
        text = re.sub(r"\.\.+", "..", text)
    if "," in text and re.search(_MIXED, text.replace("..", " ")):
        raise Unreadable(ToSay("error.decimal_comma_decimal"), ToSay("error.use_one_them"))
    return text


def written_unit(text: str, default: Unit) -> Unit:
    """The length unit written in the text, or the default. Raises Unreadable when both are."""
    low = text.lower()
    inch = ('"' in low or "in" in low) and re.search(
        r'"|(?<![a-z])(?:inch(?:es)?|in)(?![a-z])', text, re.I
    )
    mm = "mm" in low and re.search(r"(?<![a-z])mm(?![a-z])", text, re.I)
    if inch and mm:
        raise Unreadable(ToSay("error.mm_inch_one"), ToSay("error.write_whole_callout"))
    return Unit.INCH if inch else Unit.MM if mm else default


def _part_of_number(sign: str) -> bool:
    return sign.isdigit() or sign == "."


class Scanner:
    """A place in a text, moved on by whatever could be read there."""

    __slots__ = ("place", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        self.place = 0

    def take(self, pattern: str) -> re.Match[str] | None:
        """Read a regular expression here, and the space behind it."""
        match = re.compile(pattern).match(self.text, self.place)
        if match is None or match.end() == self.place:
            return None
        self._move(match.end())
        return match

    def word(self, spellings: tuple[str, ...]) -> str:
        """Read one of the spellings here, in small or capital letters; "" when it is none.

        A spelling that ends in a letter ends where no letter follows; a full stop behind such
        an abbreviation is read with it.
        """
        text = self.text
        for spelling in spellings:
            end = self.place + len(spelling)
            if text[self.place : end].lower() != spelling.lower():
                continue
            if spelling[-1].isalpha() and spelling != "Ø":
                if text[end : end + 1].isalpha() and text[end] not in "Øx":
                    continue
                if text[end : end + 1] == "." and not _part_of_number(text[end + 1 : end + 2]):
                    end += 1
            self._move(end)
            return spelling
        return ""

    def _move(self, place: int) -> None:
        while self.text.startswith(" ", place):
            place += 1
        self.place = place

    @property
    def rest(self) -> str:
        """What is not read yet."""
        return self.text[self.place :]

    def number(self) -> Decimal | None:
        """A number with decimal point or comma, or None when there is none here."""
        match = self.take(_NUMBER)
        if match is None:
            return None
        text = match.group().replace(",", ".")
        whole, _, decimals = text.partition(".")
        if len(whole) > _MOST_DIGITS or len(decimals) > _MOST_DIGITS:
            what = ToSay("error.more_digits_than_drawing", match=match.group())
            raise Unreadable(what, ToSay("error.most_before_behind", most_digits=_MOST_DIGITS))
        return Decimal(text)

    def length(self, unit: Unit) -> Decimal | None:
        """A length in `unit` with or without its unit behind it; inches may be fractions."""
        value: Decimal | None
        match = self.take(_FRACTION)
        if match is not None:
            if unit is not Unit.INCH:
                what = ToSay("error.fraction_millimetres", match=match.group())
                raise Unreadable(what, ToSay("error.inches_decimal_number", match=match.group()))
            whole, top, bottom = match.groups()
            value = Decimal(whole or 0) + Decimal(top) / Decimal(bottom)
        else:
            value = self.number()
        if value is not None:
            self.unit(unit)
        return value

    def fine_length(self, unit: Unit) -> Decimal | None:
        """A deviation in `unit`; also `50 µm` on a millimetre, `2 thou`, `5 tenths` on an inch."""
        value = self.length(unit)
        if value is None:
            return None
        small = self.word(("um", "uin", "thou", "mil", "mils", "tenths", "tenth"))
        if not small:
            return value
        if (small == "um") != (unit is Unit.MM):
            raise Unreadable(
                ToSay(
                    "error.deviation_on_inches" if unit is Unit.INCH else "error.deviation_on_mm",
                    small=small.replace("u", "µ", 1),
                ),
                ToSay("error.deviation_unit_size"),
            )
        return value * _SMALL[small]

    def unit(self, unit: Unit) -> None:
        """Read the length unit where it is written here."""
        self.word(_INCH if unit is Unit.INCH else _MM)

    def arc(self, bare: int | None = 3600) -> Decimal | None:
        """An angle in arc seconds from degrees, minutes and seconds.

        `bare` is what a number without a sign counts, in seconds; None refuses it.
        """
        total: Decimal | None = None
        for sign, seconds in ((_DEGREE, 3600), (_MINUTE, 60), (_SECOND, 1)):
            start = self.place
            number = self.number()
            if number is None:
                break
            if self.word(sign):
                total = (total or Decimal(0)) + number * seconds
            else:
                self.place = start
        if total is None and bare is not None:
            number = self.number()
            if number is not None:
                total = number * bare
        return total
