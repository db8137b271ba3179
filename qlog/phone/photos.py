"""Photos from the phone: through the same door as all photos, tied to their place at once."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from qlog.drawing.plan import Build
from qlog.intake.bench.sent import known, remember
from qlog.intake.photos import slate
from qlog.intake.photos.taking import PhotoPlace, take_in
from qlog.intake.typed.places import dimension_of, item_of, number_of, op_of, part_of
from qlog.logbook.photos.pictures import PhotoError, sniff
from qlog.logbook.store import Logbook
from qlog.phone.acts import Answer, answered, made_time, name_of, text_of
from qlog.words.catalogue import Words

#: Ending by what the bytes are; what the phone calls the file is never looked at.
_ENDINGS = {"JPEG": ".jpg", "HEIF": ".heic", "PNG": ".png", "WEBP": ".webp", "AVIF": ".avif"}


def keep_photo(
    build: Build, logbook: Logbook, words: Words, said: Mapping[str, Any], data: bytes
) -> Answer:
    """Take one photo in and tie it to its place. Raises BadAct, LogbookError.

    The same photo twice is one, and the same name is one act.
    """
    name = name_of(said)
    return answered(lambda: _keep(build, logbook, words, said, name, data), words)


def _keep(
    build: Build, logbook: Logbook, words: Words, said: Mapping[str, Any], name: str, data: bytes
) -> Answer:
    if known(logbook, name) is not None:
        return {"status": "entered", "again": True, "text": words("phone.photo_kept")}
    place = _place(build, said)
    ending = _ENDINGS.get(sniff(data[:64]))
    if ending is None:
        return {"status": "refused", "text": words("phone.no_photo")}
    with tempfile.TemporaryDirectory(prefix="qlog-phone-") as folder:
        path = Path(folder) / f"phone{ending}"
        path.write_bytes(data)
        if (made := made_time(said)) is not None:  # a file that says no time was made then
            moment = datetime.fromisoformat(made).timestamp()
            os.utime(path, (moment, moment))
        taken = take_in(
            build, logbook, [path], place,
            also=lambda entries: remember(logbook, name, "photo", entries),
        )[0]  # fmt: skip
    if taken.photo is None:
        return {"status": "refused", "text": words("phone.no_photo")}
    key = "phone.card_kept" if taken.slates else "phone.photo_kept"
    return {"status": "entered", "text": words(key)}


def _place(build: Build, said: Mapping[str, Any]) -> PhotoPlace:
    """The place that was named: an item, or an operation of a part. Raises PlaceError, BadAct."""
    if said.get("item"):
        group, number = item_of(build, text_of(said, "item"))
        return PhotoPlace(item=f"{group.id}-{number}")
    part = part_of(build, text_of(said, "part"))
    return PhotoPlace(
        part=part.id,
        op=op_of(part, text_of(said, "op")).number,
        piece=number_of(part, text_of(said, "piece")) if said.get("piece") else None,
        dimension=(
            dimension_of(part, text_of(said, "dimension")).id if said.get("dimension") else None
        ),
    )


def scan(build: Build, data: bytes) -> dict[str, Any]:
    """Part, operation and piece of the card or sheet in a photo, which is not kept."""
    ending = _ENDINGS.get(sniff(data[:64]))
    found: tuple[slate.Slate, ...] = ()
    if ending is not None:
        with tempfile.TemporaryDirectory(prefix="qlog-phone-") as folder:
            path = Path(folder) / f"scan{ending}"
            path.write_bytes(data)
            try:
                found = slate.find(path)
            except PhotoError:
                found = ()
    for one in found:
        part = next((p for p in build.parts if p.id == one.part), None)
        if part is not None and any(o.number == one.op for o in part.operations):
            return {"part": part.id, "op": one.op, "piece": one.piece}
    return {}
