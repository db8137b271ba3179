"""The rules by which sizes are computed that no instrument reads at once.

A rule names what it takes - readings, or sizes that are known beforehand, such as a wire - and
where it is published. A reading at the bench needs none of them.
"""

from __future__ import annotations

from qlog.drawing.callouts.callout import Kind
from qlog.frozen import frozen
from qlog.problem import ToSay

_SIZES = (Kind.LENGTH, Kind.DIAMETER, Kind.DEPTH, Kind.RADIUS)


@frozen
class Takes:
    """One thing that a rule takes; `angle` in degrees, anything else a length."""

    name: str
    key: str  # of what it is, in words
    angle: bool = False
    default: str = ""  # "" must be given

    @property
    def what(self) -> ToSay:
        """What it is."""
        return ToSay(f"takes.{self.key}")


@frozen
class Formula:
    """One way to compute a size, with its formula and where it stands."""

    name: str
    takes: tuple[Takes, ...]
    gives: tuple[Kind, ...]
    formula: str

    @property
    def source(self) -> ToSay:
        """Where it stands."""
        return ToSay(f"rule_from.{self.name}")


def _rule(name: str, gives: tuple[Kind, ...], formula: str, *takes: tuple[str, ...]) -> Formula:
    return Formula(
        name, tuple(Takes(n, key, bool(more), *more[1:]) for n, key, *more in takes), gives, formula
    )


RULES: dict[str, Formula] = {
    rule.name: rule
    for rule in (
        _rule("wires", (*_SIZES, Kind.THREAD), "E = M - w (1 + 1/sin(a/2)) + (p/2) cot(a/2)",
              ("over", "three_wires"), ("wire", "wire"), ("pitch", "pitch"),
              ("angle", "thread_angle", "angle", "60")),
        _rule("dovetail-outside", _SIZES, "a = M - d (1 + cot(A/2))", ("over", "over_two_rollers"),
              ("roller", "roller"), ("angle", "dovetail_angle", "angle", "60")),
        _rule("dovetail-inside", _SIZES, "b = M + d (1 + cot(A/2))",
              ("between", "between_two_rollers"), ("roller", "roller"),
              ("angle", "dovetail_angle", "angle", "60")),
        _rule("two-balls", _SIZES, "D = s + sqrt(s^2 - (h - s)^2), s = (d1 + d2)/2",
              ("height", "to_upper_ball"), ("lower", "ball_below"), ("upper", "ball_above")),
        _rule("taper", (Kind.TAPER,), "C = (D - d) / L", ("large", "larger_diameter"),
              ("small", "smaller_diameter"), ("length", "length_between")),
        _rule("taper-angle", (Kind.ANGLE,), "A = 2 atan((D - d) / (2 L))",
              ("large", "larger_diameter"), ("small", "smaller_diameter"),
              ("length", "length_between")),
        _rule("taper-balls", (Kind.ANGLE,),
              "A = 2 asin((D - d) / (2 c)), c = (h2 + d/2) - (h1 + D/2)", ("large", "larger_ball"),
              ("small", "smaller_ball"), ("large-depth", "down_to_larger"),
              ("small-depth", "down_to_smaller")),
        _rule("chord", _SIZES, "R = c^2 / (8 h) + h / 2", ("chord", "chord"),
              ("height", "arc_height")),
        _rule("rollers-radius", _SIZES, "R = (L - d)^2 / (8 d)", ("over", "over_both_rollers"),
              ("roller", "roller")),
        _rule("sine-bar", (Kind.ANGLE,), "A = asin(h / L)", ("height", "blocks"),
              ("length", "sine_bar")),
        _rule("mean", (*_SIZES, Kind.THREAD), "(a + b) / 2", ("a", "one"), ("b", "other")),
        _rule("difference", _SIZES, "a - b", ("a", "larger"), ("b", "off")),
        _rule("wall", _SIZES, "(D - d) / 2", ("outside", "outside"), ("inside", "inside")),
        _rule("centres-outside", _SIZES, "M - (d1 + d2) / 2", ("over", "over_both"),
              ("first", "one_diameter"), ("second", "other_diameter")),
        _rule("centres-inside", _SIZES, "M + (d1 + d2) / 2", ("between", "between_both"),
              ("first", "one_diameter"), ("second", "other_diameter")),
    )
}  # fmt: skip


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
