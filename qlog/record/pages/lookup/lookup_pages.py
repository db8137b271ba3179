"""Every page to look something up in: diary, photos, the list of a part's pieces, each piece."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from qlog.frozen import frozen
from qlog.record.pages.gallery import Gallery
from qlog.record.pages.lookup.diary_pages import DiaryPage, diary_pages
from qlog.record.pages.lookup.photo_index import PhotoPage, photo_pages
from qlog.record.pages.lookup.piece_pages import piece_lines, piece_pages
from qlog.record.pages.page import Leaf, Page, leaf_path, piece_href, split, titled
from qlog.record.pages.part_pages import PartPage
from qlog.review.picture import Picture
from qlog.words.catalogue import Words

#: Pieces in one list: seven screens of a laptop.
MOST_PIECES = 140


@frozen
class LookUp:
    """Diary and photo index, so that other pages can lead into them."""

    diary: Iterator[DiaryPage]  # each laid out at its turn
    days: Mapping[str, str]  # the place of every day in the diary
    photos: tuple[PhotoPage, ...]

    @property
    def photo_places(self) -> dict[str, str]:
        """Where the photos of an operation stand in the index: `p-foot-10` -> page and place."""
        return {
            group.anchor: f"{leaf.path}#{group.anchor}"
            for leaf in self.photos
            for group in leaf.groups
        }


def look_up(
    parts: Sequence[PartPage],
    picture: Picture,
    words: Words,
    gallery: Gallery,
    item_places: Mapping[str, str],
) -> LookUp:
    """Lay out the diary and the photo index; `item_places` is where each item stands."""
    diary, days = diary_pages(picture, parts, gallery, words)
    return LookUp(diary, days, photo_pages(picture, gallery, days, item_places, words))


def lookup_pages(looked: LookUp, common: Mapping[str, object]) -> Iterator[Page]:
    """The pages of the diary and of the photos, on as many leaves as they need."""
    shown: tuple[tuple[str, Iterable[DiaryPage | PhotoPage]], ...] = (
        ("diary", looked.diary),
        ("photos", looked.photos),
    )
    for section, leaves in shown:
        for leaf in leaves:
            own = {"rule": common["rule"], "leaf": leaf}
            yield Page(leaf.path, f"maker/{section}.html", leaf.title, own, section, keyed=True)


def pages_of_pieces(
    part: PartPage,
    looked: LookUp,
    picture: Picture,
    words: Words,
    gallery: Gallery,
    common: Mapping[str, object],
) -> Iterator[Page]:
    """The list of a part's pieces, and each piece."""
    yield from _lists(part, picture, words, {**common, "part": part})
    for piece in piece_pages(part, picture, gallery, looked.days, words):
        page = piece_href(piece.piece.anchor)
        own = {"rule": common["rule"], "part": part.view.part, "own": piece}
        yield Page(page, "maker/piece.html", piece.piece.name, own, "parts", keyed=True)


def _lists(
    part: PartPage, picture: Picture, words: Words, context: Mapping[str, object]
) -> Iterator[Page]:
    """The list of a part's pieces."""
    shares = split(piece_lines(part, picture, words), lambda _: 1, MOST_PIECES)
    whole = f"pieces/{part.view.part.id}.html"
    leaves = [
        Leaf(
            leaf_path(whole, number),
            words("report.block", first=share[0].piece.name, last=share[-1].piece.name)
            if share
            else "",
        )
        for number, share in enumerate(shares, start=1)
    ]
    name = words("pieces.title", part=part.view.part.name)
    for leaf, share in zip(leaves, shares, strict=True):
        own = {**context, "lines": share, "leaves": leaves}
        title = titled(name, leaf.path, leaves, words)
        yield Page(leaf.path, "maker/pieces.html", title, own, "parts")
