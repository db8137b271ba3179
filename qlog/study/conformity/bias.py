"""Known biases of a way of measuring: told, never corrected silently."""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen

#: Flats and gap of a caliper's inside jaws together, mm (common practice; measure your own).
JAW_FLAT_MM = Decimal("0.5")


@frozen
class JawsReadLow:
    """Caliper jaws lie on a chord of a bore and read it low by `amount`."""

    amount: Decimal  # unit of the dimension
    share: Decimal  # of the tolerance


@frozen
class TooCoarse:
    """An instrument whose largest permissible error takes much of the tolerance."""

    error: Decimal  # unit of the dimension
    share: Decimal  # of the tolerance

    @property
    def over_a_fifth(self) -> bool:
        """Whether a finer instrument is worth a search: more than a fifth of the tolerance."""
        return 5 * self.share > 1


def bore_with_jaws(
    diameter: Decimal, tolerance: Decimal, unit: Unit = Unit.MM
) -> JawsReadLow | None:
    """A bore read with caliper jaws: reads low because the jaws' flats lie on a chord.

    The chord of a flat w in a bore D is D minus about w^2 / 2D (geometry; the exact
    D - sqrt(D^2 - w^2) is used). `diameter` and `tolerance` in `unit`; the flats
    are 0.5 mm wide. None when it is no more than a tenth of the tolerance.

    Raises ValueError when the jaws do not go into the bore, or the tolerance is not above 0.
    """
    width = convert(JAW_FLAT_MM, Unit.MM, unit)
    if diameter <= width:
        raise ValueError(f"jaws {width} wide do not go into a bore of {diameter}")
    _check(tolerance)
    amount = diameter - (diameter * diameter - width * width).sqrt()
    if 10 * amount <= tolerance:
        return None
    return JawsReadLow(amount, amount / tolerance)


def too_coarse(error: Decimal, tolerance: Decimal) -> TooCoarse | None:
    """An instrument whose error limit takes too much of the tolerance, both in one unit.

    A tenth of the tolerance is wanted and a fifth is often the practical best (NPL, frequently
    asked questions on length): None up to a tenth.

    Raises ValueError for a negative error or a tolerance that is not above 0.
    """
    if error < 0:
        raise ValueError(f"an error limit is 0 or more, not {error}")
    _check(tolerance)
    if 10 * error <= tolerance:
        return None
    return TooCoarse(error, error / tolerance)


def _check(tolerance: Decimal) -> None:
    if not tolerance > 0:
        raise ValueError(f"a tolerance is above 0, not {tolerance}")
