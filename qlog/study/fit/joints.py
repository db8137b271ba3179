"""Joints: the clearance of every pair of live pieces, the best pairing, and why a pair is missing.

A clearance is the inside size minus the outside size, negative for interference. All sizes,
uncertainties and limits of one call are in the unit of the wanted clearance.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, Context, Decimal
from enum import StrEnum

from qlog.drawing.decision import SIMPLE, DecisionRule
from qlog.drawing.limits import Limits
from qlog.frozen import frozen
from qlog.study.conformity.verdict import Judgement, Verdict, guard_band, guard_factor, judge
from qlog.study.fit.assignment import cheapest_pairs

#: Steps into which deviations are cut for the sum of squares, which is then a whole number.
_STEPS = 50_000


class Side(StrEnum):
    """Which of the two mating features a piece carries."""

    INSIDE = "inside"  # bore, slot, nut
    OUTSIDE = "outside"  # shaft, tongue, screw


@frozen
class Sized:
    """One piece with the size that counts for a joint or a stack, and its standard uncertainty.

    `shared` is the part of the uncertainty that all sizes of one `source` have in common: the
    same instrument, used in the same way; `dof` the degrees of freedom behind the uncertainty.
    """

    part: str
    number: int
    value: Decimal
    uncertainty: Decimal | None = None
    shared: Decimal = Decimal(0)
    source: str | None = None
    mark: str = ""  # what is punched or written on the piece
    dof: float = math.inf

    @property
    def id(self) -> str:
        """The piece as it is called at the bench: `cup-4`, or by its mark."""
        return f"{self.part}-{self.mark or self.number}"


@frozen
class ReadWith:
    """How a piece still to be made will be read: the fields of `Sized` that are known of it."""

    uncertainty: Decimal | None
    shared: Decimal = Decimal(0)
    source: str | None = None
    dof: float = math.inf


@frozen
class Pair:
    """Two pieces held against each other."""

    inside: Sized
    outside: Sized
    judgement: Judgement  # of the clearance against the wanted limits

    @property
    def clearance(self) -> Decimal:
        """Inside minus outside size; negative for interference."""
        return self.judgement.value

    @property
    def verdict(self) -> Verdict:
        """In, out high (too loose), out low (too tight) or not proven."""
        return self.judgement.verdict


@frozen
class FitConflict:
    """Pieces of one side with too few mates on the other: a set that violates Hall's condition.

    `turn` holds limits for new mates, fewest first found, each with the pieces that it would fit.
    """

    side: Side
    pieces: tuple[Sized, ...]
    mates: tuple[Sized, ...]  # all the mates that any of the pieces fits; may be empty
    turn: tuple[Remedy, ...]


@frozen
class Remedy:
    """Limits to which a new mate would have to be made, and the pieces that it would then fit."""

    limits: Limits
    fits: tuple[Sized, ...]


@frozen
class Pairing:
    """The best pairing of a joint."""

    pairs: tuple[Pair, ...]  # in the order of the inside pieces
    spare_inside: tuple[Sized, ...]
    spare_outside: tuple[Sized, ...]
    wanted: int  # pairs asked for; more than len(pairs) when pieces are too few
    conflicts: tuple[FitConflict, ...]  # why pairs are out or missing, seen from both sides

    def count(self, verdict: Verdict) -> int:
        """How many of the chosen pairs have that verdict."""
        return sum(pair.verdict is verdict for pair in self.pairs)

    @property
    def out(self) -> int:
        """How many of the chosen pairs are out, high or low."""
        return sum(pair.verdict.out for pair in self.pairs)

    @property
    def spread(self) -> Decimal | None:
        """Largest minus smallest clearance of the chosen pairs; None without pairs."""
        values = [pair.clearance for pair in self.pairs]
        return max(values) - min(values) if values else None


def combined(*uncertainties: Decimal | None) -> Decimal | None:
    """Standard uncertainty of a sum or difference of readings that are independent.

    Root of the sum of squares (JCGM 100:2008, 5.1.2, sensitivities of 1). None as soon as one
    of them is not known: a combined figure without it would look better than it is. Rounded up
    to twelve digits, so that guard bands worked out from it can be added exactly.
    """
    total = Decimal(0)
    for uncertainty in uncertainties:
        if uncertainty is None:
            return None
        total += uncertainty * uncertainty
    return Context(prec=12, rounding=ROUND_CEILING).plus(total.sqrt())


def combined_sizes(terms: Iterable[tuple[int, Sized]]) -> Decimal | None:
    """Standard uncertainty of a signed sum of sizes, in their unit; rounded as `combined` does.

    What each reading has of its own is summed by squares. The error that the sizes of one source
    share is one error: it adds up before it is squared, and cancels in a difference (JCGM
    100:2008, 5.2.2, correlation 1 within a source and 0 between two). None as soon as one
    uncertainty is not known.
    """
    own = Decimal(0)
    common: dict[str, Decimal] = {}
    for sign, size in terms:
        if size.uncertainty is None:
            return None
        shared = min(size.shared, size.uncertainty) if size.source is not None else Decimal(0)
        own += sign * sign * (size.uncertainty * size.uncertainty - shared * shared)
        if size.source is not None:
            common[size.source] = common.get(size.source, Decimal(0)) + sign * shared
    return combined(own.sqrt(), *common.values())


def combined_dof(terms: Iterable[tuple[int, Sized]]) -> float:
    """Whole degrees of freedom behind `combined_sizes` of the same terms; at least one.

    Welch and Satterthwaite (JCGM 100:2008, G.4.1), cut to a whole number (G.4.2). Readings of
    one source lean on one and the same study of its repeatability: their variances rise and
    fall together, so that they add up before they are squared. Endless where every term's are.
    """
    listed = list(terms)
    if all(math.isinf(size.dof) for _, size in listed):
        return math.inf
    whole = combined_sizes(listed)
    found: dict[str, float] = {}
    for sign, size in listed:
        if size.uncertainty is not None and not math.isinf(size.dof):
            key = size.source or size.id
            part = sign * sign * float(size.uncertainty) ** 2 / math.sqrt(size.dof)
            found[key] = found.get(key, 0.0) + part
    weight = math.fsum(part * part for part in found.values())
    if not whole or not weight:
        return math.inf
    return float(max(math.floor(float(whole) ** 4 / weight * (1 + 1e-9)), 1))


def clearances(
    insides: Sequence[Sized],
    outsides: Sequence[Sized],
    wanted: Limits,
    *,
    decision: DecisionRule = SIMPLE,
) -> tuple[tuple[Pair, ...], ...]:
    """The clearance of every pair, judged: one row per inside piece, one column per outside piece.

    All values in the unit of `wanted`. Raises ValueError for what `judge` refuses.
    """
    return tuple(
        tuple(
            Pair(
                inside,
                outside,
                judge(
                    inside.value - outside.value,
                    wanted,
                    decision=decision,
                    uncertainty=combined_sizes(((1, inside), (-1, outside))),
                    dof=combined_dof(((1, inside), (-1, outside))),
                ),
            )
            for outside in outsides
        )
        for inside in insides
    )


def mate_window(
    piece: Sized,
    side: Side,
    wanted: Limits,
    *,
    decision: DecisionRule = SIMPLE,
    reading: ReadWith | None = None,
) -> Limits | None:
    """The limits within which a mate's reading makes the pair `in`.

    `side` is the side of `piece`; `reading` says how the mate will be read. By the guarded rule
    both limits are narrowed by the guard band of the combined uncertainty, in which an error that
    both readings share cancels, as in the verdict on the finished pair.
    None when nothing is left, that is when the readings are too coarse to prove
    this joint at all. All values in the unit of `wanted`.
    """
    guard = Decimal(0)
    both, dof = None, math.inf
    if reading is not None:
        mate = Sized(
            "", 0, Decimal(0), reading.uncertainty, reading.shared, reading.source, dof=reading.dof
        )
        both = combined_sizes(((1, piece), (-1, mate)))
        dof = combined_dof(((1, piece), (-1, mate)))
    if decision.guarded and both:
        width = wanted.width
        ratio = float("inf") if width is None else float(width / both)
        guard = both * guard_factor(decision.conformance, ratio, dof)
    low = None if wanted.lower is None else wanted.lower + guard
    high = None if wanted.upper is None else wanted.upper - guard
    if low is not None and high is not None and low > high:
        return None
    if side is Side.INSIDE:  # clearance = piece - mate
        return Limits(
            None if high is None else piece.value - high,
            None if low is None else piece.value - low,
            wanted.unit,
        )
    return Limits(
        None if low is None else piece.value + low,
        None if high is None else piece.value + high,
        wanted.unit,
    )


def acceptance_limits(
    limits: Limits, decision: DecisionRule, reading: ReadWith | None
) -> Limits | None:
    """Limits taken in by the guard band of a reading; None when the guards meet."""
    if not decision.guarded or reading is None or not reading.uncertainty:
        return limits
    width = limits.width
    guard = guard_band(reading.uncertainty, limits, decision, dof=reading.dof)
    if width is not None and 2 * guard > width:
        return None
    return Limits(
        None if limits.lower is None else limits.lower + guard,
        None if limits.upper is None else limits.upper - guard,
        limits.unit,
    )


def common(limits: Iterable[Limits]) -> Limits | None:
    """What several limits of one unit have in common; None when nothing.

    Raises ValueError without any limits.
    """
    some = list(limits)
    if not some:
        raise ValueError("no limits given")
    lowers = [one.lower for one in some if one.lower is not None]
    uppers = [one.upper for one in some if one.upper is not None]
    lower, upper = max(lowers, default=None), min(uppers, default=None)
    if lower is not None and upper is not None and lower > upper:
        return None
    return Limits(lower, upper, some[0].unit)


def pairing(
    insides: Sequence[Sized],
    outsides: Sequence[Sized],
    wanted: Limits,
    *,
    decision: DecisionRule = SIMPLE,
    count: int | None = None,
    target: Decimal | None = None,
    drawing_inside: Limits | None = None,
    drawing_outside: Limits | None = None,
    reading_inside: ReadWith | None = None,
    reading_outside: ReadWith | None = None,
) -> Pairing:
    """The best pairing of the live pieces of one joint.

    In this order: as many pairs `in` as possible; then `not proven` rather than out; then the
    most even clearance, which means first the smallest largest deviation from the target among
    the pairs that are not out, and then the smallest sum of squared deviations of all pairs (in
    steps of a fifty-thousandth of the largest deviation). Each is an assignment problem, solved
    exactly in whole numbers (`assignment`).

    `count` is the number of pairs needed (default: as many as there can be). The target is the
    middle of the wanted clearance; with one limit absent, the mean inside minus the mean outside
    size. `drawing_inside`, `drawing_outside` bound the remedies; `reading_inside` and
    `reading_outside` say how a new mate would be read, which narrows drawing and clearance alike.
    All values in the unit of `wanted`.

    Raises ValueError for a negative `count` or a piece given twice.
    """
    for pieces in (insides, outsides):
        if len({piece.id for piece in pieces}) != len(pieces):
            raise ValueError("a piece is given twice")
    possible = min(len(insides), len(outsides))
    needed = possible if count is None else count
    if needed < 0:
        raise ValueError(f"the number of pairs cannot be {count}")
    table = clearances(insides, outsides, wanted, decision=decision)
    conflicts = tuple(
        conflict
        for side, drawing, reading in (
            (Side.INSIDE, drawing_outside, reading_outside),
            (Side.OUTSIDE, drawing_inside, reading_inside),
        )
        for conflict in _conflicts(
            table,
            insides,
            outsides,
            side,
            wanted,
            decision=decision,
            drawing=drawing,
            reading=reading,
        )
    )
    chosen: tuple[tuple[int, int], ...] = ()
    if possible and needed:
        if target is None:
            target = wanted.middle
        if target is None:
            target = _mean(insides) - _mean(outsides)
        chosen = _choose(table, min(needed, possible), target)
    else:
        target = None
    pairs = tuple(table[i][j] for i, j in chosen)
    rows, columns = {i for i, _ in chosen}, {j for _, j in chosen}
    return Pairing(
        pairs=pairs,
        spare_inside=tuple(p for i, p in enumerate(insides) if i not in rows),
        spare_outside=tuple(p for j, p in enumerate(outsides) if j not in columns),
        wanted=needed,
        conflicts=conflicts,
    )


def rank(verdict: Verdict, pairs: int) -> int:
    """Cost of a verdict, such that sums over up to `pairs` pairs compare as they should.

    The fewest pairs that are not in come first; among as many, the fewest that are out.
    """
    if verdict is Verdict.GOOD:
        return 0
    return pairs + 1 + (1 if verdict.out else 0)


def rounded_inwards(limits: Limits, decimals: int) -> Limits:
    """Limits with so many decimals, rounded so that they never grow.

    With more places where nothing would be left.
    """
    lower, upper = limits.lower, limits.upper
    places = max(decimals, 0)
    while True:
        step = Decimal(1).scaleb(-places)
        low = None if lower is None else lower.quantize(step, rounding=ROUND_CEILING)
        high = None if upper is None else upper.quantize(step, rounding=ROUND_FLOOR)
        if low is None or high is None or low <= high or places >= 12:
            return Limits(low, high, limits.unit)
        places += 1


def _mean(pieces: Sequence[Sized]) -> Decimal:
    return sum((piece.value for piece in pieces), Decimal(0)) / len(pieces)


def _choose(
    table: tuple[tuple[Pair, ...], ...], count: int, target: Decimal
) -> tuple[tuple[int, int], ...]:
    """Rows and columns of the best `count` pairs, by the three steps that `pairing` describes."""
    ranks = [[rank(p.verdict, count) for p in row] for row in table]
    away = [[abs(p.clearance - target) for p in row] for row in table]
    best, _ = cheapest_pairs(ranks, count)
    barred = (count + 2) * count + 1  # dearer than any pairing

    def within(most: Decimal) -> list[list[int]]:
        return [
            [
                barred if far > most and not pair.verdict.out else cost
                for far, pair, cost in zip(*rows, strict=True)
            ]
            for rows in zip(away, table, ranks, strict=True)
        ]

    # The smallest threshold for pairs that are not out at which the verdicts stay the best.
    steps = sorted(
        {
            far
            for row, pairs in zip(away, table, strict=True)
            for far, pair in zip(row, pairs, strict=True)
            if not pair.verdict.out
        }
    ) or [Decimal(0)]
    low, high = 0, len(steps) - 1
    while low < high:
        guess = (low + high) // 2
        if cheapest_pairs(within(steps[guess]), count)[0] == best:
            high = guess
        else:
            low = guess + 1
    largest = max(max(row) for row in away) or Decimal(1)
    squares = [[int(far / largest * _STEPS) ** 2 for far in row] for row in away]
    weight = count * _STEPS**2 + 1
    return cheapest_pairs(
        [
            [cost * weight + square for cost, square in zip(*rows, strict=True)]
            for rows in zip(within(steps[low]), squares, strict=True)
        ],
        count,
    )[1]


def _conflicts(
    table: tuple[tuple[Pair, ...], ...],
    insides: Sequence[Sized],
    outsides: Sequence[Sized],
    side: Side,
    wanted: Limits,
    *,
    decision: DecisionRule,
    drawing: Limits | None,
    reading: ReadWith | None,
) -> list[FitConflict]:
    """Sets of one side that have fewer mates than members, by Hall's marriage theorem (1935).

    A pair counts as fitting unless it is out. From each piece that a largest matching leaves
    over, the alternating paths reach a set that has exactly one mate too few; sets that share
    mates are told as one.
    """
    own, mates = (insides, outsides) if side is Side.INSIDE else (outsides, insides)
    fitting: list[list[int]] = [
        [
            j
            for j in range(len(mates))
            if not (table[i][j] if side is Side.INSIDE else table[j][i]).verdict.out
        ]
        for i in range(len(own))
    ]
    mate_of: dict[int, int] = {}  # mate -> piece

    def augment(i: int, seen: set[int]) -> bool:
        for j in fitting[i]:
            if j not in seen:
                seen.add(j)
                if j not in mate_of or augment(mate_of[j], seen):
                    mate_of[j] = i
                    return True
        return False

    left_over = [i for i in range(len(own)) if not augment(i, set())]
    sets: list[tuple[set[int], set[int]]] = []
    for start in left_over:
        pieces, reached, queue = {start}, set[int](), [start]
        while queue:
            for j in fitting[queue.pop()]:
                if j not in reached:
                    reached.add(j)
                    # Every mate reached is taken, or the path to it would enlarge the matching.
                    pieces.add(mate_of[j])
                    queue.append(mate_of[j])
        touching = [one for one in sets if (one[1] & reached) or not (one[1] or reached)]
        for one in touching:
            sets.remove(one)
            pieces |= one[0]
            reached |= one[1]
        sets.append((pieces, reached))
    # A set that is short only because the other side has fewer live pieces names them all: no
    # fit is to blame, and `wanted` against the number of pairs says it already.
    return [
        FitConflict(
            side=side,
            pieces=tuple(own[i] for i in sorted(pieces)),
            mates=tuple(mates[j] for j in sorted(reached)),
            turn=_remedies(
                [own[i] for i in sorted(pieces)],
                side,
                wanted,
                decision=decision,
                drawing=drawing,
                reading=reading,
            ),
        )
        for pieces, reached in sets
        if len(reached) < len(mates) or not mates
    ]


def _remedies(
    pieces: Sequence[Sized],
    side: Side,
    wanted: Limits,
    *,
    decision: DecisionRule,
    drawing: Limits | None,
    reading: ReadWith | None,
) -> tuple[Remedy, ...]:
    """The fewest windows that between them fit every piece that any mate could fit.

    Sweeping the windows by their upper ends and opening a new group whenever one has nothing in
    common with the last is the classic optimum for piercing intervals.
    """
    windows: list[tuple[Limits, Sized]] = []
    if drawing is not None:
        drawing = acceptance_limits(drawing, decision, reading)
        if drawing is None:
            return ()
    for piece in pieces:
        fit = mate_window(piece, side, wanted, decision=decision, reading=reading)
        if fit is not None and drawing is not None:
            fit = common([fit, drawing])
        if fit is not None:
            windows.append((fit, piece))
    infinity = Decimal("Infinity")
    windows.sort(key=lambda one: infinity if one[0].upper is None else one[0].upper)
    remedies: list[Remedy] = []
    for limits, piece in windows:
        shared = common([remedies[-1].limits, limits]) if remedies else None
        if shared is None:
            remedies.append(Remedy(limits, (piece,)))
        else:
            remedies[-1] = Remedy(shared, (*remedies[-1].fits, piece))
    return tuple(remedies)
