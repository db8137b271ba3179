"""Items: which pieces go together, so that the fits are right and the finished items match.

Fits come first: as many joints `in` as possible, then `not proven` rather than out. Then the
overall sizes are to lie inside their own limits, if that can be had for all items. Then the
spread of the first stack's overall size among all the items is made as small as it can be, then
that of the next stack, then of each visible dimension, in the order given. The choice is exact:
`chains` says how (column generation: P. C. Gilmore and R. E. Gomory, Operations Research 9 (1961)
849-859; from memory). All sizes of one joint, stack or dimension are in one unit; an allowance for
an operation still to come is applied by the caller beforehand (`allowance.Allowance.predict`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.decision import SIMPLE, DecisionRule
from qlog.drawing.plan import Ban, ItemGroup
from qlog.frozen import frozen
from qlog.study.conformity.verdict import Verdict
from qlog.study.matching import model
from qlog.study.matching.filled import filled, grain_of, making_order, spread_of, values_of
from qlog.study.matching.setting import MatchSetting
from qlog.study.matching.statement import Statement

if TYPE_CHECKING:
    from qlog.study.matching.statement import Chooser

#: Steps of work that a choice may take: enough for every case of 16 items of 5 parts that was
#: tried (tests/benchmarks/matching_time.py).
STEPS = 600


def match(
    live: Mapping[str, Sequence[int]],
    groups: Sequence[ItemGroup],
    *,
    joints: Sequence[model.JointSizes] = (),
    stacks: Sequence[model.StackSizes] = (),
    visible: Sequence[model.VisibleSizes] = (),
    bans: Sequence[Ban] = (),
    fixed: Sequence[model.Fixed] = (),
    decision: DecisionRule = SIMPLE,
    steps: int = STEPS,
    gap: float = 0.01,
    grain: Decimal | None = None,
    choose: Chooser | None = None,
) -> model.Matching:
    """Choose the pieces of the whole set.

    `live` holds for each part the numbers of its live pieces in the order of making, assembled
    ones included. A group's `only` reserves pieces: the group takes no others of that part, and
    no other group takes them. When there are too few pieces, the items of the last groups stay
    open and `shortages` says why. A live piece without a size that a joint, a stack or a visible
    dimension needs is left out, unless it is assembled already.

    Several pieces of a part in one item: in a stack each of them adds; in a joint between a and b
    of them, max(a, b) pairs are formed, in turn.

    The search ends when a spread is proven, or is within the fraction `gap` of its bound, or
    closer to it than `grain` (default: a tenth of the smallest standard uncertainty of an overall
    size, which nobody could tell; where none is known, a thousandth of the smallest spread in
    making order), or after so many `steps` of work; seconds play no part, so that the same data
    give the same choice on every machine. `choose` answers in the place of `chains.choose`, and as
    it does.

    Raises ValueError for bans or assembled pieces that contradict each other or name a piece that
    is not live, and when pieces kept together or apart leave no way to fill the items.
    """
    setting = MatchSetting(live, groups, joints, stacks, visible, bans, fixed, decision)
    # What is assembled has long left making order: without matching, all would have been in it.
    unmatched = setting
    if fixed:
        unmatched = MatchSetting(live, groups, joints, stacks, visible, bans, (), decision)
    baseline = making_order(unmatched)
    if grain is None:
        grain = grain_of(setting, baseline)
    outcome = Statement(setting, steps, gap, grain, choose).choose()
    order = {part: place for place, part in enumerate(setting.parts)}
    items = tuple(
        filled(
            setting,
            group,
            i,
            sorted(outcome.chosen[group.id, i], key=lambda key: (order[key[0]], key)),
        )
        for group in groups
        for i in setting.counts[group.id]
    )
    used = {key for item in items for key in (*item.pieces, *setting.unmeasured)}
    pieces = [(part, number) for part, numbers in live.items() for number in numbers]
    spreads = []
    for name in [*(stack.id for stack in stacks), *(one.id for one in visible)]:
        if name in outcome.bounds:
            reached = spread_of(values_of(setting, name, items))
            before = spread_of(values_of(unmatched, name, baseline))
            if reached is not None:
                bound = min(outcome.bounds[name], reached)
                spreads.append(model.SizeSpread(name, reached, bound, before))
    return model.Matching(
        items=items,
        spares=tuple(key for key in pieces if key not in used),
        unmeasured=setting.unmeasured,
        shortages=tuple(setting.shortages),
        joints=_count(items),
        joints_proven=outcome.joints_proven,
        making_order=_count(baseline),
        sizes_inside=outcome.sizes_inside,
        spreads=tuple(spreads),
    )


def _count(items: Sequence[model.MatchedItem]) -> model.Counts:
    verdicts = [joint.pair.verdict for item in items for joint in item.joints]
    return model.Counts(
        sum(v is Verdict.GOOD for v in verdicts),
        sum(v is Verdict.NOT_PROVEN for v in verdicts),
        sum(v.out for v in verdicts),
    )


@frozen
class AlikeItems:
    """Items that go together, and how far apart their sizes are."""

    items: tuple[str, ...]
    spread: Decimal


def together(sizes: Sequence[tuple[str, Decimal]], each: int, count: int) -> tuple[AlikeItems, ...]:
    """`count` groups of `each` items, the largest spread within a group as small as can be.

    Among those the sum of the spreads is smallest. Exact: exchanging two items for their neighbours
    in the order of size never widens a group, so each group is a run of that order, and the runs
    are chosen by dynamic programming. Answers as many groups as there are items for.
    """
    order = sorted(sizes, key=lambda s: (s[1], s[0]))
    count = min(count, len(order) // each)
    zero = Decimal(0)
    # For so many items looked at and so many groups made: worst spread, their sum, the groups.
    best: list[list[tuple[Decimal, Decimal, tuple[AlikeItems, ...]] | None]] = [
        [(zero, zero, ())] + [None] * count for _ in range(len(order) + 1)
    ]
    for seen in range(1, len(order) + 1):
        for made in range(1, count + 1):
            ways = [best[seen - 1][made]]
            before = best[seen - each][made - 1] if seen >= each else None
            if before is not None:
                run = order[seen - each : seen]
                spread = run[-1][1] - run[0][1]
                group = AlikeItems(tuple(sorted(name for name, _ in run)), spread)
                ways.append((max(before[0], spread), before[1] + spread, (*before[2], group)))
            best[seen][made] = min(
                (way for way in ways if way is not None), key=lambda w: w[:2], default=None
            )
    found = best[len(order)][count]
    return () if found is None else found[2]
