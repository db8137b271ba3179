"""Measurement uncertainty: components combined after the GUM into a budget that can be printed.

The bench asks for a standard uncertainty at every entry, hence decimal arithmetic and the
standard library only.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal
from enum import StrEnum
from typing import Literal

from qlog.frozen import frozen, replace
from qlog.problem import ToSay

_SQRT3 = Decimal(3).sqrt()
_SQRT6 = Decimal(6).sqrt()
_SQRT2 = Decimal(2).sqrt()


class Distribution(StrEnum):
    """How the quantity is taken to scatter, and so what its stated value is divided by."""

    MEASURED = "measured"  # a standard deviation from readings: type A of the GUM
    NORMAL = "normal"  # a standard uncertainty, such as a certificate's U / k
    RECTANGULAR = "rectangular"  # bounds, anywhere between them alike
    TRIANGULAR = "triangular"  # bounds, the middle likelier
    ARCSINE = "u-shaped"  # bounds, the ends likelier: a room that swings

    @property
    def divisor(self) -> Decimal:
        """What turns the stated value, a half-width or an s, into a standard uncertainty.

        JCGM 100:2008 (GUM), 4.3.7 (rectangular) and 4.3.9 (triangular); arcsine: GUM H.1.3.4.
        """
        return {
            Distribution.RECTANGULAR: _SQRT3,
            Distribution.TRIANGULAR: _SQRT6,
            Distribution.ARCSINE: _SQRT2,
        }.get(self, Decimal(1))


class UncertaintySource(StrEnum):
    """Where the uncertainty of a reading comes from."""

    ERROR_LIMIT = "error limit"
    CHECKS = "error in checks"
    STEP = "display step"
    REPEATABILITY = "repeatability"
    PART_EXPANSION = "part expansion"
    INSTRUMENT_EXPANSION = "instrument expansion"
    TEMPERATURE = "temperature"
    ROOM = "room temperature"
    BETWEEN = "part against instrument"
    NOT_CORRECTED = "not corrected to 20 °C"


#: What a component's value rests on; behind each the values that a `BasisNote` carries.
Basis = Literal[
    "checked",  # the largest error found in checks
    "worst",
    "worst_over",  # the error limit that is exceeded
    "half_step",  # the step
    "covered_by_scatter",
    "covered_by_step",
    "expansion_away",  # expansion, kelvins from 20 °C
    "expansion_room",  # expansion, middle and half-width of the room's temperature
    "alike",  # part and instrument alike
    "between",  # the temperature between them
    "room",  # middle and half-width of the room's temperature
    "carried",  # how much the result changes with it
]


@frozen
class BasisNote:
    """What a component rests on, with its numbers."""

    basis: Basis
    numbers: tuple[Decimal, ...] = ()


@frozen
class Component:
    """One source of uncertainty: stated value / divisor = u, and u x sensitivity counts."""

    source: str
    value: Decimal  # half-width of the bounds, or the standard deviation, in its own unit
    distribution: Distribution
    u: Decimal  # standard uncertainty, unit of value
    sensitivity: Decimal = Decimal(1)  # unit of the reading per unit of value
    dof: float = math.inf  # degrees of freedom behind u
    note: BasisNote | None = None
    counts: bool = True  # False: listed, but already covered by another component

    @property
    def contribution(self) -> Decimal:
        """Standard uncertainty that it brings to the reading, in the unit of the reading."""
        return abs(self.sensitivity) * self.u


@frozen
class Budget:
    """Components and what they combine to, in the unit of the reading."""

    components: tuple[Component, ...]
    combined: Decimal  # combined standard uncertainty
    dof: float  # effective degrees of freedom
    coverage: float  # probability of the expanded uncertainty, 0 to 1
    k: float  # coverage factor

    @property
    def expanded(self) -> Decimal:
        """Expanded uncertainty U = k u."""
        return self.combined * Decimal(repr(self.k))

    def share(self, component: Component) -> float:
        """Part of the combined variance, 0 to 1, that the component brings."""
        if not component.counts or self.combined == 0:
            return 0.0
        return float((component.contribution / self.combined) ** 2)


def component(
    source: str,
    value: Decimal,
    distribution: Distribution,
    *,
    sensitivity: Decimal = Decimal(1),
    dof: float = math.inf,
    note: BasisNote | None = None,
) -> Component:
    """A component from its stated value: a half-width, or a standard deviation.

    The divisor is that of the distribution, see `Distribution.divisor`. Raises ValueError for a
    negative or non-finite value or no positive degrees of freedom.
    """
    if not (value.is_finite() and value >= 0):
        raise ValueError(f"{source}: an uncertainty is 0 or more, not {value}")
    if not dof > 0:
        raise ValueError(f"{source}: degrees of freedom are above 0, not {dof}")
    return Component(
        source=source,
        value=value,
        distribution=distribution,
        u=value / distribution.divisor,
        sensitivity=sensitivity,
        dof=dof,
        note=note,
    )


def combine(components: Sequence[Component]) -> Decimal:
    """Combined standard uncertainty of independent components, in the unit of the reading.

    Root of the sum of squared contributions, JCGM 100:2008 (GUM), 5.1.2.
    """
    return sum((c.contribution**2 for c in components if c.counts), Decimal(0)).sqrt()


def effective_dof(components: Sequence[Component]) -> float:
    """Effective degrees of freedom by Welch and Satterthwaite, JCGM 100:2008 (GUM), G.4.1."""
    total = float(combine(components))
    if total == 0:
        return math.inf
    weight = sum((float(c.contribution) / total) ** 4 / c.dof for c in components if c.counts)
    return 1 / weight if weight > 0 else math.inf


def whole_dof(components: Sequence[Component]) -> float:
    """Effective degrees of freedom cut to a whole number, as tables of t are entered (GUM G.4.2).

    Raises ValueError where there is less than one.
    """
    dof = effective_dof(components)
    if dof < 1:
        raise ValueError(f"{dof:.2f} degrees of freedom are too few to expand an uncertainty")
    return dof if math.isinf(dof) else float(math.floor(dof + 1e-9))


def budget(components: Sequence[Component], coverage: float = 0.95) -> Budget:
    """The budget of the components, with its coverage factor for the probability asked for.

    k is Student's t for the effective degrees of freedom, cut to a whole number: JCGM 100:2008
    (GUM), G.4.2 and G.6.4. Raises ValueError for a coverage outside 0..1, and where there is
    less than one degree of freedom.
    """
    if not 0 < coverage < 1:
        raise ValueError(f"a coverage lies between 0 and 1, not {coverage}")
    whole = whole_dof(components)
    from qlog.study.batch.intervals import t_quantile

    return Budget(
        components=tuple(components),
        combined=combine(components),
        dof=effective_dof(components),
        coverage=coverage,
        k=t_quantile((1 + coverage) / 2, whole),
    )


def reading_components(
    *,
    error: Decimal | None = None,
    step: Decimal | None = None,
    repeatability: Decimal | None = None,
    repeatability_dof: float = math.inf,
    check_error: Decimal | None = None,
    temperature: Sequence[Component] = (),
) -> tuple[Component, ...]:
    """The components of one reading taken with a hand instrument, in the unit of the reading.

    error          maximum permissible error of the instrument, +-: rectangular.
    check_error    largest error found when it was checked: where it is more than the permissible
                   one, it takes its place, since nothing in the reading was corrected for it.
    step           display step (resolution): rectangular over one step, u = step / sqrt(12).
    repeatability  standard deviation of one reading, from a repeatability study with
                   `repeatability_dof` degrees of freedom.
    temperature    components from `thermal.components`.

    The larger of display step and repeatability counts and the other is listed only, because
    scatter seen through a display contains its step (ISO 14253-2:2011, 8.4; from memory). The
    permissible error is taken as rectangular (GUM 4.3.7, ISO 14253-2).

    Raises ValueError when nothing at all is known, or when a value is negative.
    """
    found: list[Component] = []
    if error is not None and (check_error is None or abs(check_error) <= error):
        note = None if check_error is None else BasisNote("checked", (abs(check_error),))
        found.append(
            component(UncertaintySource.ERROR_LIMIT, error, Distribution.RECTANGULAR, note=note)
        )
    elif check_error is not None:
        note = BasisNote("worst") if error is None else BasisNote("worst_over", (error,))
        found.append(
            component(
                UncertaintySource.CHECKS, abs(check_error), Distribution.RECTANGULAR, note=note
            )
        )
    display = scatter = None
    if step is not None:
        display = component(
            UncertaintySource.STEP,
            step / 2,
            Distribution.RECTANGULAR,
            note=BasisNote("half_step", (stated(step),)),
        )
    if repeatability is not None:
        scatter = component(
            UncertaintySource.REPEATABILITY,
            repeatability,
            Distribution.MEASURED,
            dof=repeatability_dof,
        )
    if display is not None and scatter is not None:
        if scatter.u >= display.u:
            display = replace(display, counts=False, note=BasisNote("covered_by_scatter"))
        else:
            scatter = replace(scatter, counts=False, note=BasisNote("covered_by_step"))
    found.extend(c for c in (display, scatter) if c is not None)
    found.extend(temperature)
    if not found:
        raise ValueError(ToSay("error.nothing_known_of_instrument"))
    return tuple(found)


def reading_uncertainty(
    *,
    error: Decimal | None = None,
    step: Decimal | None = None,
    repeatability: Decimal | None = None,
    check_error: Decimal | None = None,
    temperature: Sequence[Component] = (),
) -> Decimal | None:
    """Standard uncertainty of one reading, in its unit; None when nothing is known.

    A display step alone is not enough for a number: a fine display on a worn instrument would
    look better than it is. The error limit, the checks or a repeatability study must stand
    beside it. Components, sources and errors as for `reading_components`.
    """
    if error is None and repeatability is None and check_error is None:
        return None
    return combine(
        reading_components(
            error=error,
            step=step,
            repeatability=repeatability,
            check_error=check_error,
            temperature=temperature,
        )
    )


def stated(value: Decimal) -> Decimal:
    """A value as it is printed: one that a conversion left without end, to four digits."""
    if len(value.as_tuple().digits) <= 8:
        return value
    return value.quantize(Decimal(1).scaleb(value.adjusted() - 3))


def two_digits(u: Decimal, *, rounding: str = ROUND_CEILING) -> Decimal:
    """An uncertainty as it is stated: rounded up to two significant digits.

    JCGM 100:2008 (GUM), 7.2.6: two digits at most, and rounding up may be right. What an
    uncertainty leaves is rounded down.
    """
    if u == 0:
        return u
    return u.quantize(Decimal(1).scaleb(u.adjusted() - 1), rounding=rounding)
