"""What the recipient's edition shows, as frozen values: what is not here cannot be shown."""

from __future__ import annotations

from qlog.frozen import frozen
from qlog.record.charts.multiples import Strip
from qlog.record.pages.gallery import Shown


@frozen
class Size:
    """One measured size of an item; `strip` shows it among those of its siblings."""

    part: str
    piece: int | str  # its mark where it has one
    name: str
    value: str
    strip: Strip | None
    dimension: str  # for the list of readings, not for the page
    number: str
    unit: str


@frozen
class Piece:
    """A piece of an item."""

    part: str
    nth: str  # "Its foot was the ninth of ten."
    material: str  # and finish
    story: str
    accepted: str  # why it is in the set although it is outside its drawing
    sheet: str  # page on how to mend it
    sizes: tuple[Size, ...]
    photos: tuple[Shown, ...]


@frozen
class Memory:
    """A photo and a line from those whom the set is for."""

    photo: Shown | None
    line: str


@frozen
class Item:
    """One finished thing."""

    id: str
    href: str  # its page, by what stands on it
    name: str  # its mark, or else its kind and number
    kind: str  # "Tall candlestick"
    mark: str  # "" when it has none
    marked: str  # where the mark stands, as a sentence
    place: str  # "3 of 8"
    cover: Shown | None
    photos: tuple[Shown, ...]
    pieces: tuple[Piece, ...]
    holds: tuple[tuple[str, str], ...]  # items in it: name and page
    inside: tuple[tuple[str, str], ...]  # the item that it is in, none or one
    overall: tuple[tuple[str, str], ...]  # overall sizes of the finished item
    sizes: tuple[Size, ...]
    recognise: tuple[str, ...]  # how it is told from its siblings, as far as it was compared
    closeness: str  # how near the sizes are to what was asked, in plain words
    taken: str  # when it was put together, or that pieces are still to come
    memories: tuple[Memory, ...]


@frozen
class Step:
    """One step of the story: an operation, or what the maker tells."""

    title: str
    part: str
    paragraphs: tuple[str, ...]
    first: str | None
    when: str
    photos: tuple[Shown, ...]


@frozen
class Chapter:
    """Steps under one heading: those of one month, or the beginning or the end of the story."""

    title: str  # "" where its steps speak for themselves
    steps: tuple[Step, ...]


@frozen
class Letter:
    """The maker's letter and voice."""

    paragraphs: tuple[str, ...]
    scan: Shown | None
    voice: str  # file of the recording, relative to the record
    voice_type: str
    transcript: tuple[str, ...]


@frozen
class CareNote:
    """A material or a finish, what has it, and how to care for it."""

    name: str
    parts: tuple[str, ...]
    care: tuple[str, ...]


@frozen
class Asked:
    """One dimension of a part as its drawing asks for it."""

    name: str
    callout: str
    limits: str


@frozen
class Sheet:
    """What somebody needs to mend or make one part: printable on one sheet."""

    href: str
    part: str
    drawing: tuple[str, int, int] | None  # path, width, height
    facts: tuple[tuple[str, str], ...]
    asked: tuple[Asked, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]  # an item's name, its sizes in that order
    apart: tuple[str, ...]
    care: tuple[CareNote, ...]
    again: tuple[str, ...]
    steps: str  # of its route, in a row


@frozen
class CreditLine:
    """Who did what."""

    who: str
    what: str
    portrait: Shown | None


@frozen
class Keepsake:
    """Everything that the recipient's edition shows."""

    title: str
    maker: str
    recipient: str
    occasion: str
    dedication: str
    signed: str  # who made and recorded it, and when, as far as it is known
    for_by: tuple[tuple[str, str], ...]  # for whom, by whom, when
    marks: tuple[str, ...]  # where the marks stand
    shows: str  # what the pages show, as far as there is something to show
    waiting: str  # how many photos wait to be looked at, "" for none
    cover: Shown | None
    more_covers: tuple[Shown, ...]
    letter: Letter | None
    items: tuple[Item, ...]
    rows: str  # how the tiles stand, so that none is left alone in a row
    intro: str  # how many things there are
    chapters: tuple[Chapter, ...]
    end: Shown | None  # the picture that the story ends on, if no memory does
    memories: tuple[Memory, ...]
    general: tuple[str, ...]  # care of all of it
    care: tuple[CareNote, ...]
    safety: tuple[str, ...]
    ask: str
    sheets: tuple[Sheet, ...]
    credits: tuple[CreditLine, ...]
    record: tuple[tuple[str, str], ...]  # the object record, label and text
    terms: tuple[tuple[str, str], ...]  # glossary
