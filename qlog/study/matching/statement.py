"""The question put to `chains`: pieces as indices, sizes as whole steps; and what it answers."""

from __future__ import annotations

import math
from array import array
from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.plan import ItemGroup
from qlog.frozen import frozen
from qlog.study.fit.joints import Sized, rank
from qlog.study.matching.chains.chain_model import (
    ChainQuestion,
    Choice,
    Criterion,
    Edge,
    ItemClass,
)
from qlog.study.matching.filled import filled
from qlog.study.matching.model import Fixed, Key, StackSizes, VisibleSizes
from qlog.study.matching.setting import MatchSetting, in_turn

if TYPE_CHECKING:
    #: What answers a question: `chains.choose`, or something that answers as it does.
    Chooser = Callable[..., Choice]

#: Decimal places to which sizes are compared; finer digits come from arithmetic, not from reading.
_PLACES = 9


@frozen
class ChosenPieces:
    """The pieces of every item, and what was proven of them."""

    chosen: Mapping[tuple[str, int], Sequence[Key]]  # group and item
    joints_proven: bool
    sizes_inside: bool
    bounds: Mapping[str, Decimal]


class Statement:
    """One setting stated for `chains`, a component of its parts at a time."""

    def __init__(
        self,
        setting: MatchSetting,
        steps: int,
        gap: float,
        grain: Decimal,
        choose: Chooser | None = None,
    ) -> None:
        self.setting, self._choose = setting, choose or _work_out
        self.steps, self.gap, self.grain = steps, gap, grain
        #: Pieces chosen so far, for each item.
        self.chosen: dict[tuple[str, int], list[Key]] = {}

    def choose(self) -> ChosenPieces:
        """The pieces of every item, and what was proven."""
        setting = self.setting
        if self._assembled():
            return self._as_assembled()
        # Items of a group without pieces yet are alike; one that holds some is a class of its own.
        classes: list[tuple[ItemGroup, list[int], Fixed | None]] = []
        for group in setting.groups:
            loose = [i for i in setting.counts[group.id] if (group.id, i) not in setting.held]
            if loose:
                classes.append((group, loose, None))
            classes += [
                (group, [i], setting.held[group.id, i])
                for i in setting.counts[group.id]
                if (group.id, i) in setting.held
            ]
        self.chosen = {(group.id, i): [] for group, numbers, _ in classes for i in numbers}
        proven = inside = True
        bounds: dict[str, Decimal] = {}
        for parts in self._components():
            found = self._component(parts, classes)
            if found is not None:
                proven &= found.cost_bound >= found.cost
                inside &= found.kept_within
                bounds |= self._bounds(parts, found)
        return ChosenPieces(self.chosen, proven, inside, bounds)

    def _assembled(self) -> bool:
        """Whether every item holds all its pieces, so that nothing is left to choose."""
        setting = self.setting
        return not setting.bans and all(
            (held := setting.held.get((group.id, number))) is not None
            and len(held.pieces) == sum(count for _, count in group.takes)
            for group in setting.groups
            for number in setting.counts[group.id]
        )

    def _as_assembled(self) -> ChosenPieces:
        """What is assembled: the only choice there is, and thus the best one."""
        setting = self.setting
        chosen = {
            (group.id, number): setting.held[group.id, number].pieces
            for group in setting.groups
            for number in setting.counts[group.id]
        }
        limits = {stack.id: self._within(stack) for stack in setting.stacks}
        inside = all(
            (low is None or low <= _steps(size.size))
            and (high is None or _steps(size.size) <= high)
            for group in setting.groups
            for number in setting.counts[group.id]
            for size in filled(setting, group, number, chosen[group.id, number]).sizes
            for low, high in [limits[size.stack]]
        )
        names = [*(stack.id for stack in setting.stacks), *(one.id for one in setting.visible)]
        return ChosenPieces(chosen, True, inside, dict.fromkeys(names, Decimal("Infinity")))

    def _components(self) -> list[list[str]]:
        """Parts that must be chosen with a view to each other."""
        parts = self.setting.parts
        root = {part: part for part in parts}

        def join(some: Iterable[str]) -> None:
            roots = [root[part] for part in some if part in root]
            for part in parts:
                if root[part] in roots:
                    root[part] = roots[0]

        for joint in self.setting.joints:
            join([joint.inside[0].part, joint.outside[0].part])
        for stack in self.setting.stacks:
            join([pieces[0].part for _, pieces in stack.terms])
        for ban in self.setting.bans:
            join([part for part, _ in ban.pieces])
        return [[p for p in parts if root[p] == r] for r in dict.fromkeys(root[p] for p in parts)]

    def _component(
        self, parts: Sequence[str], classes: Sequence[tuple[ItemGroup, list[int], Fixed | None]]
    ) -> Choice | None:
        """Choose the pieces of some parts for all items, and enter them into `chosen`."""
        keys = [(part, number) for part in parts for number in self.setting.live.get(part, ())]
        index = {key: place for place, key in enumerate(keys)}
        places: list[list[str]] = []  # part of every place, for each class
        choices: list[tuple[tuple[int, ...], ...]] = []  # pieces allowed in every place
        members: list[list[tuple[str, int]]] = []  # items of each class
        holders: list[Fixed | None] = []
        for group, numbers, held in classes:
            own = [part for part in parts for _ in range(dict(group.takes).get(part, 0))]
            if not own:
                continue
            allowed: list[tuple[int, ...]] = []
            for part in dict.fromkeys(own):
                here = [key for key in (held.pieces if held else ()) if key[0] == part]
                allowed += [(index[key],) for key in here]
                free = tuple(index[part, n] for n in self.setting.allowed(group, part))
                allowed += [free] * (own.count(part) - len(here))
            items = [(group.id, number) for number in numbers]
            for k, choice in enumerate(choices):
                # Groups that may take the same pieces are one class: fewer chains to look at.
                like = places[k] == own and choice == tuple(allowed)
                if like and held is None and holders[k] is None:
                    members[k] += items
                    break
            else:
                places.append(own)
                choices.append(tuple(allowed))
                members.append(items)
                holders.append(held)
        item_classes = [
            ItemClass(
                len(items),
                tuple(parts.index(part) for part in own),
                choice,
                self._edges(own, index, keys),
            )
            for own, choice, items in zip(places, choices, members, strict=True)
        ]
        if not item_classes:
            return None
        criteria = self._criteria(parts, places, holders, keys)
        problem = ChainQuestion(
            len(keys),
            tuple(item_classes),
            tuple(criteria),
            together=self._banned(index, together=True),
            apart=self._banned(index, together=False),
        )
        found = self._choose(
            problem, steps=self.steps, gap=self.gap, grain=int(self.grain.scaleb(_PLACES))
        )
        for items, some in zip(members, found.chains, strict=True):
            for item, chain in zip(items, some, strict=True):
                self.chosen[item] += [keys[piece] for piece in chain]
        return found

    def _bounds(self, parts: Sequence[str], found: Choice) -> dict[str, Decimal]:
        """The least spread that any choice could reach, by stack or visible dimension."""
        return {
            one.id: Decimal(spread.bound).scaleb(-_PLACES)
            for one, spread in zip(self._wanted(parts), found.spreads, strict=True)
        }

    def _wanted(self, parts: Sequence[str]) -> list[StackSizes | VisibleSizes]:
        """Stacks, then visible dimensions, of some parts."""
        stacks = [s for s in self.setting.stacks if s.terms[0][1][0].part in parts]
        return [*stacks, *(v for v in self.setting.visible if v.pieces[0].part in parts)]

    def _edges(
        self, own: Sequence[str], index: Mapping[Key, int], keys: Sequence[Key]
    ) -> tuple[Edge, ...]:
        """The joints of one class of items; two joints between the same places as one."""
        costs: dict[tuple[int, int], array[int]] = {}
        for joint in self.setting.joints:
            inner, outer = joint.inside[0].part, joint.outside[0].part
            if inner not in own or outer not in own or inner == outer:
                continue
            ranked = [
                (index[inner, i], index[outer, j], rank(pair.verdict, self.setting.most))
                for (i, j), pair in self.setting.pairs[joint.id].items()
                if (inner, i) in index and (outer, j) in index
            ]
            for a, b in in_turn(own, inner, outer):
                if turned := (b, a) in costs:
                    cost = costs[b, a]
                else:
                    cost = costs.setdefault((a, b), array("q", bytes(8 * len(keys) ** 2)))
                for i, j, own_cost in ranked:
                    cost[j * len(keys) + i if turned else i * len(keys) + j] += own_cost
        return tuple(Edge(a, b, cost) for (a, b), cost in costs.items())

    def _criteria(
        self,
        parts: Sequence[str],
        places: Sequence[Sequence[str]],
        holders: Sequence[Fixed | None],
        keys: Sequence[Key],
    ) -> list[Criterion]:
        """Stacks, then visible dimensions, in whole steps of 1e-9."""
        return [
            self._of_stack(one, places, holders, keys)
            if isinstance(one, StackSizes)
            else self._of_visible(one, places, holders, keys)
            for one in self._wanted(parts)
        ]

    def _of_stack(
        self,
        stack: StackSizes,
        places: Sequence[Sequence[str]],
        holders: Sequence[Fixed | None],
        keys: Sequence[Key],
    ) -> Criterion:
        owners = [pieces[0].part for _, pieces in stack.terms]
        sized = list(zip(owners, self.setting.sized[stack.id], strict=True))
        columns = [_column(part, sizes, keys) for part, sizes in sized]
        terms: list[tuple[tuple[int, int, array[int]], ...] | None] = []
        constants: list[int | None] = []
        for own, held in zip(places, holders, strict=True):
            measured = [v for name, v, _ in (held.sizes if held else ()) if name == stack.id]
            unknown = held is not None and any(
                number not in sizes
                for part, sizes in sized
                for owner, number in held.pieces
                if owner == part
            )
            constants.append(_steps(measured[0]) if measured else None)
            if unknown or not stack.of_item(own):
                terms.append(None)
                continue
            terms.append(
                tuple(
                    (place, sign, values)
                    for (sign, _), part, values in zip(stack.terms, owners, columns, strict=True)
                    for place, other in enumerate(own)
                    if other == part
                )
            )
        return Criterion(tuple(terms), True, tuple(constants), self._within(stack))

    def _of_visible(
        self,
        one: VisibleSizes,
        places: Sequence[Sequence[str]],
        holders: Sequence[Fixed | None],
        keys: Sequence[Key],
    ) -> Criterion:
        part, seen = one.pieces[0].part, self.setting.seen[one.id]
        values = _column(part, seen, keys)

        def unknown(held: Fixed | None) -> bool:
            pieces = held.pieces if held else ()
            return any(p == part and n not in seen for p, n in pieces)

        return Criterion(
            tuple(
                tuple((place, 1, values) for place, p in enumerate(own) if p == part)
                if part in own and not unknown(held)
                else None
                for own, held in zip(places, holders, strict=True)
            ),
            False,
            tuple(None for _ in places),
        )

    def _within(self, stack: StackSizes) -> tuple[int | None, int | None]:
        """The stack's limits in steps, rounded inwards."""
        if stack.limits is None:
            return None, None
        lower, upper = stack.limits.lower, stack.limits.upper
        return (
            None if lower is None else math.ceil(lower.scaleb(_PLACES)),
            None if upper is None else math.floor(upper.scaleb(_PLACES)),
        )

    def _banned(self, index: Mapping[Key, int], *, together: bool) -> tuple[tuple[int, ...], ...]:
        banned = []
        for ban in self.setting.bans:
            live = [index[key] for key in ban.pieces if key in index]
            # A piece that is gone makes no demand on the ones that are left.
            if ban.together is together and len(live) > 1:
                banned.append(tuple(live))
        return tuple(banned)


def _work_out(question: ChainQuestion, *, steps: int, gap: float, grain: int) -> Choice:
    # Here and not above: it loads what a kept choice does not need.
    from qlog.study.matching.chains.choose import choose

    return choose(question, steps=steps, gap=gap, grain=grain)


def _steps(value: Decimal) -> int:
    return int(value.scaleb(_PLACES).to_integral_value())


def _column(part: str, sizes: Mapping[int, Sized], keys: Sequence[Key]) -> array[int]:
    """The sizes of all pieces in whole steps, 0 for those of other parts."""
    return array(
        "q",
        (
            _steps(sizes[number].value) if owner == part and number in sizes else 0
            for owner, number in keys
        ),
    )
