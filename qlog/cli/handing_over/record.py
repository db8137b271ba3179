"""`qlog record`: build the record to keep and to hand over."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog import __version__
from qlog.cli.context import opened
from qlog.cli.terminal.say import on_screen, say_line, words_at

if TYPE_CHECKING:
    from collections.abc import Sequence

    from qlog.drawing.plan import Build
    from qlog.logbook.store import Logbook
    from qlog.problem import ToSay
    from qlog.record.publish.editions import Edition
    from qlog.record.publish.standing import StandingRecord
    from qlog.words.catalogue import Words


@click.command("record")
@click.option(
    "--for",
    "edition",
    type=click.Choice(["maker", "recipient"]),
    help="Only this edition; both by default.",
)
@click.option(
    "--out",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Folder for the editions; by default record/ in the build's folder.",
)
@click.option("--zip", "-z", "as_zip", is_flag=True, help="Also pack each edition into one file.")
@click.option(
    "--check",
    "check_dir",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Only check a built record against its manifest.",
)
@click.option(
    "--book",
    is_flag=True,
    help="Also lay out a book (A5 and A4) and cards for the box; as PDF where Chromium is there.",
)
@click.option(
    "--rehearse",
    is_flag=True,
    help="Show on one page every photo and sentence that the recipient will see.",
)
@click.option(
    "--approve",
    metavar="CODES",
    multiple=True,
    help="In a rehearsal: hand these lines over as they stand; all: every open one.",
)
@click.option(
    "--hide", metavar="CODES", multiple=True, help="In a rehearsal: leave these lines out."
)
@click.option(
    "--change",
    metavar="CODE WORDS",
    nargs=2,
    multiple=True,
    help="In a rehearsal: hand this line over in other words.",
)
@click.pass_context
def command(
    ctx: click.Context,
    edition: str | None,
    out: Path | None,
    as_zip: bool,
    check_dir: Path | None,
    book: bool,
    rehearse: bool,
    approve: tuple[str, ...],
    hide: tuple[str, ...],
    change: tuple[tuple[str, str], ...],
) -> int:
    """Build the static record: a maker's edition and a recipient's edition.

    It opens from any disk or stick without a network. Only what changed is written again.

    \b
    Example:
      qlog record
      qlog record --for recipient --out handover --zip
      qlog record --check record/maker
      qlog record --rehearse
      qlog record --rehearse --approve all --hide 3f9a1c
    """
    if check_dir is not None:
        return _check(ctx, check_dir)
    if rehearse or approve or hide or change:
        from qlog.cli.handing_over.rehearse import rehearsal

        return rehearsal(ctx, out, approve, hide, change)
    return _build(ctx, edition, out, as_zip, book)


def _build(
    ctx: click.Context, edition: str | None, out: Path | None, as_zip: bool, book: bool
) -> int:
    """Build what does not stand as it is, then say what is not ready to be handed over."""
    from qlog.logbook.photos import originals
    from qlog.record.publish.standing import made_of, standing
    from qlog.words.catalogue import words_of
    from qlog.writing import own_folder

    every: tuple[Edition, ...] = ("maker", "recipient", *(("book",) if book else ()))
    names = [name for name in every if edition in (None, name) or name == "book"]
    with opened(ctx) as o:
        originals.tidy_by(o.logbook, o.build.folder)
        words = words_of(o.build)
        base = out if out is not None else own_folder(o.build.folder, "record")
        of = made_of(o.build, o.logbook, __version__)
        found = {n: standing(o.build.folder, base / words(f"folder.{n}"), of) for n in names}
        work = None
        if not all(found.get(name) for name in names):
            work = _Work(o.build, o.logbook, of)
    lines: tuple[str, ...] = ()
    for name in names:
        folder = base / words(f"folder.{name}")
        stood = found.get(name)
        if stood is None:
            assert work is not None
            stood, changed = work.build(name, folder, words)
        else:
            changed = 0
        lines = stood.lines or lines
        say_line(
            words(
                "record.made",
                file=folder / _first_page(name, words),
                pages=stood.pages,
                photos=words.count("n.photos", stood.photos),
                size=words.number(f"{stood.bytes / 1e6:.1f}"),
                changed=changed,
            )
        )
        _pack(folder, name, as_zip, words)
    spoilt = work.spoilt if work is not None else []
    if spoilt:
        _name_spoilt(spoilt, words)
    for line in lines:
        say_line(line)
    return int(bool(spoilt))


def _name_spoilt(spoilt: Sequence[tuple[str, ToSay]], words: Words) -> None:
    from qlog.logbook.photos.pictures import printable
    from qlog.words.problems import in_words

    for photo, what in spoilt:
        said = words("record.spoilt", photo=printable(photo), what=in_words(words, what))
        click.echo(on_screen(said), err=True)


def _first_page(name: Edition, words: Words) -> str:
    if name != "book":
        return "index.html"
    from qlog.record.keepsake.book import first_page

    return first_page(words)


def _pack(folder: Path, name: Edition, as_zip: bool, words: Words) -> None:
    """Pack an edition where that was asked for, or where an older pack lies there."""
    if name == "book":
        printed = sorted(p.name for p in folder.glob("*.pdf"))
        said = words("book.printed", files=words.list(printed)) if printed else ""
        say_line(said or words("book.no_browser"))
    elif as_zip:
        from qlog.record.publish.archive import zip_record

        click.echo(str(zip_record(folder)))
    elif folder.with_name(f"{folder.name}.zip").is_file():
        from qlog.record.publish.archive import zip_again

        if packed := zip_again(folder):
            say_line(words("record.packed_anew", file=packed))


class _Work:
    """Editions built from one picture of log and plan; what is whole is noted as standing."""

    def __init__(self, build: Build, logbook: Logbook, made_of: str | None) -> None:
        from qlog.cli.terminal.when import time_built
        from qlog.review.whole import picture_from

        self.folder, self.made_of = build.folder, made_of
        self.picture = picture_from(build, logbook, mated=True, dated=True)
        self.built_at = time_built(build, self.picture.entered)

    @cached_property
    def spoilt(self) -> list[tuple[str, ToSay]]:
        """Originals that are not as they were entered: name, and what is wrong."""
        from qlog.logbook.photos import originals

        photos = [(v.sha256, v.photo.name, v.photo.size) for v in self.picture.photos]
        return originals.harmed(self.folder, photos)

    def build(self, name: Edition, folder: Path, words: Words) -> tuple[StandingRecord, int]:
        """Build one edition: what is to be said of it, and how many files are not as before."""
        from qlog.cli.handing_over.rehearse import not_ready_lines
        from qlog.cli.terminal.say import progress
        from qlog.record.publish.build import build_record
        from qlog.record.publish.standing import StandingRecord, note

        with progress(words(f"progress.{name}")) as advance:
            built = build_record(
                self.picture, edition=name, out=folder, originals=self.folder,
                made_at=self.built_at, version=__version__, progress=advance,
            )  # fmt: skip
        lines = not_ready_lines(self.picture, words) if name == "recipient" else ()
        stands = StandingRecord(built.pages, built.photos, built.bytes, lines)
        whole = name != "book" and not built.lost and not self.spoilt
        note(self.folder, folder, self.made_of if whole else None, built.looks, stands)
        return stands, built.changed


def _check(ctx: click.Context, folder: Path) -> int:
    """Hold a built record against its manifest; the build that it was made of need not be here."""
    from qlog.cli.context import build_folder
    from qlog.problem import Problem, ToSay
    from qlog.record.publish.check import check
    from qlog.record.publish.manifest import ManifestError

    try:
        words = words_at(build_folder(ctx.find_root().obj))
    except Problem:
        words = words_at(folder)
    try:
        found = check(folder)
    except ManifestError as error:
        raise Problem(ToSay("error.name_folder_qlog", error=error)) from error
    for key, paths in (("missing", found.missing), ("changed", found.changed)):
        for path in paths:
            click.echo(on_screen(words(f"record.{key}", path=path)), err=True)
    for path in found.strange:
        say_line(words("record.strange", path=path))
    harmed = len(found.missing) + len(found.changed)
    key = "record.whole" if found.whole else "record.harmed"
    say_line(words(key, folder=folder, n=found.files, harmed=harmed))
    return int(not found.whole)
