"""The rehearsal: one page with every line that the recipient will see, and where each stands."""

from __future__ import annotations

from qlog.record.keepsake.lines import Line, Lines
from qlog.record.keepsake.not_ready import not_ready
from qlog.record.pages.gallery import Gallery, Shown
from qlog.record.pages.page import Page
from qlog.review.picture import Picture
from qlog.words.catalogue import Words

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
    return Page("index.html", "rehearsal/index.html", words("rehearsal.title"), given)
