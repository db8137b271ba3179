"""The recipient's edition: every page of it, in one explicit list, from the keepsake alone."""

from __future__ import annotations

from collections.abc import Mapping

from qlog.record.pages.keepsake import Keepsake
from qlog.record.pages.page import Link, Page
from qlog.words.catalogue import Words

#: Columns of the readings that the recipient keeps.
COLUMNS = ("item", "part", "piece", "dimension", "name", "value", "unit")


def navigation(words: Words, kept: Keepsake) -> tuple[Link, ...]:
    """The entries of the navigation; those that would lead to an empty page are left out."""
    links = [Link("cover", "index.html", words("nav.cover"))]
    if kept.items:
        links.append(Link("items", "items.html", words("nav.set")))
    if kept.chapters:
        links.append(Link("story", "story.html", words("nav.story")))
    links += [
        Link("care", "care.html", words("nav.care")),
        Link("words", "words.html", words("nav.words")),
        Link("about", "about.html", words("nav.about")),
    ]
    return tuple(links)


def pages(kept: Keepsake, words: Words) -> tuple[Page, ...]:
    """Every page of the recipient's edition."""
    given = {"kept": kept}
    listed = [
        Page("index.html", "recipient/index.html", kept.title, given, "cover"),
        Page("care.html", "recipient/care.html", words("nav.care"), given, "care"),
        Page("words.html", "recipient/words.html", words("nav.words"), given, "words"),
        Page("about.html", "recipient/about.html", words("nav.about"), given, "about"),
    ]
    if kept.chapters:
        listed.append(
            Page("story.html", "recipient/story.html", words("nav.story"), given, "story")
        )
    if kept.items:
        listed.append(Page("items.html", "recipient/items.html", words("nav.set"), given, "items"))
    for n, item in enumerate(kept.items):
        context: dict[str, object] = {
            **given,
            "item": item,
            "before": kept.items[n - 1] if n else None,
            "after": kept.items[n + 1] if n + 1 < len(kept.items) else None,
        }
        listed.append(Page(item.href, "recipient/item.html", item.name, context, "items"))
    return tuple(listed)


def rows(kept: Keepsake) -> list[Mapping[str, str | int | bool | None]]:
    """The measured sizes of the finished items, for CSV and JSON."""
    return [
        {
            "item": item.id,
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
