"""Verdicts: one reading against its limits, by the simple or by the guarded rule.

Runs at every entry at the bench, hence decimal arithmetic and the standard library only. Every
comparison that decides a verdict is exact: 8.0150000001 is over 8.015.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal, localcontext
from enum import StrEnum
from functools import lru_cache

from qlog.drawing.decision import DEFAULT_CONFORMANCE, DecisionRule, Rule, check_conformance
from qlog.drawing.limits import Limits
from qlog.frozen import frozen

#: Quantile of the standard normal at DEFAULT_CONFORMANCE, as `statistics.NormalDist` gives it.
_ONE_SIDED_95 = 1.6448536269514715


class Verdict(StrEnum):
    """What a reading says about its piece."""

    GOOD = "good"
    HIGH = "out high"
    LOW = "out low"
    NOT_PROVEN = "not proven"

    @property
    def out(self) -> bool:
        """Whether the piece is proven, or by the simple rule taken, to be outside."""
        return self in (Verdict.HIGH, Verdict.LOW)


@frozen
class Judgement:
    """A verdict and what it rests on; every length in the unit of the limits."""

    verdict: Verdict
    value: Decimal
    limits: Limits
    rule: Rule  # the rule that was asked for
    rule_used: Rule  # SIMPLE where no uncertainty was given to guard with
    uncertainty: Decimal | None  # standard uncertainty used
    guard: Decimal | None  # width taken off inside each limit; None by the simple rule
    beyond: Decimal  # how far outside the nearer limit, 0 when inside or on it
    zero_based: bool = False  # a lower limit of 0 is the end of what can exist
    dof: float = math.inf  # degrees of freedom behind the uncertainty

    @property
    def deviation_from_middle(self) -> Decimal | None:
        """How far from the middle of the tolerance, signed; None where only one limit is to miss.

        A quantity that ends at 0 (a runout, a roughness) is the better the nearer to it.
        """
        middle = self.limits.middle
        return None if middle is None or self.ends_at_zero else self.value - middle

    @property
    def room(self) -> Decimal | None:
        """How far inside the only limit that can be missed, below 0 outside; None with two."""
        lower = None if self.ends_at_zero else self.limits.lower
        upper = self.limits.upper
        if (lower is None) == (upper is None):
            return None
        return self.value - lower if upper is None else upper - self.value  # type: ignore[operator]

    @property
    def ends_at_zero(self) -> bool:
        """Whether the lower limit is where nature stops, and no limit that can be missed."""
        return self.zero_based and self.limits.lower == 0

    @property
    def share(self) -> Decimal | None:
        """Place in the tolerance: 0 lower limit, 1 upper; outside 0..1 if out; None without one."""
        lower, width = self.limits.lower, self.limits.width
        return (self.value - lower) / width if lower is not None and width else None

    @property
    def expanded(self) -> Decimal | None:
        """Expanded uncertainty U = k u with k = 2 (JCGM 100:2008, 6.2); None without one."""
        return None if self.uncertainty is None else 2 * self.uncertainty

    @property
    def conformance_probability(self) -> float | None:
        """Probability, 0 to 1, that the piece is inside its limits; None without uncertainty.

        By `conformance_probability` (JCGM 106:2012), whichever rule the verdict follows.
        """
        if self.uncertainty is None:
            return None
        return conformance_probability(
            self.value, self.uncertainty, self.limits, zero_based=self.zero_based, dof=self.dof
        )


def judge(
    value: Decimal,
    limits: Limits,
    *,
    decision: DecisionRule,
    uncertainty: Decimal | None = None,
    zero_based: bool = False,
    dof: float = math.inf,
) -> Judgement:
    """Judge one reading against its limits, all in the unit of the limits.

    Simple rule (simple acceptance, ISO 14253-1:2017; ILAC-G8:09/2019, 4.2.1): a value between
    the limits, the limits themselves included, is in; any other is out.

    Guarded rule (ISO 14253-1:2017): inside the limits narrowed by the guard band, its edges
    included, is in; outside the limits by more than the guard band is out; between the two,
    neither can be proven. The guard band is `guard_factor` times the standard uncertainty.

    `zero_based` says that a lower limit of 0 is the end of what can exist (runout, roundness,
    roughness): it is then not guarded, since no piece can lie on its other side. A value below
    it is still out low.

    `uncertainty` is the standard uncertainty u of the reading, `dof` the degrees of freedom
    behind it: with few of them the guard is wider (`guard_factor`). Where the guarded rule is asked
    for and u is None, the simple rule is applied and `rule_used` says so: a verdict is always
    given, and never looks better founded than it is. Without limits every value is in.

    Raises ValueError for a value that is no finite number and a negative or non-finite u.
    """
    if not value.is_finite():
        raise ValueError(f"a reading must be a finite number, not {value}")
    if uncertainty is not None and not (uncertainty.is_finite() and uncertainty >= 0):
        raise ValueError(f"a standard uncertainty must be 0 or more, not {uncertainty}")
    lower, upper = limits.lower, limits.upper
    beyond = Decimal(0)
    if upper is not None and value > upper:
        verdict, beyond = Verdict.HIGH, value - upper
    elif lower is not None and value < lower:
        verdict, beyond = Verdict.LOW, lower - value
    else:
        verdict = Verdict.GOOD

    guard: Decimal | None = None
    rule_used = Rule.SIMPLE
    if decision.guarded and uncertainty is not None:
        rule_used = Rule.GUARDED
        floor = zero_based and lower == 0
        guard = guard_band(uncertainty, limits, decision, zero_based=zero_based, dof=dof)
        if verdict is Verdict.GOOD:
            too_high = upper is not None and value > upper - guard
            too_low = lower is not None and not floor and value < lower + guard
            if too_high or too_low:
                verdict = Verdict.NOT_PROVEN
        elif not (floor and verdict is Verdict.LOW) and (
            # Proof of the contrary: the far limit only adds to the chance of being outside, so
            # the one-sided factor is enough here.
            beyond <= uncertainty * guard_factor(decision.conformance, dof=dof)
        ):
            verdict = Verdict.NOT_PROVEN

    return Judgement(
        verdict,
        value,
        limits,
        decision.rule,
        rule_used,
        uncertainty,
        guard,
        beyond,
        zero_based,
        dof,
    )


def guard_band(
    uncertainty: Decimal,
    limits: Limits,
    decision: DecisionRule,
    *,
    zero_based: bool = False,
    dof: float = math.inf,
) -> Decimal:
    """What the guarded rule takes off inside each limit, in the unit of the limits.

    For a verdict and for a budget alike. Where `zero_based` holds, a lower limit of 0 is none.
    """
    width = None if zero_based and limits.lower == 0 else limits.width
    return uncertainty * guard_factor(decision.conformance, _ratio(width, uncertainty), dof)


@lru_cache(maxsize=256)
def guard_factor(
    conformance: Decimal = DEFAULT_CONFORMANCE,
    width_over_u: float = math.inf,
    dof: float = math.inf,
) -> Decimal:
    """Guard band as a multiple of the standard uncertainty; no unit.

    For one limit, or limits far apart: the quantile of the standard normal at the conformance
    probability (ISO 14253-1:2017: 1.65 at 95 %). Where the limits lie so close together
    (`width_over_u`, tolerance over u, below about 5) that a value at one guard could also be
    outside the other limit, the factor is the larger one that still holds the probability
    (JCGM 106:2012, 7.3 and 8.3). Where no value holds it, half the tolerance is not enough: the
    factor returned is larger than `width_over_u` / 2, and nothing can be proven in.
    Rounded up to two decimals, so that the probability asked for is the least that holds.

    With finite `dof`, the degrees of freedom behind u, Student's t stands in place of the normal
    distribution (JCGM 100:2008, G.3; 2.92 at 95 % and 2 degrees of freedom, its table G.2).

    Raises ValueError for a conformance probability that is not above 0.5 and below 1.
    """
    check_conformance(conformance)
    p = float(conformance)
    if math.isinf(dof):
        one_sided = _ONE_SIDED_95 if conformance == DEFAULT_CONFORMANCE else _quantile(p)
    else:
        from qlog.study.distributions import t_critical

        one_sided = t_critical(2 * (1 - p), dof)
    factor = _round_up(one_sided)
    if _inside(float(factor), width_over_u, dof) >= p:
        return factor
    half = width_over_u / 2
    if _inside(half, width_over_u, dof) < p:
        return _round_up(half) + Decimal("0.01")
    low, high = one_sided, half
    while high - low > 1e-9:
        guess = (low + high) / 2
        low, high = (low, guess) if _inside(guess, width_over_u, dof) >= p else (guess, high)
    # Rounding up must not close an acceptance zone that exists.
    return min(_round_up(high), Decimal(str(half)))


def conformance_probability(
    value: Decimal,
    uncertainty: Decimal,
    limits: Limits,
    *,
    zero_based: bool = False,
    dof: float = math.inf,
) -> float:
    """Probability, 0 to 1, that the true value lies within the limits.

    JCGM 106:2012, 7.2 to 7.4: normal distribution about the reading with its standard
    uncertainty (Student's t with finite `dof`), and little known beforehand about the piece. Value,
    uncertainty and limits in one unit. With `zero_based`, a lower limit of 0 is no limit that
    could be broken.

    Raises ValueError for a negative or non-finite uncertainty.
    """
    if not (uncertainty.is_finite() and uncertainty >= 0):
        raise ValueError(f"a standard uncertainty must be 0 or more, not {uncertainty}")
    if uncertainty == 0:
        return 1.0 if limits.contains(value) else 0.0
    above = below = 0.0
    if limits.upper is not None:
        above = _tail(float((limits.upper - value) / uncertainty), dof)
    if limits.lower is not None and not (zero_based and limits.lower == 0):
        below = _tail(float((value - limits.lower) / uncertainty), dof)
    return max(0.0, 1.0 - above - below)


def show(value: Decimal, limits: Limits, decimals: int) -> str:
    """The value as text with `decimals` places, or as many more as honesty needs.

    A value outside a limit is never shown rounded onto or inside it, and a value inside is never
    shown outside: places are added until the text tells the same as the value. Halves are
    rounded away from zero.
    """
    places = max(decimals, 0)
    _, digits, exponent = value.as_tuple()
    if not isinstance(exponent, int):
        return str(value)
    own = max(-exponent, 0)
    side = _side(value, limits)
    with localcontext() as context:
        context.prec = max(len(digits) + places + own + abs(exponent) + 5, 28)
        while True:
            shown = value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
            if places >= own or _side(shown, limits) == side:
                text = f"{shown:f}"
                return text.removeprefix("-") if shown == 0 else text
            places += 1


def signed(value: Decimal, limits: Limits, decimals: int) -> str:
    """The same with its sign, as clearances are written; + for nothing at all."""
    said = show(value, limits, decimals)
    return said if said.startswith("-") else f"+{said}"


def _side(value: Decimal, limits: Limits) -> int:
    """1 above the upper limit, -1 below the lower one, 0 between or on them."""
    if limits.upper is not None and value > limits.upper:
        return 1
    if limits.lower is not None and value < limits.lower:
        return -1
    return 0


def _ratio(width: Decimal | None, uncertainty: Decimal) -> float:
    return math.inf if width is None or uncertainty == 0 else float(width / uncertainty)


def _tail(z: float, dof: float = math.inf) -> float:
    """Upper tail beyond z: of the standard normal, or of Student's t."""
    if not math.isinf(dof):
        from qlog.study.distributions import t_below

        return t_below(-z, dof)
    return 0.5 * math.erfc(z / math.sqrt(2))


def _quantile(p: float) -> float:
    from statistics import NormalDist  # costs start-up time, and the usual probability is known

    return NormalDist().inv_cdf(p)


def _inside(guard: float, width: float, dof: float) -> float:
    """Probability of lying within limits `width` apart when read `guard` inside one of them."""
    return 1.0 - _tail(guard, dof) - _tail(width - guard, dof)


def _round_up(factor: float) -> Decimal:
    return Decimal(math.ceil(factor * 100 - 1e-9)) / 100
