"""Joints, stacks and matching, as their page shows them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from qlog.drawing.limits import Limits
from qlog.drawing.plan import Feature, Joint, Stack
from qlog.frozen import frozen, replace
from qlog.record.charts import chart as charts
from qlog.record.charts.chart import Shape
from qlog.record.charts.wrapped import draw_rows
from qlog.record.pages.dimension.figures import Labelled
from qlog.record.pages.gallery import item_name
from qlog.record.pages.page import Leaf, Page, leaf_path, piece_href, split, titled
from qlog.record.pages.verdict_marks import VERDICT_SHAPES
from qlog.review.items.mating import JointView, StackView
from qlog.review.items.within import Within
from qlog.review.picture import Picture
from qlog.study.conformity.verdict import Verdict, show
from qlog.study.fit.joints import Pair
from qlog.study.fit.stacks import StackBudget
from qlog.study.matching.model import MatchedItem
from qlog.words.catalogue import Words
from qlog.words.fits import pieces_text, spread_text, within_texts
from qlog.words.values import (
    NO_LIMITS,
    NumbersIn,
    decimals_of,
    fixed,
    limits_text,
    places,
    verdict_name,
    with_unit,
)

MINUS = "\N{MINUS SIGN}"


@frozen
class PairCell:
    """Two pieces held against each other in the table of a joint."""

    text: str
    shape: Shape
    word: str
    chosen: bool


@frozen
class JointShown:
    """One joint: what is asked, every pair of pieces, and the best pairing as a picture."""

    id: str
    name: str
    facts: tuple[Labelled, ...]
    outsides: tuple[str, ...]  # pieces along the top of the table
    rows: tuple[tuple[str, tuple[PairCell, ...]], ...]
    wide: tuple[charts.Chart, ...]  # empty where no pair is there
    narrow: tuple[charts.Chart, ...]
    described: str
    shapes: tuple[Shape, ...]
    unread: str
    table_href: str = ""  # where the table has a page of its own


@frozen
class StackShown:
    """One stack: what adds up, and what is asked, allowed, possible and reached on one scale."""

    id: str
    name: str
    facts: tuple[Labelled, ...]
    spans: tuple[tuple[str, str, charts.Span], ...]  # label, values, picture
    shares: tuple[tuple[str, str, charts.ChartBar], ...]  # what uses up the worst case


@frozen
class MatchRow:
    """One item of the matching."""

    name: str
    pieces: tuple[tuple[str, str], ...]  # name, page
    assembled: bool
    joints: tuple[tuple[str, Shape, str], ...]  # clearance, shape, word; in the order of the joints
    sizes: tuple[tuple[str, Shape | None, str], ...]


@frozen
class MatchShown:
    """The choice of pieces for the finished items."""

    joints: tuple[str, ...]
    stacks: tuple[str, ...]
    rows: tuple[MatchRow, ...]
    lines: tuple[str, ...]


#: Pairs in a table that stands with its joint, and on one leaf of a table of its own.
_FEW_PAIRS, _MOST_PAIRS = 300, 600


def fit_pages(picture: Picture, words: Words, common: Mapping[str, object]) -> Iterator[Page]:
    """Joints, stacks and matching; the tables of large batches on pages of their own."""
    context = fits_context(picture, words)
    shown, apart = [], []
    for joint in context.pop("joints"):
        if len(joint.rows) * len(joint.outsides) > _FEW_PAIRS:
            long = replace(joint, table_href=f"fits/{joint.id}.html")
            apart.append(long)
            shown.append(replace(long, rows=()))
        else:
            shown.append(joint)
    own = {**common, **context, "joints": shown}
    yield Page("fits.html", "maker/fits.html", words("nav.fits"), own, "fits")
    for joint in apart:
        yield from _table_pages(joint, words, common)


def _table_pages(joint: JointShown, words: Words, common: Mapping[str, object]) -> Iterator[Page]:
    """The table of a large joint, so many of its rows on a leaf."""
    shares = split(joint.rows, lambda row: len(row[1]), _MOST_PAIRS)
    leaves = [
        Leaf(
            leaf_path(joint.table_href, n),
            words("report.block", first=rows[0][0], last=rows[-1][0]),
        )
        for n, rows in enumerate(shares, start=1)
    ]
    for leaf, rows in zip(leaves, shares, strict=True):
        own = {**common, "joint": replace(joint, rows=tuple(rows)), "leaves": leaves}
        title = titled(joint.name, leaf.path, leaves, words)
        yield Page(leaf.path, "maker/joint.html", title, own, "fits")


def fits_context(picture: Picture, words: Words) -> dict[str, Any]:
    """Joints, stacks and matching; the plan's alone where the review has not worked them out."""
    views = {view.joint.id: view for view in picture.joints}
    stacks = {view.stack.id: view for view in picture.stacks}
    return {
        "joints": [_joint(j, views.get(j.id), picture, words) for j in picture.build.joints],
        "stacks": [_stack(s, stacks.get(s.id), picture, words) for s in picture.build.stacks],
        "matching": _matching(picture, words),
    }


