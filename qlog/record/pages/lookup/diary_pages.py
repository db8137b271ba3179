"""The diary: day by day what was done, read, photographed, decided and corrected."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from qlog.frozen import frozen
from qlog.record.charts.chart import Shape
from qlog.record.pages.gallery import Gallery, Shown
from qlog.record.pages.lookup.listed import Room, cut, line, photos
from qlog.record.pages.page import Leaf, leaf_path, piece_href
from qlog.record.pages.part_pages import PartPage
from qlog.record.pages.verdict_marks import shape_of
from qlog.review.diary.days import Day, Diary, Happening
from qlog.review.diary.events import What
from qlog.review.picture import Picture
from qlog.words.catalogue import Words
from qlog.words.diary.told import happening_text, of_one_piece, place_line, readings_of
from qlog.words.history import event_text


@frozen
class ReadCell:
    """A reading in its line: the piece and the value, and the verdict where it is not good."""

    text: str
    shape: Shape | None
    word: str


@frozen
class DiaryLine:
    """One thing, or several like it."""

    about: str  # a dimension or a piece, by its name; "" where the text says it
    href: str  # its page; "" for none
    text: str
    reads: tuple[ReadCell, ...] = ()
    who: str = ""


@frozen
class DiaryPlace:
    """What happened at one operation of a part on one day, or to the build as a whole."""

    title: str  # "" for the build as a whole
    href: str
    lines: tuple[DiaryLine, ...]
    photos: tuple[Shown, ...]


@frozen
class DiaryDay:
    """A day, or the rest of it where it is longer than a page."""

    anchor: str
    title: str
    places: tuple[DiaryPlace, ...]


@frozen
class DiaryPage:
    """One page of the diary."""

    path: str
    title: str
    days: tuple[DiaryDay, ...]
    leaves: tuple[Leaf, ...]


def day_anchor(date: str) -> str:
    """Where a day stands on its page."""
    return f"d-{date or 'none'}"


def diary_pages(
    picture: Picture, parts: Sequence[PartPage], gallery: Gallery, words: Words
) -> tuple[Iterator[DiaryPage], Mapping[str, str]]:
    """The pages of the diary, each laid out at its turn, and every day's place, by its date."""
    diary = picture.diary or Diary()
    pages: dict[tuple[str, str, int], str] = {}
    for part in parts:
        for shown in part.series_pages:
            series = shown.series
            pages.setdefault(
                (part.view.part.id, series.dimension.id, series.operation.number), shown.href
            )
    making = _Making(picture, pages, gallery, words)
    shares = [share for day in diary.days for share in making.shares(day)]
    leaves = cut(shares, lambda share: share.room) or [[]]
    titles = [_title([share.date for share in leaf], words) for leaf in leaves]
    paths = [leaf_path("diary.html", number) for number, _ in enumerate(leaves, start=1)]
    links = tuple(Leaf(path, text) for path, text in zip(paths, titles, strict=True))
    places: dict[str, str] = {}
    for path, leaf in zip(paths, leaves, strict=True):
        for share in leaf:
            places.setdefault(share.date, f"{path}#{share.anchor}")

    def laid_out() -> Iterator[DiaryPage]:
        for path, title, leaf in zip(paths, titles, leaves, strict=True):
            name = words("diary.leaf", period=title) if len(paths) > 1 else words("nav.diary")
            yield DiaryPage(path, name, tuple(making.day(share) for share in leaf), links)

    return laid_out(), places


def _title(dates: Sequence[str], words: Words) -> str:
    known = [date for date in dates if date]
    if not known:
        return words("diary.undated")
    return words.period(known[0], known[-1])


#: What happened at one operation of a part on one day.
_AtPlace = tuple[tuple[str, int | None], Sequence[Happening]]


@frozen
class _Share:
    """A day, or the rest of it where it is longer than a page, before it is laid out."""

    date: str
    anchor: str
    title: str
    places: tuple[_AtPlace, ...]
    room: Room


