"""A size with whatever tolerance follows it: limits, deviations, a class of ISO 286, or nothing."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from qlog.drawing.callouts import hints
from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.callouts.scan import Scanner
from qlog.drawing.units import Unit
from qlog.frozen import frozen
from qlog.problem import ToSay

Value = Callable[[], Decimal | None]

MAX = ("max", "maximum", "<=")
MIN = ("min", "minimum", ">=")
DIAMETER = ("Ø", "dia", "diameter", "diam")

_RANGE = ("..", "to")
_BARE_ZERO = r"0(?:[.,]0+)?(?= ?(?:mm|in|inch|°|'|\")? ?/? ?[+-])"
_CLASS = r"(?![xX][0-9]+ ?(?:°|deg))([A-Za-z]{1,2})([0-9]{1,2})(?![0-9A-Za-z])"
#: Two numbers over one another are limits when the smaller is at least this share of the larger.
_NEAR = Decimal("0.6")
#: A deviation close behind a number, larger than this share of it, may be a limit out of order.
_FAR = Decimal("0.25")


@frozen
class WrittenSize:
    """A size as written; lengths in the callout's unit, angles in arc seconds."""

    nominal: Decimal | None
    lower: Decimal | None
    upper: Decimal | None
    fit_class: str = ""
    open: bool = False  # neither tolerance nor limit is written


@frozen
class SizeReader:
    """Reads sizes at a scanner's place; `value` reads one magnitude, `fine` one deviation."""

    scanner: Scanner
    value: Value
    fine: Value
    unit: Unit

    def size(self) -> WrittenSize:
        """A size with whatever tolerance follows it."""
        scanner = self.scanner
        if scanner.word(MAX):
            return WrittenSize(None, None, self.needed())
        if scanner.word(MIN):
            return WrittenSize(None, self.needed(), None)
        first = self._signed()
        if limits := self._limits(first):
            return WrittenSize(None, *limits)
        if scanner.word(MAX):
            return WrittenSize(None, None, first)
        if scanner.word(MIN):
            return WrittenSize(None, first, None)
        if deviations := self.tolerance():
            return WrittenSize(first, first + deviations[0], first + deviations[1])
        if match := scanner.take(_CLASS):
            return WrittenSize(first, None, None, match.group())
        if scanner.rest.startswith("/"):
            raise CalloutError(
                ToSay("error.between_two_numbers"),
                ToSay("error.two_limits_inch")
                if self.unit is Unit.INCH
                else ToSay("error.size_two_limits"),
            )
        return WrittenSize(first, None, None, open=True)

    def needed(self, read: Value | None = None) -> Decimal:
        """A number that must stand here."""
        found = (read or self.value)()
        if found is None:
            rest = self.scanner.rest
            raise CalloutError(
                ToSay("error.number_expected", rest=rest)
                if rest
                else ToSay("error.number_missing"),
                hints.size(self.unit),
            )
        return found

    def tolerance(self) -> tuple[Decimal, Decimal] | None:
        """Lower and upper deviation, in brackets or not; None when none is written here."""
        scanner = self.scanner
        start = scanner.place
        bracket = bool(scanner.word(("(",)))
        if scanner.word(("±",)):
            spread = self.needed(self.fine)
            found: tuple[Decimal, Decimal] | None = (-spread, spread)
        else:
            found = self._deviations()
        if bracket and (found is None or not scanner.word((")",))):
            scanner.place = start
            return None
        return found

    def _signed(self) -> Decimal:
        minus = self.scanner.word(("-",))
        found = self.needed()
        return -found if minus else found

    def _limits(self, first: Decimal) -> tuple[Decimal, Decimal] | None:
        """The second of two limits and the first, the smaller in front."""
        scanner = self.scanner
        if scanner.word(_RANGE):
            scanner.word(DIAMETER)
            second = self._signed()
            if first > second:
                raise CalloutError(
                    ToSay("error.limits_are_reversed"), ToSay("error.smaller_limit_first")
                )
            return first, second
        start = scanner.place
        if scanner.word(("-",)):
            scanner.word(DIAMETER)
            second_or_none = self.value()
            # A second number below the first is a deviation: 12 -0.05.
            if second_or_none is not None and second_or_none > first > 0 and not self._signs():
                return first, second_or_none
            if first == 0 and second_or_none and not self._signs():
                raise CalloutError(
                    ToSay("error.limits_from_zero"), ToSay("error.limits_or_deviations")
                )
            if second_or_none and second_or_none > first * _FAR and not scanner.rest:
                raise CalloutError(
                    ToSay("error.may_be_limits", first=first, second_or_none=second_or_none),
                    ToSay(
                        "error.smaller_limit_first_both", first=first, second_or_none=second_or_none
                    ),
                )
        scanner.place = start
        if scanner.word(("/",)):
            scanner.word(DIAMETER)
            second_or_none = self.value()
            if second_or_none is not None and not self._signs():
                lower, upper = sorted((first, second_or_none))
                if lower > upper * _NEAR and _has_places(lower, upper):
                    return lower, upper
        scanner.place = start
        return None

    def _signs(self) -> bool:
        return self.scanner.rest[:1] in ("+", "-", "/", "±")

    def _deviations(self) -> tuple[Decimal, Decimal] | None:
        """Lower and upper deviation, written upper first; one alone stands beside a zero."""
        scanner = self.scanner
        found: list[Decimal] = []
        slash = ""
        for turn in range(2):
            if sign := scanner.word(("+", "-")):
                amount = self.needed(self.fine)
                found.append(-amount if sign == "-" else amount)
            elif turn == 0:
                start = scanner.place
                if not scanner.take(_BARE_ZERO):
                    return None
                scanner.place = start
                found.append(self.needed(self.fine))
            elif (
                not slash and not scanner.rest[:1].isdigit() and scanner.rest[:1] not in (".", ",")
            ):
                found.append(Decimal(0))
                break
            else:
                amount = self.needed(self.fine)
                if amount:
                    raise CalloutError(
                        ToSay("error.second_deviation_sign", amount=amount),
                        ToSay(
                            "error.both_deviations_their", deviations=hints.deviations(self.unit)
                        ),
                    )
                found.append(amount)
            if turn == 0:
                slash = scanner.word(("/",))
        first, second = found
        if first < second and (first > 0 or second < 0):
            raise CalloutError(
                ToSay("error.limits_are_reversed"),
                ToSay("error.upper_deviation_first", deviations=hints.deviations(self.unit)),
            )
        return min(first, second), max(first, second)


def _has_places(*values: Decimal) -> bool:
    return any(isinstance(e := v.as_tuple().exponent, int) and e < 0 for v in values)


def finished(scanner: Scanner, hint: str) -> None:
    """Nothing may be left. Raises CalloutError that names what cannot be read."""
    if scanner.rest:
        before = scanner.text[: scanner.place].strip()
        what = ToSay("error.rest_unread", rest=scanner.rest)
        if before:
            what = ToSay("error.rest_unread_behind", rest=scanner.rest, before=before)
        raise CalloutError(what, hint)


def length_reader(scanner: Scanner, unit: Unit) -> SizeReader:
    """A reader of lengths in one unit; deviations may stand in µm, thousandths or tenths."""
    return SizeReader(
        scanner, lambda: scanner.length(unit), lambda: scanner.fine_length(unit), unit
    )


def arc_reader(scanner: Scanner) -> SizeReader:
    """A reader of angles, in arc seconds."""
    return SizeReader(scanner, scanner.arc, scanner.arc, Unit.DEGREE)
