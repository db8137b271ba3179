"""What is not ready to be handed over: empty, unnamed, unexplained, without a photo, out, open."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from qlog.drawing.named_files import Fault, FileKind, fault
from qlog.record.keepsake.lines import Lines
from qlog.record.keepsake.source import names_log, of_log, pictures_of
from qlog.record.pages.gallery import for_recipient
from qlog.record.sound.recording import recording
from qlog.review.part.batch import Batch
from qlog.review.picture import Picture
from qlog.review.views import PieceView, Standing
from qlog.words.catalogue import Words

#: Stems by which a caption tells of a piece that was lost, in both languages of the words.
_LOST = re.compile(
    r"scrap|spoil|ruin|reject|ausschuss|verdorben|verpfuscht|missraten", re.IGNORECASE
)


def not_ready(picture: Picture, words: Words, lines: Lines) -> tuple[str, ...]:
    """One sentence for each thing that is to be looked at before the set is given away."""
    found = [
        *_empty(picture, words),
        *_unnamed(picture, words),
        *_pieces(picture, words),
        *_without_photo(picture, words),
        *_captions(picture, words),
        *_files(picture, words),
    ]
    waiting = sum(p.waits for p in picture.photos)
    if waiting:
        found.append(words.count("lack.waiting", waiting))
    if lines.held and lines.open():
        found.append(words.count("lack.unapproved", len(lines.open())))
    return tuple(found)


def _empty(picture: Picture, words: Words) -> Iterator[str]:
    build = picture.build
    if not build.recipient:
        yield words("lack.recipient")
    for part in build.parts:
        if not part.story:
            yield words("lack.part_story", part=part.name)
        for key, silent in (
            ("lack.op_title", [str(o.number) for o in part.operations if not o.title]),
            ("lack.op_story", [str(o.number) for o in part.operations if not o.story]),
        ):
            if silent:
                yield words(key, part=part.name, ops=words.list(silent))
    for material in build.materials:
        if not material.care and any(p.material == material.id for p in build.parts):
            yield words("lack.care", material=material.name)


def _unnamed(picture: Picture, words: Words) -> Iterator[str]:
    unmarked = [item.name for item in picture.items if not item.mark]
    if unmarked:
        yield words("lack.mark", items=words.list(unmarked))
    bare = [str(p.number) for p in for_recipient(picture) if not p.caption]
    if bare:
        yield words("lack.caption", photos=words.list(bare))


def _pieces(picture: Picture, words: Words) -> Iterator[str]:
    """Pieces outside their drawing: in an item without a reason, or not decided about."""
    explained = {(a.part, a.piece) for a in picture.build.gift.accepted}
    items = {(p.part, p.number): item.name for item in picture.items for p in item.pieces}
    for view in picture.parts:
        for piece in view.pieces:
            if not any(cell.bad for cell in piece.cells) or piece.standing is Standing.SCRAP:
                continue
            key = (piece.part, piece.number)
            if not piece.decision:
                yield words("lack.undecided", piece=piece.name, sizes=_out(piece, view, words))
            elif key in items and key not in explained:
                yield words(
                    "lack.reason", piece=piece.name, item=items[key], sizes=_out(piece, view, words)
                )


def _out(piece: PieceView, view: Batch, words: Words) -> str:
    names = [
        series.dimension.name
        for series in view.series
        for reading in series.readings
        if reading.piece == piece.number and reading.bad
    ]
    return words.list(list(dict.fromkeys(names)))


def _without_photo(picture: Picture, words: Words) -> Iterator[str]:
    shown = for_recipient(picture)
    items = {p.item for p in shown}
    missing = [item.name for item in picture.items if item.id not in items]
    if missing:
        yield words("lack.item_photo", items=words.list(missing))
    places = {(p.part, p.op) for p in shown}
    for view in picture.parts:
        ops = [
            str(op.operation.number)
            for op in view.ops
            if op.done and (view.part.id, op.operation.number) not in places
        ]
        if ops:
            yield words("lack.op_photo", part=view.part.name, ops=words.list(ops))


def _captions(picture: Picture, words: Words) -> Iterator[str]:
    """Captions on their way to the recipient that tell of a scrapped piece."""
    names = [
        name
        for view in picture.parts
        for piece in view.pieces
        if piece.standing is Standing.SCRAP
        for name in (
            piece.name,
            f"{view.part.name} {piece.number}",
            f"{view.part.id} {piece.number}",
        )
    ]
    for photo in for_recipient(picture):
        if photo.caption and _tells(photo.caption, names):
            yield words("lack.scrapped", photo=photo.number, caption=photo.caption)


def _tells(caption: str, names: Iterable[str]) -> bool:
    if _LOST.search(caption):
        return True
    return any(re.search(rf"(?i)\b{re.escape(name)}\b", caption) for name in names)


def _files(picture: Picture, words: Words) -> Iterator[str]:
    """What the plan names and cannot be used."""
    build, views = picture.build, for_recipient(picture)
    gift = build.gift
    for name, kind in (
        (gift.letter.text, FileKind.TEXT),
        (gift.voice.file, FileKind.SOUND),
        (gift.voice.transcript, FileKind.TEXT),
        *((name, FileKind.PICTURE) for name, _, _ in pictures_of(build) if not names_log(name)),
    ):
        found = fault(build.folder, name, kind) if name else None
        if found is None and name and kind is FileKind.SOUND and recording(build) is None:
            found = Fault.OTHER
        if found is not None:
            yield words("lack.file", file=name, what=words(f"lack.fault.{found.value}"))
    for name, _, _ in pictures_of(build):
        if names_log(name) and of_log(name, views) is None:
            yield words("lack.log_photo", photo=name)
