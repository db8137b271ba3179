"""Measured: what a logged reading says, as a value and not as text."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from functools import lru_cache

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.logbook.facts import Reading

#: What a counted check is logged as.
GO, NO_GO = "go", "no-go"
#: Signs and powers of ten beyond which no text is a reading; nobody can have typed it.
_LONGEST = 60


@frozen
class Measured:
    """A number in its unit, or a check that passed or failed; exactly one of the two is there.

    `value` is exact, in `unit`, as read; `temperature` and `instrument_temperature` are those of
    the piece and of the instrument in degrees Celsius, None where nobody gave them.
    """

    value: Decimal | None
    unit: Unit
    passed: bool | None = None
    temperature: Decimal | None = None
    instrument_temperature: Decimal | None = None

    def to(self, unit: Unit) -> Decimal | None:
        """The number in another unit, exactly; None for a check, and across kinds of quantity."""
        if self.value is None or self.unit is unit:
            return self.value
        try:
            return convert(self.value, self.unit, unit)
        except ValueError:
            return None

    def answers(self, callout: Callout) -> bool:
        """Whether this is the kind of answer that the callout asks for."""
        if callout.attribute:
            return self.passed is not None
        return self.to(callout.unit) is not None


def measured(reading: Reading) -> Measured:
    """A logged reading as a value.

    Text that is no number, or a unit that this version does not know, is read as a check that
    failed to say anything: no value, neither passed nor failed. It answers no callout.
    """
    return _measured(
        reading.value, reading.unit, reading.temperature, reading.instrument_temperature
    )


@lru_cache(maxsize=4096)
def _measured(value: str, unit: str, warm: str | None, instrument_warm: str | None) -> Measured:
    if value in (GO, NO_GO):
        return Measured(None, Unit.NONE, value == GO, None, None)
    try:
        number, of = Decimal(value), Unit(unit)
    except (InvalidOperation, ValueError):
        return Measured(None, Unit.NONE)
    if not number.is_finite() or len(value) > _LONGEST or abs(number.adjusted()) > _LONGEST:
        return Measured(None, Unit.NONE)
    return Measured(number, of, None, _degrees(warm), _degrees(instrument_warm))


def _degrees(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
