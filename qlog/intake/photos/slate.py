"""Slates: cards photographed first, whose code says which part, op and piece comes next.

Text of a code, a few words with blanks between them:

    qlog1 P cup 20 3 .B7K2 4F2K     place: part, op, piece (none for a whole batch), build, check
    qlog1 C cup 20 3 .B7K2 6WXZ     the second, smaller code in the corner of the same card
    qlog1 S cup 20 .B7K2 9QRT       a bench sheet, with the same words
    qlog1 M cup 20 1 10 A2 .B7K2 H5TA     a corner of a mat: first and last piece, paper, corner
    qlog1 T 2025-03-14T18:02:09Z 7QXA     time: what a clock showed, UTC, check

The check is over everything before it; cards printed before builds had ids name none. Where part
and op allow it the whole text is upper case, which makes the code coarser and so easier to find;
it then reads as lower case.
"""

from __future__ import annotations

import base64
import hashlib
import math
import re
import unicodedata
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

from qlog.frozen import frozen, replace
from qlog.logbook.photos.codes import LARGE, codes_in
from qlog.problem import ToSay

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from PIL.Image import Image as PilImage

_PREFIX = "qlog1"
_COARSE = re.compile(r"[a-z0-9$%*+\-./:]+")  # in upper case, the alphabet of the coarser code
#: How many times the code of a card is as wide as the one in its corner (82 mm and 26 mm).
CORNER = 82 / 26
_UNREAD = "?"
#: Longest side in pixels at which a photo is searched. A code over a twelfth of it then has
#: more than four pixels to a square.
_LEAST = 1600


#: Papers of a mat by the letter in its codes.
_PAPERS = {"A": "a4", "L": "letter"}


@frozen
class Mat:
    """A corner of a mat: the pieces that have places on it, its paper, which corner (0 to 3)."""

    first: int
    last: int
    paper: str
    corner: int


@dataclass(frozen=True, slots=True)
class Slate:
    """A code found in a photo: a place (part, op, perhaps piece), or a clock's time (UTC).

    `build` is the id of the build that it was printed for, "" for none. `sheet` is the code of a
    bench sheet, `mat` that of a mat's corner (op 0 where the mat is for none), `unread` one that
    was seen and could not be read. `width` is the share of the picture's shorter side that it
    takes up, 1 where nothing is known of it.
    """

    part: str = ""
    op: int = 0
    piece: int | None = None
    shown: datetime | None = None
    build: str = ""
    sheet: bool = False
    unread: bool = False
    mat: Mat | None = None
    width: float = field(default=1.0, compare=False)

    @property
    def is_clock(self) -> bool:
        """Whether this is a clock's code and not a place."""
        return self.shown is not None

    @property
    def is_large(self) -> bool:
        """Whether it was photographed for itself and is not somewhere in the picture of work."""
        return self.width >= LARGE


@frozen
class Card:
    """What a printed card says: the words, and its two codes as inline SVG elements."""

    words: tuple[str, ...]
    svg: str
    corner: str  # the smaller code in the corner


def payload(slate: Slate, *, corner: bool = False) -> str:
    """The text of a slate's code, or of the smaller one in the `corner` of its card.

    Raises ValueError for a part id with a blank in it.
    """
    if slate.shown is not None:
        body = f"{_PREFIX} T {slate.shown.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}".upper()
        return f"{body} {_check(body)}"
    if not slate.part or slate.part.split() != [slate.part]:
        raise ValueError(ToSay("error.part_id_blank", part=slate.part))
    kind = "M" if slate.mat else "S" if slate.sheet else "C" if corner else "P"
    words = [_PREFIX, kind, slate.part, str(slate.op)]
    if slate.mat is not None:
        letter = next(k for k, paper in _PAPERS.items() if paper == slate.mat.paper)
        words += [str(slate.mat.first), str(slate.mat.last), f"{letter}{slate.mat.corner}"]
    if slate.piece is not None:
        words.append(str(slate.piece))
    if slate.build:
        words.append(f".{slate.build}")
    body = " ".join(words)
    if _COARSE.fullmatch(slate.part):
        body = body.upper()
    return f"{body} {_check(body)}"


