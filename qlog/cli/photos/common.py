"""What the photo commands share: places and numbers as typed, and how the photos stand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from qlog.cli.context import Opened
from qlog.cli.terminal.say import say_line
from qlog.problem import ToSay

if TYPE_CHECKING:
    from qlog.intake.photos.place import Proposal
    from qlog.intake.photos.taking import PhotoPlace
    from qlog.logbook.facts import Photo
    from qlog.review.picture import Picture
    from qlog.review.views import PhotoView
    from qlog.words.catalogue import Words


def typed_place(
    o: Opened,
    part: str | None,
    op: str | None,
    piece: str | None,
    item: str | None,
    cover: bool,
    note: str,
    maker_only: bool,
    dimension: str | None = None,
) -> PhotoPlace:
    """The place that was typed, checked against the plan. Raises PlaceError."""
    from qlog.intake.photos.taking import PhotoPlace
    from qlog.intake.typed.places import PlaceError, dimension_of, item_of, op_of, part_of, piece_of

    owner = None if part is None else part_of(o.build, part)
    if owner is None and (op or piece or dimension):
        raise PlaceError(ToSay("error.need_part"))
    if owner is not None and item is not None:
        raise PlaceError(ToSay("error.photo_lies_part"))
    if item is not None:
        group, number = item_of(o.build, item)
        item = f"{group.id}-{number}"
    return PhotoPlace(
        part=None if owner is None else owner.id,
        op=None if owner is None or op is None else op_of(owner, op).number,
        piece=None if owner is None or piece is None else piece_of(owner, piece),
        item=item,
        caption=" ".join(note.split()),
        audience="maker" if maker_only else "both",
        cover=("item" if item else "part" if owner else "build") if cover else "",
        dimension=(
            None if owner is None or dimension is None else dimension_of(owner, dimension).id
        ),
    )


def picture_of(o: Opened) -> Picture:
    """How the build stands, photos included, without the studies."""
    from qlog.review.whole import picture_from

    return picture_from(o.build, o.logbook, studied=False)


def views_of(picture: Picture, photos: Sequence[Photo]) -> list[PhotoView]:
    """How the given photos stand."""
    wanted = {photo.sha256 for photo in photos}
    return [v for v in picture.photos if v.sha256 in wanted]


def chosen_photos(o: Opened, text: str) -> dict[int, Photo]:
    """The photos of the numbers typed, by number."""
    from qlog.intake.photos.edits import chosen, numbered

    photos = numbered(o.logbook)
    unplaced = [v.number for v in picture_of(o).unplaced] if text.strip().lower() == "all" else []
    return {number: photos[number] for number in chosen(photos, text, unplaced)}


def one_photo(o: Opened, text: str) -> dict[int, Photo]:
    """The one photo of the number typed. Raises UsageError for more."""
    found = chosen_photos(o, text)
    if len(found) != 1:
        raise click.UsageError(ToSay("error.names_photos_where", text=text, n=len(found)))
    return found


def say_numbers(chosen: dict[int, Photo], text: str, words: Words) -> None:
    """Print what was done to photos: `photos 14-16: the maker's only`."""
    from qlog.counting import runs

    say_line(words.count("photo.numbers", len(chosen), numbers=runs(chosen), text=text))


def say_placed(placed: Sequence[Proposal], words: Words) -> None:
    """Print what votes that agree have placed just now, by place."""
    from qlog.words.placing import by_text, place_text

    by_place = Counter(
        (place_text(p, words), by_text("+".join(v.by for v in p.votes), words)) for p in placed
    )
    for (name, by), many in sorted(by_place.items()):
        photos = words.count("n.photos", many)
        say_line(words("photo.placed_by", place=name, photos=photos, by=by))
