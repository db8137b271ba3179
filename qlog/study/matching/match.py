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

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.decision import SIMPLE, DecisionRule
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Ban, ItemGroup
from qlog.study.conformity.verdict import Judgement, Verdict, judge
from qlog.study.fit.joints import (
    Pair,
    Sized,
    clearances,
    combined,
    combined_dof,
    combined_sizes,
    rank,
)

if TYPE_CHECKING:
    from qlog.study.matching import chains
    from qlog.study.matching.chains.model import Ints

#: Steps of work that a choice may take: enough for every case of 16 items of 5 parts that was
#: tried (tests/benchmarks/matching_time.py).
STEPS = 3_000

#: A piece: part id and number.
Key = tuple[str, int]

#: Decimal places to which sizes are compared; finer digits come from arithmetic, not from reading.
_PLACES = 9


@dataclass(frozen=True, slots=True)
class JointSizes:
    """A joint, with the size of every piece on both sides."""

    id: str
    inside: tuple[Sized, ...]
    outside: tuple[Sized, ...]
    wanted: Limits


@dataclass(frozen=True, slots=True)
class StackSizes:
    """A stack: signs and, for each term, the size of every piece; its own limits if it has any."""

    id: str
    terms: tuple[tuple[int, tuple[Sized, ...]], ...]
    limits: Limits | None = None


@dataclass(frozen=True, slots=True)
class VisibleSizes:
    """A dimension that the recipient sees, with the size of every piece."""

    id: str
    pieces: tuple[Sized, ...]


@dataclass(frozen=True, slots=True)
class Fixed:
    """Pieces already assembled into an item; they stay put. `item` counts from 1 in its group.

    `sizes` holds overall sizes measured on it: stack id, size, standard uncertainty.
    """

    group: str
    item: int
    pieces: tuple[Key, ...]
    sizes: tuple[tuple[str, Decimal, Decimal | None], ...] = ()


@dataclass(frozen=True, slots=True)
class ItemJoint:
    """A joint in one item."""

    joint: str
    pair: Pair


@dataclass(frozen=True, slots=True)
class ItemSize:
    """An overall size of one item, predicted from its pieces or measured when it is assembled."""

    stack: str
    size: Decimal
    uncertainty: Decimal | None  # standard uncertainty
    judgement: Judgement | None  # None for a stack without limits
    measured: bool


@dataclass(frozen=True, slots=True)
class Item:
    """One finished thing and the pieces chosen for it."""

    group: str
    number: int  # from 1 in its group
    pieces: tuple[Key, ...]
    fixed: tuple[Key, ...]  # those of its pieces that were assembled before
    joints: tuple[ItemJoint, ...]
    sizes: tuple[ItemSize, ...]


@dataclass(frozen=True, slots=True)
class Spread:
    """Spread of one size among the items: largest minus smallest, and what could be had at best."""

    id: str
    reached: Decimal
    bound: Decimal  # no arrangement with as good fits can have less
    in_making_order: Decimal | None  # of sizes predicted; None where making order fills no two

    @property
    def proven(self) -> bool:
        """Whether no arrangement with as good fits has a smaller spread."""
        return self.bound >= self.reached


@dataclass(frozen=True, slots=True)
class Counts:
    """How many joints of an arrangement are in, not proven and out."""

    inside: int
    not_proven: int
    out: int


@dataclass(frozen=True, slots=True)
class Shortage:
    """A part of which some groups want more pieces than are live and measured."""

    part: str
    groups: tuple[ItemGroup, ...]
    wanted: int
    free: int


@dataclass(frozen=True, slots=True)
class Matching:
    """The pieces of the whole set."""

    items: tuple[Item, ...]
    spares: tuple[Key, ...]  # live pieces that no item takes
    unmeasured: tuple[Key, ...]  # live pieces left out because a size is missing
    shortages: tuple[Shortage, ...]  # why not all items could be filled
    joints: Counts
    joints_proven: bool  # whether no arrangement has better fits
    making_order: Counts  # the fits in making order
    sizes_inside: bool  # whether arrangements with an overall size outside its limits were barred
    spreads: tuple[Spread, ...]

    @property
    def proven(self) -> bool:
        """Whether nothing better is possible in any respect."""
        return self.joints_proven and all(spread.proven for spread in self.spreads)