def parse(text: str) -> Slate | None:
    """The slate that a code's text stands for; None for any other code and for a misread one."""
    body, _, check = text.rpartition(" ")
    words = body.split(" ")
    if len(words) < 3 or words[0].lower() != _PREFIX or check != _check(body):
        return None
    if words[1] == "T" and len(words) == 3:
        try:
            shown = datetime.strptime(words[2], "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)
        except ValueError:
            return None
        return Slate(shown=shown)
    numbers = words[3:]
    build = numbers.pop()[1:].upper() if numbers and numbers[-1].startswith(".") else ""
    mat = None
    if words[1] == "M":
        mat = _mat(numbers[1:])
        numbers = numbers[:1] if mat is not None else []
    if words[1] not in ("P", "C", "S", "M") or len(numbers) not in (1, 2):
        return None
    if not all(number.isascii() and number.isdigit() for number in numbers):
        return None
    part = words[2].lower() if words[0].isupper() else words[2]
    piece = int(numbers[1]) if len(numbers) == 2 else None
    return Slate(part, int(numbers[0]), piece, build=build, sheet=words[1] == "S", mat=mat)


def _mat(words: list[str]) -> Mat | None:
    """The corner of a mat that the words behind the op spell."""
    if len(words) != 3 or not all(w.isascii() and w.isdigit() for w in words[:2]):
        return None
    first, last = int(words[0]), int(words[1])
    paper, corner = _PAPERS.get(words[2][:1]), words[2][1:]
    if paper is None or corner not in ("0", "1", "2", "3") or not 1 <= first <= last:
        return None
    return Mat(first, last, paper, int(corner))


def build_id(title: str) -> str:
    """Four characters that tell the cards of builds apart, from a build's title."""
    return _check(unicodedata.normalize("NFKC", title).casefold())


def kept(slate: Slate) -> str:
    """A slate as the logbook keeps it: its text, and how much of the picture it takes up."""
    text = _UNREAD if slate.unread else payload(slate)
    return f"{text} @{slate.width:.3f}" if slate.width < 1 else text


def from_kept(line: str) -> Slate | None:
    """The slate of a line that the logbook keeps."""
    text, _, width = line.partition(" @")
    found = Slate(unread=True) if text == _UNREAD else parse(text)
    return found if found is None or not width else replace(found, width=float(width))


def _check(body: str) -> str:
    """Four characters: one misread text in a million passes, besides the code's own checks."""
    return base64.b32encode(hashlib.sha256(body.encode("utf-8")).digest())[:4].decode("ascii")


def _code(text: str) -> Any:
    """The code with the fewest squares that still corrects well: version 3 at level H if it fits.

    Few squares and high correction are what lets a code be found when it is small in the photo,
    tilted or blurred. ISO/IEC 18004: level H restores about 30 % of a code, Q 25 %, M 15 %.
    """
    import segno

    for level in ("h", "q"):
        try:
            return segno.make(text, error=level, version=3, micro=False, boost_error=False)
        except segno.DataOverflowError:
            continue
    return segno.make(text, error="m", micro=False, boost_error=False)


def make_svg(text: str, *, title: str = "", border: int = 4) -> str:
    """The code as an SVG element to stand in a page, black on white with its quiet zone.

    `border` is that zone in squares; 4 are needed, by the page where they are not drawn here.
    """
    svg: str = _code(text).svg_inline(
        scale=1,
        border=border,
        dark="#000",
        light="#fff",
        omitsize=True,
        svgclass="code",
        lineclass=None,
        title=title or None,
    )
    return svg


def terminal_code(text: str) -> str:
    """The code for a screen of text, two squares a character, in block characters."""
    rows = [[bool(cell) for cell in row] for row in _code(text).matrix_iter(border=4)]
    if len(rows) % 2:
        rows.append([False] * len(rows[0]))
    # Light squares are drawn, dark ones left: most terminals are dark.
    glyphs = {(False, False): "█", (False, True): "▀", (True, False): "▄", (True, True): " "}
    return "\n".join(
        "".join(glyphs[pair] for pair in zip(rows[i], rows[i + 1], strict=True))
        for i in range(0, len(rows), 2)
    )


def cards(places: Iterable[tuple[Slate, tuple[str, ...]]]) -> tuple[Card, ...]:
    """Cards for a sheet: each place with the words that are printed beside its code."""
    return tuple(
        Card(
            words,
            make_svg(payload(slate), title=" ".join(words)),
            make_svg(payload(slate, corner=True), title=" ".join(words)),
        )
        for slate, words in places
    )


def find(path: Path) -> tuple[Slate, ...]:
    """The slates in a photo, each once, from left to right. Raises PhotoError."""
    from qlog.intake.photos.likeness import grey

    return find_in(grey(path, _LEAST))


def find_in(grey: PilImage) -> tuple[Slate, ...]:
    """The slates in a grey picture, each once, from left to right.

    A picture without any is looked at once more, at half the size and sharpened: that finds most
    of the codes that are blurred by more than the width of their squares. Light codes on a dark
    ground are looked for there only: a terminal of light colour shows a clock's so, and large.
    """
    return _read(grey, light=False) or _read(_sharpened(grey.reduce(2)), light=True)


def _sharpened(grey: PilImage) -> PilImage:
    """The picture with twice its difference from its neighbourhood added; one plain average of
    5 by 5 pixels finds as many codes as a bell-shaped one and takes half the time.
    """
    from PIL import Image, ImageFilter

    return Image.blend(grey.filter(ImageFilter.BoxBlur(2)), grey, 3.0)


def outlines(grey: PilImage) -> list[tuple[Slate, list[tuple[float, float]]]]:
    """Every slate that can be read, with the corners of its code in the picture.

    They begin at the code's own upper left corner and go round clockwise.
    """
    found = []
    for code in codes_in(grey):
        slate = parse(code.text)
        if slate is not None:
            found.append((slate, list(code.corners)))
    return found


def _read(grey: PilImage, *, light: bool) -> tuple[Slate, ...]:
    found: dict[Slate, float] = {}
    for code in codes_in(grey, light=light):
        slate = parse(code.text)
        if slate is None and (not code.text or code.text.lower().startswith(f"{_PREFIX} ")):
            slate = Slate(unread=True)
        if slate is not None:
            width = _side(code.corners) / max(1, min(grey.size))
            if code.text.split(" ")[1:2] == ["C"]:
                width *= CORNER
            found[slate] = max(found.get(slate, 0.0), min(width, 0.999))
    if any(not slate.unread for slate in found):
        # The other code of a card that was read says nothing more.
        found = {slate: width for slate, width in found.items() if not slate.unread}
    return tuple(replace(slate, width=width) for slate, width in found.items())


def _side(corners: Sequence[tuple[float, float]]) -> float:
    """The longest side of a code's outline, in pixels."""
    return max(math.dist(a, b) for a, b in pairwise((*corners, corners[0])))


#: The codes' mask: one for all, since choosing the best takes five times as long and these codes
#: fill a screen.
_MASK = 0


@frozen
class ClockCodes:
    """Codes of consecutive seconds from `start` (UTC) on, `side` squares wide and high.

    `bits` holds each code row by row, a bit a square, 1 for dark, padded to whole bytes, in
    base64.
    """

    start: datetime
    side: int
    bits: tuple[str, ...]

    def path(self, index: int) -> str:
        """One code as the `d` of an SVG path, a unit a square, without the quiet zone."""
        data = base64.b64decode(self.bits[index])
        return "".join(
            f"M{n % self.side} {n // self.side}h1v1h-1z"
            for n in range(self.side * self.side)
            if data[n >> 3] >> (7 - (n & 7)) & 1
        )


def clock_codes(start: datetime, seconds: int) -> ClockCodes:
    """The codes for `seconds` seconds from `start`, an aware time, on; about 2 ms each."""
    import segno

    first = start.astimezone(UTC).replace(microsecond=0)
    found: list[str] = []
    side = 0
    for n in range(seconds):
        text = payload(Slate(shown=first + timedelta(seconds=n)))
        code = segno.make(text, error="h", version=3, micro=False, boost_error=False, mask=_MASK)
        rows = list(code.matrix)
        side = len(rows)
        squares = "".join("1" if cell else "0" for row in rows for cell in row)
        size = (len(squares) + 7) // 8
        number = int(squares.ljust(size * 8, "0"), 2)
        found.append(base64.b64encode(number.to_bytes(size, "big")).decode("ascii"))
    return ClockCodes(first, side, tuple(found))
