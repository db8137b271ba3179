"""Mating: joints, stacks and the choice of pieces for the finished items."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from decimal import Decimal

from qlog.drawing.decimals import places_for, places_of
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Build, Feature, Joint, Stack
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen, replace
from qlog.problem import Problem, ToSay
from qlog.review.instrument.experience import Experience
from qlog.review.instrument.judging import trust_of, warmth_of
from qlog.review.items.item_views import ItemView
from qlog.review.items.kept_choice import choose
from qlog.review.items.sizes import FeatureSizes, feature_sizes, source_of
from qlog.review.items.within import Within
from qlog.review.part.batch import Batch
from qlog.review.part.decided import failed_readings
from qlog.review.views import ReadingView, Standing
from qlog.study.fit.joints import FitConflict, Pair, Pairing, ReadWith, Sized, clearances, pairing
from qlog.study.fit.stacks import (
    PossibleAssembly,
    StackBudget,
    Term,
    budget,
    combinations,
    possible,
)
from qlog.study.matching.match import match
from qlog.study.matching.model import Fixed, JointSizes, Matching, StackSizes, VisibleSizes

#: More possible assemblies than this are counted and not listed.
MOST_ASSEMBLIES = 200_000


@frozen
class JointView:
    """One joint: the clearance of every pair of live pieces, and the best pairing.

    What is assembled stays put: its pairs are in the pairing as they are, the best is sought for
    the pieces that are left.
    """

    joint: Joint
    inside: FeatureSizes
    outside: FeatureSizes
    table: tuple[tuple[Pair, ...], ...]  # a row for each inside piece
    pairing: Pairing
    conflicts: tuple[FitConflict, ...]  # why pieces fit nothing; none once enough are assembled
    assembled: tuple[tuple[int, int], ...] = ()  # inside and outside piece, in one item already
    places: int = 3  # that clearances and sizes to turn to are shown with, in the joint's unit


@frozen
class StackView:
    """One stack: what the tolerances allow, and what the pieces at hand can become."""

    stack: Stack
    budget: StackBudget | None  # before cutting; None where a dimension has only one limit
    possible: int  # assemblies that the live pieces can make
    smallest: PossibleAssembly | None
    largest: PossibleAssembly | None
    out: int  # possible assemblies outside the stack's limits
    sizes: tuple[tuple[int, FeatureSizes], ...]
    places: int = 3  # that its sizes are shown with


@frozen
class Barred:
    """A piece that is not to be given away as it stands, and why."""

    part: str
    piece: int
    failed: tuple[ReadingView, ...]  # out or no-go, and nobody decided about it
    away: bool  # still sent out
    item: str | None  # the item that it is in already

    @property
    def id(self) -> str:
        """The piece as it is called at the bench: `cup-4`."""
        return f"{self.part}-{self.piece}"


def joint_views(
    build: Build, parts: Sequence[Batch], experience: Experience | None = None
) -> tuple[JointView, ...]:
    """Every joint of the plan, whatever has been read of it so far.

    `experience` is what checks and studies showed of the instruments: what a new piece would be
    read with goes into what is to be turned.
    """
    known = experience or Experience()
    return tuple(_joint(build, parts, joint, known) for joint in build.joints)


def _joint(build: Build, parts: Sequence[Batch], joint: Joint, experience: Experience) -> JointView:
    unit = joint.clearance.unit
    inside = feature_sizes(parts, joint.inside, unit)
    outside = feature_sizes(parts, joint.outside, unit)
    together = _together(build, parts, joint, inside, outside)
    needed = min(build.part(joint.inside.part).needed, build.part(joint.outside.part).needed)
    best = pairing(
        [p for p in inside.pieces if p.number not in {t.inside.number for t in together}],
        [p for p in outside.pieces if p.number not in {t.outside.number for t in together}],
        joint.clearance,
        decision=build.decision,
        count=max(0, needed - len(together)),
        drawing_inside=drawing_limits(build, joint.inside, unit),
        drawing_outside=drawing_limits(build, joint.outside, unit),
        reading_inside=reading_of(build, joint.inside, unit, experience),
        reading_outside=reading_of(build, joint.outside, unit, experience),
    )
    places = joint_places(build, joint)
    return JointView(
        joint=joint,
        inside=inside,
        outside=outside,
        table=clearances(inside.pieces, outside.pieces, joint.clearance, decision=build.decision),
        pairing=_beside(together, best),
        conflicts=best.conflicts if needed > len(together) else (),
        assembled=tuple((p.inside.number, p.outside.number) for p in together),
        places=places,
    )


def joint_places(build: Build, joint: Joint) -> int:
    """Places that the joint's clearances are shown with: those of the finer of its dimensions."""
    unit = joint.clearance.unit
    return max(places_of(build, f.part, f.dimension, unit) for f in (joint.inside, joint.outside))


