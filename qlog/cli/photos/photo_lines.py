"""Photos as the commands print them: time, place, marks, and the contact sheet."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from qlog.frozen import frozen
from qlog.logbook.photos.pictures import printable
from qlog.words.placing import by_text, place_text

if TYPE_CHECKING:
    from qlog.drawing.plan import Build
    from qlog.review.views import PhotoView
    from qlog.words.catalogue import Words

#: Letters of a row's mark: none that is taken for a figure or for another.
_LETTERS = "abcdefghkmnprstuvwxyz"


@frozen
class PhotoRow:
    """Photos of a sheet that belong together; `mark` names them in a command, "" for none."""

    mark: str
    text: str
    views: tuple[PhotoView, ...]


def rows_of(views: Sequence[PhotoView], words: Words) -> list[PhotoRow]:
    """Photos that wait, by evening and by the place that the votes name; those without one last.

    A row's mark is the number of its first photo and two letters that stand for all its photos
    and their place: a row that has changed since the sheet was made has another mark.
    """
    found: dict[tuple[str, tuple[object, ...]], list[PhotoView]] = {}
    for view in sorted(views, key=lambda v: (v.taken or "9", v.number)):
        said = view.placement
        where: tuple[object, ...] = ()
        if said is not None and (said.part or said.item):
            where = (said.part, said.op, said.piece, said.item)
        found.setdefault((_evening(view), where), []).append(view)
    rows = []
    for (day, where), own in found.items():
        said = own[0].placement
        named = "" if said is None else place_text(said, words)
        text = words(
            "place.row",
            day=day or words("place.no_date"),
            where=named or words("place.no_proposal"),
        )
        rows.append(PhotoRow(_mark(own, where), text, tuple(own)))
    return sorted(rows, key=lambda row: not row.mark)


def _evening(view: PhotoView) -> str:
    """The day on which the evening began: what is taken before five belongs to the day before."""
    if view.taken is None:
        return ""
    when = datetime.fromisoformat(view.taken) - timedelta(hours=5)
    return f"{when:%Y-%m-%d}"


def _mark(own: Sequence[PhotoView], where: tuple[object, ...]) -> str:
    if not where:
        return ""
    said = "\n".join([repr(where), *sorted(view.sha256 for view in own)])
    letters = hashlib.sha256(said.encode("utf-8")).digest()
    two = "".join(_LETTERS[byte % len(_LETTERS)] for byte in letters[:2])
    return f"{min(view.number for view in own)}{two}"


def taken(view: PhotoView, words: Words) -> str:
    """`2026-02-14 10:12`, with what makes it doubtful behind it."""
    if view.taken is None:
        return words("place.no_date")
    when = view.taken[:16].replace("T", " ")
    if view.taken_certain or not view.basis:
        return when
    doubt = words.maybe(
        f"photo.doubt.{view.basis.replace(' ', '_')}", words("photo.doubt.uncertain")
    )
    return f"{when} {words('photo.doubt', doubt=doubt)}"


def place_of(view: PhotoView, words: Words) -> str:
    """Where a photo is."""
    where = place_text(view, words)
    return f"{where} {view.dimension}" if view.dimension else where


def proposal_of(view: PhotoView, words: Words) -> str:
    """Where the votes put it, and which: `foot op 20, by card`; empty when somebody placed it."""
    said = view.placement
    if said is None or not said.part or said.looked_at:
        return ""
    return f"{place_text(said, words)}, {by_text(said.how, words)}"


#: What a photo is marked as, by how it was entered.
_MARKED = {"slate card": "card", "clock code": "clock", "taken back": "taken_back"}


def marks(view: PhotoView, words: Words) -> str:
    """Cover, the better one of its kind, cut off, card, taken back."""
    said = view.placement
    how = "" if said is None else _MARKED.get(said.how, "")
    found = [
        words(f"photo.mark.{how}") if how else "",
        words(f"photo.mark.cover.{view.cover}") if view.cover else "",
        words("photo.mark.best") if said is not None and said.best else "",
        words("photo.mark.like", number=view.better) if view.better is not None else "",
        words("photo.mark.cut_off") if view.salvaged else "",
    ]
    return ", ".join(one for one in found if one)


def as_json(view: PhotoView, note: str = "") -> dict[str, object]:
    """Everything that the lists tell, for a program."""
    said = view.placement
    proposal = None
    if said is not None and said.proposed:
        proposal = {"part": said.part, "op": said.op, "piece": said.piece, "by": said.how}
    return {
        "number": view.number,
        "name": view.photo.name,
        "sha256": view.sha256,
        "taken": view.taken,
        "taken_offset": view.photo.offset or None,
        "taken_certain": view.taken_certain,
        "time_from": view.basis,
        "camera": view.photo.camera,
        "part": view.part,
        "op": view.op,
        "piece": view.piece,
        "item": view.item,
        "dimension": view.dimension,
        "how": None if said is None else said.how,
        "proposal": proposal,
        "note": note,
        "caption": view.caption,
        "audience": view.audience,
        "looked_at": not view.waits,
        "cover": view.cover or None,
        "shown": view.shown and view.audience != "nobody",
        "better": view.better,
        "salvaged": view.salvaged,
    }


def contact_sheet(
    build: Build,
    rows: Sequence[PhotoRow],
    out: Path,
    heading: str,
    hint: str,
    notes: Mapping[str, str],
) -> None:
    """Write a numbered contact sheet of photos in rows, one file with its thumbnails inside."""
    from qlog.cli.photos.bench_page import render
    from qlog.cli.terminal.say import on_screen, progress
    from qlog.logbook.photos import originals
    from qlog.record.photos.thumbnails import thumbnails
    from qlog.words.catalogue import words_of
    from qlog.writing import write_page

    words = words_of(build)

    def say(key: str, **values: object) -> str:
        return on_screen(words(key, **values))

    views = [view for row in rows for view in row.views]
    with progress(words("progress.thumbnails")) as advance:
        made = thumbnails([originals.find(build.folder, v.sha256) for v in views], advance)
    images = dict(zip((v.sha256 for v in views), made, strict=True))
    page = render(
        "contact.html",
        t=say,
        language=words.language,
        title=build.title,
        heading=heading,
        hint=hint,
        rows=[
            {
                "mark": row.mark,
                "text": row.text,
                "photos": [_pictured(v, images[v.sha256], notes, words) for v in row.views],
            }
            for row in rows
        ],
    )
    write_page(page, out)


def _pictured(
    view: PhotoView, image: object, notes: Mapping[str, str], words: Words
) -> dict[str, object]:
    return {
        "number": view.number,
        "taken": taken(view, words),
        "image": image,
        "name": printable(view.photo.name),
        "camera": view.photo.camera,
        "place": proposal_of(view, words) or place_of(view, words) or words("place.no_proposal"),
        "open": view.waits,
        "marks": joined(view.caption, marks(view, words), notes.get(view.sha256, "")),
    }


def joined(*texts: str) -> str:
    """What there is of the texts, with semicolons between."""
    return "; ".join(text for text in texts if text)
