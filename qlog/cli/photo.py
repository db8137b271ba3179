"""`qlog photo`: take photos in and put them in their place."""

from __future__ import annotations

from pathlib import Path

import click

from qlog.cli.context import opened


@click.group("photo")
def command() -> None:
    """Take photos in and put them in their place.

    \b
    Example:
      qlog photo add IMG_0412.jpg --part foot --op 20
    """


@command.command("add")
@click.argument(
    "files", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path)
)
@click.option("--part", "-p", help="Part that the photos show.")
@click.option("--op", "-o", help="Operation after which they were taken.")
@click.option("--piece", "-k", help="The one piece that they show.")
@click.option("--note", "-n", default="", metavar="TEXT", help="Caption.")
@click.option("--item", help="Finished item that they show.")
@click.option("--cover", is_flag=True, help="Use as the cover picture of its part, item or build.")
@click.option("--maker-only", is_flag=True, help="Keep out of the recipient's edition.")
@click.pass_context
def add(
    ctx: click.Context,
    files: tuple[Path, ...],
    part: str | None,
    op: str | None,
    piece: str | None,
    note: str,
    item: str | None,
    cover: bool,
    maker_only: bool,
) -> int:
    """Take photos in: the originals go into the vault byte for byte, their facts into the logbook.

    The same file twice is one photo. Without --part they lie in the tray until placed.

    \b
    Example:
      qlog photo add IMG_0412.jpg --part foot --op 20
      qlog photo add *.jpg -p cup -o 20 -k 3 -n "boring to size"
    """
    from qlog.intake.photos import Place, take_photo
    from qlog.intake.places import PlaceError, op_of, part_of, piece_of
    from qlog.logbook.pictures import PhotoError
    from qlog.review.items import item_ids

    bad = 0
    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part)
        if owner is None and (op or piece):
            raise PlaceError("--op and --piece need --part")
        if item is not None and item not in {i for i, _, _ in item_ids(o.build)}:
            known = ", ".join(i for i, _, _ in item_ids(o.build)) or "none"
            raise PlaceError(f"no item {item!r}; there is: {known}")
        place = Place(
            part=None if owner is None else owner.id,
            op=None if owner is None or op is None else op_of(owner, op).number,
            piece=None if owner is None or piece is None else piece_of(owner, piece),
            item=item,
            caption=note,
            audience="maker" if maker_only else "both",
            cover=("item" if item else "part" if owner else "build") if cover else "",
        )
        for path in files:
            try:
                taken = take_photo(o.build, o.logbook, path, place)
            except (PhotoError, OSError) as error:
                click.echo(f"qlog: {error}", err=True)
                bad += 1
                continue
            photo = taken.photo
            words = [
                "taken in" if taken.new else "known",
                photo.taken or "no date",
                photo.camera or "unknown camera",
                "location inside (stays in the vault)" if photo.located else "",
                "" if taken.placed or place.part else "in the tray",
            ]
            click.echo(f"{path.name}: {', '.join(w for w in words if w)}")
    if bad:
        click.echo(f"{bad} of {len(files)} could not be taken in", err=True)
    return 1 if bad else 0