def _named(feature: Feature, picture: Picture) -> str:
    part = picture.build.part(feature.part)
    return f"{part.name}, {part.dimension(feature.dimension).name}"


def _size(value: Decimal, limits: Limits | None, decimals: int, words: Words) -> str:
    bounds = limits if limits is not None else NO_LIMITS
    return words.number(show(value, bounds, decimals), bounds.unit.symbol)


def _joint(joint: Joint, view: JointView | None, picture: Picture, words: Words) -> JointShown:
    facts = [
        Labelled(words("fits.inside"), _named(joint.inside, picture)),
        Labelled(words("fits.outside"), _named(joint.outside, picture)),
        Labelled(words("fits.clearance"), limits_text(words, joint.clearance), words("fits.sign")),
    ]
    if view is None:
        return JointShown(joint.id, joint.name, tuple(facts), (), (), (), (), "", (), "")
    finest = max(
        places(joint.clearance, None),
        *(decimals_of(p.value) for p in (*view.inside.pieces, *view.outside.pieces)),
        0,
    )
    symbol = joint.clearance.unit.symbol
    pairing = view.pairing
    chosen = {(p.inside.number, p.outside.number) for p in pairing.pairs}
    facts += [
        Labelled(
            words("fits.pairs"),
            words("fits.pairs_of", n=len(pairing.pairs), wanted=pairing.wanted),
            ", ".join(
                words("verdict.count", n=pairing.count(v), word=verdict_name(words, v))
                for v in Verdict
                if pairing.count(v)
            ),
        )
    ]
    if pairing.spread is not None:
        spread = words.number(fixed(pairing.spread, finest))
        facts.append(Labelled(words("fits.spread"), with_unit(spread, symbol)))
    data = _pairs_chart(joint, pairing.pairs, finest, words)
    unread = [
        words.piece(feature.part, n)
        for feature, sizes in ((joint.inside, view.inside), (joint.outside, view.outside))
        for n in sizes.unread
    ]
    return JointShown(
        id=joint.id,
        name=joint.name,
        facts=tuple(facts),
        outsides=tuple(p.id for p in view.outside.pieces),
        rows=tuple(
            (
                row[0].inside.id,
                tuple(
                    PairCell(
                        _size(pair.clearance, joint.clearance, finest, words),
                        VERDICT_SHAPES[pair.verdict],
                        verdict_name(words, pair.verdict),
                        (pair.inside.number, pair.outside.number) in chosen,
                    )
                    for pair in row
                ),
            )
            for row in view.table
            if row
        ),
        wide=draw_rows(data, charts.WIDE) if data is not None else (),
        narrow=draw_rows(data, charts.NARROW) if data is not None else (),
        described=words(
            "fits.described", name=joint.name, limits=limits_text(words, joint.clearance)
        ),
        shapes=tuple(dict.fromkeys(VERDICT_SHAPES[p.verdict] for p in pairing.pairs)),
        unread=words("fits.unread", pieces=", ".join(unread)) if unread else "",
    )


