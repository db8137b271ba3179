"""Thermal expansion by material name: `tables/thermal_expansion.csv`, each row with its source."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from qlog.drawing.build_file.mistakes import one_of
from qlog.drawing.standards.published import rows
from qlog.problem import And, ToSay


class UnknownMaterial(KeyError):
    """A name without one agreed coefficient; `accepted` says what to write."""

    def __init__(self, what: str, accepted: str) -> None:
        super().__init__(what)
        self.what = what
        self.accepted = accepted


def coefficient(name: str) -> Decimal:
    """Linear expansion in 1e-6 per kelvin of a material named as in the table.

    Raises UnknownMaterial for a name that is not in it, or whose sources disagree.
    """
    found = [row["alpha_1e-6_per_K"] for row in rows("thermal_expansion")
             if row["material"].lower() == name.lower() and _exact(row)]  # fmt: skip
    if not found:
        raise UnknownMaterial(ToSay("error.table_expansions", name=name), one_of(name, names()))
    if len(set(found)) > 1:
        what = ToSay("error.sources_disagree", name=name, found=And(found))
        raise UnknownMaterial(what, ToSay("error.one_you_trust", found=found[0]))
    return Decimal(found[0])


def names() -> tuple[str, ...]:
    """The materials that the table knows, in its order."""
    return tuple(dict.fromkeys(r["material"] for r in rows("thermal_expansion") if _exact(r)))


def _exact(row: dict[str, str]) -> bool:
    try:
        Decimal(row["alpha_1e-6_per_K"])
    except InvalidOperation:
        return False
    return True