def _together(
    build: Build, parts: Sequence[Batch], joint: Joint, inside: FeatureSizes,
    outside: FeatureSizes,
) -> tuple[Pair, ...]:  # fmt: skip
    """The pairs of the joint that are in one item already; the best ones where it takes several."""
    items: list[dict[int, str]] = []
    for part in (joint.inside.part, joint.outside.part):
        view = next(v for v in parts if v.part.id == part)
        items.append({p.number: p.item for p in view.pieces if p.item is not None})
    found: list[Pair] = []
    for item in dict.fromkeys(items[0].values()):
        found += pairing(
            [p for p in inside.pieces if items[0].get(p.number) == item],
            [p for p in outside.pieces if items[1].get(p.number) == item],
            joint.clearance,
            decision=build.decision,
        ).pairs
    return tuple(found)


def _beside(together: tuple[Pair, ...], best: Pairing) -> Pairing:
    """The pairs that are together already and the best of the rest, as one pairing."""
    if not together:
        return best
    pairs = sorted((*together, *best.pairs), key=lambda pair: pair.inside.number)
    return replace(best, pairs=tuple(pairs), wanted=best.wanted + len(together))


def drawing_limits(build: Build, feature: Feature, unit: Unit) -> Limits:
    """The drawing's limits of a feature's finished size, in the unit asked for."""
    return build.part(feature.part).dimension(feature.dimension).callout.limits.to(unit)


def reading_of(
    build: Build, feature: Feature, unit: Unit, experience: Experience
) -> ReadWith | None:
    """How a new piece's feature would be read, in `unit`; None where no instrument is planned."""
    part = build.part(feature.part)
    dimension = part.dimension(feature.dimension)
    if dimension.instrument is None:
        return None
    instrument = build.instrument(dimension.instrument)
    shown = experience.of(dimension.instrument, feature.part, feature.dimension, unit)
    own = dimension.callout.unit
    warmth = warmth_of(build, part, dimension.callout, instrument, None) if own is unit else ()
    known = trust_of(instrument, unit, shown, warmth)
    return ReadWith(
        known.uncertainty,
        known.shared or Decimal(0),
        source_of(instrument.id, dimension),
        known.dof,
    )


def stack_views(build: Build, parts: Sequence[Batch]) -> tuple[StackView, ...]:
    """Every stack of the plan."""
    return tuple(_stack(build, parts, stack) for stack in build.stacks)


def _stack(build: Build, parts: Sequence[Batch], stack: Stack) -> StackView:
    unit, limits = stack.callout.unit, stack.callout.limits
    sizes = tuple((sign, feature_sizes(parts, f, unit)) for sign, f in stack.terms)
    try:
        planned: StackBudget | None = budget(
            [
                Term(f"{f.part} {f.dimension}", sign, drawing_limits(build, f, unit))
                for sign, f in stack.terms
            ],
            limits,
        )
    except ValueError:  # a dimension with only one limit: nothing can be said before cutting
        planned = None
    terms = _alike([(sign, feature_sizes(parts, f, unit).pieces) for sign, f in stack.distinct])
    many = combinations(terms, stack.times)
    found = None
    if 0 < many <= MOST_ASSEMBLIES:
        found = possible(terms, limits, decision=build.decision, times=stack.times)
    return StackView(
        stack=stack,
        budget=planned,
        possible=many,
        smallest=None if found is None else found.smallest,
        largest=None if found is None else found.largest,
        out=0 if found is None else found.out,
        sizes=sizes,
        places=max(
            places_for(stack.callout, unit),
            *(places_of(build, f.part, f.dimension, unit) for _, f in stack.terms),
        ),
    )


def _alike(terms: Sequence[tuple[int, tuple[Sized, ...]]]) -> list[tuple[int, tuple[Sized, ...]]]:
    """The terms with only those pieces of a part that are read in all of its dimensions."""
    read: dict[str, set[int]] = {}
    for _, pieces in terms:
        if pieces:
            numbers = {p.number for p in pieces}
            read[pieces[0].part] = read.get(pieces[0].part, numbers) & numbers
    return [(sign, tuple(p for p in pieces if p.number in read[p.part])) for sign, pieces in terms]


