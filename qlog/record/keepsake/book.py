"""The book and the cards for the box: the keepsake laid out for paper."""

from __future__ import annotations

from dataclasses import dataclass

from qlog.record.keepsake.kept import Keepsake
from qlog.record.pages.page import Page
from qlog.words.catalogue import Words

#: Sizes of paper, and the page that is laid out for each.
FORMATS = {"a5": "book.html", "a4": "book-a4.html"}
CARDS = "cards.html"
#: What each page is printed into.
PRINTED = {"book.html": "book-a5.pdf", "book-a4.html": "book-a4.pdf", CARDS: "cards.pdf"}
#: Longest side of a picture for print, in pixels: 180 mm at 300 dpi are 2,126.
PRINT_PIXELS = 3200
#: White around a code, in modules (ISO/IEC 18004).
_QUIET = 4


@dataclass(frozen=True, slots=True)
class AddressCode:
    """A QR code as the outline of its dark modules."""

    address: str
    size: int
    path: str


def pages(kept: Keepsake, address: str, words: Words) -> tuple[Page, ...]:
    """The book in both sizes, and the sheet of cards where there are things to make cards for."""
    found = [
        Page(path, "book/book.html", kept.title, {"kept": kept, "format": name})
        for name, path in FORMATS.items()
    ]
    if kept.items:
        cards = [(item, code(f"{address.rstrip('/')}/{item.href}") if address else None)
                 for item in kept.items]  # fmt: skip
        found.append(Page(CARDS, "book/cards.html", words("book.cards"), {"cards": cards}))
    return tuple(found)


def code(address: str) -> AddressCode:
    """The QR code of an address, error correction M, with its quiet zone."""
    import segno

    rows = segno.make(address, error="m", micro=False).matrix
    path = "".join(
        f"M{x + _QUIET} {y + _QUIET}h1v1h-1z"
        for y, row in enumerate(rows)
        for x, dark in enumerate(row)
        if dark
    )
    return AddressCode(address, len(rows) + 2 * _QUIET, path)
