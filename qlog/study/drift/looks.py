"""How much of a batch's allowance of false alarm each look at a setup may use.

A test asked after every piece raises false alarms far more often than its level says, so the
whole batch has one allowance. Half of it comes due as the batch grows, with the fourth power of
the pieces made; the other half with the last planned piece, when the batch is judged as a whole
(spending functions: Lan and DeMets, Biometrika 70 (1983) 659-663). A look shares most of its
readings with the look before it. What the two have in common is counted only once: the chance
that both speak follows from their correlation (Hunter's bound, Journal of Applied Probability 13
(1976) 597-603), for any pieces missing and any setups. It is taken in the normal approximation,
which is right to 6 % here; the allowances are set with that in them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from qlog.study.distributions import normal_score

#: Readings in the setup before the first look: a line through four leaves two degrees of freedom.
FIRST_LOOK = 5
#: Power of the part of the allowance that comes due while the batch grows.
SPENDING_POWER = 4
#: Part of the allowance that is kept for the last planned piece.
KEPT_FOR_LAST = 0.5
#: Every reading has its look up to this one; in longer setups every tenth part more has one.
EVERY_LOOK_UP_TO = 40

#: Gauss-Legendre nodes and weights on 0..1, eight points (Abramowitz and Stegun, table 25.4).
_HALF = (
    (0.1834346424956498, 0.3626837833783620),
    (0.5255324099163290, 0.3137066458778873),
    (0.7966664774136267, 0.2223810344533745),
    (0.9602898564975363, 0.1012285362903763),
)
_GAUSS = tuple(((1 + sign * x) / 2, w / 2) for x, w in _HALF for sign in (-1, 1))


@lru_cache(maxsize=1024)
def allowance(readings: int) -> float:
    """What a shape of weight 1 may spend over a whole batch, at a look at so many readings.

    All shapes together then stay below 1 %. Few readings overlap less from look to look, so less
    is to be had there; `tests/benchmarks/drift_simulation.py` prints what comes of it.
    """
    return min(0.0053 + 0.0001 * max(readings - 8, 0), 0.0065)


def due(position: int, planned: int) -> float:
    """Share of the allowance that has come due once `position` pieces of `planned` are made."""
    made = min(max(position, 0) / planned, 1.0)
    return (1 - KEPT_FOR_LAST) * made**SPENDING_POWER + KEPT_FOR_LAST * (made >= 1.0)


def look_at(readings: int) -> bool:
    """Whether a setup is looked at when it has so many readings."""
    if readings <= EVERY_LOOK_UP_TO:
        return readings >= FIRST_LOOK
    return math.floor(math.log(readings) / math.log(1.1)) > math.floor(
        math.log(readings - 1) / math.log(1.1)
    )


def look_levels(
    order: Sequence[int], planned: int, first: int = 1
) -> tuple[tuple[int, float], ...]:
    """The looks of a setup: at how many readings, and the level of a shape of weight 1.

    `order` holds the piece numbers of the readings, `first` the number of the first piece made
    in the setup (read or not), `planned` the pieces of the batch. What came due on pieces
    without a look falls to the next look of the same setup.
    """
    return _levels(tuple(order), planned, first)


@lru_cache(maxsize=512)
def _levels(order: tuple[int, ...], planned: int, first: int) -> tuple[tuple[int, float], ...]:
    # What comes next depends on what came before alone: the stream adds one look at a time.
    n = _last_look(order, len(order), planned)
    if n < FIRST_LOOK:
        return ()
    order = order[:n]
    before = _last_look(order, n - 1, planned)
    if before < FIRST_LOOK:
        share = due(order[-1], planned) - due(first - 1, planned)
        return ((n, allowance(n) * share),)
    if before > 2 * EVERY_LOOK_UP_TO:
        _levels(order[: before // 2], planned, first)  # keeps the recursion shallow
    earlier = _levels(order[:before], planned, first)
    share = due(order[-1], planned) - due(order[before - 1], planned)
    keep = math.sqrt(_spread(order[:before]) / _spread(order))
    return (*earlier, (n, _with_overlap(allowance(n) * share, earlier[-1][1], keep)))


def _last_look(order: Sequence[int], readings: int, planned: int) -> int:
    """The largest number of readings, up to this one, that has a look; the last piece has one."""
    while readings >= FIRST_LOOK and not look_at(readings) and order[readings - 1] < planned:
        readings -= 1
    return readings


def _spread(order: Sequence[int]) -> float:
    total = sum(order)
    return sum(x * x for x in order) - total * total / len(order)


def _with_overlap(new: float, before: float, correlation: float) -> float:
    """The level whose chance of speaking where the look before was silent is `new`.

    `before` is the level of the look before; both levels are two-sided.
    """
    if before <= 0 or new <= 0:
        return new
    rest = math.sqrt(2 * (1 - correlation * correlation))
    scores = [(w, correlation * normal_score(before / 2 * u)) for u, w in _GAUSS]
    level = new
    for _ in range(100):
        edge = normal_score(level / 2)
        both = before * sum(w * math.erfc((edge - z) / rest) / 2 for w, z in scores)
        better = new + both
        if abs(better - level) < 1e-9 * level:
            break
        level = better
    return level
