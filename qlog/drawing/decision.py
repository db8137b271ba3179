"""The decision rule: when a reading counts as inside its limits."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

from qlog.frozen import frozen
from qlog.problem import ToSay

#: ISO 14253-1: the conformance probability when nothing else was agreed.
DEFAULT_CONFORMANCE = Decimal("0.95")


class Rule(StrEnum):
    """Which of the two rules a verdict follows."""

    SIMPLE = "simple"  # the reading against the limits as they are
    GUARDED = "guarded"  # ISO 14253-1: limits narrowed by the guard band


@frozen
class DecisionRule:
    """A rule with the conformance probability that its guard band is made for.

    Raises ValueError for a conformance probability that is not above 0.5 and below 1.
    """

    rule: Rule = Rule.SIMPLE
    conformance: Decimal = DEFAULT_CONFORMANCE

    def __post_init__(self) -> None:
        check_conformance(self.conformance)

    @property
    def guarded(self) -> bool:
        """Whether the limits are narrowed by the uncertainty."""
        return self.rule is Rule.GUARDED


def check_conformance(conformance: Decimal) -> None:
    """Raise ValueError for a conformance probability that is not above 0.5 and below 1."""
    if not Decimal("0.5") < conformance < 1:
        raise ValueError(ToSay("error.conformance_probability_lies", conformance=conformance))


#: The readings against the limits as they are.
SIMPLE = DecisionRule()
