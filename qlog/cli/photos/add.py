"""`qlog photo add`: a file, a folder, a whole card."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.photos.common import say_placed, typed_place
from qlog.cli.terminal.say import on_screen, say_line
from qlog.logbook.photos.pictures import printable
from qlog.words.placing import left_out_text, remark_text

if TYPE_CHECKING:
    from qlog.intake.photos.files import Skipped
    from qlog.intake.photos.proposals import Proposed
    from qlog.intake.photos.taking import PhotoPlace, Taken
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
    from qlog.cli.terminal.say import progress
    from qlog.intake.photos.files import LeftOut, Skipped, collect
    from qlog.intake.photos.names import place_by_name
    from qlog.intake.photos.proposals import propose, routes_of
    from qlog.intake.photos.taking import own_file, take_in
    from qlog.words.catalogue import words_of

    with opened(ctx) as o:
        words = words_of(o.build)
        place = typed_place(o, part, op, piece, item, cover, note, maker_only, dimension)
        skipped: list[Skipped] = []
        paths: list[Path] = []
        for path in collect(files, skipped):
            if own_file(o.build, path) and path not in files:
                skipped.append(Skipped(path, LeftOut.OWN))
            else:
                paths.append(path)
        outright = set(files)

        def report(taken: Taken) -> None:
            _say(taken, outright, place, words)

        with progress(words("progress.photos")) as advance:
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
    unreadable = [s for s in skipped if s.why.lost]
    for one in unreadable:
        click.echo(f"qlog: {printable(one.path)}: {left_out_text(one, words)}", err=True)
    _summary(taken, proposed, skipped, words)
    lost = len(bad) + len(unreadable)
    if lost:
        said = words("add.lost", lost=lost, n=len(taken) + len(unreadable))
        click.echo(on_screen(said), err=True)
    return int(bool(lost))


def _say(taken: Taken, outright: set[Path], place: PhotoPlace, words: Words) -> None:
    """The line of one file; a known one that only lay in a folder is counted, not named."""
    from qlog.intake.photos.taking import cards_of
    from qlog.words.problems import in_words

    photo = taken.photo
    if photo is None:
        click.echo(f"qlog: {in_words(words, taken.error)}", err=True)
        return
    if not taken.new and not taken.moved and taken.path not in outright:
        return
    when = photo.taken.replace("T", " ")[:19] if photo.taken else words("place.no_date")
    doubt = {"file": "add.file_date", "gps": "add.gps"}.get(photo.basis)
    shows = ""
    if any(s.sheet for s in taken.slates):
        shows = words("add.sheet")
    elif cards_of(taken.slates):
        clock = any(s.is_clock for s in taken.slates)
        shows = words("add.clock" if clock else "add.card", file=printable(taken.path))
    said = [
        words("add.taken_in" if taken.new else "add.known"),
        f"{when} {words(doubt)}" if doubt else when,
        photo.camera or words("add.no_camera"),
        words("add.located") if photo.located else "",
        *(remark_text(remark, words) for remark in taken.remarks),
        shows,
        words("add.placed") if place.placed and taken.moved else "",
    ]
    say_line(f"{printable(taken.path.name)}: {', '.join(one for one in said if one)}")


def _summary(
    taken: Sequence[Taken], proposed: Proposed, skipped: Sequence[Skipped], words: Words
) -> None:
    new = words.count("n.photos", sum(t.new for t in taken))
    known = sum(t.photo is not None and not t.new for t in taken)
    if len(taken) > 1 or skipped:
        say_line(words("add.count_known" if known else "add.count", photos=new, known=known))
        left_out = Counter(left_out_text(s, words) for s in skipped if not s.why.lost)
        for why, many in sorted(left_out.items()):
            say_line(words("add.left_out", n=many, why=why))
    say_placed(proposed.placed, words)
    waiting, loose = len(proposed.proposed), len(proposed.loose)
    if waiting or loose:
        photos = words.count("n.photos", waiting + loose)
        say_line(words("add.waiting", photos=photos, proposed=waiting))
    elif proposed.placed:
        say_line(words("add.look"))


def _spelling(path: Path) -> Path:
    """The end of a path that may say a place: what was typed, or the last folders of it."""
    return Path(*path.parts[-4:]) if path.is_absolute() else path