def _pairs_chart(
    joint: Joint, pairs: tuple[Pair, ...], decimals: int, words: Words
) -> charts.ChartData | None:
    if not pairs:
        return None
    symbol = joint.clearance.unit.symbol
    limits = joint.clearance

    def point(pair: Pair) -> charts.Point:
        value = with_unit(_size(pair.clearance, limits, decimals, words), symbol)
        expanded = pair.judgement.expanded
        return charts.Point(
            label=words.called(pair.inside.part, pair.inside.number),
            value=float(pair.clearance),
            shape=VERDICT_SHAPES[pair.verdict],
            tip=words(
                "fits.tip",
                inside=pair.inside.id,
                outside=pair.outside.id,
                value=value,
                verdict=verdict_name(words, pair.verdict),
            ),
            href=f"#joint-{joint.id}",
            bar=float(expanded) if expanded else None,
        )

    return charts.ChartData(
        points=tuple(point(pair) for pair in pairs),
        levels=tuple(
            charts.Level(
                float(value), words.number(fixed(value, decimals), symbol), words(f"fits.{name}")
            )
            for value, name in ((limits.upper, "loosest"), (limits.lower, "tightest"))
            if value is not None
        ),
        number=NumbersIn(words, symbol),
        unit=symbol,
        stretches=tuple(charts.Stretch(n, n, "") for n in range(len(pairs))),
        joined=False,
        upper=None if limits.upper is None else float(limits.upper),
        lower=None if limits.lower is None else float(limits.lower),
    )


def _stack(stack: Stack, view: StackView | None, picture: Picture, words: Words) -> StackShown:
    limits = stack.callout.limits
    terms = " ".join(
        f"{'+' if sign > 0 else MINUS} {_named(feature, picture)}" for sign, feature in stack.terms
    ).removeprefix("+ ")
    facts = [
        Labelled(words("col.callout"), stack.callout.text),
        Labelled(words("col.limits"), limits_text(words, limits)),
        Labelled(words("fits.terms"), terms),
    ]
    if view is None:
        return StackShown(stack.id, stack.name, tuple(facts), (), ())
    if view.possible:
        facts.append(Labelled(words("fits.possible"), str(view.possible)))
        facts.append(Labelled(words("fits.possible_out"), str(view.out)))
    rows: list[tuple[str, float, float]] = []
    if limits.lower is not None and limits.upper is not None:
        rows.append((words("fits.asked"), float(limits.lower), float(limits.upper)))
    budget = view.budget
    if budget is not None:
        for label, (low, high) in (
            ("fits.worst", budget.worst_limits),
            ("fits.rss", budget.rss_limits),
        ):
            rows.append((words(label), float(low), float(high)))
    if view.smallest is not None and view.largest is not None:
        rows.append((words("fits.reachable"), float(view.smallest.size), float(view.largest.size)))
    reached = _reached(stack, picture)
    if reached:
        rows.append((words("fits.reached"), float(min(reached)), float(max(reached))))
    finest = max(places(limits, None), *(decimals_of(v) for v in reached), 2)
    spans = charts.spans([(low, high) for _, low, high in rows], [float(v) for v in reached])
    symbol = limits.unit.symbol
    return StackShown(
        id=stack.id,
        name=stack.name,
        facts=tuple(facts),
        spans=tuple(
            (
                label,
                with_unit(
                    words(
                        "limits.both",
                        lower=words.number(fixed(low, finest), symbol),
                        upper=words.number(fixed(high, finest), symbol),
                    ),
                    symbol,
                ),
                span,
            )
            for (label, low, high), span in zip(rows, spans, strict=True)
        ),
        shares=_shares(budget, symbol, finest, picture, words) if budget is not None else (),
    )


