"""Reading what stands on a drawing, sign by sign: numbers, inch fractions, angles, units."""

from __future__ import annotations

import re
from decimal import Decimal

from qlog.drawing.units import Unit

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
        "⫽": "∥",
        "↓": "↧",
    }
)

_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+")
_FRACTION = re.compile(r"(?:([0-9]{1,4})(?: |-))?([0-9]{1,3})/(2|4|8|16|32|64|128)(?![0-9.,])")
_MIXED = re.compile(r"[0-9],[0-9].*[0-9]?\.[0-9]|[0-9]?\.[0-9].*[0-9],[0-9]")
_INCH = re.compile(r'"|(?:inch(?:es)?|in\b\.?)', re.I)
_MM = re.compile(r"mm\b", re.I)
_DEGREE = re.compile(r"°|deg(?:rees?)?\b\.?", re.I)
_MINUTE = re.compile(r"'|min(?:utes?)?\b", re.I)
_SECOND = re.compile(r'"|sec(?:onds?)?\b', re.I)

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
    text = re.sub(r"\+ ?/ ?-|\+ ?-(?=[ .,0-9])", "±", text)
    text = re.sub(r"\.\.+", "..", text)
    if _MIXED.search(text.replace("..", " ")):
        raise Unreadable(
            "decimal comma and decimal point in one callout", "use one of them throughout"
        )
    return text


def written_unit(text: str, default: Unit) -> Unit:
    """The length unit written in the text, or the default. Raises Unreadable when both are."""
    inch = re.search(r'"|(?<![a-z])(?:inch(?:es)?|in)(?![a-z])', text, re.I)
    mm = re.search(r"(?<![a-z])mm(?![a-z])", text, re.I)
    if inch and mm:
        raise Unreadable("mm and inch in one callout", "write the whole callout in one unit")
    return Unit.INCH if inch else Unit.MM if mm else default


class Scanner:
    """A place in a text, moved on by whatever could be read there."""

    __slots__ = ("place", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        self.place = 0

    def take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        """Read the pattern here, and the space behind it."""
        match = pattern.match(self.text, self.place)
        if match is None or match.end() == self.place:
            return None
        self.place = match.end()
        while self.text.startswith(" ", self.place):
            self.place += 1
        return match

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
            raise Unreadable(
                f"{match.group()} has more digits than a drawing carries",
                f"at most {_MOST_DIGITS} before and behind the point",
            )
        return Decimal(text)

    def length(self, unit: Unit) -> Decimal | None:
        """A length in `unit` with or without its unit behind it; inches may be fractions."""
        value: Decimal | None
        match = self.take(_FRACTION)
        if match is not None:
            if unit is not Unit.INCH:
                raise Unreadable(
                    f"the fraction {match.group()} in millimetres",
                    f"{match.group()} in for inches, or a decimal number",
                )
            whole, top, bottom = match.groups()
            value = Decimal(whole or 0) + Decimal(top) / Decimal(bottom)
        else:
            value = self.number()
        if value is not None:
            self.take(_INCH if unit is Unit.INCH else _MM)
        return value

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
            if self.take(sign):
                total = (total or Decimal(0)) + number * seconds
            else:
                self.place = start
        if total is None and bare is not None:
            number = self.number()
            if number is not None:
                total = number * bare
        return total
