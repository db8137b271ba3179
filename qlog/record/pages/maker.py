"""The maker's edition: every page of it, in one explicit list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from qlog.record.charts.control_charts import across
from qlog.record.pages.dimension_pages import Fact
from qlog.record.pages.fit_page import fits_context
from qlog.record.pages.gallery import Gallery, front
from qlog.record.pages.instrument_page import instruments
from qlog.record.pages.method import conditions, method, rule_line
from qlog.record.pages.page import Link, Page
from qlog.record.pages.part_pages import (
    decisions,
    histories,
    part_sheet,
    report_blocks,
    report_facts,
)
from qlog.record.pages.phrases import Phrase, phrases, sign_of
from qlog.review.findings.finding import Finding
from qlog.review.findings.told_together import told_together
from qlog.review.part.batch import SeriesView
from qlog.review.picture import Picture
from qlog.review.views import PhotoView
from qlog.words.catalogue import Words
from qlog.words.values import with_unit


@dataclass(frozen=True, slots=True)
class Group:
    """Findings of one weight."""

    key: str
    title: str
    findings: tuple[Phrase, ...]


def navigation(words: Words) -> tuple[Link, ...]:
    """The entries of the navigation, on every page of the edition."""
    return (
        Link("state", "index.html", words("menu.state")),
        Link("parts", "parts.html", words("menu.parts")),
        Link("fits", "fits.html", words("menu.fits")),
        Link("items", "items.html", words("menu.items")),
        Link("instruments", "instruments.html", words("menu.instruments")),
        Link("missing", "missing.html", words("menu.missing")),
        Link("corrections", "corrections.html", words("menu.corrections")),
        Link("report", "report.html", words("menu.report")),
        Link("method", "method.html", words("menu.method")),
    )


def pages(
    picture: Picture,
    words: Words,
    gallery: Gallery,
    drawings: Mapping[str, tuple[str, float, float]],
) -> tuple[Page, ...]:
    """Every page of the maker's edition.

    `drawings` gives, by part, the picture of its drawing in the record with its width and height.
    """
    parts = tuple(part_sheet(view, picture, words, gallery, drawings) for view in picture.parts)
    groups = _groups(picture, words)
    short = _shortened(groups)
    more = sum(len(g.findings) for g in groups) - MOST
    common: dict[str, object] = {
        "parts": parts,
        "picture": picture,
        "build": picture.build,
        "rule": rule_line(picture.build, words),
    }
    listed = [
        Page(
            "index.html",
            "maker/index.html",
            words("state.title"),
            {
                **common,
                "facts": _build_facts(picture, words),
                "groups": short,
                "more": more,
                "cover": front(picture.photos, gallery),
            },
            "state",
        ),
        Page(
            "parts.html",
            "maker/parts.html",
            words("nav.parts"),
            {
                **common,
                "across": across(
                    picture, {s.series.id: s.href for p in parts for s in p.sheets}, words
                ),
            },
            "parts",
        ),
        Page(
            "fits.html",
            "maker/fits.html",
            words("nav.fits"),
            {**common, **fits_context(picture, words)},
            "fits",
        ),
        Page(
            "items.html",
            "maker/items.html",
            words("nav.items"),
            {
                **common,
                "items": _items(picture, words),
                "item_photos": gallery.of(p for i in picture.items for p in i.photos),
                "set_photos": gallery.of(
                    p for p in picture.photos if p.part is None and not p.item and p.cover
                ),
            },
            "items",
        ),
        Page(
            "instruments.html",
            "maker/instruments.html",
            words("nav.instruments"),
            {**common, "instruments": instruments(picture, words)},
            "instruments",
        ),
        Page(
            "missing.html",
            "maker/missing.html",
            words("nav.missing"),
            {
                **common,
                "missing": phrases(
                    told_together(f for f in picture.findings if f.of_evidence), picture, words
                ),
                "homeless": [(lost, entry) for lost in picture.homeless for entry in lost.entries],
                "unplaced": gallery.of(picture.unplaced),
                "lost": [
                    (p, gallery.lost[p.sha256]) for p in picture.photos if p.sha256 in gallery.lost
                ],
            },
            "missing",
        ),
        Page(
            "corrections.html",
            "maker/corrections.html",
            words("nav.corrections"),
            {
                **common,
                "corrections": [
                    (s, *c) for part in parts for s in part.sheets for c in s.corrections
                ],
                "decisions": [
                    line for view in picture.parts for line in decisions(view.pieces, words)
                ],
                "overrides": _overrides(picture, words),
            },
            "corrections",
        ),
        Page("report.html", "maker/reports.html", words("nav.report"), common, "report"),
        Page(
            "method.html",
            "maker/method.html",
            words("nav.method"),
            {**common, **method(picture.build, words)},
            "method",
        ),
    ]
    if more > 0:
        all_of_them = {**common, "groups": groups}
        listed.append(
            Page("findings.html", "maker/findings.html", words("state.all"), all_of_them, "state")
        )
    for part in parts:
        id_, name = part.view.part.id, part.view.part.name
        context = {**common, "part": part}
        listed += [
            Page(f"parts/{id_}.html", "maker/part.html", name, context, "parts"),
            Page(
                f"pieces/{id_}.html",
                "maker/pieces.html",
                words("pieces.title", part=name),
                {**context, "histories": histories(part, picture, gallery, words)},
                "parts",
            ),
            Page(
                f"report/{id_}.html",
                "maker/report.html",
                words("report.title", part=name),
                {
                    **context,
                    "blocks": report_blocks(part, words),
                    "report_facts": report_facts(part, picture, words),
                    "decisions": decisions(part.view.pieces, words),
                    "conditions": conditions(picture.build, words),
                },
                "report",
            ),
        ]
        listed += [
            Page(
                sheet.href,
                "maker/dimension.html",
                f"{name}: {sheet.heading}",
                {
                    **context,
                    "sheet": sheet,
                    "evidence": gallery.of(evidence_of(sheet.series, part.view.photos)),
                },
                "parts",
            )
            for sheet in part.sheets
        ]
    return tuple(listed)


def evidence_of(series: SeriesView, photos: Iterable[PhotoView]) -> list[PhotoView]:
    """The photos that bear out readings of one series."""
    place = (series.dimension.id, series.operation.number)
    return [p for p in photos if (p.dimension, p.op) == place]


#: Findings on the first page: what fits on a screen beside the table of parts.
MOST = 15


def _build_facts(picture: Picture, words: Words) -> tuple[Fact, ...]:
    build, none = picture.build, words("value.none")
    return (
        Fact(words("state.maker"), build.maker or none),
        Fact(words("state.for"), build.recipient or none),
        Fact(words("state.begun"), words.date(picture.first) or none),
        Fact(words("state.last"), words.date(picture.last) or none),
        Fact(words("state.entries"), str(picture.head.entries)),
        Fact(words("state.revisions"), str(picture.revisions)),
    )


def _groups(picture: Picture, words: Words) -> tuple[Group, ...]:
    """Findings sorted for reading: what to settle comes first, small print last."""
    sorted_in: dict[str, list[Finding]] = {
        k: [] for k in ("bad", "drift", "warn", "evidence", "note")
    }
    for finding in told_together(picture.findings):
        sorted_in[sign_of(finding)].append(finding)
    return tuple(
        Group(key, words(f"state.{key}"), phrases(own, picture, words))
        for key, own in sorted_in.items()
        if own
    )


def _shortened(groups: Sequence[Group]) -> tuple[Group, ...]:
    """The groups with no more than MOST findings in all, the first ones."""
    left = MOST
    short: list[Group] = []
    for group in groups:
        if left <= 0:
            break
        short.append(replace(group, findings=group.findings[:left]))
        left -= len(group.findings)
    return tuple(short)


def _items(picture: Picture, words: Words) -> list[dict[str, object]]:
    stacks = {stack.id: stack.name for stack in picture.build.stacks}
    return [
        {
            "item": item,
            "sizes": [
                f"{stacks.get(e.fact.stack, e.fact.stack)} "
                f"{with_unit(words.number(e.fact.typed), e.fact.unit)}"
                for e in item.sizes
            ],
        }
        for item in picture.items
    ]


def _overrides(picture: Picture, words: Words) -> list[str]:
    return [
        words("corrections.override", piece=piece.name, op=cell.op, why=cell.override)
        for part in picture.parts
        for piece in part.pieces
        for cell in piece.cells
        if cell.override
    ]
