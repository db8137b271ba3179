"""The photo index: every photo under its operation, and the ways to it by piece and by day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from qlog.frozen import frozen
from qlog.record.pages.gallery import Gallery, Shown, item_name
from qlog.record.pages.lookup.listed import Room, cut, line, photos
from qlog.record.pages.page import Leaf, leaf_path, piece_href
from qlog.review.picture import Picture
from qlog.review.views import PhotoView
from qlog.words.catalogue import Words

#: Photos of one operation that stay together on a page.
_TOGETHER = 20


@frozen
class Way:
    """A link with how many photos it leads to."""

    href: str
    text: str
    count: int


@frozen
class Indexed:
    """A photo in the index, with the piece and the day that it belongs to."""

    shown: Shown
    piece: str
    piece_href: str
    day: str
    day_href: str


@frozen
class PhotoGroup:
    """The photos of one operation, of the finished items, or of the set."""

    anchor: str
    title: str
    href: str
    photos: tuple[Indexed, ...]


@frozen
class PhotoPage:
    """One page of the index; the ways stand on the first."""

    path: str
    title: str
    by_op: tuple[Way, ...]
    by_piece: tuple[tuple[str, tuple[Way, ...]], ...]  # part by part
    by_day: tuple[Way, ...]
    groups: tuple[PhotoGroup, ...]
    leaves: tuple[Leaf, ...]


def photo_pages(
    picture: Picture,
    gallery: Gallery,
    days: Mapping[str, str],
    item_places: Mapping[str, str],
    words: Words,
) -> tuple[PhotoPage, ...]:
    """The pages of the index, which lead to each day in the diary and to each item."""
    views = [p for p in picture.photos if p.sha256 in gallery.photos]
    indexed = _Indexing(picture, gallery, days, item_places, words)
    groups = list(indexed.groups(views))
    by_piece, by_day = indexed.by_piece(views), indexed.by_day(views)
    ways = sum(len(own) for _, own in by_piece) + len(by_day) + len(groups)
    first = Room(600, 0) + line(14 * ways, 0) + Room(0, 70 * ways)
    # The ways take the room of the first page, and push groups to the next where they are many.
    blocks: list[PhotoGroup | None] = [None, *groups]
    leaves = cut(blocks, lambda group: first if group is None else _room(group))
    paths = [leaf_path("photos.html", n) for n, _ in enumerate(leaves, start=1)]
    held = [tuple(g for g in leaf if g is not None) for leaf in leaves]
    places = {
        group.anchor: f"{path}#{group.anchor}"
        for path, leaf in zip(paths, held, strict=True)
        for group in leaf
    }
    by_op = tuple(Way(places[group.anchor], group.title, count) for group, count in _whole(groups))
    links = tuple(
        Leaf(path, own[0].title if own else words("photos.ways"))
        for path, own in zip(paths, held, strict=True)
    )
    title, of = words("nav.photos"), len(paths)
    return tuple(
        PhotoPage(
            path,
            title if of == 1 else words("leaves.title", title=title, n=number, of=of),
            by_op if number == 1 else (),
            by_piece if number == 1 else (),
            by_day if number == 1 else (),
            own,
            links,
        )
        for number, (path, own) in enumerate(zip(paths, held, strict=True), start=1)
    )


def _whole(groups: Sequence[PhotoGroup]) -> Iterator[tuple[PhotoGroup, int]]:
    """Each group once, with all of its photos counted."""
    first: dict[tuple[str, str], PhotoGroup] = {}
    counts: Counter[tuple[str, str]] = Counter()
    for group in groups:
        # Two parts may have one name, and items and set one page.
        own = (group.href, group.title)
        first.setdefault(own, group)
        counts[own] += len(group.photos)
    yield from ((group, counts[own]) for own, group in first.items())


def _room(group: PhotoGroup) -> Room:
    return Room(90, 200) + photos(len(group.photos)) + Room(0, 160 * len(group.photos))


@frozen
class _Indexing:
    """What the index is put together with."""

    picture: Picture
    gallery: Gallery
    days: Mapping[str, str]
    item_places: Mapping[str, str]
    words: Words

    def groups(self, views: Sequence[PhotoView]) -> Iterator[PhotoGroup]:
        """Operation by operation, then the items, the set, and what nobody has placed."""
        words = self.words
        for part in self.picture.parts:
            own, page = [p for p in views if p.part == part.part.id], f"parts/{part.part.id}.html"
            known = {op.operation.number: op.operation.name for op in part.ops}
            for number, name in known.items():
                title = words("told.place", part=part.part.name, op=number, name=name)
                yield from self._cut(f"{part.part.id}-{number}", title, f"{page}#op-{number}",
                                     [p for p in own if p.op == number])  # fmt: skip
            yield from self._cut(f"{part.part.id}.all", part.part.name, page,
                                 [p for p in own if p.op not in known])  # fmt: skip
        rest = [p for p in views if p.part is None]
        items = [p for p in rest if p.item]
        loose = [p for p in rest if not p.item and not p.cover]
        yield from self._cut(".items", words("nav.items"), "items.html", items)
        yield from self._cut(".set", words("place.set"), "items.html",
                             [p for p in rest if not p.item and p.cover])  # fmt: skip
        yield from self._cut(".loose", words("missing.unplaced"), "missing.html", loose)

    def _cut(
        self, anchor: str, title: str, href: str, views: Sequence[PhotoView]
    ) -> Iterator[PhotoGroup]:
        ordered = sorted(views, key=lambda p: (p.piece or 0, p.taken or "", p.number))
        for start in range(0, len(ordered), _TOGETHER):
            some = ordered[start : start + _TOGETHER]
            # No id has a point in it, so that no group is taken for one of another part.
            own = f"p-{anchor}" if start == 0 else f"p-{anchor}.{start // _TOGETHER + 1}"
            yield PhotoGroup(own, title, href, tuple(self._indexed(p) for p in some))

    def _indexed(self, view: PhotoView) -> Indexed:
        date = (view.taken or "")[:10]
        known = self._pieces(view.part)
        if view.item:
            piece = item_name(view.item, self.picture.build)
            href = self.item_places.get(view.item, "")
        elif view.part and view.piece is not None:
            piece = self.words.piece(view.part, view.piece)
            href = piece_href(f"{view.part}-{view.piece}") if view.piece in known else ""
        else:
            piece, href = "", ""
        day = self.words.date(date) or self.words("diary.undated")
        return Indexed(self.gallery.photos[view.sha256], piece, href, day, self.days.get(date, ""))

    def _pieces(self, part: str | None) -> set[int]:
        return {p.number for v in self.picture.parts if v.part.id == part for p in v.pieces}

    def by_piece(self, views: Sequence[PhotoView]) -> tuple[tuple[str, tuple[Way, ...]], ...]:
        """The pieces that have photos, part by part."""
        found = []
        for part in self.picture.parts:
            counted = Counter(p.piece for p in views if p.part == part.part.id)
            ways = tuple(
                Way(piece_href(piece.anchor), part.part.called(piece.number), n)
                for piece in part.pieces
                if (n := counted[piece.number])
            )
            if ways:
                found.append((part.part.name, ways))
        return tuple(found)

    def by_day(self, views: Sequence[PhotoView]) -> tuple[Way, ...]:
        """The days on which photos were taken."""
        counted = Counter((p.taken or "")[:10] for p in views)
        return tuple(
            Way(self.days.get(date, ""), self.words.date(date) or self.words("diary.undated"), n)
            for date, n in sorted(counted.items(), key=lambda one: (not one[0], one[0]))
        )
