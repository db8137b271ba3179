"""What the maker gives along with the set, for those who receive it: words, pictures, a voice.

Everything is optional, and where nothing is written nothing is said. Files are paths from
build.toml on, inside the build's folder.
"""

from __future__ import annotations

from qlog.frozen import frozen

#: Where a chapter may stand besides a day: before all operations, or behind them, in this order.
PLACES = ("beginning", "assembly", "first use", "handing over")

#: Finishes that advice on care is known for.
FINISHES = ("nickel", "chrome", "wax", "lacquer", "paint", "oil", "bluing", "anodising", "bare")

#: What use can hurt with, each with a caution of its own.
DANGERS = ("candle", "blade", "small parts")


@frozen
class GiftLetter:
    """A letter from the maker: its text, and the picture of the sheet."""

    text: str = ""
    scan: str = ""


@frozen
class Voice:
    """One recording, MP3 or M4A, and what is said in it."""

    file: str = ""
    transcript: str = ""


@frozen
class GiftChapter:
    """A piece of the story that no operation tells; `at` is a day or one of `PLACES`.

    A photo is a path, or a photo of the log: "photo 12", "photo evening.jpg".
    """

    title: str
    text: str
    at: str
    photos: tuple[str, ...]


@frozen
class GiftMemory:
    """A photo of the people whom the set is for, and a line about it."""

    photo: str
    line: str
    item: str = ""  # id of the item that it is of; "" for the whole set


@frozen
class Accepted:
    """Why a piece outside its drawing went into the set, in words for those who receive it."""

    part: str
    piece: int
    why: str


@frozen
class Finish:
    """A surface: what it is called, which kind of advice it takes, and the maker's own."""

    id: str
    name: str
    kind: str  # one of FINISHES, or ""
    care: str


@frozen
class Gift:
    """All of it."""

    dedication: str = ""
    ask: str = ""  # whom to ask when something breaks
    safety: tuple[str, ...] = ()  # of DANGERS, or a sentence of the maker's own
    address: str = ""  # where the record is published
    letter: GiftLetter = GiftLetter()
    voice: Voice = Voice()
    chapters: tuple[GiftChapter, ...] = ()
    memories: tuple[GiftMemory, ...] = ()
    accepted: tuple[Accepted, ...] = ()
    finishes: tuple[Finish, ...] = ()

    def finish(self, id: str) -> Finish | None:
        """The finish of that id; None when none is meant."""
        return next((f for f in self.finishes if f.id == id), None)
