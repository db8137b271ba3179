"""`qlog photo clock`: the time as a code, and a camera's clock put right by a photo of it."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import build_folder, opened
from qlog.cli.photos.common import say_placed
from qlog.cli.terminal.say import say_line, words_at
from qlog.problem import ToSay, said_by

if TYPE_CHECKING:
    from qlog.words.catalogue import Words

#: For so many seconds a clock page shows the time.
_CLOCK_SECONDS = 600


@click.command("clock")
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--show", is_flag=True, help="Make a page that shows the time, and open it.")
@click.option(
    "--out",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Where the page goes; by default clock.html in the build's folder.",
)
@click.option("--earlier", is_flag=True, help="Put the photos taken before it right as well.")
@click.pass_context
def clock(
    ctx: click.Context, file: Path | None, show: bool, out: Path | None, earlier: bool
) -> int:
    """Find out how far a camera's clock is off, and put its photos' times right from then on.

    Shows the time with a code, here or on a page; photograph that, then give the photo as FILE.
    The photos keep the camera's own time; the correction is added when they are looked at. It
    holds for that camera from the photo of the clock on, until the next one; with --earlier for
    those before it too, back to the photo of the clock before.

    \b
    Example:
      qlog photo clock --show
      qlog photo clock IMG_0398.jpg
      qlog photo clock IMG_0398.jpg --earlier
    """
    if file is None:
        if earlier:
            raise click.UsageError(ToSay("error.earlier_needs_photo"))
        if show or out is not None:
            return _clock_page(ctx, out)
        return _clock_here(ctx)
    if show or out is not None:
        raise click.UsageError(ToSay("error.file_reads_photo"))
    from qlog.intake.photos.edits import set_clock
    from qlog.intake.photos.proposals import propose
    from qlog.intake.photos.taking import examine
    from qlog.logbook.photos import originals
    from qlog.logbook.photos.pictures import PhotoError
    from qlog.problem import Problem
    from qlog.words.catalogue import words_of

    with opened(ctx) as o:
        originals.tidy_by(o.logbook, o.build.folder)
        try:
            looked = examine(o.build, file)
        except PhotoError as error:
            raise Problem(said_by(error)) from error
        found, new = set_clock(o.logbook, looked, o.build.timezone, earlier=earlier)
        originals.entered(o.build.folder)
        say_placed(propose(o.build, o.logbook).placed, words_of(o.build))
    words = words_of(o.build)
    camera = found.camera or words("clock.this_camera")
    if found.seconds == 0:
        say_line(words("clock.right", camera=camera))
    else:
        which = "all" if found.earlier else "from_here"
        key = f"clock.{'slow' if found.seconds > 0 else 'fast'}.{which}"
        say_line(words(key, camera=camera, span=_span(abs(found.seconds), words)))
        if not found.earlier:
            say_line(words("clock.earlier"))
    if not new:
        say_line(words("read.known"))
    return 0


def _clock_page(ctx: click.Context, out: Path | None) -> int:
    from qlog.cli.photos.bench_page import render
    from qlog.intake.photos.slate import clock_codes
    from qlog.writing import write_page

    folder = build_folder(ctx.find_root().obj)
    words = words_at(folder)
    target = out if out is not None else folder / "clock.html"
    codes = clock_codes(datetime.now(UTC), _CLOCK_SECONDS)
    page = render(
        "clock.html",
        t=words,
        language=words.language,
        codes=codes,
        start=int(codes.start.timestamp()),
        utc=f"{codes.start:%Y-%m-%dT%H:%M:%SZ}",
        local=f"{codes.start.astimezone():%H:%M:%S}",
    )
    write_page(page, target)
    say_line(words("clock.page", file=target, n=_CLOCK_SECONDS // 60))
    say_line(words("clock.then"))
    if sys.stdout.isatty():
        click.launch(str(target))
    return 0


def _clock_here(ctx: click.Context) -> int:
    """The time as a code in the terminal, running until it is stopped; once when piped."""
    import time

    from qlog.intake.photos.slate import Slate, payload, terminal_code

    def show() -> None:
        now = datetime.now(UTC).replace(microsecond=0)
        text = terminal_code(payload(Slate(shown=now)))
        click.echo(f"{text}\n{now:%Y-%m-%dT%H:%M:%SZ}")

    if not sys.stdout.isatty():
        show()
        return 0
    words = words_at(build_folder(ctx.find_root().obj))
    try:
        while True:
            click.clear()
            show()
            say_line(words("clock.stop"))
            time.sleep(1.005 - time.time() % 1)
    except KeyboardInterrupt:
        return 0


def _span(seconds: int, words: Words) -> str:
    """`3 min 12 s`, `1 h 0 min 3 s`, `2 days 4 h`."""
    days, rest = divmod(seconds, 86400)
    hours, rest = divmod(rest, 3600)
    minutes, rest = divmod(rest, 60)
    if days:
        return f"{words.count('days', days)} {hours} h"
    if hours:
        return f"{hours} h {minutes} min {rest} s"
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"
