"""The recipient's edition: every page of it, in one explicit list; and the rehearsal of it."""

from __future__ import annotations

from collections.abc import Mapping

from qlog.record.keepsake.keepsake import Keepsake
from qlog.record.keepsake.lines import Line, Lines
from qlog.record.keepsake.not_ready import not_ready
from qlog.record.pages.gallery import Gallery, Shown
from qlog.record.pages.page import Link, Page
from qlog.review.picture import Picture
from qlog.words.catalogue import Words

#: Columns of the readings that the recipient keeps.
COLUMNS = ("item", "mark", "part", "piece", "dimension", "name", "value", "unit")


def navigation(words: Words, kept: Keepsake) -> tuple[Link, ...]:
    """The entries of the navigation; those that would lead to an empty page are left out."""
    there = {
        "cover": True,
        "letter": kept.letter is not None,
        "items": bool(kept.items),
        "story": bool(kept.chapters),
        "care": True,
        "repair": bool(kept.sheets),
        "words": True,
        "about": True,
    }
    return tuple(
        Link(section, page_of(section, words), words(f"nav.{_KEYS[section]}"))
        for section, shown in there.items()
        if shown
    )


_KEYS = {
    "cover": "cover", "letter": "letter", "items": "set", "story": "story", "care": "care",
    "repair": "repair", "words": "words", "about": "about",
}  # fmt: skip


def page_of(section: str, words: Words) -> str:
    """The page of a section, in the language of the edition; a browser looks for the index."""
    return "index.html" if section == "cover" else f"{words(f'page.{section}')}.html"


def pages(kept: Keepsake, words: Words) -> tuple[Page, ...]:
    """Every page of the recipient's edition."""
    given = {"kept": kept}
    listed = []
    for link in navigation(words, kept):
        cover = link.section == "cover"
        title, template = (kept.title, "index") if cover else (link.text, link.section)
        listed.append(Page(link.href, f"recipient/{template}.html", title, given, link.section))
    for n, item in enumerate(kept.items):
        context: dict[str, object] = {
            **given,
            "item": item,
            "before": kept.items[n - 1] if n else None,
            "after": kept.items[n + 1] if n + 1 < len(kept.items) else None,
        }
        listed.append(Page(item.href, "recipient/item.html", item.name, context, "items"))
    listed += [
        Page(sheet.href, "recipient/sheet.html", sheet.part, {**given, "sheet": sheet}, "repair")
        for sheet in kept.sheets
    ]
    return tuple(listed)


def rows(kept: Keepsake) -> list[Mapping[str, str | int | bool | None]]:
    """The measured sizes of the finished items, for CSV and JSON."""
    return [
        {
            "item": item.id,
            "mark": item.mark,
            "part": size.part,
            "piece": size.piece,
            "dimension": size.dimension,
            "name": size.name,
            "value": size.number,
            "unit": size.unit,
        }
        for item in kept.items
        for size in item.sizes
    ]


#: Places in the order of the recipient's navigation.
_PLACES = ("cover", "letter", "set", "story", "memories", "care", "repair", "about")


def rehearsal_page(picture: Picture, words: Words, lines: Lines, gallery: Gallery) -> Page:
    """The page, after the keepsake was gathered and all of its lines were met."""
    groups: dict[str, list[tuple[Line, Shown | None]]] = {
        words(f"nav.{place}"): [] for place in _PLACES
    }
    for line in lines.met.values():
        shown = gallery.photos.get(line.photo) if line.photo else None
        if line.stands or shown is not None:
            groups[line.place].append((line, shown))
    given: dict[str, object] = {
        "lacks": not_ready(picture, words, lines),
        "groups": [(place, listed) for place, listed in groups.items() if listed],
    }
    return Page("index.html", "rehearsal/index.html", words("nav.rehearsal"), given)
