"""Photos as the commands print them: time, place, marks, and the contact sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from qlog.logbook.photos.pictures import printable

if TYPE_CHECKING:
    from qlog.drawing.plan import Build
    from qlog.review.views import PhotoView

#: What placed or proposes a photo, in words.
BY = {
    "slate": "by card",
    "time": "by time",
    "name": "by name",
    "by hand": "by hand",
    "slate card": "card",
    "clock code": "clock",
}

#: What a time rests on that is not the camera's own word for it.
_DOUBT = {"file date": "file's date", "clock change": "clock change", "": ""}


def taken(view: PhotoView) -> str:
    """`2026-02-14 10:12`, with what makes it doubtful behind it."""
    if view.taken is None:
        return "no date"
    doubt = "" if view.taken_certain else f" ({_DOUBT.get(view.basis, 'uncertain')}?)"
    return view.taken[:16].replace("T", " ") + doubt


def place(part: str | None, op: int | None, piece: int | None, item: str | None, cover: str) -> str:
    """`foot-3 op 20`, `tall-1`, `the whole set`; empty where nothing is said."""
    if part:
        name = part if piece is None else f"{part}-{piece}"
        return name if op is None else f"{name} op {op}"
    return item or ("the whole set" if cover == "build" else "")


def place_of(view: PhotoView) -> str:
    """Where a photo is."""
    where = place(view.part, view.op, view.piece, view.item, view.cover)
    return f"{where} {view.dimension}" if view.dimension else where


def proposal_of(view: PhotoView) -> str:
    """Where it is proposed, and by what: `foot op 20, by time`."""
    said = view.placement
    if said is None or not said.proposed:
        return ""
    return f"{place(said.part, said.op, said.piece, said.item, '')}, {BY.get(said.how, said.how)}"


def seen_by(view: PhotoView) -> str:
    """Whose edition may show it."""
    return {"both": "both", "maker": "maker", "nobody": "nobody"}[view.audience]


def marks(view: PhotoView) -> str:
    """Cover, the better one of its kind, cut off, card."""
    said = view.placement
    words = [
        "" if said is None else {"slate card": "card", "clock code": "clock"}.get(said.how, ""),
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
        "cover": view.cover or None,
        "shown": view.shown and view.audience != "nobody",
        "better": view.better,
        "salvaged": view.salvaged,
    }


def contact_sheet(
    build: Build,
    views: Sequence[PhotoView],
    notes: Mapping[str, str],
    out: Path,
    heading: str,
    hint: str,
) -> None:
    """Write a numbered contact sheet of photos, one file with its thumbnails inside."""
    from qlog.cli.photos.bench_page import render
    from qlog.cli.terminal.progress import progress
    from qlog.logbook.photos import originals
    from qlog.record.photos.thumbnails import thumbnails
    from qlog.writing import write_page

    with progress("thumbnails") as advance:
        images = thumbnails([originals.find(build.folder, v.sha256) for v in views], advance)
    photos = [
        {
            "number": view.number,
            "taken": taken(view),
            "image": image,
            "name": printable(view.photo.name),
            "camera": view.photo.camera,
            "place": place_of(view) or proposal_of(view) or "no proposal",
            "open": not place_of(view) and view.audience != "nobody",
            "marks": "; ".join(
                w for w in (view.caption, marks(view), notes.get(view.sha256, "")) if w
            ),
        }
        for view, image in zip(views, images, strict=True)
    ]
    page = render("contact.html", title=build.title, heading=heading, hint=hint, photos=photos)
    write_page(page, out)
