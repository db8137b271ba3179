"""Roughness and geometric tolerances: what is asked of a surface and not of a size."""

from __future__ import annotations

import re
from decimal import Decimal

from qlog.drawing.callouts import hints
from qlog.drawing.callouts.callout import AS_WRITTEN, Callout, CalloutError, Kind
from qlog.drawing.callouts.scan import Scanner, written_unit
from qlog.drawing.callouts.size import DIAMETER, MAX, SizeReader, WrittenSize, finished
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.problem import ToSay

ROUGHNESS = ("Ra", "Rz", "Rq", "Rt")

#: ISO 1101 characteristics: name, symbol, other spellings.
_GEOMETRY = (
    ("straightness", "⏤", ()),
    ("flatness", "⏥", ()),
    ("roundness", "○", ("circularity",)),
    ("cylindricity", "⌭", ()),
    ("line profile", "⌒", ("profile of a line", "profile of any line", "profile line")),
    ("surface profile", "⌓", ("profile of a surface", "profile of any surface")),
    ("angularity", "∠", ()),
    ("perpendicularity", "⟂", ("squareness",)),
    ("parallelism", "∥", ("//",)),
    ("position", "⌖", ("true position",)),
    ("concentricity", "◎", ("coaxiality",)),
    ("symmetry", "⌯", ()),
    ("total runout", "⌰", ("total run-out",)),
    ("runout", "↗", ("circular runout", "run-out", "circular run-out", "TIR", "FIM", "T.I.R.")),
)
GEOMETRY_NAMES = {
    spelling: name for name, symbol, others in _GEOMETRY for spelling in (name, symbol, *others)
}
GEOMETRY = tuple(sorted(GEOMETRY_NAMES, key=len, reverse=True))

_DATUMS = r"(?:to (?:datums? )?|\| ?)?([A-Z](?:[ |,-]{1,3}[A-Z])*)$"
_MATERIAL = r"[ⓂⓁⓈⓅⓊ]|\((?:M|L|S|P|U)\)|(?i:\b(?:MMC|LMC|RFS)\b)"
_INDICATOR = r"(?i)^(.*[0-9][^a-z]*(?:in|mm|inch)?) ?(?:T\.?I\.?R\.?|F\.?I\.?M\.?)(.*)$"

#: Without a unit a drawing's habit decides: µin are whole numbers from 4 on, µm end at 25 (Ra).
_LEAST_MICROINCH = 4
_MOST_MICROMETRE = 25


def indicator_in_front(line: str) -> str:
    """`.001 TIR` as `TIR .001`: the total indicator reading is a runout."""
    match = re.match(_INDICATOR, line) if "i" in line.lower() else None
    if match and line[:1].isalpha():  # "runout .001 TIR" says it twice
        return f"{match[1].strip()} {match[2].strip()}".strip()
    return f"TIR {match[1].strip()} {match[2].strip()}".strip() if match else line


def roughness(text: str, scanner: Scanner, characteristic: str, unit: Unit) -> Callout:
    """A roughness, one value an upper limit (ISO 21920-1) unless a lower one is marked."""
    written: set[Unit] = set()

    def value() -> Decimal | None:
        number = scanner.number()
        if number is not None and (micro := scanner.word(("um", "uin"))):
            written.add(Unit.MICROMETRE if micro == "um" else Unit.MICROINCH)
        return number

    shown = f"{characteristic} 32" if unit is Unit.INCH else f"{characteristic} 0.8"
    hint = f'"{shown}", "{shown} max" or "{characteristic} {_range(unit)}"'
    size = SizeReader(scanner, value, value, Unit.MICROMETRE).size()
    if micro := scanner.word(("um", "uin")):  # "Ra 0.8 max µm"
        written.add(Unit.MICROMETRE if micro == "um" else Unit.MICROINCH)
    finished(scanner, hint)
    if size.fit_class or len(written) > 1:
        raise CalloutError(ToSay("error.roughness_cannot_be"), hint)
    # ISO 21920-1: a single value is an upper limit unless a lower one is marked.
    upper = size.nominal if size.open else size.upper
    if (size.lower is not None and size.lower < 0) or (upper is not None and upper <= 0):
        raise CalloutError(ToSay("error.roughness_below_zero"), hint)
    found = written.pop() if written else _habit(characteristic, size, upper, unit)
    return Callout(
        text,
        Kind.ROUGHNESS,
        found,
        None if size.open else size.nominal,
        Limits(size.lower, upper, found),
        AS_WRITTEN,
        characteristic=characteristic,
    )


def _range(unit: Unit) -> str:
    return "16..32" if unit is Unit.INCH else "0.4..0.8"


def _habit(characteristic: str, size: WrittenSize, upper: Decimal | None, unit: Unit) -> Unit:
    """The unit of a roughness that names none. Raises CalloutError where it may be either."""
    values = [v for v in (size.lower, upper) if v is not None]
    largest = max(values)
    if unit is Unit.INCH:
        if largest < _LEAST_MICROINCH or any(v != v.to_integral_value() for v in values):
            raise CalloutError(
                ToSay(
                    "error.roughness_unit_on_inch", characteristic=characteristic, largest=largest
                ),
                ToSay(
                    "error.microinch_or_micrometre", characteristic=characteristic, largest=largest
                ),
            )
        return Unit.MICROINCH
    if characteristic in ("Ra", "Rq") and largest > _MOST_MICROMETRE:
        raise CalloutError(
            ToSay("error.roughness_unit_on_mm", characteristic=characteristic, largest=largest),
            ToSay("error.micrometre_or_microinch", characteristic=characteristic, largest=largest),
        )
    return Unit.MICROMETRE


def geometry(text: str, scanner: Scanner, name: str, unit: Unit) -> Callout:
    """A geometric tolerance (ISO 1101), from zero."""
    if match := re.search(_MATERIAL, scanner.rest):
        what = ToSay("error.lets_tolerance_grow", match=match.group())
        raise CalloutError(what, ToSay("error.without_which_least", name=name))
    hint = hints.geometry(name, unit)
    unit = written_unit(re.sub(_DATUMS, "", scanner.rest), unit)
    scanner.word(MAX)
    round_zone = bool(scanner.word(DIAMETER))
    amount = scanner.length(unit)
    if amount is None:
        raise CalloutError(ToSay("error.without_number", name=name), hint)
    if scanner.word(("um",)) and unit is Unit.MM:
        amount = amount / 1000
    if amount == 0:
        raise CalloutError(ToSay("error.zero_cannot_be", name=name), hint)
    scanner.word(MAX)
    datums = ""
    if match := scanner.take(_DATUMS):
        datums = match.group(1)
    finished(scanner, hint)
    return Callout(
        text,
        Kind.GEOMETRY,
        unit,
        None,
        # From zero: a geometric deviation cannot be negative (ISO 1101).
        Limits(Decimal(0), amount, unit),
        AS_WRITTEN,
        characteristic=name,
        datums=datums,
        round_zone=round_zone,
    )
