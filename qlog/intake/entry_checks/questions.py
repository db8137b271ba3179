"""What a check needs to know about a reading, and what it answers with."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.decimals import WRITTEN, decimals_of, places_for, shortened
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Instrument
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen

LENGTHS = (Unit.MM, Unit.INCH, Unit.MICROMETRE, Unit.MICROINCH)

# Typical error limits of hand instruments are three to four display steps (a caliper reads to
# 0.01 and is good to 0.03, a micrometer to 0.001 and 0.004); common practice.
_STEPS_OF_ERROR = 4


class Check(StrEnum):
    """The mistake that a question is about."""

    INCH = "inch or millimetre"
    SLIP = "decimal slip"
    IMPOSSIBLE = "below zero"
    SWAP = "digits exchanged"
    TURN = "one turn out"
    OTHER = "wrong dimension"
    DIRECTION = "impossible direction"
    BURR = "burr or dirt"
    WARM = "warm part"
    JAWS = "bore with caliper jaws"
    STEP = "finer than the display"
    COARSE = "instrument too coarse"
    OPEN = "skipped operation"
    SEALED = "read too late"


class Scope(StrEnum):
    """How often a question is put: for every reading, or once for a dimension or a piece."""

    READING = "reading"
    DIMENSION = "dimension"
    PIECE = "piece"


#: One thing that a question rests on.
About = Decimal | Unit | int | str | tuple[str, ...] | tuple[int, ...]


@frozen
class Question:
    """One short question about a reading; `words.questions` says it.

    `about` is what it rests on, by name: numbers as a person writes them, units, names. `case`
    tells apart what one check asks in several ways.

    `likely` is the value offered, in the unit of the callout, and `retype` the text that enters
    it; both are None where the mistake has no other value to offer. `piece` is the place in
    `Context.batch` of the reading in question where that is not the one just typed.
    """

    check: Check
    about: dict[str, About]
    likely: Decimal | None = None
    retype: str | None = None
    scope: Scope = Scope.READING
    piece: int | None = None
    case: str = ""
    unit: Unit = Unit.NONE  # of the numbers in `about`

    @property
    def once(self) -> bool:
        """Whether it is asked once only, for the dimension or the piece."""
        return self.scope is not Scope.READING


@frozen
class EarlierReading:
    """An earlier reading of the same dimension on the same piece, in the unit of the callout.

    `between` lists the kinds of the operations that the piece has had since, oldest first.
    `error` is the error limit of the instrument that took it, in the unit of the callout.
    """

    op: int
    value: Decimal
    between: tuple[str, ...]
    error: Decimal | None = None


@frozen
class Other:
    """Another dimension of the part that is read at this time, with the limits in force."""

    name: str
    limits: Limits


@frozen
class Context:
    """What is known when a reading comes in. All values in the unit of the callout.

    `batch` holds the readings of the same dimension after the same operation on the other
    pieces, in the order of making; `last` says that this reading completes it, and `confirmed`
    are the places in it that were read again and stand. `temperature` is
    the piece's in degrees Celsius and `expansion` its material's in 1e-6 per kelvin; `hot` says
    that the piece comes straight off the machine with no temperature given. `open_ops` are the
    operations before this one that the piece has not had, `sealed_by` one that it has had and
    after which the dimension cannot be reached. `asked` are the checks answered before, which
    are not asked again for this dimension (or, of scope piece, for this piece).
    """

    callout: Callout
    name: str = "this one"
    op: int = 0
    measures: str = ""  # "outside", "inside", "length", "depth"; "" when not a plain size
    instrument: Instrument | None = None
    batch: tuple[Decimal, ...] = ()
    last: bool = False
    confirmed: frozenset[int] = frozenset()
    others: tuple[Other, ...] = ()
    earlier: tuple[EarlierReading, ...] = ()
    temperature: Decimal | None = None
    instrument_temperature: Decimal | None = None
    expansion: Decimal | None = None
    hot: bool = False
    open_ops: tuple[int, ...] = ()
    sealed_by: int | None = None
    asked: frozenset[Check] = frozenset()

    @property
    def limits(self) -> Limits:
        """The limits in force."""
        return self.callout.limits

    @property
    def tolerance(self) -> Decimal | None:
        """Tolerance width T, or what stands for it where the drawing gives one limit only.

        A largest value alone (runout, roughness) is taken as a width from zero, a smallest value
        alone as a tenth of itself. None without limits, or when they coincide.
        """
        lower, upper = self.limits.lower, self.limits.upper
        if lower is not None and upper is not None:
            width = upper - lower
        elif upper is not None:
            width = abs(upper)
        elif lower is not None:
            width = abs(lower) / 10
        else:
            return None
        return width or None

    @property
    def centre(self) -> Decimal | None:
        """Where the drawing expects the reading: middle of the limits, else the nominal."""
        middle = self.limits.middle
        return self.callout.nominal if middle is None else middle

    @property
    def expected(self) -> Decimal | None:
        """Where this reading is expected: the batch's median from three pieces on, else `centre`.

        One or two pieces are no median: a mistake that was let stand would become the rule.
        """
        if len(self.batch) < 3:
            return self.centre
        ordered = sorted(self.batch)
        half = len(ordered) // 2
        return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2

    @property
    def step(self) -> Decimal | None:
        """Display step of the instrument."""
        return self._of_instrument(None if self.instrument is None else self.instrument.step)

    @property
    def error(self) -> Decimal | None:
        """Error limit U of the instrument; four display steps where none is registered."""
        if self.instrument is None:
            return None
        if self.instrument.error is not None:
            return self._of_instrument(self.instrument.error)
        return None if self.step is None else self.step * _STEPS_OF_ERROR

    def _of_instrument(self, value: Decimal | None) -> Decimal | None:
        if value is None or self.instrument is None:
            return None
        unit = self.callout.unit
        if self.instrument.unit is not unit and not {self.instrument.unit, unit} <= set(LENGTHS):
            return None
        return convert(value, self.instrument.unit, unit)

    def is_kind(self, *words: str) -> bool:
        """Whether the instrument's kind has one of the words in it."""
        kind = "" if self.instrument is None else self.instrument.kind.casefold()
        return any(word in kind for word in words)

    def short(self, value: Decimal, unit: Unit | None = None) -> Decimal:
        """A number that came of a conversion, with the places of callout and display.

        What somebody has written keeps its digits. `unit` is the callout's unless given.
        """
        if decimals_of(value) <= WRITTEN:
            return value
        used = self.instrument
        places = places_for(
            self.callout, unit or self.callout.unit,
            None if used is None else used.step, None if used is None else used.unit,
        )  # fmt: skip
        return shortened(value, places)

    def shown(self, value: Decimal) -> Decimal:
        """A value as a person writes it: no exponent, no zeros behind those that say something."""
        text = f"{self.short(value):f}"
        return Decimal(text.rstrip("0").rstrip(".") if "." in text else text)

    @property
    def a_number(self) -> bool:
        """Whether the reading is a measured number and no pass, fail or count."""
        return not self.callout.attribute and self.callout.kind is not Kind.COUNT

    def outside_by(self, value: Decimal) -> Decimal:
        """How far a value lies outside the limits; zero inside them and on them."""
        lower, upper = self.limits.lower, self.limits.upper
        if lower is not None and value < lower:
            return lower - value
        if upper is not None and value > upper:
            return value - upper
        return Decimal(0)

    def alone_by(self, value: Decimal) -> Decimal:
        """How far a value lies from the limits and from every reading of the batch.

        A piece that is really out, as its neighbours nearly are or a drift has led it, is close
        to one of them; a slip of the hand is close to nothing.
        """
        outside = self.outside_by(value)
        return outside and min([outside, *(abs(value - other) for other in self.batch)])
