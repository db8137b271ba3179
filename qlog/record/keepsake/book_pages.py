"""The story on the pages of a book: so many steps a page that each page is full."""

from __future__ import annotations

import math
from collections.abc import Sequence

from qlog.frozen import frozen
from qlog.record.keepsake.keepsake import Keepsake
from qlog.record.pages.gallery import Shown


@frozen
class Paper:
    """A size of paper, margins taken off, in millimetres; texts in letters a line."""

    height: float
    line: float  # from one line to the next
    wide: int  # letters in a line as wide as the page
    narrow: int  # letters in a line beside a picture
    picture: float  # least height of a picture


#: What `book-a5.css` and `book-a4.css` leave and set; rather too few letters, so that texts fit.
PAPERS = {"a5": Paper(180, 4.9, 66, 27, 42), "a4": Paper(261, 5.6, 84, 34, 62)}


@frozen
class Told:
    """One step of the story as it stands on paper."""

    heading: str  # of the chapter that begins with it, or ""
    part: str
    title: str
    paragraphs: tuple[str, ...]
    photo: Shown | None
    remembered: bool = False  # told by those whom the set is for


@frozen
class BookPage:
    """One page: its steps, and how they stand on it."""

    steps: tuple[Told, ...]
    stacked: bool  # pictures above their words, as there are few
    loose: bool  # more than a page holds: it runs on


def leaves(kept: Keepsake, paper: Paper, memories: str) -> tuple[BookPage, ...]:
    """The story and the memories (under that heading) dealt out to pages, as full as can be."""
    told = _told(kept, memories)
    heights = [_height(t, paper) for t in told]
    best: list[tuple[float, int]] = [(0.0, 0)]
    for end in range(1, len(told) + 1):
        best.append(
            min(
                (best[begin][0] + cost, begin)
                for begin in range(end)
                if (cost := _empty(heights, begin, end, paper)) is not None
            )
        )
    cuts, end = [], len(told)
    while end:
        begin = best[end][1]
        cuts.append((begin, end))
        end = begin
    return tuple(_leaf(told[b:e], sum(heights[b:e]), paper) for b, e in reversed(cuts))


def fits_beside(texts: Sequence[str], paper: Paper) -> bool:
    """Whether so much text leaves a third of the page for a picture under it."""
    return sum(_lines(text, paper.wide) + 0.6 for text in texts) * paper.line < paper.height * 0.6


def _empty(heights: Sequence[float], begin: int, end: int, paper: Paper) -> float | None:
    """How much of a page stays empty, squared; None for more than it holds."""
    title = 0 if begin else 3 * paper.line
    free = 1 - (title + sum(heights[begin:end])) / paper.height
    if free >= 0:
        return free**2
    return 0.0 if end - begin == 1 else None


def _leaf(steps: Sequence[Told], height: float, paper: Paper) -> BookPage:
    pictures = sum(t.photo is not None for t in steps)
    return BookPage(tuple(steps), pictures <= 2, height > paper.height)


def _told(kept: Keepsake, memories: str) -> list[Told]:
    found = [
        Told(
            "" if n else chapter.title,
            step.part,
            step.title,
            step.paragraphs,
            step.photos[0] if step.photos else None,
        )
        for chapter in kept.chapters
        for n, step in enumerate(chapter.steps)
    ]
    found += [
        Told("" if n else memories, "", "", (m.line,) if m.line else (), m.photo, True)
        for n, m in enumerate(kept.memories)
    ]
    return found


def _height(told: Told, paper: Paper) -> float:
    beside = told.photo is not None
    width = paper.narrow if beside else paper.wide
    caption = told.photo.caption if told.photo is not None else ""
    lines = sum(_lines(text, width) + 0.5 for text in (*told.paragraphs, caption) if text)
    lines += 1.6 * _lines(told.title, width) + (1.2 if told.part else 0)
    words = lines * paper.line
    return (
        max(words, paper.picture if beside else 0)
        + paper.line * (2.5 if told.heading else 0)
        + paper.line  # between two steps
    )


def _lines(text: str, width: int) -> int:
    return sum(math.ceil(len(line) / width) for line in text.split("\n") if line)
