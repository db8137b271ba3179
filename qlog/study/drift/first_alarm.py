"""What is left of a rate told because it stood out: an alarm comes when chance has helped."""

from __future__ import annotations

import math

from qlog.study.distributions import t_critical

#: Level of the one look at the finished batch that finds a creep as often as all looks and shapes
#: together do (`tests/benchmarks/drift_simulation.py`).
AS_ONE_LOOK = 0.005
#: The rates that are weighed: this many standard errors either side of the found one, and steps.
_REACH, _STEPS = 8.0, 64


def believed(rate: float, error: float, df: int, final_error: float, final_df: int) -> float:
    """The part, 0 to 1, of a found rate that is believed.

    `error` is the rate's standard error with `df` degrees of freedom, `final_error` the one that
    it will have, with `final_df`, once the batch is finished. It is the mean over the normalised
    conditional likelihood (Ghosh, Zou and Wright, American Journal of Human Genetics 82 (2008)
    1064-1074): Student's t about the found rate, over the chance that a batch with such a rate
    has an alarm at all. Batches without one tell no rate.
    """
    size = abs(rate)
    if error == 0 or size == 0:
        return 1.0
    critical = t_critical(AS_ONE_LOOK, final_df)
    total = mean = 0.0
    for i in range(_STEPS + 1):
        x = _REACH * (2 * i / _STEPS - 1)
        true = size + x * error
        weight = (1 + x * x / df) ** (-(df + 1) / 2) / _found(
            true / final_error, critical, final_df
        )
        total += weight
        mean += weight * true
    return mean / total / size


def _found(noncentral: float, critical: float, df: int) -> float:
    """Chance that a noncentral t lies beyond -critical..critical.

    In the normal approximation of Abramowitz and Stegun, 26.7.10.
    """
    edge = critical * (1 - 1 / (4 * df))
    wide = math.sqrt(2 + critical * critical / df)
    return (math.erfc((edge - noncentral) / wide) + math.erfc((edge + noncentral) / wide)) / 2
