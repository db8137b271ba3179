"""`qlog photo`: take photos in and put them in their place."""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import Opened, opened

if TYPE_CHECKING:
    from qlog.intake.photo_files import Skipped
    from qlog.intake.photo_place import Proposal
    from qlog.intake.photo_proposals import Proposed
    from qlog.intake.photos import Place, Taken
    from qlog.logbook.facts import Photo
    from qlog.review.picture import PhotoView, Picture

#: For so many seconds a clock page shows the time.
_CLOCK_SECONDS = 600


@click.group("photo")
def command() -> None:
    """Take photos in and put them in their place.

    A card photographed first (`qlog card`) places what the same camera takes after it. Otherwise
    the time of the work, then file and folder names propose a place; the rest lies in the tray.

    \b
    Example:
      qlog photo add /media/card
      qlog photo tray
      qlog photo place 14-22 foot 20
    """


@command.command("add")
@click.argument(
    "files", nargs=-1, required=True, metavar="FILE|DIR...", type=click.Path(path_type=Path)
)
@click.option("--part", "-p", help="Part that the photos show.")
@click.option("--op", "-o", help="Operation after which they were taken.")
@click.option("--piece", "-k", help="The one piece that they show.")
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
    note: str,
    item: str | None,
    cover: bool,
    maker_only: bool,
    salvage: bool,
) -> int:
    """Take photos in, a whole folder or card at once: JPEG, HEIC, PNG, TIFF, WebP, AVIF.

    The originals go into the vault byte for byte, their facts into the logbook. The same photo
    twice is one. A file that cannot be read gets a line and stops no other; the exit status is
    then 1.

    \b
    Example:
      qlog photo add /media/card
      qlog photo add IMG_0412.jpg --part foot --op 20
      qlog photo add *.jpg -p cup -o 20 -k 3 -n "boring to size"
    """
    from qlog.cli.progress import progress
    from qlog.intake.photo_files import Skipped, collect
    from qlog.intake.photo_names import place_by_name
    from qlog.intake.photo_proposals import propose, routes_of
    from qlog.intake.photos import own_file, take_in

    with opened(ctx) as o:
        place = _place(o, part, op, piece, item, cover, note, maker_only)
        skipped: list[Skipped] = []
        paths: list[Path] = []
        for path in collect(files, skipped):
            if own_file(o.build, path) and path not in files:
                skipped.append(Skipped(path, "the build's own vault or record"))
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
    _summary(taken, proposed, skipped, unreadable)
    lost = len(bad) + len(unreadable)
    if lost:
        click.echo(f"{lost} of {len(taken) + len(unreadable)} could not be taken in", err=True)
    return int(bool(lost))


