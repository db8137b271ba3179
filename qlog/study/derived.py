"""Sizes computed from readings, with the uncertainty carried through (JCGM 100:2008, 5.1).

Lengths in one unit, angles in degrees. The formulas and where they stand: `drawing.formulas.RULES`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from decimal import Decimal

from qlog.frozen import frozen

#: Decimals of a computed size: a float holds more, and no instrument shows as many.
PLACES = 9

Sizes = Mapping[str, float]


def _wires(s: Sizes) -> float:
    """ASME B1.2: E = M - w (1 + 1/sin(a/2)) + (p/2) cot(a/2); for 60 degrees M - 3 w + 0.866 p."""
    half = math.radians(s["angle"]) / 2
    return s["over"] - s["wire"] * (1 + 1 / math.sin(half)) + s["pitch"] / 2 / math.tan(half)


def _dovetail(s: Sizes) -> float:
    """Machinery's Handbook, dovetail slides: d (1 + cot(A/2)) from a roller to the sharp corner."""
    return s["roller"] * (1 + 1 / math.tan(math.radians(s["angle"]) / 2))


def _two_balls(s: Sizes) -> float:
    """Two balls that touch each other and opposite sides of the bore, one on its bottom."""
    centres = (s["lower"] + s["upper"]) / 2  # from centre to centre, and the two radii
    rise = s["height"] - centres
    return centres + math.sqrt(centres**2 - rise**2)


def _taper_balls(s: Sizes) -> float:
    """Two balls seated one after the other in a tapered bore: sin(A/2) = (R - r) / c."""
    apart = (s["small-depth"] + s["small"] / 2) - (s["large-depth"] + s["large"] / 2)
    return 2 * math.degrees(math.asin((s["large"] - s["small"]) / 2 / apart))


FORMULAS: dict[str, Callable[[Sizes], float]] = {
    "wires": _wires,
    "dovetail-outside": lambda s: s["over"] - _dovetail(s),
    "dovetail-inside": lambda s: s["between"] + _dovetail(s),
    "two-balls": _two_balls,
    "taper": lambda s: (s["large"] - s["small"]) / s["length"],
    "taper-angle": lambda s: (
        2 * math.degrees(math.atan((s["large"] - s["small"]) / 2 / s["length"]))
    ),
    "taper-balls": _taper_balls,
    "chord": lambda s: s["chord"] ** 2 / (8 * s["height"]) + s["height"] / 2,
    "rollers-radius": lambda s: (s["over"] - s["roller"]) ** 2 / (8 * s["roller"]),
    "sine-bar": lambda s: math.degrees(math.asin(s["height"] / s["length"])),
    "mean": lambda s: (s["a"] + s["b"]) / 2,
    "difference": lambda s: s["a"] - s["b"],
    "wall": lambda s: (s["outside"] - s["inside"]) / 2,
    "centres-outside": lambda s: s["over"] - (s["first"] + s["second"]) / 2,
    "centres-inside": lambda s: s["between"] + (s["first"] + s["second"]) / 2,
}


class Contradiction(ValueError):
    """Readings from which nothing can be computed: no such shape exists."""


@frozen
class DerivedSize:
    """A size that goes into a formula, with its standard uncertainty in its own unit."""

    value: Decimal
    u: Decimal | None  # None: nothing is known of the instrument
    shared: Decimal | None = None  # the part of `u` common to all readings of `instrument`
    instrument: str | None = None
    dof: float = math.inf


@frozen
class Outcome:
    """What a formula gives; `sensitivities` are its change per unit of each size."""

    value: Decimal  # to PLACES decimals
    sensitivities: Mapping[str, float]
    uncertainty: Decimal | None  # standard; None where that of one reading is not known
    shared: Decimal | None
    dof: float  # effective degrees of freedom, cut to a whole number


def derive(rule: str, sizes: Mapping[str, DerivedSize]) -> Outcome:
    """Compute a size and carry the uncertainty through. Raises Contradiction.

    JCGM 100:2008 (GUM), 5.1.2 and 5.1.3: u^2 is the sum of (c_i u_i)^2, with c_i the partial
    derivatives, taken numerically. Readings of one instrument share its error, and nobody knows
    how far that is the same at two sizes: independent (5.1.2) and wholly shared (5.2.2, r = 1) are
    both worked out, and the larger counts.
    """
    formula = FORMULAS[rule]
    plain = {name: float(size.value) for name, size in sizes.items()}
    value = _worked(formula, plain)
    c = {name: _slope(formula, plain, name) for name in sizes}
    if any(size.u is None for size in sizes.values()):
        uncertainty = shared = None
        dof = math.inf
    else:
        uncertainty, shared, dof = _combined(sizes, c)
    return Outcome(round(Decimal(repr(value)), PLACES), c, uncertainty, shared, dof)


def _combined(
    sizes: Mapping[str, DerivedSize], c: Mapping[str, float]
) -> tuple[Decimal, Decimal, float]:
    own = {n: c[n] * float(s.u or 0) for n, s in sizes.items()}
    common = {n: c[n] * float(s.shared or 0) for n, s in sizes.items()}
    alone = sum(v**2 for v in own.values())
    scatter = sum(max(0.0, own[n] ** 2 - common[n] ** 2) for n in sizes)
    by_instrument: dict[str, float] = {}
    for name, size in sizes.items():
        key = size.instrument or f"\0{name}"
        by_instrument[key] = by_instrument.get(key, 0.0) + common[name]
    together = sum(v**2 for v in by_instrument.values())
    shared = max(together, sum(v**2 for v in common.values()))
    total = max(alone, scatter + together)
    weight = sum(own[n] ** 4 / s.dof for n, s in sizes.items()) if total else 0.0
    dof = total**2 / weight if weight > 0 else math.inf
    whole = dof if math.isinf(dof) else max(1.0, float(math.floor(dof + 1e-9)))
    return _decimal(math.sqrt(total)), _decimal(math.sqrt(shared)), whole


def _decimal(number: float) -> Decimal:
    return Decimal(f"{number:.12g}")


def _worked(formula: Callable[[Sizes], float], sizes: Sizes) -> float:
    try:
        value = formula(sizes)
    except (ValueError, ZeroDivisionError, OverflowError) as error:
        raise Contradiction("no such shape exists") from error
    if not math.isfinite(value):
        raise Contradiction("no such shape exists")
    return value


def _slope(formula: Callable[[Sizes], float], sizes: dict[str, float], name: str) -> float:
    """Partial derivative by a central difference, one-sided where the shape ends."""
    step = 1e-5 * max(abs(sizes[name]), 1e-3)
    ends = []
    for shift in (step, -step, 0.0):
        try:
            ends.append((_worked(formula, sizes | {name: sizes[name] + shift}), shift))
        except Contradiction:
            continue
        if len(ends) == 2:
            break
    (high, up), (low, down) = ends[0], ends[-1]
    return (high - low) / (up - down)