def _reached(stack: Stack, picture: Picture) -> list[Decimal]:
    matching = picture.matching
    if matching is None:
        return []
    every: list[MatchedItem | Within] = [*matching.items, *picture.within]
    return [s.size for item in every for s in item.sizes if s.stack == stack.id]


def _shares(
    budget: StackBudget, symbol: str, decimals: int, picture: Picture, words: Words
) -> tuple[tuple[str, str, charts.ChartBar], ...]:
    named = {
        f"{part.id} {dimension.id}": f"{part.name}, {dimension.name}"
        for part in picture.build.parts
        for dimension in part.dimensions
    }
    bars = charts.bars([share.of_worst for share in budget.shares])
    return tuple(
        (
            named.get(share.name, share.name),
            words(
                "fits.share",
                amount=with_unit(
                    words.number(fixed(share.worst, max(decimals, decimals_of(share.worst)))),
                    symbol,
                ),
                percent=fixed(100 * share.of_worst, 0),
            ),
            bar,
        )
        for share, bar in zip(budget.shares, bars, strict=True)
    )


def _matching(picture: Picture, words: Words) -> MatchShown | None:
    found = picture.matching
    if found is None or not found.items:
        return None
    joints = {j.id: j for j in picture.build.joints}
    stacks = {s.id: s for s in picture.build.stacks}
    counts = found.joints
    lines = [
        words("match.joints", inside=counts.inside, not_proven=counts.not_proven, out=counts.out)
    ]
    lines += [
        spread_text(
            spread,
            stacks[spread.id].name,
            stacks[spread.id].callout.unit.symbol,
            max(places(stacks[spread.id].callout.limits, None), 3),
            words,
        )
        for spread in found.spreads
        if spread.id in stacks
    ]
    within = within_texts(picture.build, picture.within, words)
    lines += ["; ".join([held, *own]) for held, own in within]
    if found.spares:
        lines.append(words("match.spares", pieces=pieces_text(found.spares, words)))
    if found.unmeasured:
        lines.append(words("match.unmeasured", pieces=pieces_text(found.unmeasured, words)))
    return MatchShown(
        joints=tuple(j.name for j in joints.values()),
        stacks=tuple(s.name for s in stacks.values()),
        rows=tuple(_match_row(item, joints, stacks, picture, words) for item in found.items),
        lines=tuple(lines),
    )


def _match_row(
    item: MatchedItem,
    joints: dict[str, Joint],
    stacks: dict[str, Stack],
    picture: Picture,
    words: Words,
) -> MatchRow:
    fits = []
    for joint in joints.values():
        own = [j.pair for j in item.joints if j.joint == joint.id]
        text, shape, word = "", Shape.GOOD, ""
        if own:
            finest = max(places(joint.clearance, None), decimals_of(own[0].clearance))
            text = ", ".join(_size(p.clearance, joint.clearance, finest, words) for p in own)
            shape = VERDICT_SHAPES[own[0].verdict]
            word = verdict_name(words, own[0].verdict)
        fits.append((text, shape, word))
    sizes: list[tuple[str, Shape | None, str]] = []
    for stack in stacks.values():
        found = next((s for s in item.sizes if s.stack == stack.id), None)
        if found is None:
            sizes.append(("", None, ""))
            continue
        limits = stack.callout.limits
        text = _size(found.size, limits, max(places(limits, None), 3), words)
        judged = found.judgement
        word = words("match.measured" if found.measured else "match.computed")
        sizes.append((text, VERDICT_SHAPES[judged.verdict] if judged is not None else None, word))
    return MatchRow(
        name=item_name(f"{item.group}-{item.number}", picture.build),
        pieces=tuple(
            (words.piece(part, number), piece_href(f"{part}-{number}"))
            for part, number in item.pieces
        ),
        assembled=bool(item.fixed) and len(item.fixed) == len(item.pieces),
        joints=tuple(fits),
        sizes=tuple(sizes),
    )
