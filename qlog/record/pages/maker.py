"""The maker's edition: every page of it, in two explicit lists: the build's, and every part's."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain

from qlog.frozen import frozen, replace
from qlog.record.pages.compare import compare_leaves
from qlog.record.pages.dimension.figures import Labelled
from qlog.record.pages.dimension.series_page import SeriesPage
from qlog.record.pages.fit_page import fit_pages
from qlog.record.pages.gallery import Gallery, front
from qlog.record.pages.instrument_page import instruments
from qlog.record.pages.lookup.listed import (
    FINDING,
    PHOTO,
    ROW,
    TEXT,
    ListOn,
    first_places,
    list_pages,
)
from qlog.record.pages.lookup.lookup_pages import look_up, lookup_pages, pages_of_pieces
from qlog.record.pages.method import conditions, method, rule_line
from qlog.record.pages.page import Leaf, Link, Page, leaf_path, split, titled
from qlog.record.pages.part_pages import (
    PartPage,
    decisions,
    page_of_part,
    report_blocks,
    report_facts,
)
from qlog.record.pages.phrases import Phrase, phrases, sign_of
from qlog.review.findings.kinds import Finding
from qlog.review.findings.of_build import told_together
from qlog.review.items.overall import OverallSize
from qlog.review.part.batch import SeriesView
from qlog.review.picture import Picture
from qlog.review.views import PhotoView
from qlog.words.catalogue import Words
from qlog.words.values import judged_text, overall_text


@frozen
class FindingGroup:
    """Findings of one weight."""

    key: str
    title: str
    findings: tuple[Phrase, ...]


def navigation(words: Words) -> tuple[Link, ...]:
    """The entries of the navigation, on every page of the edition."""
    sections = (
        "parts", "diary", "photos", "fits", "items", "instruments", "missing", "corrections",
        "report", "method",
    )  # fmt: skip
    return (
        Link("state", "index.html", words("menu.state")),
        *(Link(name, f"{name}.html", words(f"menu.{name}")) for name in sections),
    )


def pages(
    picture: Picture,
    words: Words,
    gallery: Gallery,
    drawings: Mapping[str, tuple[str, float, float]],
) -> tuple[tuple[Page, ...], Iterator[Page]]:
    """Every page of the maker's edition: those of the whole build, then those of days and parts.

    The others are laid out when it is their turn, and what they show is kept by nobody: with a
    million readings it would not find room. `drawings` gives, by part, the picture of its
    drawing in the record with its width and height.
    """

    def laid_out() -> Iterator[PartPage]:
        return (page_of_part(view, picture, words, gallery, drawings) for view in picture.parts)

    parts = tuple(laid_out())
    item_places = first_places("items.html", [item.id for item in picture.items], ROW)
    looked = look_up(parts, picture, words, gallery, item_places)
    common: dict[str, object] = {
        "parts": parts,
        "photo_places": looked.photo_places,
        "item_places": item_places,
        "picture": picture,
        "build": picture.build,
        "rule": rule_line(picture.build, words),
    }
    whole = (
        *_state_pages(picture, words, gallery, common),
        *_parts_pages(parts, picture, words, common),
        *fit_pages(picture, words, common),
        *_build_pages(parts, picture, words, gallery, common),
    )

    def of_parts() -> Iterator[Page]:
        for part in laid_out():
            yield from pages_of_pieces(part, looked, picture, words, gallery, common)
            yield from _part_pages(part, picture, words, gallery, common)
            for series in part.view.series:
                if series.study is not None:
                    series.study.forget()

    return whole, chain(lookup_pages(looked, common), of_parts())


def _state_pages(
    picture: Picture, words: Words, gallery: Gallery, common: Mapping[str, object]
) -> Iterator[Page]:
    """The front page, and all findings where it has no room for them."""
    groups = _groups(picture, words)
    more = sum(len(g.findings) for g in groups) - MOST
    context = {
        **common,
        "facts": _build_facts(picture, words),
        "groups": _shortened(groups),
        "more": more,
        "cover": front(picture.photos, gallery),
    }
    yield Page("index.html", "maker/index.html", words("nav.state"), context, "state", dated=True)
    if more > 0:
        page = Page("findings.html", "maker/findings.html", words("state.all"), {}, "state")
        lists = [ListOn(g.key, g.title, g.findings, FINDING) for g in groups]
        yield from list_pages(page, lists, words, common)


#: Dimensions on one leaf of the parts: three columns of cards on a laptop, ten screens.
MOST_DIMENSIONS = 150


def _parts_pages(
    parts: Sequence[PartPage], picture: Picture, words: Words, common: Mapping[str, object]
) -> Iterator[Page]:
    """All parts, and dimensions side by side; on as many leaves as they need."""
    shares = split(parts, lambda part: 2 + len(part.series_pages), MOST_DIMENSIONS)
    named = [(leaf_path("parts.html", n), share) for n, share in enumerate(shares, start=1)]
    leaves = [Leaf(path, _from_to([p.view.part.name for p in own], words)) for path, own in named]
    for path, own in named:
        context = {**common, "shown": own, "leaves": leaves}
        yield Page(
            path,
            "maker/parts.html",
            titled(words("nav.parts"), path, leaves, words),
            context,
            "parts",
        )
    compared = compare_leaves(picture, words)
    leaves = [
        Leaf(path, _from_to([c.part for s in sections for c in s.members], words))
        for path, sections in compared
    ]
    for path, sections in compared:
        context = {**common, "sections": sections, "leaves": leaves}
        title = titled(words("control.across"), path, leaves, words)
        yield Page(path, "maker/compare.html", title, context, "parts")


def _from_to(names: Sequence[str], words: Words) -> str:
    """What stands on a leaf: its first and its last name."""
    if not names or names[0] == names[-1]:
        return "".join(names[:1])
    return words("format.period", first=names[0], last=names[-1])


def _build_pages(
    parts: Sequence[PartPage],
    picture: Picture,
    words: Words,
    gallery: Gallery,
    common: Mapping[str, object],
) -> Iterator[Page]:
    """The pages of the whole build, each with what it shows besides what all pages know."""
    for name, lists in _lists(parts, picture, words, gallery).items():
        page = Page(f"{name}.html", f"maker/{name}.html", words(f"nav.{name}"), {}, name)
        yield from list_pages(page, lists, words, common)
    shown: dict[str, Mapping[str, object]] = {
        "instruments": {"instruments": instruments(picture, words)},
        "report": {},
        "method": method(picture.build, words),
    }
    for name, own in shown.items():
        template = "reports" if name == "report" else name
        yield Page(
            f"{name}.html",
            f"maker/{template}.html",
            words(f"nav.{name}"),
            {**common, **own},
            name,
            dated=name == "method",
        )


def _lists(
    parts: Sequence[PartPage], picture: Picture, words: Words, gallery: Gallery
) -> dict[str, tuple[ListOn, ...]]:
    """The pages that are lists: finished items, what is missing, what was corrected."""
    evidence = told_together(f for f in picture.findings if f.of_evidence)
    homeless = [(lost, entry) for lost in picture.homeless for entry in lost.entries]
    gone = [(p, gallery.lost[p.sha256]) for p in picture.photos if p.sha256 in gallery.lost]
    corrected = [(s, *c) for part in parts for s in part.series_pages for c in s.corrections]
    decided = [line for view in picture.parts for line in decisions(view.pieces, words)]
    of_items = gallery.of(p for i in picture.items for p in i.photos)
    of_set = gallery.of(p for p in picture.photos if p.part is None and not p.item and p.cover)
    return {
        "items": (
            ListOn("items", words("nav.items"), _items(picture, words), ROW),
            ListOn("item_photos", words("part.photos"), of_items, PHOTO),
            ListOn("set_photos", words("cover.more"), of_set, PHOTO),
        ),
        "missing": (
            ListOn("missing", words("nav.missing"), phrases(evidence, picture, words), FINDING),
            ListOn("homeless", words("missing.homeless"), homeless, ROW),
            ListOn("unplaced", words("missing.unplaced"), gallery.of(picture.unplaced), PHOTO),
            ListOn("lost", words("missing.lost"), gone, TEXT),
        ),
        "corrections": (
            ListOn("corrections", words("nav.corrections"), corrected, ROW),
            ListOn("decisions", words("corrections.decisions"), decided, TEXT),
            ListOn("overrides", words("corrections.overrides"), overrides(picture, words), TEXT),
        ),
    }


def _part_pages(
    part: PartPage, picture: Picture, words: Words, gallery: Gallery, common: Mapping[str, object]
) -> Iterator[Page]:
    """A part, its measurement report and each of its dimensions."""
    id_, name = part.view.part.id, part.view.part.name
    context = {**common, "part": part}
    report = {
        **context,
        "blocks": report_blocks(part, words),
        "report_facts": report_facts(part, picture, words),
        "decisions": decisions(part.view.pieces, words),
        "conditions": conditions(picture.build, words),
    }
    yield Page(f"parts/{id_}.html", "maker/part.html", name, context, "parts")
    title = words("report.title", part=name)
    yield Page(f"report/{id_}.html", "maker/report.html", title, report, "report")
    for series_page in part.series_pages:
        yield from _dimension_pages(series_page, part, words, gallery, context)


def _dimension_pages(
    series_page: SeriesPage,
    part: PartPage,
    words: Words,
    gallery: Gallery,
    context: Mapping[str, object],
) -> Iterator[Page]:
    """A dimension, its pieces on as many leaves as they need; what is of no piece on the first."""
    evidence = evidence_of(series_page.series, part.view.photos)
    known = {row.number for row in series_page.rows}
    leaves = [
        Leaf(path, words("report.block", first=rows[0].name, last=rows[-1].name) if rows else "")
        for path, rows in series_page.shares
    ]
    title = f"{part.view.part.name}: {series_page.heading}"
    for number, (path, rows) in enumerate(series_page.shares):
        first, pieces = number == 0, {row.number for row in rows}
        shown = [p for p in evidence if p.piece in pieces or (first and p.piece not in known)]
        own = {
            "rule": context["rule"],
            "part": part.view.part,
            "series_page": series_page,
            "number": number,
            "leaves": leaves,
            "first": first,
            "evidence": gallery.of(shown),
        }
        name = titled(title, path, leaves, words)
        yield Page(path, "maker/dimension.html", name, own, "parts", keyed=True)


def evidence_of(series: SeriesView, photos: Iterable[PhotoView]) -> list[PhotoView]:
    """The photos that bear out readings of one series."""
    place = (series.dimension.id, series.operation.number)
    return [p for p in photos if (p.dimension, p.op) == place]


#: Findings on the first page: what fits on a screen beside the table of parts.
MOST = 15


def _build_facts(picture: Picture, words: Words) -> tuple[Labelled, ...]:
    build, none = picture.build, words("value.none")
    return (
        Labelled(words("state.maker"), build.maker or none),
        Labelled(words("state.for"), build.recipient or none),
        Labelled(words("state.begun"), words.date(picture.first) or none),
        Labelled(words("state.last"), words.date(picture.last) or none),
        Labelled(words("state.entries"), str(picture.head.entries)),
        Labelled(words("state.revisions"), str(picture.revisions)),
        *([Labelled(words("state.people"), _people(picture, words))] if picture.people else []),
    )


def _people(picture: Picture, words: Words) -> str:
    """Who entered how many entries, where more than one person did."""
    return ", ".join(
        words("state.person", who=who or words("state.nobody"), n=n)
        for who, n in picture.people.items()
    )


def _groups(picture: Picture, words: Words) -> tuple[FindingGroup, ...]:
    """Findings sorted for reading: what to settle comes first, small print last."""
    sorted_in: dict[str, list[Finding]] = {
        k: [] for k in ("bad", "drift", "warn", "evidence", "note")
    }
    for finding in told_together(picture.findings):
        sorted_in[sign_of(finding)].append(finding)
    return tuple(
        FindingGroup(key, words(f"state.{key}"), phrases(own, picture, words))
        for key, own in sorted_in.items()
        if own
    )


def _shortened(groups: Sequence[FindingGroup]) -> tuple[FindingGroup, ...]:
    """The groups with no more than MOST findings in all, the first ones."""
    left = MOST
    short: list[FindingGroup] = []
    for group in groups:
        if left <= 0:
            break
        short.append(replace(group, findings=group.findings[:left]))
        left -= len(group.findings)
    return tuple(short)


def _items(picture: Picture, words: Words) -> list[dict[str, object]]:
    return [
        {"item": item, "sizes": [_overall(size, words) for size in item.sizes]}
        for item in picture.items
    ]


def _overall(size: OverallSize, words: Words) -> str:
    """An overall size with its verdict: `overall height 180.05 mm: good`."""
    name = size.fact.stack if size.stack is None else size.stack.name
    said = f"{name} {overall_text(words, size)}"
    return said if size.judgement is None else f"{said}: {judged_text(words, size.judgement)}"


def overrides(picture: Picture, words: Words) -> list[str]:
    """Operations done out of order: pieces that share operation and reason in one line."""
    together: dict[tuple[str, int, str], list[int]] = {}
    for part in picture.parts:
        for piece in part.pieces:
            for cell in piece.cells:
                if cell.override:
                    key = (part.part.id, cell.op, cell.override)
                    together.setdefault(key, []).append(piece.number)
    return [
        words("corrections.override", piece=words.pieces(part, pieces), op=op, why=why)
        for (part, op, why), pieces in together.items()
    ]
