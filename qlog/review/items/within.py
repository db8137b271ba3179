"""Which items go together into the larger ones that hold them: their joints, their overall sizes.

A joint is between two items, and an overall size is of a larger item, where no smaller item and
not the pieces that go straight into it have both, or all, of its dimensions.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from qlog.drawing.plan import Build, ItemGroup, Joint, Stack
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen, replace
from qlog.review.items.item_views import ItemView
from qlog.review.items.sizes import feature_sizes
from qlog.review.part.batch import Batch
from qlog.study.conformity.verdict import Verdict
from qlog.study.fit.assignment import cheapest_pairs
from qlog.study.fit.joints import Pair, Sized, clearances
from qlog.study.fit.stacks import assembly
from qlog.study.matching.match import together
from qlog.study.matching.model import ItemJoint, Key, MatchedSize, Matching
from qlog.study.matching.setting import in_turn

#: What a joint costs a choice: any that is out outweighs all that are not proven.
_COSTS = {Verdict.GOOD: 0, Verdict.NOT_PROVEN: 1}
_UNKNOWN, _OUT = 1, 10_000


@frozen
class Within:
    """Items proposed for one larger item, or already in it, and how they fit together."""

    item: str
    holds: tuple[str, ...]
    stack: Stack | None  # in which they are most alike; None where there is no size
    spread: Decimal | None
    done: bool
    joints: tuple[ItemJoint, ...]  # between the items, and with the pieces beside them
    sizes: tuple[MatchedSize, ...]  # overall sizes of the larger item
    pieces: tuple[Key, ...]  # that go straight into it
    by_fit: bool  # chosen by joints between the items

    @property
    def out(self) -> bool:
        """Whether a joint or an overall size of it is out."""
        return any(j.pair.verdict.out for j in self.joints) or any(
            s.judgement is not None and s.judgement.verdict.out for s in self.sizes
        )


def within(
    build: Build, parts: Sequence[Batch], found: Matching | None, items: Sequence[ItemView]
) -> tuple[Within, ...]:
    """What goes into every item that holds others, from the innermost to the outermost.

    Items are chosen by the joints between them where there are any, else so that they are alike
    in an overall size, else in their order. `found` is the choice of pieces; None for none.
    """
    return _Proposing(build, parts, found, items).all()


#: The items or pieces that go into a larger item together, each with all the pieces in it.
_Members = tuple[tuple[Key, ...], ...]


@frozen
class _Lot:
    """Items of one group that go into a larger item together."""

    names: tuple[str, ...]
    stack: Stack | None = None  # in which they are alike
    spread: Decimal | None = None
    by_fit: bool = False


class _Proposing:
    """One build's larger items, proposed from within outwards."""

    def __init__(
        self,
        build: Build,
        parts: Sequence[Batch],
        found: Matching | None,
        items: Sequence[ItemView],
    ) -> None:
        self.build, self.parts = build, parts
        self.views = {view.id: view for view in items}
        chosen = () if found is None else found.items
        self.direct = {f"{i.group}-{i.number}": i.pieces for i in chosen}
        self.sizes = {
            (f"{i.group}-{i.number}", s.stack): s.size for i in chosen for s in i.sizes
        }  # fmt: skip
        #: All the pieces in an item, however deep.
        self.leaves: dict[str, tuple[Key, ...]] = dict(self.direct)
        self.pairs: dict[str, dict[tuple[int, int], Pair]] = {}

    def all(self) -> tuple[Within, ...]:
        """Every larger item, inner ones first, in the order of the plan among equals."""
        told: list[Within] = []
        for group in _inner_first(self.build.groups):
            ids = [f"{group.id}-{number}" for number in range(1, group.count + 1)]
            done = {id: _Lot(held) for id in ids if (held := self.views[id].holds)}
            told += [self._worked_out(id, lot, done=True) for id, lot in done.items()]
            for id, lot in self._proposed(group, [id for id in ids if id not in done]):
                told.append(self._worked_out(id, lot, done=False))
        place = {f"{g.id}-{n}": i for i, g in enumerate(self.build.groups)
                 for n in range(1, g.count + 1)}  # fmt: skip
        return tuple(sorted(told, key=lambda w: place[w.item]))

    def _proposed(self, group: ItemGroup, open_: Sequence[str]) -> list[tuple[str, _Lot]]:
        lots: list[list[_Lot]] = []
        placed: dict[str, _Members] = {id: (self.direct.get(id, ()),) for id in open_}
        for of, each in group.holds:
            free = [v.id for v in self.views.values() if v.group == of and not v.inside]
            stack, sizes = self._sized(free)
            if each > 1 and stack is not None:
                alike = together(sizes, each, len(open_))
                lot = [_Lot(one.items, stack, one.spread) for one in alike]
            else:
                full = range(0, len(free) - each + 1, each)
                lot = [_Lot(tuple(free[i : i + each])) for i in full]
            lots.append(self._fitted(lot, open_, placed))
            for id, own in zip(open_, lots[-1], strict=False):
                placed[id] = (*placed[id], *self._inside(own))
        proposed = []
        for at, item in enumerate(open_):
            row = [lot[at] for lot in lots if at < len(lot)]
            names = tuple(name for own in row for name in own.names)
            if len(row) == len(lots) and len(names) == sum(n for _, n in group.holds):
                sized = next((own for own in row if own.spread is not None), _Lot(()))
                fit = any(own.by_fit for own in row)
                proposed.append((item, _Lot(names, sized.stack, sized.spread, by_fit=fit)))
        return proposed

    def _inside(self, lot: _Lot) -> list[tuple[Key, ...]]:
        return [self.leaves.get(name, ()) for name in lot.names]

    def _fitted(
        self, lot: list[_Lot], open_: Sequence[str], placed: dict[str, _Members]
    ) -> list[_Lot]:
        """The lot in the order of the items that it goes into: by the joints with what is there."""
        filled = open_[: len(lot)]
        costs = [[self._cost(placed[id], self._inside(own)) for own in lot] for id in filled]
        if not any(cost is not None for row in costs for cost in row):
            return lot
        # The order of the items decides between choices that fit equally well.
        least = (len(filled) * len(lot) + 1) ** 2
        whole = [
            [(cost or 0) * least + abs(i - j) for j, cost in enumerate(row)]
            for i, row in enumerate(costs)
        ]
        chosen = cheapest_pairs(whole, len(filled))[1]
        return [replace(lot[j], by_fit=True) for _, j in chosen]

    def _cost(self, there: _Members, coming: Sequence[tuple[Key, ...]]) -> int | None:
        """What the joints between two lots cost; None where there are none between them."""
        members = (*there, *coming)
        new = {key for member in coming for key in member}
        cost = None
        for joint in self.build.joints:
            for inner, outer in self._between(joint, members):
                if (inner in new) or (outer in new):
                    pair = self._pairs(joint).get((inner[1], outer[1]))
                    own = _UNKNOWN if pair is None else _COSTS.get(pair.verdict, _OUT)
                    cost = own + (cost or 0)
        return cost

    def _between(self, joint: Joint, members: _Members) -> list[tuple[Key, Key]]:
        """The pieces that a joint connects among these, where no member has both of its parts."""
        inner, outer = joint.inside.part, joint.outside.part
        if any({inner, outer} <= {part for part, _ in member} for member in members):
            return []
        every = [key for member in members for key in member]
        own = [part for part, _ in every]
        if inner not in own or outer not in own or inner == outer:
            return []
        return [(every[a], every[b]) for a, b in in_turn(own, inner, outer)]

    def _pairs(self, joint: Joint) -> dict[tuple[int, int], Pair]:
        if joint.id not in self.pairs:
            unit = joint.clearance.unit
            rows = clearances(
                feature_sizes(self.parts, joint.inside, unit).pieces,
                feature_sizes(self.parts, joint.outside, unit).pieces,
                joint.clearance,
                decision=self.build.decision,
            )
            self.pairs[joint.id] = {
                (p.inside.number, p.outside.number): p for row in rows for p in row
            }
        return self.pairs[joint.id]

    def _worked_out(self, item: str, lot: _Lot, *, done: bool) -> Within:
        """The larger item with its joints and overall sizes."""
        direct = self.direct.get(item, ())
        members = (direct, *self._inside(lot))
        pieces = tuple(key for member in members for key in member)
        self.leaves[item] = pieces
        joints = tuple(
            ItemJoint(joint.id, pair)
            for joint in self.build.joints
            for inner, outer in self._between(joint, members)
            if (pair := self._pairs(joint).get((inner[1], outer[1]))) is not None
        )
        sizes = tuple(
            size for stack in self.build.stacks
            if (size := self._size(item, stack, members, pieces)) is not None
        )  # fmt: skip
        self.sizes |= {(item, size.stack): size.size for size in sizes}
        about = (item, lot.names, lot.stack, lot.spread, done)
        return Within(*about, joints, sizes, direct, lot.by_fit)

    def _size(
        self, item: str, stack: Stack, members: _Members, pieces: Sequence[Key]
    ) -> MatchedSize | None:
        """An overall size of a larger item: measured on it, else predicted from its pieces."""
        limits, unit = stack.callout.limits, stack.callout.unit
        for size in self.views[item].sizes:
            if size.fact.stack == stack.id:
                value = convert(Decimal(size.fact.value), Unit(size.fact.unit), unit)
                return MatchedSize(stack.id, value, size.judgement, measured=True)
        if any(_has(stack, [part for part, _ in member]) for member in members):
            return None
        if not _has(stack, [part for part, _ in pieces]):
            return None
        terms: list[tuple[int, Sized]] = []
        for sign, feature in stack.distinct:
            sizes = feature_sizes(self.parts, feature, unit)
            for part, number in pieces:
                if part == feature.part:
                    own = sizes.of(number)
                    if own is None:
                        return None
                    terms.append((sign, own))
        made = assembly(terms, limits, decision=self.build.decision)
        return MatchedSize(stack.id, made.size, made.judgement, measured=False)

    def _sized(self, names: Sequence[str]) -> tuple[Stack | None, list[tuple[str, Decimal]]]:
        """The first overall size that all of these items have, with the sizes."""
        for stack in self.build.stacks:
            sizes = [(n, self.sizes[n, stack.id]) for n in names if (n, stack.id) in self.sizes]
            if names and len(sizes) == len(names):
                return stack, sizes
        return None, []


def _has(stack: Stack, own: Sequence[str]) -> bool:
    """Whether pieces of these parts, one for each, make up the overall size and nothing more."""
    return all(
        own.count(feature.part) == stack.times.get(feature.part, 1) for _, feature in stack.terms
    )


def _inner_first(groups: Sequence[ItemGroup]) -> list[ItemGroup]:
    """The groups that hold items, those within others before these."""
    known = {group.id: group for group in groups}
    ordered: list[ItemGroup] = []

    def add(group: ItemGroup) -> None:
        for id, _ in group.holds:
            add(known[id])
        if group.holds and group not in ordered:
            ordered.append(group)

    for group in groups:
        add(group)
    return ordered