def match(
    live: Mapping[str, Sequence[int]],
    groups: Sequence[ItemGroup],
    *,
    joints: Sequence[JointSizes] = (),
    stacks: Sequence[StackSizes] = (),
    visible: Sequence[VisibleSizes] = (),
    bans: Sequence[Ban] = (),
    fixed: Sequence[Fixed] = (),
    decision: DecisionRule = SIMPLE,
    steps: int = STEPS,
    gap: float = 0.01,
    grain: Decimal | None = None,
) -> Matching:
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
    give the same choice on every machine.

    Raises ValueError for bans or assembled pieces that contradict each other or name a piece that
    is not live, and when pieces kept together or apart leave no way to fill the items.
    """
    setting = _Setting(live, groups, joints, stacks, visible, bans, fixed, decision)
    # What is assembled has long left making order: without matching, all would have been in it.
    unmatched = setting
    if fixed:
        unmatched = _Setting(live, groups, joints, stacks, visible, bans, (), decision)
    baseline = unmatched.making_order()
    if grain is None:
        grain = setting.grain(baseline)
    spares, items, outcome = setting.solve(steps, gap, grain)
    names = [*(stack.id for stack in stacks), *(one.id for one in visible)]
    spreads = []
    for name in names:
        if name in outcome.bounds:
            reached = _spread(setting.values(name, items))
            before = unmatched.values(name, baseline)
            if reached is not None:
                spreads.append(
                    Spread(name, reached, min(outcome.bounds[name], reached), _spread(before))
                )
    return Matching(
        items=items,
        spares=spares,
        unmeasured=setting.unmeasured,
        shortages=tuple(setting.shortages),
        joints=_count(items),
        joints_proven=outcome.joints_proven,
        making_order=_count(baseline),
        sizes_inside=outcome.sizes_inside,
        spreads=tuple(spreads),
    )


@dataclass(frozen=True, slots=True)
class _Outcome:
    joints_proven: bool
    sizes_inside: bool
    bounds: Mapping[str, Decimal]


class _Setting:
    """One question of matching, with everything looked up that the steps share."""

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
                for row in clearances(
                    joint.inside,
                    joint.outside,
                    joint.wanted,
                    decision=decision,
                )
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

    # -- what there is to choose from ------------------------------------------------------

    def _check(self) -> None:
        known = {(part, number) for part, numbers in self.live.items() for number in numbers}
        takes = {group.id: dict(group.takes) for group in self.groups}
        counts = {group.id: group.count for group in self.groups}
        if len(takes) != len(self.groups):
            raise ValueError("two groups of items have the same name")
        if len(self.held) != len(self.fixed):
            raise ValueError("an item is listed as assembled twice")
        placed: set[Key] = set()
        for one in self.fixed:
            if one.group not in takes or not 1 <= one.item <= counts[one.group]:
                raise ValueError(f"there is no item {one.item} in group {one.group}")
            for part in {part for part, _ in one.pieces}:
                used = sum(p == part for p, _ in one.pieces)
                if used > takes[one.group].get(part, 0):
                    raise ValueError(
                        f"{one.group} {one.item} holds {used} of {part}, but takes "
                        f"{takes[one.group].get(part, 0)}"
                    )
            for key in one.pieces:
                if key in placed:
                    raise ValueError(f"{_name(key)} is assembled into two items")
                if key not in known:
                    raise ValueError(f"{_name(key)} is assembled but is no live piece")
                placed.add(key)
        for ban in self.bans:
            owners = [self.owner[key] for key in ban.pieces if key in self.owner]
            names = ", ".join(_name(key) for key in ban.pieces)
            if ban.together and len(set(owners)) > 1:
                raise ValueError(f"{names} are to be together but are assembled apart")
            if not ban.together and len(set(owners)) < len(owners):
                raise ValueError(f"{names} are to be apart but are assembled together")

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

    # -- the choice ------------------------------------------------------------------------

    def solve(
        self,
        steps: int,
        gap: float,
        grain: Decimal,
    ) -> tuple[tuple[Key, ...], tuple[Item, ...], _Outcome]:
        """Spare pieces, items, and what was proven."""
        # Items of a group without pieces yet are alike; one that holds some is a class of its own.
        classes: list[tuple[ItemGroup, list[int], Fixed | None]] = []
        for group in self.groups:
            loose = [i for i in self.counts[group.id] if (group.id, i) not in self.held]
            if loose:
                classes.append((group, loose, None))
            classes += [
                (group, [i], self.held[group.id, i])
                for i in self.counts[group.id]
                if (group.id, i) in self.held
            ]
        chosen: dict[tuple[str, int], list[Key]] = {
            (group.id, i): [] for group, numbers, _ in classes for i in numbers
        }
        proven = inside = True
        bounds: dict[str, Decimal] = {}
        for parts in self._components():
            found = self._component(parts, classes, chosen, steps, gap, grain)
            if found is not None:
                proven &= found.joints_proven
                inside &= found.sizes_inside
                bounds.update(found.bounds)
        order = {part: place for place, part in enumerate(self._parts())}
        items = tuple(
            self.item(group, i, sorted(chosen[group.id, i], key=lambda key: (order[key[0]], key)))
            for group in self.groups
            for i in self.counts[group.id]
        )
        used = {key for item in items for key in item.pieces}
        spares = tuple(
            (part, number)
            for part, numbers in self.live.items()
            for number in numbers
            if (part, number) not in used and (part, number) not in self.unmeasured
        )
        return spares, items, _Outcome(proven, inside, bounds)

    def _parts(self) -> list[str]:
        return list(dict.fromkeys(part for group in self.groups for part, _ in group.takes))

    def _components(self) -> list[list[str]]:
        """Parts that must be chosen with a view to each other."""
        parts = self._parts()
        root = {part: part for part in parts}

        def join(some: Iterable[str]) -> None:
            roots = [root[part] for part in some if part in root]
            for part in parts:
                if root[part] in roots:
                    root[part] = roots[0]

        for joint in self.joints:
            join([joint.inside[0].part, joint.outside[0].part])
        for stack in self.stacks:
            join([pieces[0].part for _, pieces in stack.terms])
        for ban in self.bans:
            join([part for part, _ in ban.pieces])
        return [[p for p in parts if root[p] == r] for r in dict.fromkeys(root[p] for p in parts)]

    def _component(
        self,
        parts: Sequence[str],
        classes: Sequence[tuple[ItemGroup, list[int], Fixed | None]],
        chosen: dict[tuple[str, int], list[Key]],
        steps: int,
        gap: float,
        grain: Decimal,
    ) -> _Outcome | None:
        """Choose the pieces of some parts for all items, and enter them into `chosen`."""
        from qlog.study.matching import chains

        keys = [(part, number) for part in parts for number in self.live.get(part, ())]
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
                free = tuple(index[part, n] for n in self.allowed(group, part))
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
            chains.ItemClass(
                len(items),
                tuple(parts.index(part) for part in own),
                choice,
                self._edges(own, index, keys),
            )
            for own, choice, items in zip(places, choices, members, strict=True)
        ]
        if not item_classes:
            return None
        criteria, names = self._criteria(parts, places, holders, keys)
        problem = chains.Problem(
            len(keys),
            tuple(item_classes),
            tuple(criteria),
            together=self._banned(index, together=True),
            apart=self._banned(index, together=False),
        )
        found = chains.choose(
            problem,
            steps=steps,
            gap=gap,
            grain=int(grain.scaleb(_PLACES)),
        )
        for items, some in zip(members, found.chains, strict=True):
            for item, chain in zip(items, some, strict=True):
                chosen[item] += [keys[piece] for piece in chain]
        return _Outcome(
            found.cost_bound >= found.cost,
            found.kept_within,
            {
                name: Decimal(spread.bound).scaleb(-_PLACES)
                for name, spread in zip(names, found.spreads, strict=True)
            },
        )

    def _edges(
        self, own: Sequence[str], index: Mapping[Key, int], keys: Sequence[Key]
    ) -> tuple[chains.Edge, ...]:
        """The joints of one class of items; two joints between the same places as one."""
        import numpy as np

        from qlog.study.matching import chains

        costs: dict[tuple[int, int], Ints] = {}
        for joint in self.joints:
            inner, outer = joint.inside[0].part, joint.outside[0].part
            if inner not in own or outer not in own or inner == outer:
                continue
            matrix = np.zeros((len(keys), len(keys)), dtype=np.int64)
            for (i, j), pair in self.pairs[joint.id].items():
                if (inner, i) in index and (outer, j) in index:
                    matrix[index[inner, i], index[outer, j]] = rank(pair.verdict, self.most)
            for a, b in _in_turn(own, inner, outer):
                if (b, a) in costs:
                    costs[b, a] = costs[b, a] + matrix.T
                else:
                    costs[a, b] = costs.get((a, b), 0) + matrix
        return tuple(chains.Edge(a, b, cost) for (a, b), cost in costs.items())

    def _criteria(
        self,
        parts: Sequence[str],
        places: Sequence[Sequence[str]],
        holders: Sequence[Fixed | None],
        keys: Sequence[Key],
    ) -> tuple[list[chains.Criterion], list[str]]:
        """Stacks, then visible dimensions, in whole steps of 1e-9; and their names."""
        found = {
            stack.id: self._of_stack(stack, places, holders, keys)
            for stack in self.stacks
            if stack.terms[0][1][0].part in parts
        }
        found |= {
            one.id: self._of_visible(one, places, holders, keys)
            for one in self.visible
            if one.pieces[0].part in parts
        }
        return list(found.values()), list(found)

    def _of_stack(
        self,
        stack: StackSizes,
        places: Sequence[Sequence[str]],
        holders: Sequence[Fixed | None],
        keys: Sequence[Key],
    ) -> chains.Criterion:
        from qlog.study.matching import chains

        owners = [pieces[0].part for _, pieces in stack.terms]
        sized = list(zip(owners, self.sized[stack.id], strict=True))
        columns = [_column(part, sizes, keys) for part, sizes in sized]
        terms: list[tuple[tuple[int, int, Ints], ...] | None] = []
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
            if unknown or not all(part in own for part in owners):
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
        return chains.Criterion(tuple(terms), True, tuple(constants), self._within(stack))

    def _of_visible(
        self,
        one: VisibleSizes,
        places: Sequence[Sequence[str]],
        holders: Sequence[Fixed | None],
        keys: Sequence[Key],
    ) -> chains.Criterion:
        from qlog.study.matching import chains

        part, seen = one.pieces[0].part, self.seen[one.id]
        values = _column(part, seen, keys)

        def unknown(held: Fixed | None) -> bool:
            pieces = held.pieces if held else ()
            return any(p == part and n not in seen for p, n in pieces)

        return chains.Criterion(
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
        for ban in self.bans:
            live = [index[key] for key in ban.pieces if key in index]
            # A piece that is gone makes no demand on the ones that are left.
            if ban.together is together and len(live) > 1:
                banned.append(tuple(live))
        return tuple(banned)

    def grain(self, baseline: Sequence[Item]) -> Decimal:
        """A difference of overall sizes too small to be worth looking for."""
        found: list[Decimal] = []
        for stack in self.stacks:
            least = combined(
                *(
                    min((p.uncertainty for p in pieces if p.uncertainty is not None), default=None)
                    for _, pieces in stack.terms
                )
            )
            spread = _spread(self.values(stack.id, baseline))
            if least is not None:
                found.append(least / 10)
            elif spread is not None:
                found.append(spread / 1000)
        return min(found, default=Decimal(0))

    # -- the picture -----------------------------------------------------------------------

    def item(self, group: ItemGroup, number: int, pieces: Sequence[Key]) -> Item:
        """One item with its joints and overall sizes worked out."""
        held = self.held.get((group.id, number))
        own = [part for part, _ in pieces]
        joints = []
        for joint in self.joints:
            inner, outer = joint.inside[0].part, joint.outside[0].part
            if inner in own and outer in own and inner != outer:
                for a, b in _in_turn(own, inner, outer):
                    pair = self.pairs[joint.id].get((pieces[a][1], pieces[b][1]))
                    if pair is not None:
                        joints.append(ItemJoint(joint.id, pair))
        sizes = []
        for stack in self.stacks:
            measured = [one for one in (held.sizes if held else ()) if one[0] == stack.id]
            if measured:
                (_, size, uncertainty), dof = measured[0], math.inf
            else:
                terms = [
                    (sign, table.get(number_))
                    for (sign, some), table in zip(stack.terms, self.sized[stack.id], strict=True)
                    for part, number_ in pieces
                    if part == some[0].part
                ]
                if not all(some[0].part in own for _, some in stack.terms):
                    continue
                known = [(sign, piece) for sign, piece in terms if piece is not None]
                if len(known) < len(terms):
                    continue
                size = sum((sign * piece.value for sign, piece in known), Decimal(0))
                uncertainty, dof = combined_sizes(known), combined_dof(known)
            judgement = None
            if stack.limits is not None:
                judgement = judge(
                    size, stack.limits, decision=self.decision, uncertainty=uncertainty, dof=dof
                )
            sizes.append(ItemSize(stack.id, size, uncertainty, judgement, bool(measured)))
        return Item(
            group.id,
            number,
            tuple(pieces),
            tuple(held.pieces) if held else (),
            tuple(joints),
            tuple(sizes),
        )

    def values(self, name: str, items: Sequence[Item]) -> list[Decimal]:
        """All values of a stack or a visible dimension among the items."""
        if name in self.seen:
            part = next(one.pieces[0].part for one in self.visible if one.id == name)
            return [
                self.seen[name][number].value
                for item in items
                for owner, number in item.pieces
                if owner == part and number in self.seen[name]
            ]
        return [size.size for item in items for size in item.sizes if size.stack == name]

    def making_order(self) -> tuple[Item, ...]:
        """The same items filled in the order in which the pieces were made; () if that fails.

        Reservations are respected, bans are not. Pieces that only one group may take are handed
        out as they come, like any other.
        """
        free = {
            group.id: {part: list(self.allowed(group, part)) for part, _ in group.takes}
            for group in self.groups
        }
        gone: set[Key] = set()
        items = []
        for group in self.groups:
            for number in self.counts[group.id]:
                pieces: list[Key] = []
                for part, wanted in group.takes:
                    ready = [n for n in free[group.id][part] if (part, n) not in gone]
                    if len(ready) < wanted:
                        return ()
                    pieces += [(part, n) for n in ready[:wanted]]
                    gone.update((part, n) for n in ready[:wanted])
                items.append(self.item(group, number, pieces))
        return tuple(items)


def _steps(value: Decimal) -> int:
    return int(value.scaleb(_PLACES).to_integral_value())


def _column(part: str, sizes: Mapping[int, Sized], keys: Sequence[Key]) -> Ints:
    """The sizes of all pieces in whole steps, 0 for those of other parts."""
    import numpy as np

    return np.array(
        [
            _steps(sizes[number].value) if owner == part and number in sizes else 0
            for owner, number in keys
        ],
        dtype=np.int64,
    )


def _in_turn(own: Sequence[str], inner: str, outer: str) -> list[tuple[int, int]]:
    """Places that a joint connects: as many pairs as the commoner part has places, in turn."""
    a = [place for place, part in enumerate(own) if part == inner]
    b = [place for place, part in enumerate(own) if part == outer]
    return [(a[k % len(a)], b[k % len(b)]) for k in range(max(len(a), len(b)))]


def _spread(values: Sequence[Decimal]) -> Decimal | None:
    return max(values) - min(values) if values else None


def _count(items: Sequence[Item]) -> Counts:
    verdicts = [joint.pair.verdict for item in items for joint in item.joints]
    return Counts(
        sum(v is Verdict.GOOD for v in verdicts),
        sum(v is Verdict.NOT_PROVEN for v in verdicts),
        sum(v.out for v in verdicts),
    )


def _name(key: Key) -> str:
    return f"{key[0]}-{key[1]}"
