"""`qlog photo add`: a file, a folder, a whole card."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.photos.common import say_placed, typed_place

if TYPE_CHECKING:
    from qlog.intake.photos.files import Skipped
    from qlog.intake.photos.proposals import Proposed
    from qlog.intake.photos.taking import Place, Taken
    from qlog.words.catalogue import Words


@click.command("add")
@click.argument(
    "files", nargs=-1, required=True, metavar="FILE|DIR...", type=click.Path(path_type=Path)
)
@click.option("--part", "-p", help="Part that the photos show.")
@click.option("--op", "-o", help="Operation after which they were taken.")
@click.option("--piece", "-k", help="The one piece that they show.")
@click.option("--dimension", "-d", help="The dimension whose reading they bear out.")
@click.option("--note", "-n", default="", metavar="TEXT", help="Caption.")
@click.option("--item", help="Finished item that they show.")
@click.option("--cover", is_flag=True, help="Use as the cover picture of its part, item or build.")
@click.option("--maker-only", is_flag=True, help="Keep out of the recipient's edition.")
@click.option("--salvage", is_flag=True, help="Also take in what is left of files cut off.")
@click.pass_context
def add(
    ctx: click.Context,
    files: tuple[Path, ...],
    part: str | None,
    op: str | None,
    piece: str | None,
    dimension: str | None,
    note: str,
    item: str | None,
    cover: bool,
    maker_only: bool,
    salvage: bool,
) -> int:
    """Take photos in, a whole folder or card at once: JPEG, HEIC, PNG, TIFF, WebP, AVIF.

    Originals are kept byte for byte, their facts into the logbook. The same photo
    twice is one. A file that cannot be read gets a line and stops no other; the exit status is
    then 1.

    \b
    Example:
      qlog photo add /media/card
      qlog photo add IMG_0412.jpg --part foot --op 20
      qlog photo add *.jpg -p cup -o 20 -k 3 -n "boring to size"
    """
    from qlog.cli.terminal.progress import progress
    from qlog.cli.terminal.say import words_for
    from qlog.intake.photos.files import Skipped, collect
    from qlog.intake.photos.names import place_by_name
    from qlog.intake.photos.proposals import propose, routes_of
    from qlog.intake.photos.taking import own_file, take_in

    with opened(ctx) as o:
        place = typed_place(o, part, op, piece, item, cover, note, maker_only, dimension)
        skipped: list[Skipped] = []
        paths: list[Path] = []
        for path in collect(files, skipped):
            if own_file(o.build, path) and path not in files:
                skipped.append(Skipped(path, "the build's own originals or record"))
            else:
                paths.append(path)
        outright = set(files)

        def report(taken: Taken) -> None:
            _say(taken, outright, place)

        with progress("photos") as advance:
            taken = take_in(
                o.build, o.logbook, paths, place, salvage=salvage, report=report, progress=advance
            )
        routes = routes_of(o.build)
        named = {
            t.photo.sha256: spelled
            for t in taken
            if t.photo is not None
            and (spelled := place_by_name(_spelling(t.path), routes)) is not None
        }
        proposed = propose(o.build, o.logbook, named)
    bad = [t for t in taken if t.photo is None]
    unreadable = [s for s in skipped if "cannot be read" in s.why or "link to nothing" in s.why]
    for one in unreadable:
        click.echo(f"qlog: {one}", err=True)
    _summary(taken, proposed, skipped, unreadable, words_for(o.build))
    lost = len(bad) + len(unreadable)
    if lost:
        click.echo(f"{lost} of {len(taken) + len(unreadable)} could not be taken in", err=True)
    return int(bool(lost))


def _say(taken: Taken, outright: set[Path], place: Place) -> None:
    """The line of one file; a known one that only lay in a folder is counted, not named."""
    from qlog.intake.photos.taking import cards_of
    from qlog.logbook.photos.pictures import printable

    photo = taken.photo
    if photo is None:
        click.echo(f"qlog: {taken.error}", err=True)
        return
    if not taken.new and not taken.moved and taken.path not in outright:
        return
    doubt = (
        ""
        if photo.basis not in ("file", "gps")
        else {
            "file": " UTC by the file's date only",
            "gps": " UTC by satellite",
        }[photo.basis]
    )
    shows = ""
    if any(s.sheet for s in taken.slates):
        shows = "shows a bench sheet: kept with its operation, for the maker"
    elif cards_of(taken.slates):
        clock = any(s.is_clock for s in taken.slates)
        shows = f"shows a {'clock code' if clock else 'card'}: kept, and left out of the record"
        if clock:
            shows += f" (`qlog photo clock {printable(taken.path)}` puts the camera's time right)"
    words = [
        "taken in" if taken.new else "known",
        (photo.taken or "no date").replace("T", " ")[:19] + doubt,
        photo.camera or "unknown camera",
        "location inside (stays in the originals)" if photo.located else "",
        *taken.notes,
        shows,
        "placed" if place.placed and taken.moved else "",
    ]
    click.echo(f"{printable(taken.path.name)}: {', '.join(w for w in words if w)}")


def _summary(
    taken: Sequence[Taken],
    proposed: Proposed,
    skipped: Sequence[Skipped],
    unreadable: Sequence[Skipped],
    words: Words,
) -> None:
    from qlog.counting import count

    new = sum(t.new for t in taken)
    known = sum(t.photo is not None and not t.new for t in taken)
    if len(taken) > 1 or skipped:
        click.echo(
            f"{count(new, 'photo', 'photos')} taken in"
            + (f", {known} known already" if known else "")
        )
        left_out = Counter(s.why for s in skipped if s not in unreadable)
        for why, many in sorted(left_out.items()):
            click.echo(f"left out {many}: {why}")
    say_placed(proposed.placed, words)
    waiting, loose = len(proposed.proposed), len(proposed.loose)
    if waiting or loose:
        click.echo(
            f"{count(waiting + loose, 'photo', 'photos')} not placed, {waiting} with a proposal: "
            "`qlog photo unplaced`"
        )
    elif proposed.placed:
        click.echo("the maker's only until looked at: `qlog photo unplaced --sheet`")


def _spelling(path: Path) -> Path:
    """The end of a path that may say a place: what was typed, or the last folders of it."""
    return Path(*path.parts[-4:]) if path.is_absolute() else path
