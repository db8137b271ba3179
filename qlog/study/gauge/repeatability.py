"""Gauges: repeatability studies by analysis of variance, and checks against a known size."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Hashable, Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import TypeVar

from qlog.frozen import frozen
from qlog.study.batch.intervals import Interval, s_factors
from qlog.study.batch.summary import exact_mean, exact_values, exact_variance
from qlog.study.distributions import f_above

#: An interaction of people and pieces less sure than this is pooled with the repeatability
#: (AIAG, Measurement Systems Analysis, 4th ed., as widely reprinted).
POOL_ABOVE = 0.25

#: Shares of the tolerance or of the total spread that a gauge may use up: to 10 % it is fit, to
#: 30 % it depends on what hangs on the answer (AIAG, as above).
FIT, ACCEPTABLE = 0.10, 0.30

When = TypeVar("When", int, float, datetime)


class Fitness(StrEnum):
    """What a repeatability study says of the instrument for the job."""

    FIT = "fit"
    WITH_CARE = "fit with care"
    NOT_FIT = "not fit"


@frozen
class GaugeReading:
    """One reading of a study, value in the unit of the dimension."""

    piece: int | str
    value: Decimal | float
    person: str = ""


@frozen
class AnovaRow:
    """One line of the table of variances; squares in the unit of the readings squared."""

    source: str
    dof: int
    squares: float
    mean_square: float
    f: float | None
    p: float | None


@frozen
class OneWay:
    """Groups of readings compared; standard deviations in the unit of the readings."""

    between: AnovaRow
    within: AnovaRow
    mean: float
    s_within: float
    s_between: float  # of the groups' true values; 0 when the scatter within explains it all


@frozen
class GaugeStudy:
    """What a study found; standard deviations in the unit of the readings."""

    pieces: int
    people: int
    table: tuple[AnovaRow, ...]
    pooled: bool  # whether the interaction was pooled with the repeatability
    repeatability: float  # equipment: one person, one piece, again and again
    repeatability_dof: int
    confidence: float  # of the interval
    reproducibility: float | None  # between people; None with one person
    interaction: float | None  # people reading pieces differently; None when pooled or one person
    combined: float  # repeatability, reproducibility and interaction together
    piece_spread: float | None  # between the pieces' true sizes; None with one piece
    total: float | None
    share_of_tolerance: float | None  # 6 combined / tolerance
    fitness: Fitness | None  # None when there is nothing to hold it against

    @property
    def repeatability_interval(self) -> Interval:
        """Interval for the repeatability; worked out when asked for, since it loads scipy."""
        low, high = s_factors(self.repeatability_dof + 1, self.confidence)
        return Interval(low * self.repeatability, high * self.repeatability, self.confidence)


@frozen
class CheckResult:
    """A gauge checked against a known size; everything in one unit."""

    reference: Decimal
    errors: tuple[Decimal, ...]  # reading minus reference
    worst_error: Decimal  # of largest magnitude, signed
    limit: Decimal
    fit: bool  # no error beyond the limit, the limit itself included


def one_way(groups: Sequence[Iterable[Decimal | float]]) -> OneWay:
    """One-way analysis of variance of groups of readings, all in one unit.

    Sums of squares, F and its upper tail: NIST/SEMATECH e-Handbook 7.4.3; the component between
    groups is the root of (MS_between - MS_within) / n, as in GUM H.5, for groups of unequal size
    with n = (N - sum n_i^2 / N) / (k - 1). Sums are exact.

    Raises ValueError for fewer than 2 groups, an empty one, or no group with 2 readings.
    """
    exact = [exact_values(g) for g in groups]
    sizes = [len(g) for g in exact]
    total, k = sum(sizes), len(exact)
    if k < 2 or min(sizes) < 1 or total <= k:
        raise ValueError("a comparison needs at least 2 groups, and 2 readings in one of them")
    means = [exact_mean(g) for g in exact]
    grand = exact_mean([v for g in exact for v in g])
    between = sum((n * (m - grand) ** 2 for n, m in zip(sizes, means, strict=True)), Fraction(0))
    within = sum(
        (
            exact_variance(g, m) * (len(g) - 1)
            for g, m in zip(exact, means, strict=True)
            if len(g) > 1
        ),
        Fraction(0),
    )
    ms_between, ms_within = between / (k - 1), within / (total - k)
    f = float(ms_between / ms_within) if ms_within else None
    each = Fraction(total * total - sum(n * n for n in sizes), total * (k - 1))
    return OneWay(
        between=AnovaRow(
            "between", k - 1, float(between), float(ms_between), f, _p(f, k - 1, total - k)
        ),
        within=AnovaRow("within", total - k, float(within), float(ms_within), None, None),
        mean=float(grand),
        s_within=math.sqrt(ms_within),
        s_between=math.sqrt(max(Fraction(0), (ms_between - ms_within) / each)),
    )


def study(
    readings: Iterable[GaugeReading],
    *,
    tolerance: Decimal | None = None,
    pool_above: float = POOL_ABOVE,
    confidence: float = 0.95,
) -> GaugeStudy:
    """Repeatability study: pieces read again and again by one person or by several.

    Several people: analysis of variance of pieces x people, crossed, with the same number of
    trials in every cell; components from the expected mean squares. Where the interaction has a
    p above `pool_above`, it is pooled with the repeatability (AIAG, Measurement Systems Analysis,
    4th ed., as widely reprinted; same components in NIST/SEMATECH e-Handbook 2.4). One person:
    one-way, trials may differ. One piece: repeatability alone.

    `tolerance` (upper minus lower limit, same unit) gives the share of tolerance 6 s / T; the
    fitness is taken from it, or else from the share of the total spread.

    Raises ValueError, naming the cells, when several people have not read all pieces equally
    often, and when no piece was read twice by the same person.
    """
    cells: dict[tuple[int | str, str], list[Decimal]] = defaultdict(list)
    for reading in readings:
        cells[reading.piece, reading.person].extend(exact_values([reading.value]))
    pieces = _in_order(piece for piece, _ in cells)
    people = _in_order(person for _, person in cells)
    if len(people) > 1 and len(pieces) > 1:
        return _crossed(cells, pieces, people, tolerance, pool_above, confidence)
    if len(people) > 1:
        raise ValueError("with several people, at least 2 pieces are needed")
    groups = [cells[key] for key in cells]
    if all(len(group) < 2 for group in groups):
        raise ValueError("no piece was read twice: read each at least twice")
    if len(pieces) == 1:
        mean = exact_mean(groups[0])
        within = exact_variance(groups[0], mean)
        dof = len(groups[0]) - 1
        row = AnovaRow("repeatability", dof, float(within * dof), float(within), None, None)
        return _result((1, 1), (row,), Variances(within, dof), tolerance, confidence)
    found = one_way(groups)
    table = (_renamed(found.between, "pieces"), _renamed(found.within, "repeatability"))
    repeat, between = Fraction(found.s_within) ** 2, Fraction(found.s_between) ** 2
    parts = Variances(repeat, found.within.dof, pieces=between)
    return _result((len(pieces), 1), table, parts, tolerance, confidence)


def offset(errors: Sequence[Decimal], step: Decimal | None) -> Decimal | None:
    """By how much an instrument reads large (or, below zero, small) at every check alike.

    The mean error, in the unit of the errors, where all of them lie on one side of zero and the
    mean is more than half a display step, which rounding alone can show. None where there is no
    such offset. Common practice; a mean error can be taken off the readings (GUM 3.2.3).
    """
    if not errors or not (all(e > 0 for e in errors) or all(e < 0 for e in errors)):
        return None
    mean = sum(errors, Decimal(0)) / len(errors)
    return None if step is not None and 2 * abs(mean) <= step else mean


def check(readings: Iterable[Decimal], reference: Decimal, limit: Decimal) -> CheckResult:
    """Zero check or closing check: readings of a known size, all in one unit.

    Fit for use when no reading departs from `reference` by more than `limit`, compared exactly.
    Raises ValueError without a reading, for a non-finite one, or for a negative limit.
    """
    errors = tuple(value - reference for value in exact_values(readings))
    if not errors:
        raise ValueError("a check needs at least one reading")
    if limit < 0:
        raise ValueError(f"an error limit is 0 or more, not {limit}")
    worst = max(errors, key=abs)
    return CheckResult(
        reference=reference, errors=errors, worst_error=worst, limit=limit, fit=abs(worst) <= limit
    )


def suspects(
    checks: Sequence[tuple[When, bool]], readings: Sequence[tuple[When, Hashable]]
) -> tuple[Hashable, ...]:
    """The readings that a failed check of their instrument puts in doubt, in the order given.

    `checks` holds when each check was made and whether the instrument was fit; `readings` holds
    when each was taken and its name. A reading is suspect when the next check after it failed,
    or when the last one before it (or at the same moment) had. Before the first check and after
    the last, only the one neighbour counts.
    """
    ordered = sorted(checks, key=lambda c: c[0])
    times, fit = [at for at, _ in ordered], [fit for _, fit in ordered]
    found = []
    for when, name in readings:
        behind = bisect_right(times, when)  # the checks before it, or at the same moment
        if not all(fit[max(behind - 1, 0) : behind + 1]):
            found.append(name)
    return tuple(found)


def _trials(
    cells: dict[tuple[int | str, str], list[Decimal]], pieces: list[int | str], people: list[str]
) -> int:
    """How often everybody read every piece. Raises ValueError where not equally often, or once."""
    trials = max(len(c) for c in cells.values())
    short = [
        f"{person or 'nobody'} read piece {piece} {len(cells.get((piece, person), []))} time(s)"
        for piece in pieces
        for person in people
        if len(cells.get((piece, person), [])) != trials
    ]
    if short:
        raise ValueError(
            f"everybody must read every piece equally often, here {trials} times: "
            + "; ".join(short)
        )
    if trials < 2:
        raise ValueError("everybody must read every piece at least twice")
    return trials


def _crossed(
    cells: dict[tuple[int | str, str], list[Decimal]],
    pieces: list[int | str],
    people: list[str],
    tolerance: Decimal | None,
    pool_above: float,
    confidence: float,
) -> GaugeStudy:
    n, k, r = len(pieces), len(people), _trials(cells, pieces, people)
    grand = exact_mean([v for cell in cells.values() for v in cell])
    cell_mean = {key: exact_mean(cell) for key, cell in cells.items()}
    piece_mean = {p: sum((cell_mean[p, o] for o in people), Fraction(0)) / k for p in pieces}
    person_mean = {o: sum((cell_mean[p, o] for p in pieces), Fraction(0)) / n for o in people}

    ss_people = n * r * sum(((m - grand) ** 2 for m in person_mean.values()), Fraction(0))
    ss_pieces = k * r * sum(((m - grand) ** 2 for m in piece_mean.values()), Fraction(0))
    ss_both = r * sum(
        (
            (cell_mean[p, o] - piece_mean[p] - person_mean[o] + grand) ** 2
            for p in pieces
            for o in people
        ),
        Fraction(0),
    )
    ss_error = sum(
        (exact_variance(cell, cell_mean[key]) * (r - 1) for key, cell in cells.items()), Fraction(0)
    )
    dof_people, dof_pieces = k - 1, n - 1
    dof_both, dof_error = dof_people * dof_pieces, n * k * (r - 1)
    ms_people, ms_pieces = ss_people / dof_people, ss_pieces / dof_pieces
    ms_both, ms_error = ss_both / dof_both, ss_error / dof_error

    f_both = float(ms_both / ms_error) if ms_error else None
    p_both = _p(f_both, dof_both, dof_error)
    pooled = (p_both if p_both is not None else float(ms_both == 0)) > pool_above
    if pooled:
        repeat, dof = (ss_both + ss_error) / (dof_both + dof_error), dof_both + dof_error
        base, dof_base = repeat, dof
        interaction = None
    else:
        repeat, dof = ms_error, dof_error
        base, dof_base = ms_both, dof_both
        interaction = max(Fraction(0), (ms_both - ms_error) / r)

    def row(source: str, count: int, ss: Fraction, ms: Fraction) -> AnovaRow:
        f = float(ms / base) if base else None
        return AnovaRow(source, count, float(ss), float(ms), f, _p(f, count, dof_base))

    table = (
        row("people", dof_people, ss_people, ms_people),
        row("pieces", dof_pieces, ss_pieces, ms_pieces),
        AnovaRow("people x pieces", dof_both, float(ss_both), float(ms_both), f_both, p_both),
        AnovaRow("repeatability", dof_error, float(ss_error), float(ms_error), None, None),
    )
    of_people = max(Fraction(0), (ms_people - base) / (n * r))
    of_pieces = max(Fraction(0), (ms_pieces - base) / (k * r))
    parts = Variances(repeat, dof, of_people, interaction, of_pieces)
    return _result((n, k), table, parts, tolerance, confidence)


@frozen
class Variances:
    """What the scatter is made of, unit of the readings squared; None where nothing tells."""

    repeat: Fraction
    dof: int  # of the repeatability
    people: Fraction | None = None
    interaction: Fraction | None = None  # None when it was pooled with the repeatability
    pieces: Fraction | None = None


def _result(
    counts: tuple[int, int],
    table: tuple[AnovaRow, ...],
    parts: Variances,
    tolerance: Decimal | None,
    confidence: float,
) -> GaugeStudy:
    """What the variances come to; `counts` are those of pieces and people."""
    combined2 = parts.repeat + (parts.people or 0) + (parts.interaction or 0)
    combined, spread = math.sqrt(combined2), _root(parts.pieces)
    total = None if parts.pieces is None else math.sqrt(combined2 + parts.pieces)
    of_total = combined / total if total else None
    of_tolerance = 6 * combined / float(tolerance) if tolerance else None
    held = of_tolerance if of_tolerance is not None else of_total
    fitness = None
    if held is not None:
        if held <= FIT:
            fitness = Fitness.FIT
        else:
            fitness = Fitness.WITH_CARE if held <= ACCEPTABLE else Fitness.NOT_FIT
    return GaugeStudy(
        pieces=counts[0],
        people=counts[1],
        table=table,
        pooled=parts.interaction is None,
        repeatability=math.sqrt(parts.repeat),
        repeatability_dof=parts.dof,
        confidence=confidence,
        reproducibility=_root(parts.people),
        interaction=_root(parts.interaction),
        combined=combined,
        piece_spread=spread,
        total=total,
        share_of_tolerance=of_tolerance,
        fitness=fitness,
    )


def _root(variance: Fraction | None) -> float | None:
    return None if variance is None else math.sqrt(variance)


def _renamed(row: AnovaRow, source: str) -> AnovaRow:
    return AnovaRow(source, row.dof, row.squares, row.mean_square, row.f, row.p)


def _p(f: float | None, dof1: int, dof2: int) -> float | None:
    """Upper tail of the F distribution."""
    return None if f is None else f_above(f, dof1, dof2)


Key = TypeVar("Key", bound=Hashable)


def _in_order(keys: Iterable[Key]) -> list[Key]:
    return list(dict.fromkeys(keys))
