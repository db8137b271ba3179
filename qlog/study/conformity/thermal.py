"""Temperature: sizes hold at 20 °C (ISO 1), and part and instrument grow differently.

Temperatures in °C, expansion in 1e-6 per kelvin, lengths in any one unit.
"""

from __future__ import annotations

from decimal import Decimal

from qlog.study.conformity.uncertainty import (
    BasisNote,
    Component,
    Distribution,
    UncertaintySource,
    component,
)

#: ISO 1:2022: the temperature at which a size on a drawing holds, °C.
REFERENCE = Decimal(20)

_PPM = Decimal("1e-6")
#: Bounds of an expansion coefficient, +-, 1e-6/K: tables disagree by about 1 for one alloy.
EXPANSION_ERROR = Decimal(1)
#: Bounds of the temperature that part and instrument share, and of that between them, +-, K.
TEMPERATURE_ERROR, DIFFERENCE = Decimal(1), Decimal("0.5")


def to_20(
    reading: Decimal,
    *,
    part_expansion: Decimal,
    part_temperature: Decimal,
    instrument_expansion: Decimal = Decimal(0),
    instrument_temperature: Decimal | None = None,
) -> Decimal:
    """A length brought to 20 °C, the reference temperature of ISO 1.

    The instrument's scale is right at 20 °C: at t it shows too little by its own expansion. So
    L20 = reading (1 + a_i (t_i - 20)) / (1 + a_p (t_p - 20)). The instrument has the temperature
    of the part unless another is given; with an expansion of 0, the reading is taken as the true
    length at the part's temperature (the case of NPL's example). Angles do not change.

    Raises ValueError for a temperature outside -50..200 °C, where one coefficient does not hold
    and a typing slip is likelier.
    """
    if instrument_temperature is None:
        instrument_temperature = part_temperature
    for temperature in (part_temperature, instrument_temperature):
        _check_temperature(temperature)
    scale = 1 + instrument_expansion * _PPM * (instrument_temperature - REFERENCE)
    part = 1 + part_expansion * _PPM * (part_temperature - REFERENCE)
    return reading * scale / part


def components(
    length: Decimal,
    *,
    part_expansion: Decimal,
    part_temperature: Decimal,
    instrument_expansion: Decimal = Decimal(0),
) -> tuple[Component, ...]:
    """What temperature leaves uncertain in a length, each as a rectangular component.

    First-order terms of the equation in `to_20`, with the shared temperature counted once
    because its effect on part and instrument is not independent (JCGM 100:2008, H.1.2 to H.1.3).
    Raises ValueError for a temperature outside -50..200 °C.
    """
    _check_temperature(part_temperature)
    away = abs(part_temperature - REFERENCE)
    between = abs(part_expansion - instrument_expansion)
    scale = abs(length) * _PPM
    found = [
        component(
            UncertaintySource.PART_EXPANSION,
            EXPANSION_ERROR,
            Distribution.RECTANGULAR,
            sensitivity=scale * away,
            note=BasisNote("expansion_away", (part_expansion, away)),
        ),
        component(
            UncertaintySource.TEMPERATURE,
            TEMPERATURE_ERROR,
            Distribution.RECTANGULAR,
            sensitivity=scale * between,
            note=BasisNote("alike"),
        ),
        component(
            UncertaintySource.BETWEEN,
            DIFFERENCE,
            Distribution.RECTANGULAR,
            sensitivity=scale * part_expansion,
            note=BasisNote("between"),
        ),
    ]
    if instrument_expansion != 0:
        found.insert(
            1,
            component(
                UncertaintySource.INSTRUMENT_EXPANSION,
                EXPANSION_ERROR,
                Distribution.RECTANGULAR,
                sensitivity=scale * away,
                note=BasisNote("expansion_away", (instrument_expansion, away)),
            ),
        )
    return tuple(found)


def room_components(
    length: Decimal,
    *,
    part_expansion: Decimal,
    instrument_expansion: Decimal,
    middle: Decimal,
    half: Decimal,
) -> tuple[Component, ...]:
    """What a room between `middle` -+ `half` °C leaves uncertain in a length that is not corrected.

    Part and instrument have the room's temperature, but for `DIFFERENCE` between them;
    nobody read it, so that the reading is left as it is. Each expansion coefficient is known to
    +- `EXPANSION_ERROR` and counts by the root mean square of the departure from 20 °C.
    First-order terms of the equation in `to_20`, and the product of the two unknowns (JCGM
    100:2008, 5.1.2 with its note, and H.1.2 to H.1.3). Rectangular components, unit of the length.
    """
    away = middle - REFERENCE
    typical = (away * away + half * half / 3).sqrt()
    between = abs(part_expansion - instrument_expansion)
    scale = abs(length) * _PPM
    rectangular = Distribution.RECTANGULAR
    found = [
        component(
            UncertaintySource.ROOM, half, rectangular, sensitivity=scale * between,
            note=BasisNote("room", (middle, half)),
        ),
        component(
            UncertaintySource.PART_EXPANSION, EXPANSION_ERROR, rectangular,
            sensitivity=scale * typical,
            note=BasisNote("expansion_room", (part_expansion, middle, half)),
        ),
        component(
            UncertaintySource.INSTRUMENT_EXPANSION, EXPANSION_ERROR, rectangular,
            sensitivity=scale * typical,
            note=BasisNote("expansion_room", (instrument_expansion, middle, half)),
        ),
        component(
            UncertaintySource.BETWEEN, DIFFERENCE, rectangular, sensitivity=scale * part_expansion,
            note=BasisNote("between"),
        ),
    ]  # fmt: skip
    if away:
        found.append(
            component(
                UncertaintySource.NOT_CORRECTED, abs(away), rectangular, sensitivity=scale * between
            )
        )
    return tuple(found)


def _check_temperature(temperature: Decimal) -> None:
    if not -50 <= temperature <= 200:
        raise ValueError(
            f"{temperature} °C is no temperature to measure at: give one between -50 and 200 °C"
        )
