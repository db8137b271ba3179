"""Photos as the commands print them: time, place, marks, and the contact sheet."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from qlog.logbook.photos.pictures import printable

if TYPE_CHECKING:
    from qlog.drawing.plan import Build
    from qlog.review.views import PhotoView
    from qlog.words.catalogue import Words

#: Letters of a row's mark: none that is taken for a figure or for another.
_LETTERS = "abcdefghkmnprstuvwxyz"

#: What a time rests on that is not the camera's own word for it.
_DOUBT = {"file date": "file's date", "clock change": "clock change", "": ""}


@dataclass(frozen=True, slots=True)
class Row:
    """Photos of a sheet that belong together; `mark` names them in a command, "" for none."""

    mark: str
    text: str
    views: tuple[PhotoView, ...]


def rows_of(views: Sequence[PhotoView], words: Words) -> list[Row]:
    """Photos that wait, by evening and by the place that the votes name; those without one last.

    A row's mark is the number of its first photo and two letters that stand for all its photos
    and their place: a row that has changed since the sheet was made has another mark.
    """
    found: dict[tuple[str, str], list[PhotoView]] = {}
    for view in sorted(views, key=lambda v: (v.taken or "9", v.number)):
        said = view.placement
        where = "" if said is None else place(said.part, said.op, said.piece, said.item, "", words)
        found.setdefault((_evening(view), where), []).append(view)
    rows = [
        Row(_mark(own, where), joined_text(day, where), tuple(own))
        for (day, where), own in found.items()
    ]
    return sorted(rows, key=lambda row: not row.mark)


def joined_text(day: str, where: str) -> str:
    """The heading of a row."""
    return f"{day or 'no date'}: {where or 'no proposal'}"


def _evening(view: PhotoView) -> str:
    """The day on which the evening began: what is taken before five belongs to the day before."""
    if view.taken is None:
        return ""
    when = datetime.fromisoformat(view.taken) - timedelta(hours=5)
    return f"{when:%Y-%m-%d}"


def _mark(own: Sequence[PhotoView], where: str) -> str:
    if not where:
        return ""
    said = "\n".join([where, *sorted(view.sha256 for view in own)])
    letters = hashlib.sha256(said.encode("utf-8")).digest()
    two = "".join(_LETTERS[byte % len(_LETTERS)] for byte in letters[:2])
    return f"{min(view.number for view in own)}{two}"


def taken(view: PhotoView) -> str:
    """`2026-02-14 10:12`, with what makes it doubtful behind it."""
    if view.taken is None:
        return "no date"
    doubt = "" if view.taken_certain else f" ({_DOUBT.get(view.basis, 'uncertain')}?)"
    return view.taken[:16].replace("T", " ") + doubt


def place(
    part: str | None, op: int | None, piece: int | None, item: str | None, cover: str, words: Words
) -> str:
    """`foot-3 op 20`, `tall-1`, `the whole set`; empty where nothing is said."""
    if part:
        name = part if piece is None else words.piece(part, piece)
        return name if op is None else f"{name} op {op}"
    return words.item(item or "") or ("the whole set" if cover == "build" else "")


def place_of(view: PhotoView, words: Words) -> str:
    """Where a photo is."""
    where = place(view.part, view.op, view.piece, view.item, view.cover, words)
    return f"{where} {view.dimension}" if view.dimension else where


def proposal_of(view: PhotoView, words: Words) -> str:
    """Where the votes put it, and which: `foot op 20, by card`; empty when somebody placed it."""
    from qlog.words.placing import by_text

    said = view.placement
    if said is None or not said.part or said.looked_at:
        return ""
    where = place(said.part, said.op, said.piece, said.item, "", words)
    return f"{where}, {by_text(said.how, words)}"


def seen_by(view: PhotoView) -> str:
    """Whose edition may show it."""
    return {"both": "both", "maker": "maker", "nobody": "nobody"}[view.audience]


#: What a photo is marked as, by how it was entered.
_MARKED = {"slate card": "card", "clock code": "clock", "taken back": "taken back"}


def marks(view: PhotoView) -> str:
    """Cover, the better one of its kind, cut off, card, taken back."""
    said = view.placement
    words = [
        "" if said is None else _MARKED.get(said.how, ""),
        f"cover of the {view.cover}" if view.cover else "",
        "chosen" if said is not None and said.best else "",
        f"like {view.better}, which is shown" if view.better is not None else "",
        "cut off" if view.salvaged else "",
    ]
    return ", ".join(word for word in words if word)


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
    rows: Sequence[Row],
    out: Path,
    heading: str,
    hint: str,
    notes: Mapping[str, str],
) -> None:
    """Write a numbered contact sheet of photos in rows, one file with its thumbnails inside."""
    from qlog.cli.photos.bench_page import render
    from qlog.cli.terminal.progress import progress
    from qlog.cli.terminal.say import words_for
    from qlog.logbook.photos import originals
    from qlog.record.photos.thumbnails import thumbnails
    from qlog.writing import write_page

    words = words_for(build)
    views = [view for row in rows for view in row.views]
    with progress("thumbnails") as advance:
        made = thumbnails([originals.find(build.folder, v.sha256) for v in views], advance)
    images = dict(zip((v.sha256 for v in views), made, strict=True))
    page = render(
        "contact.html",
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
        "taken": taken(view),
        "image": image,
        "name": printable(view.photo.name),
        "camera": view.photo.camera,
        "place": proposal_of(view, words) or place_of(view, words) or "no proposal",
        "open": view.waits,
        "marks": "; ".join(w for w in (view.caption, marks(view), notes.get(view.sha256, "")) if w),
    }
