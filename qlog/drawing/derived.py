"""Sizes that no instrument reads at once: which rules compute them, and from what.

A rule names what it takes - readings, or sizes that are known beforehand, such as a wire - and
where it is published. The sums themselves are in `study.derived`.
"""

from __future__ import annotations

import re
from decimal import Decimal

from qlog.drawing.callouts.callout import Kind
from qlog.drawing.units import Unit
from qlog.frozen import frozen

_SIZES = (Kind.LENGTH, Kind.DIAMETER, Kind.DEPTH, Kind.RADIUS)


@frozen
class Takes:
    """One thing that a rule takes; `angle` in degrees, anything else a length."""

    name: str
    what: str
    angle: bool = False
    default: str = ""  # "" must be given


@frozen
class Formula:
    """One way to compute a size, with its formula and where it stands."""

    name: str
    takes: tuple[Takes, ...]
    gives: tuple[Kind, ...]
    formula: str
    source: str


def _rule(
    name: str, gives: tuple[Kind, ...], formula: str, source: str, *takes: tuple[str, ...]
) -> Formula:
    return Formula(
        name,
        tuple(Takes(n, what, bool(more), *more[1:]) for n, what, *more in takes),
        gives,
        formula,
        source,
    )


RULES: dict[str, Formula] = {
    rule.name: rule
    for rule in (
        _rule("wires", (*_SIZES, Kind.THREAD),
              "E = M - w (1 + 1/sin(a/2)) + (p/2) cot(a/2)",
              "ASME B1.2, three wires, lead angle neglected; best wire p / (2 cos(a/2))",
              ("over", "measured over three wires"), ("wire", "wire diameter"),
              ("pitch", "pitch of the thread"),
              ("angle", "angle of the thread", "angle", "60")),
        _rule("dovetail-outside", _SIZES, "a = M - d (1 + cot(A/2))",
              "Machinery's Handbook, measuring dovetail slides",
              ("over", "measured over two rollers"), ("roller", "roller diameter"),
              ("angle", "angle of the dovetail", "angle", "60")),
        _rule("dovetail-inside", _SIZES, "b = M + d (1 + cot(A/2))",
              "Machinery's Handbook, measuring dovetail slides",
              ("between", "measured between two rollers"), ("roller", "roller diameter"),
              ("angle", "angle of the dovetail", "angle", "60")),
        _rule("two-balls", _SIZES, "D = s + sqrt(s^2 - (h - s)^2), s = (d1 + d2)/2",
              "geometry of two balls in a bore, one on the bottom",
              ("height", "from the bottom to the top of the upper ball"),
              ("lower", "ball on the bottom"), ("upper", "ball above it")),
        _rule("taper", (Kind.TAPER,), "C = (D - d) / L", "ISO 3040, rate of taper",
              ("large", "larger diameter, or over rollers"),
              ("small", "smaller diameter, or over rollers"),
              ("length", "length between them")),
        _rule("taper-angle", (Kind.ANGLE,), "A = 2 atan((D - d) / (2 L))",
              "ISO 3040, angle of a cone",
              ("large", "larger diameter, or over rollers"),
              ("small", "smaller diameter, or over rollers"),
              ("length", "length between them")),
        _rule("taper-balls", (Kind.ANGLE,),
              "A = 2 asin((D - d) / (2 c)), c = (h2 + d/2) - (h1 + D/2)",
              "geometry of two balls in a tapered bore",
              ("large", "larger ball"), ("small", "smaller ball"),
              ("large-depth", "from the face down to the top of the larger ball"),
              ("small-depth", "from the face down to the top of the smaller ball")),
        _rule("chord", _SIZES, "R = c^2 / (8 h) + h / 2",
              "Euclid III.35: chord and height of an arc",
              ("chord", "chord of the arc"), ("height", "height of the arc over it")),
        _rule("rollers-radius", _SIZES, "R = (L - d)^2 / (8 d)",
              "geometry of a disc between two rollers on a plate",
              ("over", "measured over both rollers"), ("roller", "roller diameter")),
        _rule("sine-bar", (Kind.ANGLE,), "A = asin(h / L)", "definition of the sine",
              ("height", "height of the gauge blocks"), ("length", "length of the sine bar")),
        _rule("mean", (*_SIZES, Kind.THREAD), "(a + b) / 2", "arithmetic mean",
              ("a", "one reading"), ("b", "the other")),
        _rule("difference", _SIZES, "a - b", "subtraction",
              ("a", "the larger"), ("b", "what comes off")),
        _rule("wall", _SIZES, "(D - d) / 2", "half a difference of diameters",
              ("outside", "outside diameter"), ("inside", "inside diameter")),
        _rule("centres-outside", _SIZES, "M - (d1 + d2) / 2", "geometry of two pins",
              ("over", "measured over both"), ("first", "one diameter"),
              ("second", "the other diameter")),
        _rule("centres-inside", _SIZES, "M + (d1 + d2) / 2", "geometry of two bores",
              ("between", "measured between both"), ("first", "one diameter"),
              ("second", "the other diameter")),
    )
}  # fmt: skip


@frozen
class Input:
    """What one name of a rule stands for: a dimension that is read, or a size that is known."""

    name: str
    dimension: str | None
    value: Decimal | None = None
    half: Decimal = Decimal(0)  # the known size lies within -+ this
    unit: Unit = Unit.MM


@frozen
class Derived:
    """How a dimension is computed."""

    rule: str
    inputs: tuple[Input, ...]

    @property
    def read(self) -> tuple[str, ...]:
        """Ids of the dimensions that are read for it, each once."""
        return tuple(dict.fromkeys(i.dimension for i in self.inputs if i.dimension is not None))


_KNOWN = r"\s*(\d*[.,]?\d+)\s*(?:(?:±|\+/?-)\s*(\d*[.,]?\d+))?\s*(mm|in|inch|\"|°|deg)?\s*"


def known_size(text: str, unit: Unit) -> tuple[Decimal, Decimal, Unit] | None:
    """A size known beforehand with what it may be off by: `0.895 ±0.0005`; None for no size.

    `unit` holds where none is written.
    """
    found = re.fullmatch(_KNOWN, text)
    if found is None:
        return None
    value, half = (Decimal((found[n] or "0").replace(",", ".")) for n in (1, 2))
    written = {"mm": Unit.MM, "°": Unit.DEGREE, "deg": Unit.DEGREE, None: unit}
    return value, half, written.get(found[3], Unit.INCH)


def markdown() -> str:
    """The rules as a table for the manual."""
    rows = ["| rule | takes | formula | where it stands |", "|---|---|---|---|"]
    for rule in RULES.values():
        takes = ", ".join(
            f"`{t.name}` {t.what}" + (f" ({t.default} where not given)" if t.default else "")
            for t in rule.takes
        )
        rows.append(f"| `{rule.name}` | {takes} | {rule.formula} | {rule.source} |")
    return "\n".join(rows)
