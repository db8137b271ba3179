"""One question of matching, with everything looked up that the steps share."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

from qlog.drawing.decision import DecisionRule
from qlog.drawing.plan import Ban, ItemGroup
from qlog.problem import ToSay
from qlog.study.fit.joints import Pair, clearances
from qlog.study.matching.model import Fixed, JointSizes, Key, Shortage, StackSizes, VisibleSizes


class MatchSetting:
    """What there is to choose from: pieces, groups, sizes, bans; and how many items it fills."""

    def __init__(
        self,
        live: Mapping[str, Sequence[int]],
        groups: Sequence[ItemGroup],
        joints: Sequence[JointSizes],
        stacks: Sequence[StackSizes],
        visible: Sequence[VisibleSizes],
        bans: Sequence[Ban],
        fixed: Sequence[Fixed],
        decision: DecisionRule,
    ) -> None:
        self.live, self.groups, self.bans, self.fixed = live, groups, bans, fixed
        self.joints = [joint for joint in joints if joint.inside and joint.outside]
        self.stacks = [s for s in stacks if s.terms and all(p for _, p in s.terms)]
        self.visible = [one for one in visible if one.pieces]
        self.decision = decision
        self.held = {(one.group, one.item): one for one in fixed}
        self.owner = {key: (one.group, one.item) for one in fixed for key in one.pieces}
        self.reserved = {
            (part, number): group.id
            for group in groups
            for part, numbers in group.only
            for number in numbers
        }
        self._check()
        self.pairs: dict[str, dict[tuple[int, int], Pair]] = {
            joint.id: {
                (pair.inside.number, pair.outside.number): pair
                for row in clearances(joint.inside, joint.outside, joint.wanted, decision=decision)
                for pair in row
            }
            for joint in self.joints
        }
        self.sized = {
            stack.id: [{p.number: p for p in pieces} for _, pieces in stack.terms]
            for stack in self.stacks
        }
        self.seen = {one.id: {p.number: p for p in one.pieces} for one in self.visible}
        self.unmeasured = self._unmeasured()
        #: More joints than there can be in all items, for costs that compare in order.
        self.most = len(self.joints) * sum(
            group.count * max((n for _, n in group.takes), default=0) for group in groups
        )
        self.shortages: list[Shortage] = []
        self.counts = self._fillable()

    def _check(self) -> None:
        known = {(part, number) for part, numbers in self.live.items() for number in numbers}
        takes = {group.id: dict(group.takes) for group in self.groups}
        counts = {group.id: group.count for group in self.groups}
        if len(takes) != len(self.groups):
            raise ValueError(ToSay("error.match_group_twice"))
        if len(self.held) != len(self.fixed):
            raise ValueError(ToSay("error.match_item_twice"))
        placed: set[Key] = set()
        for one in self.fixed:
            if one.group not in takes or not 1 <= one.item <= counts[one.group]:
                raise ValueError(ToSay("error.match_no_item", item=one.item, group=one.group))
            for part in {part for part, _ in one.pieces}:
                used, most = sum(p == part for p, _ in one.pieces), takes[one.group].get(part, 0)
                if used > most:
                    about = {"group": one.group, "item": one.item, "part": part}
                    raise ValueError(ToSay("error.match_holds", used=used, takes=most, **about))
            for key in one.pieces:
                if key in placed:
                    raise ValueError(ToSay("error.match_in_two", piece=_name(key)))
                if key not in known:
                    raise ValueError(ToSay("error.match_not_live", piece=_name(key)))
                placed.add(key)
        for ban in self.bans:
            owners = [self.owner[key] for key in ban.pieces if key in self.owner]
            names = ", ".join(_name(key) for key in ban.pieces)
            if ban.together and len(set(owners)) > 1:
                raise ValueError(ToSay("error.match_apart", pieces=names))
            if not ban.together and len(set(owners)) < len(owners):
                raise ValueError(ToSay("error.match_together", pieces=names))

    def _unmeasured(self) -> tuple[Key, ...]:
        taken = {part for group in self.groups for part, _ in group.takes}
        missing = []
        for part, numbers in self.live.items():
            if part not in taken:
                continue
            tables: list[set[int]] = []
            for joint in self.joints:
                for side in (joint.inside, joint.outside):
                    if side[0].part == part:
                        tables.append({p.number for p in side})
            for stack in self.stacks:
                for _, pieces in stack.terms:
                    if pieces[0].part == part:
                        tables.append({p.number for p in pieces})
            for one in self.visible:
                if one.pieces[0].part == part:
                    tables.append({p.number for p in one.pieces})
            missing += [
                (part, number)
                for number in numbers
                if (part, number) not in self.owner and not all(number in table for table in tables)
            ]
        return tuple(missing)

    def allowed(self, group: ItemGroup, part: str) -> tuple[int, ...]:
        """The free pieces of a part that the group may take, in making order."""
        only = dict(group.only).get(part)
        return tuple(
            number
            for number in self.live.get(part, ())
            if (part, number) not in self.owner
            and (part, number) not in self.unmeasured
            and (
                number in only
                if only is not None
                else self.reserved.get((part, number), group.id) == group.id
            )
        )

    def open_places(self, group: ItemGroup, item: int, part: str) -> int:
        """How many pieces of the part the item still takes."""
        held = self.held.get((group.id, item))
        return dict(group.takes).get(part, 0) - sum(
            p == part for p, _ in (held.pieces if held else ())
        )

    def _fillable(self) -> dict[str, list[int]]:
        """The items of each group that there are pieces for; notes the shortages."""
        chosen = {group.id: list(range(1, group.count + 1)) for group in self.groups}
        while True:
            short = self._short(chosen)
            if short is None:
                return chosen
            names = {group.id for group in short.groups}
            if short.part not in {known.part for known in self.shortages}:
                self.shortages.append(short)
            for group in reversed(self.groups):
                loose = [
                    i
                    for i in chosen[group.id]
                    if group.id in names and (group.id, i) not in self.held
                ]
                held = [i for i in chosen[group.id] if group.id in names]
                if loose or held:
                    chosen[group.id].remove((loose or held)[-1])
                    break

    def _short(self, chosen: Mapping[str, Sequence[int]]) -> Shortage | None:
        """A part that is short for some of the groups (Hall's condition over all their sets)."""
        parts = dict.fromkeys(part for group in self.groups for part, _ in group.takes)
        for part in parts:
            takers = [g for g in self.groups if part in dict(g.takes)]
            # Groups with the same choice stand or fall together, so few sets need a look.
            for size in range(1, len(takers) + 1):
                for some in itertools.combinations(takers, size):
                    need = sum(self.open_places(g, i, part) for g in some for i in chosen[g.id])
                    free = {n for g in some for n in self.allowed(g, part)}
                    if need > len(free):
                        return Shortage(part, some, need, len(free))
        return None

    @property
    def parts(self) -> list[str]:
        """The parts that items take, in the order of the groups."""
        return list(dict.fromkeys(part for group in self.groups for part, _ in group.takes))


def in_turn(own: Sequence[str], inner: str, outer: str) -> list[tuple[int, int]]:
    """Places that a joint connects: as many pairs as the commoner part has places, in turn."""
    a = [place for place, part in enumerate(own) if part == inner]
    b = [place for place, part in enumerate(own) if part == outer]
    return [(a[k % len(a)], b[k % len(b)]) for k in range(max(len(a), len(b)))]


def _name(key: Key) -> str:
    return f"{key[0]}-{key[1]}"
