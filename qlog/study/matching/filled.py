"""Items worked out from their pieces: joints, overall sizes, and what making order would give."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal

from qlog.drawing.plan import ItemGroup
from qlog.study.conformity.verdict import judge
from qlog.study.fit.joints import combined, combined_dof, combined_sizes
from qlog.study.matching.model import ItemJoint, Key, MatchedItem, MatchedSize
from qlog.study.matching.setting import MatchSetting, in_turn


def filled(
    setting: MatchSetting, group: ItemGroup, number: int, pieces: Sequence[Key]
) -> MatchedItem:
    """One item with its joints and overall sizes worked out."""
    held = setting.held.get((group.id, number))
    own = [part for part, _ in pieces]
    joints = []
    for joint in setting.joints:
        inner, outer = joint.inside[0].part, joint.outside[0].part
        if inner in own and outer in own and inner != outer:
            for a, b in in_turn(own, inner, outer):
                pair = setting.pairs[joint.id].get((pieces[a][1], pieces[b][1]))
                if pair is not None:
                    joints.append(ItemJoint(joint.id, pair))
    sizes = []
    for stack in setting.stacks:
        measured = [one for one in (held.sizes if held else ()) if one[0] == stack.id]
        if measured:
            (_, size, uncertainty), dof = measured[0], math.inf
        else:
            terms = [
                (sign, table.get(number_))
                for (sign, some), table in zip(stack.terms, setting.sized[stack.id], strict=True)
                for part, number_ in pieces
                if part == some[0].part
            ]
            if not stack.of_item(own):
                continue
            known = [(sign, piece) for sign, piece in terms if piece is not None]
            if len(known) < len(terms):
                continue
            size = sum((sign * piece.value for sign, piece in known), Decimal(0))
            uncertainty, dof = combined_sizes(known), combined_dof(known)
        judgement = None
        if stack.limits is not None:
            judgement = judge(
                size, stack.limits, decision=setting.decision, uncertainty=uncertainty, dof=dof
            )
        sizes.append(MatchedSize(stack.id, size, judgement, bool(measured)))
    return MatchedItem(
        group.id,
        number,
        tuple(pieces),
        tuple(held.pieces) if held else (),
        tuple(joints),
        tuple(sizes),
    )


def values_of(setting: MatchSetting, name: str, items: Sequence[MatchedItem]) -> list[Decimal]:
    """All values of a stack or a visible dimension among the items."""
    if name in setting.seen:
        part = next(one.pieces[0].part for one in setting.visible if one.id == name)
        return [
            setting.seen[name][number].value
            for item in items
            for owner, number in item.pieces
            if owner == part and number in setting.seen[name]
        ]
    return [size.size for item in items for size in item.sizes if size.stack == name]


def making_order(setting: MatchSetting) -> tuple[MatchedItem, ...]:
    """The same items filled in the order in which the pieces were made; () if that fails.

    Reservations are respected, bans are not. Pieces that only one group may take are handed
    out as they come, like any other.
    """
    free = {
        group.id: {part: list(setting.allowed(group, part)) for part, _ in group.takes}
        for group in setting.groups
    }
    gone: set[Key] = set()
    items = []
    for group in setting.groups:
        for number in setting.counts[group.id]:
            pieces: list[Key] = []
            for part, wanted in group.takes:
                ready = [n for n in free[group.id][part] if (part, n) not in gone]
                if len(ready) < wanted:
                    return ()
                pieces += [(part, n) for n in ready[:wanted]]
                gone.update((part, n) for n in ready[:wanted])
            items.append(filled(setting, group, number, pieces))
    return tuple(items)


def grain_of(setting: MatchSetting, baseline: Sequence[MatchedItem]) -> Decimal:
    """A difference of overall sizes too small to be worth looking for."""
    found: list[Decimal] = []
    for stack in setting.stacks:
        least = combined(
            *(
                min((p.uncertainty for p in pieces if p.uncertainty is not None), default=None)
                for _, pieces in stack.terms
            )
        )
        spread = spread_of(values_of(setting, stack.id, baseline))
        if least is not None:
            found.append(least / 10)
        elif spread is not None:
            found.append(spread / 1000)
    return min(found, default=Decimal(0))


def spread_of(values: Sequence[Decimal]) -> Decimal | None:
    """Largest minus smallest; None without any."""
    return max(values) - min(values) if values else None