def match_items(
    build: Build,
    parts: Sequence[Batch],
    items: Sequence[ItemView],
    *,
    taken: Collection[tuple[str, int]] = (),
) -> Matching:
    """Choose the pieces of the whole set, with what is assembled already left as it is.

    An assembled piece that was scrapped leaves its place open. One that sits in an item which the
    plan has no longer is not to be had. Pieces that `barred` names are left out, but for those
    in `taken`.

    Raises Problem when bans and assembled pieces contradict each other.
    """
    planned = {item.id for item in items}
    out = {(b.part, b.piece) for b in barred(build, parts) if b.item is None} - set(taken)
    live = {
        view.part.id: [
            p.number
            for p in view.pieces
            if p.standing is not Standing.SCRAP
            and (p.item is None or p.item in planned)
            and (p.part, p.number) not in out
        ]
        for view in parts
    }
    joints = [
        JointSizes(
            j.id,
            feature_sizes(parts, j.inside, j.clearance.unit).pieces,
            feature_sizes(parts, j.outside, j.clearance.unit).pieces,
            j.clearance,
        )
        for j in build.joints
    ]
    stacks = [
        StackSizes(
            s.id,
            tuple((sign, feature_sizes(parts, f, s.callout.unit).pieces) for sign, f in s.distinct),
            s.callout.limits,
            tuple(s.times.items()),
        )
        for s in build.stacks
    ]
    visible = [
        VisibleSizes(f"{part.id} {d.id}", _visible(parts, part.id, d.id, d.callout.unit))
        for part in build.parts
        for d in part.dimensions
        if d.visible and not d.callout.attribute
    ]
    try:
        return match(
            live,
            tuple(g for g in build.groups if g.takes),
            joints=joints,
            stacks=stacks,
            visible=[v for v in visible if v.pieces],
            bans=build.bans,
            fixed=_fixed(build, items),
            decision=build.decision,
            choose=choose,
        )
    except ValueError as error:
        raise Problem(ToSay("error.change_keep_item", error=error)) from error


def chosen_items(
    found: Matching, inner: Sequence[Within] = ()
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Every item of a choice with the names of what goes in: ("set-1", ("cup-2", "peg-1")).

    Larger items stand behind, with the items that go into them beside their own pieces.
    """
    larger = {w.item: w.holds for w in inner}
    own = {
        f"{i.group}-{i.number}": tuple(f"{part}-{number}" for part, number in i.pieces)
        for i in found.items
    }
    return (
        *((id, names) for id, names in own.items() if id not in larger),
        *((id, (*own.get(id, ()), *names)) for id, names in larger.items()),
    )


def barred(build: Build, parts: Sequence[Batch]) -> tuple[Barred, ...]:
    """The pieces that are not to be given away as they stand, in the order of the plan.

    A piece that failed and that nobody decided to use as it is, and one that is still away; those
    already in an item are named with it. Scrapped pieces are gone and not named.
    """
    wanted = {part for group in build.groups for part, _ in group.takes}
    found: list[Barred] = []
    for batch in parts:
        failed = failed_readings(batch.pieces, batch.series)
        found += [
            Barred(
                batch.part.id, piece.number, failed.get(piece.number, ()),
                piece.standing is Standing.OUT, piece.item,
            )
            for piece in batch.pieces
            if batch.part.id in wanted
            and (piece.number in failed or piece.standing is Standing.OUT)
        ]  # fmt: skip
    return tuple(found)


def not_measured(build: Build, parts: Sequence[Batch]) -> tuple[str, ...]:
    """Joints and stacks with a dimension that nobody has read: no match can use them."""
    wanted: list[tuple[str, tuple[Feature, ...], Unit]] = [
        (j.id, (j.inside, j.outside), j.clearance.unit) for j in build.joints
    ]
    wanted += [(s.id, tuple(f for _, f in s.terms), s.callout.unit) for s in build.stacks]
    return tuple(
        id_
        for id_, features, unit in wanted
        if any(not feature_sizes(parts, f, unit).pieces for f in features)
    )


def _visible(parts: Sequence[Batch], part: str, dimension: str, unit: Unit) -> tuple[Sized, ...]:
    return feature_sizes(parts, Feature(part, dimension), unit).pieces


def _fixed(build: Build, items: Sequence[ItemView]) -> list[Fixed]:
    """The items that are assembled already, with the overall sizes measured on them.

    What was measured on an item counts while nothing of it was scrapped.
    """
    units = {s.id: s.callout.unit for s in build.stacks}
    takes = {g.id: sum(number for _, number in g.takes) for g in build.groups}
    found: list[Fixed] = []
    for item in items:
        if not item.assembly:
            continue
        sizes = tuple(
            (
                e.fact.stack,
                convert(Decimal(e.fact.value), Unit(e.fact.unit), units[e.fact.stack]),
                None if e.judgement is None else e.judgement.uncertainty,
            )
            for e in item.sizes
            if e.fact.stack in units and len(item.assembly) == takes[item.group]
        )
        found.append(
            Fixed(
                group=item.group,
                item=int(item.id.rpartition("-")[2]),
                pieces=tuple((e.fact.part, e.fact.piece) for e in item.assembly),
                sizes=sizes,
            )
        )
    return found
