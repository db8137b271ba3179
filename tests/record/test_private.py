"""The recipient's edition holds nothing that was meant for the workshop alone."""

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest

from qlog.logbook.facts import Entry, Note
from qlog.record.pages import gallery
from qlog.record.photos.bare import assert_bare
from qlog.record.publish import manifest
from qlog.review.picture import Picture
from qlog.review.views import Standing
from tests.demo_record import Demo, build

SECRET = "secretword"


def marked(picture: Picture) -> Picture:
    """The same picture with a sentinel in every place that is the workshop's own."""
    note = Entry(
        id=9001,
        fact=Note("foot", 10, 1, SECRET),
        entered="2026-01-01T00:00:00+00:00",
        made="2026-01-01T00:00:00+00:00",
        revision=None,
        supersedes=None,
        reason="",
    )
    plan = picture.build
    parts = []
    for view in picture.parts:
        part = replace(
            view.part,
            drawing=SECRET,
            operations=tuple(
                replace(o, machine=SECRET, tool=SECRET, sent_out=SECRET if o.sent_out else "")
                for o in view.part.operations
            ),
            dimensions=tuple(replace(d, note=SECRET) for d in view.part.dimensions),
        )
        series = tuple(
            replace(
                s,
                part=part,
                slots=tuple(
                    replace(
                        slot,
                        why=SECRET,
                        reading=None
                        if slot.reading is None
                        else replace(
                            slot.reading,
                            note=SECRET,
                            instrument=SECRET,
                            typed=SECRET,
                            corrections=(),
                        ),
                    )
                    for slot in s.slots
                ),
            )
            for s in view.series
        )
        parts.append(
            replace(
                view,
                part=part,
                series=series,
                ops=tuple(
                    replace(op, notes=(note,), operation=part.operation(op.operation.number))
                    for op in view.ops
                ),
                pieces=tuple(replace(p, notes=(note,)) for p in view.pieces),
            )
        )
    photos = tuple(
        replace(
            p,
            photo=replace(p.photo, name=f"{SECRET}.jpg", camera=SECRET, camera_key=SECRET),
            caption=SECRET if p.audience == "maker" else p.caption,
        )
        for p in picture.photos
    )
    return replace(
        picture,
        build=replace(
            plan,
            parts=tuple(v.part for v in parts),
            instruments=tuple(replace(i, name=SECRET, note=SECRET) for i in plan.instruments),
            source=SECRET,
            folder=Path(f"/{SECRET}"),
            revision=SECRET,
        ),
        parts=tuple(parts),
        items=tuple(replace(i, notes=(SECRET,)) for i in picture.items),
        photos=photos,
    )


def everything(folder: Path) -> str:
    texts = []
    for path in manifest.files_of(folder):
        if Path(path).suffix not in (".jpg", ".woff2", ".mp3"):
            texts.append((folder / path).read_text(encoding="utf-8"))
    return "\n".join(texts)


def test_nothing_of_the_workshop_is_told(shown: Demo, tmp_path: Path) -> None:
    private = marked(shown.picture)
    told = build(private, shown.folder, "maker", tmp_path / "maker")
    assert SECRET in everything(told.folder), "the sentinel is where a page could take it from"
    kept = build(private, shown.folder, "recipient", tmp_path / "recipient")
    assert SECRET not in everything(kept.folder)


def test_no_scrapped_piece_is_named(shown: Demo) -> None:
    scrapped = [
        piece
        for view in shown.picture.parts
        for piece in view.pieces
        if piece.standing is Standing.SCRAP
    ]
    assert scrapped, "the example has a scrapped piece"
    text = everything(shown.edition("recipient"))
    for piece in scrapped:
        assert piece.name not in text
    shown_photos = {p.sha256 for p in gallery.for_recipient(shown.picture)}
    for photo in shown.picture.photos:
        if any((p.part, p.number) == (photo.part, photo.piece) for p in scrapped):
            assert photo.sha256 not in shown_photos
    folder = shown.edition("recipient")
    for path in [*shown.pages("recipient"), "readings.csv", "readings.json"]:
        assert "scrap" not in (folder / path).read_text(encoding="utf-8").lower(), path


@pytest.mark.parametrize("audience", ["maker", "nobody"])
def test_only_photos_for_both_are_handed_over(shown: Demo, audience: str) -> None:
    photos = tuple(replace(p, audience=audience) for p in shown.picture.photos)
    picture = replace(shown.picture, photos=photos)
    assert gallery.for_recipient(picture) == ()
    assert len(gallery.for_maker(picture)) == (
        0 if audience == "nobody" else sum(p.shown for p in photos)
    )


def test_a_guessed_place_is_not_told_as_a_fact(shown: Demo) -> None:
    photos = tuple(
        replace(p, placement=None if p.placement is None else replace(p.placement, proposed=1))
        for p in shown.picture.photos
    )
    assert gallery.for_recipient(replace(shown.picture, photos=photos)) == ()


@pytest.mark.parametrize("edition", ["maker", "recipient"])
def test_every_photo_written_holds_pixels_only(shown: Demo, edition: str) -> None:
    photos = list((shown.edition(edition) / "photos").iterdir())
    assert len(photos) > 10
    for path in photos:
        assert_bare(path)


def test_the_recipient_s_table_holds_final_sizes_alone(shown: Demo) -> None:
    folder = shown.edition("recipient")
    with (folder / "readings.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    data = json.loads((folder / "readings.json").read_text(encoding="utf-8"))
    columns = {"item", "mark", "part", "piece", "dimension", "name", "value", "unit"}
    assert set(rows[0]) == columns if rows else True
    assert len(rows) == len(data["readings"])
    items = {item.id: {(p.part, p.number) for p in item.pieces} for item in shown.picture.items}
    assert all(row["item"] in items for row in rows)


def test_a_plated_piece_shows_the_size_that_it_came_back_with(shown: Demo) -> None:
    tall = (shown.edition("recipient") / "items" / "no-1.html").read_text("utf-8")
    read = {
        (s.operation.number, r.piece): r.typed
        for s in shown.picture.part("pan").series
        if s.dimension.id == "bore"
        for r in s.readings
    }
    assert read[40, 3] in tall  # tall-1 holds pan 3
    assert read[20, 3] not in tall