@frozen
class _Making:
    """What the diary's days are laid out with."""

    picture: Picture
    pages: Mapping[tuple[str, str, int], str]  # of a dimension, by part, its id and operation
    gallery: Gallery
    words: Words

    def shares(self, day: Day) -> Iterator[_Share]:
        """A day, cut where it would be longer than a page; what is laid out is only measured."""
        title = self.words.date(day.date) or self.words("diary.undated")
        places = [(place, _room(self._place(*place))) for place in _by_place(day)]
        for index, some in enumerate(cut(places, lambda place: place[1])):
            anchor, name = day_anchor(day.date), title
            if index:
                anchor, name = f"{anchor}-{index + 1}", self.words("diary.on", date=title)
            room = sum((room for _, room in some), Room(75, 120))
            yield _Share(day.date, anchor, name, tuple(place for place, _ in some), room)

    def day(self, share: _Share) -> DiaryDay:
        """A share of a day as it is laid out."""
        places = tuple(self._place(*place) for place in share.places)
        return DiaryDay(share.anchor, share.title, places)

    def _place(self, key: tuple[str, int | None], happenings: Sequence[Happening]) -> DiaryPlace:
        part, op = key
        known = {p.part.id for p in self.picture.parts}
        href = "" if part not in known else f"parts/{part}.html"
        if (
            href
            and op is not None
            and any(o.operation.number == op for o in self.picture.part(part).ops)
        ):
            href = f"{href}#op-{op}"
        own = [e.photo for h in happenings for e in h.events if e.photo is not None]
        return DiaryPlace(
            place_line(happenings[0], self.picture.build, self.words) if part else "",
            href,
            tuple(self._line(h) for h in happenings if h.what is not What.PHOTO),
            self.gallery.of(own),
        )

    def _line(self, happening: Happening) -> DiaryLine:
        words, first = self.words, happening.events[0]
        who = words.list(happening.people) if self.picture.people else ""
        if happening.what is What.READ:
            reads = tuple(
                ReadCell(
                    # A piece and its value stay on one line.
                    words("told.reading", piece=r.called, value=r.value).replace(
                        " ", "\N{NO-BREAK SPACE}"
                    ),
                    shape_of(r.reading) if r.word else None,
                    r.word,
                )
                for r in readings_of(happening, words)
            )
            return DiaryLine(happening.name, self._series_page(happening), "", reads, who)
        if of_one_piece(first) and first.piece is not None:
            name, said = words.piece(first.part, first.piece), event_text(first, words)
            return DiaryLine(name, self._piece(happening), said, (), who)
        return DiaryLine("", "", happening_text(happening, words), (), who)

    def _series_page(self, happening: Happening) -> str:
        dimension, op = happening.events[0].dimension, happening.op
        if dimension is None or op is None:
            return ""
        return self.pages.get((happening.part, dimension, op), "")

    def _piece(self, happening: Happening) -> str:
        """The page of the piece that it is about; "" for one that is not planned."""
        number = happening.pieces[0]
        known = (p for v in self.picture.parts if v.part.id == happening.part for p in v.pieces)
        planned = any(p.number == number for p in known)
        return piece_href(f"{happening.part}-{number}") if planned else ""


def _by_place(day: Day) -> Iterator[tuple[tuple[str, int | None], list[Happening]]]:
    found: dict[tuple[str, int | None], list[Happening]] = {}
    for happening in day.happenings:
        found.setdefault((happening.part, happening.op), []).append(happening)
    yield from found.items()


def _room(place: DiaryPlace) -> Room:
    size = Room(50, 200) + photos(len(place.photos))
    for one in place.lines:
        text = (
            len(one.about) + len(one.text) + sum(len(r.text) + len(r.word) + 4 for r in one.reads)
        )
        size += line(text, sum(r.shape is not None for r in one.reads))
    return size