@command.command("tray")
@click.option("--sheet", is_flag=True, help="Also make a numbered contact sheet to look at.")
@click.option(
    "--out",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Where the sheet goes; by default tray.html in the build's folder.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def tray(ctx: click.Context, sheet: bool, out: Path | None, as_json: bool) -> int:
    """List the photos that nobody has placed yet, with what is proposed for them.

    Looks once more whether a card, the time of the work or a name says where they belong. The
    numbers stay the same for ever.

    \b
    Example:
      qlog photo tray
      qlog photo tray --sheet
    """
    from qlog.cli import photo_text
    from qlog.cli.tables import print_table
    from qlog.intake.photo_proposals import propose
    from qlog.logbook.pictures import printable

    with opened(ctx) as o:
        found = propose(o.build, o.logbook)
        picture = _picture(o)
    notes = _notes(found)
    views = sorted(picture.tray, key=lambda v: v.number)
    if as_json:
        rows = [photo_text.as_json(v, notes.get(v.sha256, "")) for v in views]
        json.dump(rows, sys.stdout, indent=2, ensure_ascii=False)
        click.echo()
    else:
        _placed_by_card(found.placed)
        if not views:
            click.echo("the tray is empty")
            return 0
        print_table(
            ("", "taken", "camera", "proposal", "name"),
            [
                (
                    str(v.number),
                    photo_text.taken(v),
                    v.photo.camera or "-",
                    _joined(photo_text.proposal_of(v) or "-", notes.get(v.sha256, "")),
                    _joined(printable(v.photo.name), photo_text.marks(v)),
                )
                for v in views
            ],
            right=(0,),
            keep=(1,),
        )
        click.echo(
            "qlog photo place NUMBERS PART OP [PIECE] puts them; --as-proposed instead of a place "
            "confirms"
        )
    if sheet or out is not None:
        target = out if out is not None else picture.build.folder / "tray.html"
        hint = "qlog photo place NUMBERS PART OP [PIECE], or --as-proposed instead of a place"
        photo_text.contact_sheet(picture.build, views, notes, target, "Photos to place", hint)
        click.echo(str(target), err=as_json)
    return 0


@command.command("place")
@click.argument("numbers")
@click.argument("part", required=False)
@click.argument("op", required=False)
@click.argument("piece", required=False)
@click.option("--as-proposed", is_flag=True, help="Where they are proposed.")
@click.option("--item", help="On a finished item instead of a part.")
@click.option("--cover", is_flag=True, help="As a cover picture; without a place, of the build.")
@click.pass_context
def place(
    ctx: click.Context,
    numbers: str,
    part: str | None,
    op: str | None,
    piece: str | None,
    as_proposed: bool,
    item: str | None,
    cover: bool,
) -> int:
    """Put photos NUMBERS (14, 14-22, 3,7,9-12, or all of the tray) in their place.

    Without OP they belong to the part as a whole. Placing them again moves them.

    \b
    Example:
      qlog photo place 14-22 foot 20
      qlog photo place 23 foot 20 3
      qlog photo place all --as-proposed
      qlog photo place 31 --item bright-1 --cover
    """
    from qlog.cli import photo_text
    from qlog.intake import photo_changes
    from qlog.words import count, runs

    where = bool(part or item or cover)
    if as_proposed == where:
        raise click.UsageError("say where: PART [OP [PIECE]], --item, --cover or --as-proposed")
    with opened(ctx) as o:
        chosen = _chosen(o, numbers)
        number_of = {photo.sha256: number for number, photo in chosen.items()}
        photos = list(chosen.values())
        if as_proposed:
            sure, rest = photo_changes.confirm(o.logbook, photos)
            by_place = Counter(photo_text.place_of(v) for v in _views(_picture(o), sure))
            for name, many in sorted(by_place.items()):
                click.echo(f"{name}: {count(many, 'photo', 'photos')}")
            if rest:
                listed = runs(number_of[p.sha256] for p in rest)
                click.echo(f"nothing is proposed for {listed}", err=numbers != "all")
            status = int(bool(rest) and numbers != "all")
        else:
            there = _place(o, part, op, piece, item, cover, "", False)
            moved = photo_changes.put(o.logbook, photos, there)
            name = photo_text.place(there.part, there.op, there.piece, there.item, there.cover)
            known = len(photos) - moved
            click.echo(
                f"{name}: {count(moved, 'photo', 'photos')}"
                + (f", {known} there already" if known else "")
            )
            status = 0
        left = len(_picture(o).tray)
    if left:
        click.echo(f"{count(left, 'photo', 'photos')} left in the tray")
    return status


@command.command("list")
@click.argument("part", required=False)
@click.argument("op", required=False)
@click.option(
    "--sheet",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Also make a contact sheet of them.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def list_(
    ctx: click.Context, part: str | None, op: str | None, sheet: Path | None, as_json: bool
) -> int:
    """List photos with number, place, who may see them, and which of near-duplicates is shown.

    \b
    Example:
      qlog photo list
      qlog photo list foot 20 --sheet foot-20.html
    """
    from qlog.cli import photo_text
    from qlog.cli.tables import print_table
    from qlog.intake.places import op_of, part_of
    from qlog.logbook.pictures import printable

    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part)
        number = None if owner is None or op is None else op_of(owner, op).number
        picture = _picture(o)
    views = [
        v
        for v in picture.photos
        if (owner is None or v.part == owner.id) and number in (None, v.op)
    ]
    if as_json:
        json.dump([photo_text.as_json(v) for v in views], sys.stdout, indent=2, ensure_ascii=False)
        click.echo()
    elif not views:
        click.echo("no photos there")
    else:
        print_table(
            ("", "taken", "place", "seen by", "caption", "name"),
            [
                (
                    str(v.number),
                    photo_text.taken(v),
                    photo_text.place_of(v) or ("-" if v.audience == "nobody" else "in the tray"),
                    photo_text.seen_by(v),
                    v.caption,
                    _joined(printable(v.photo.name), photo_text.marks(v)),
                )
                for v in views
            ],
            right=(0,),
            keep=(1, 2),
        )
    if sheet is not None and views:
        where = photo_text.place(owner.id if owner else None, number, None, None, "")
        photo_text.contact_sheet(
            picture.build, views, {}, sheet, f"Photos of {where}" if where else "All photos", ""
        )
        click.echo(str(sheet), err=as_json)
    return 0


@command.command("caption")
@click.argument("numbers")
@click.argument("text")
@click.pass_context
def caption(ctx: click.Context, numbers: str, text: str) -> int:
    """Give photos NUMBERS a caption; the earlier one stays in the history. "" takes it away.

    \b
    Example:
      qlog photo caption 14 "boring the socket to size"
    """
    from qlog.intake import photo_changes

    with opened(ctx) as o:
        chosen = _chosen(o, numbers)
        photo_changes.caption(o.logbook, list(chosen.values()), " ".join(text.split()))
    _echo_numbers(chosen, " ".join(text.split()) or "no caption")
    return 0


@command.command("show")
@click.argument("numbers")
@click.argument("audience", type=click.Choice(["both", "maker", "nobody"]))
@click.pass_context
def show(ctx: click.Context, numbers: str, audience: str) -> int:
    """Say which edition may show photos NUMBERS: both, only the maker's, or none.

    A photo for nobody stays in the vault and does not count as evidence.

    \b
    Example:
      qlog photo show 14-16 maker
      qlog photo show 17 nobody
    """
    from qlog.intake import photo_changes

    with opened(ctx) as o:
        chosen = _chosen(o, numbers)
        photo_changes.show(o.logbook, list(chosen.values()), audience)
    words = {"both": "in both editions", "maker": "the maker's only", "nobody": "in no edition"}
    _echo_numbers(chosen, words[audience])
    return 0


@command.command("cover")
@click.argument("number")
@click.argument("of", required=False, type=click.Choice(["part", "item", "build", "none"]))
@click.pass_context
def cover(ctx: click.Context, number: str, of: str | None) -> int:
    """Make photo NUMBER the cover picture of its part, its item or the build.

    By default that of where it lies. The one chosen last is shown first.

    \b
    Example:
      qlog photo cover 31
      qlog photo cover 40 build
    """
    from qlog.intake import photo_changes

    with opened(ctx) as o:
        chosen = _one(o, number)
        photo = next(iter(chosen.values()))
        view = _views(_picture(o), [photo])[0]
        natural = "item" if view.item else "part" if view.part else "build"
        kind = natural if of is None else "" if of == "none" else of
        photo_changes.cover(o.logbook, photo, kind)
    thing = {"part": view.part, "item": view.item}.get(kind) or "the build"
    _echo_numbers(chosen, f"cover of {thing}" if kind else "no cover")
    return 0


@command.command("best")
@click.argument("number")
@click.pass_context
def best(ctx: click.Context, number: str) -> int:
    """Choose photo NUMBER among near-duplicates; otherwise the record shows the sharpest.

    \b
    Example:
      qlog photo best 15
    """
    from qlog.intake import photo_changes
    from qlog.words import runs

    with opened(ctx) as o:
        chosen = _one(o, number)
        photo = next(iter(chosen.values()))
        picture = _picture(o)
        view = _views(picture, [photo])[0]
        head = view.better if view.better is not None else view.number
        alike = [v for v in picture.photos if head in (v.number, v.better)]
        photo_changes.best(o.logbook, photo, [v.photo for v in alike])
    others = sorted(v.number for v in alike if v.number != view.number)
    if others:
        _echo_numbers(chosen, f"shown instead of {runs(others)}")
    else:
        _echo_numbers(chosen, "no other photo of that place shows the same; it is shown anyway")
    return 0


@command.command("clock")
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--show", is_flag=True, help="Make a page that shows the time, and open it.")
@click.option(
    "--out",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Where the page goes; by default clock.html in the build's folder.",
)
@click.pass_context
def clock(ctx: click.Context, file: Path | None, show: bool, out: Path | None) -> int:
    """Find out how far a camera's clock is off, and put its photos' times right from then on.

    Shows the time with a code, here or on a page; photograph that, then give the photo as FILE.
    The photos keep the camera's own time; the correction is added when they are looked at. It
    holds for that camera from the photo of the clock on, until the next one.

    \b
    Example:
      qlog photo clock --show
      qlog photo clock IMG_0398.jpg
    """
    if file is None:
        if show or out is not None:
            return _clock_page(ctx, out)
        return _clock_here()
    if show or out is not None:
        raise click.UsageError("FILE reads a photo of the clock, --show shows the clock: one each")
    from qlog.intake.photo_changes import set_clock
    from qlog.intake.photo_proposals import propose
    from qlog.intake.photos import examine
    from qlog.logbook.pictures import PhotoError
    from qlog.problem import Problem

    with opened(ctx) as o:
        try:
            looked = examine(o.build, file)
        except PhotoError as error:
            raise Problem(str(error)) from error
        found, new = set_clock(o.logbook, looked, o.build.timezone)
        _placed_by_card(propose(o.build, o.logbook).placed)
    name = found.camera or "this camera"
    if found.seconds == 0:
        click.echo(f"{name}: its clock is right to the second")
    else:
        way = "slow" if found.seconds > 0 else "fast"
        click.echo(
            f"{name}: its clock is {_span(abs(found.seconds))} {way}; its photos from this one on "
            f"are read {found.seconds:+d} s"
        )
    if not new:
        click.echo("(known already)")
    return 0


def _clock_page(ctx: click.Context, out: Path | None) -> int:
    from datetime import UTC, datetime

    from qlog.cli.bench_page import render, write
    from qlog.cli.context import build_folder
    from qlog.intake.clock_codes import clock_codes

    target = out if out is not None else build_folder(ctx.find_root().obj) / "clock.html"
    codes = clock_codes(datetime.now(UTC), _CLOCK_SECONDS)
    page = render(
        "clock.html",
        codes=codes,
        start=int(codes.start.timestamp()),
        utc=f"{codes.start:%Y-%m-%dT%H:%M:%SZ}",
        local=f"{codes.start.astimezone():%H:%M:%S}",
    )
    write(page, target)
    click.echo(f"{target}: shows the time for {_CLOCK_SECONDS // 60} minutes from now")
    click.echo("photograph it, then: qlog photo clock FILE")
    if sys.stdout.isatty():
        click.launch(str(target))
    return 0


def _clock_here() -> int:
    """The time as a code in the terminal, running until it is stopped; once when piped."""
    import time
    from datetime import UTC, datetime

    from qlog.intake.slate import Slate, payload, terminal_code

    while True:
        now = datetime.now(UTC).replace(microsecond=0)
        text = terminal_code(payload(Slate(shown=now)))
        if not sys.stdout.isatty():
            click.echo(f"{text}\n{now:%Y-%m-%dT%H:%M:%SZ}")
            return 0
        click.clear()
        click.echo(f"{text}\n{now:%Y-%m-%dT%H:%M:%SZ}")
        click.echo("photograph this, then Ctrl-C and: qlog photo clock FILE")
        try:
            time.sleep(1.005 - time.time() % 1)
        except KeyboardInterrupt:
            return 0


def _place(
    o: Opened,
    part: str | None,
    op: str | None,
    piece: str | None,
    item: str | None,
    cover: bool,
    note: str,
    maker_only: bool,
) -> Place:
    """The place that was typed, checked against the plan. Raises PlaceError."""
    from qlog.intake.photos import Place
    from qlog.intake.places import PlaceError, nearest, op_of, part_of, piece_of
    from qlog.review.items import item_ids

    owner = None if part is None else part_of(o.build, part)
    if owner is None and (op or piece):
        raise PlaceError("--op and --piece need --part")
    if owner is not None and item is not None:
        raise PlaceError("a photo lies on a part or on an item, not on both")
    if item is not None:
        items = [id for id, _, _ in item_ids(o.build)]
        if item not in items:
            raise PlaceError(f"no item {item!r}; {nearest(item, items)}")
    return Place(
        part=None if owner is None else owner.id,
        op=None if owner is None or op is None else op_of(owner, op).number,
        piece=None if owner is None or piece is None else piece_of(owner, piece),
        item=item,
        caption=" ".join(note.split()),
        audience="maker" if maker_only else "both",
        cover=("item" if item else "part" if owner else "build") if cover else "",
    )


def _say(taken: Taken, outright: set[Path], place: Place) -> None:
    """The line of one file; a known one that only lay in a folder is counted, not named."""
    from qlog.intake.photos import CLOCK
    from qlog.logbook.pictures import printable

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
    if taken.slates:
        clock = any(s.is_clock for s in taken.slates)
        shows = f"shows a {CLOCK if clock else 'card'}: kept, and left out of the record"
        if clock:
            shows += f" (`qlog photo clock {printable(taken.path)}` puts the camera's time right)"
    words = [
        "taken in" if taken.new else "known",
        (photo.taken or "no date").replace("T", " ")[:19] + doubt,
        photo.camera or "unknown camera",
        "location inside (stays in the vault)" if photo.located else "",
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
) -> None:
    from qlog.words import count

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
    _placed_by_card(proposed.placed)
    waiting, loose = len(proposed.proposed), len(proposed.loose)
    if waiting or loose:
        click.echo(
            f"{count(waiting + loose, 'photo', 'photos')} in the tray, {waiting} with a proposal: "
            "`qlog photo tray`"
        )


def _placed_by_card(placed: Sequence[Proposal]) -> None:
    from qlog.cli.photo_text import place
    from qlog.words import count

    by_place = Counter(place(p.part, p.op, p.piece, None, "") for p in placed)
    for name, many in sorted(by_place.items()):
        click.echo(f"{name}: {count(many, 'photo', 'photos')} placed by card")
    for note in sorted({p.note for p in placed if p.note}):
        click.echo(f"  though for one of them {note}")


def _notes(found: Proposed) -> dict[str, str]:
    return {p.photo: p.note for p in (*found.proposed, *found.loose) if p.note}


def _joined(*words: str) -> str:
    return "; ".join(word for word in words if word)


def _spelling(path: Path) -> Path:
    """The end of a path that may say a place: what was typed, or the last folders of it."""
    return Path(*path.parts[-4:]) if path.is_absolute() else path


def _picture(o: Opened) -> Picture:
    from qlog.review.assemble import assemble

    return assemble(o.build, o.logbook, studied=False)


def _views(picture: Picture, photos: Sequence[Photo]) -> list[PhotoView]:
    wanted = {photo.sha256 for photo in photos}
    return [v for v in picture.photos if v.sha256 in wanted]


def _chosen(o: Opened, text: str) -> dict[int, Photo]:
    """The photos of the numbers typed, by number."""
    from qlog.intake.photo_changes import chosen, numbered

    photos = numbered(o.logbook)
    tray = [v.number for v in _picture(o).tray] if text.strip().lower() == "all" else []
    return {number: photos[number] for number in chosen(photos, text, tray)}


def _one(o: Opened, text: str) -> dict[int, Photo]:
    found = _chosen(o, text)
    if len(found) != 1:
        raise click.UsageError(f"{text!r} names {len(found)} photos where one is wanted")
    return found


def _echo_numbers(chosen: dict[int, Photo], text: str) -> None:
    from qlog.words import runs

    noun = "photo" if len(chosen) == 1 else "photos"
    click.echo(f"{noun} {runs(chosen)}: {text}")


def _span(seconds: int) -> str:
    """`3 min 12 s`, `1 h 0 min 3 s`, `2 days 4 h`."""
    days, rest = divmod(seconds, 86400)
    hours, rest = divmod(rest, 3600)
    minutes, rest = divmod(rest, 60)
    if days:
        return f"{days} {'day' if days == 1 else 'days'} {hours} h"
    if hours:
        return f"{hours} h {minutes} min {rest} s"
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"
