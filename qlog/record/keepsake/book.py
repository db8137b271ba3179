"""The book and the cards for the box: the keepsake laid out for paper."""

from __future__ import annotations

from qlog.frozen import frozen
from qlog.record.keepsake.book_pages import PAPERS, fits_beside, leaves
from qlog.record.keepsake.keepsake import Keepsake
from qlog.record.pages.page import Page
from qlog.words.catalogue import Words

#: Longest side of a picture for print, in pixels: 180 mm at 300 dpi are 2,126.
PRINT_PIXELS = 3200
#: White around a code, in modules (ISO/IEC 18004).
_QUIET = 4


@frozen
class AddressCode:
    """A QR code as the outline of its dark modules."""

    address: str
    size: int
    path: str


def first_page(words: Words) -> str:
    """The file to open first: the book for A5, `book.html`, `buch.html`."""
    return f"{words('page.book')}.html"


def printed(words: Words) -> dict[str, str]:
    """Every page, and what it is printed into."""
    book, cards = words("page.book"), words("page.cards")
    return {
        first_page(words): f"{book}-a5.pdf",
        f"{book}-a4.html": f"{book}-a4.pdf",
        f"{cards}.html": f"{cards}.pdf",
    }


def pages(kept: Keepsake, address: str, words: Words) -> tuple[Page, ...]:
    """The book in both sizes, and the sheet of cards where there are things to make cards for."""
    a5, a4, cards_page = printed(words)
    found = [
        Page(path, "book/book.html", kept.title, _laid_out(kept, name, words))
        for name, path in (("a5", a5), ("a4", a4))
    ]
    if kept.items:
        cards = [(item, code(f"{address.rstrip('/')}/{item.href}") if address else None)
                 for item in kept.items]  # fmt: skip
        found.append(Page(cards_page, "book/cards.html", words("book.cards"), {"cards": cards}))
    return tuple(found)


def _laid_out(kept: Keepsake, format: str, words: Words) -> dict[str, object]:
    paper, letter = PAPERS[format], kept.letter
    texts = (*letter.paragraphs, *letter.transcript) if letter is not None else ()
    return {
        "kept": kept,
        "format": format,
        "story": leaves(kept, paper, words("nav.memories")),
        "beside": fits_beside(texts, paper),
    }


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
