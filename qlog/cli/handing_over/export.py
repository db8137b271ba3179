"""`qlog export`: readings for other programs."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.terminal.say import say_line
from qlog.problem import ToSay
from qlog.words.catalogue import words_of

if TYPE_CHECKING:
    from qlog.review.picture import Picture


@click.command("export")
@click.argument("part", required=False)
@click.option("--wide", is_flag=True, help="Pieces down, dimensions across; of one PART.")
@click.option(
    "--csv", "language", type=click.Choice(["en", "de"]), help="Commas, or semicolons and 8,012."
)
@click.option("--json-lines", is_flag=True, help="One JSON object a line.")
@click.option("--qif", is_flag=True, help="A QIF 3.0 results document (ISO 23952) of one PART.")
@click.option("--settings", is_flag=True, help="What the operations were set to, as CSV.")
@click.option("--out", "-o", metavar="FILE", type=click.Path(path_type=Path),
              help="Write to FILE: text, a spreadsheet (.xlsx) or a database (.db).")  # fmt: skip
@click.pass_context
def command(
    ctx: click.Context,
    part: str | None,
    wide: bool,
    language: str | None,
    json_lines: bool,
    qif: bool,
    settings: bool,
    out: Path | None,
) -> None:
    """Write every live reading with its limits and verdict, of all parts or of one PART.

    CSV in the build's language unless another is asked for; `qlog manual export` describes every
    field. What is written reads back with `qlog read --csv FILE`.

    \b
    Example:
      qlog export -o readings.xlsx
      qlog export cup --wide --csv de
    """  # fmt: skip
    sheet = out is not None and out.suffix.lower() == ".xlsx"
    if (wide or qif) and part is None:
        raise click.UsageError(ToSay("error.wants_one_part", option="--qif" if qif else "--wide"))
    if qif and (wide or language or json_lines or settings):
        raise click.UsageError(ToSay("error.form_of_its_own"))
    if qif and out is not None and out.suffix.lower() in (".xlsx", ".db"):
        raise click.UsageError(ToSay("error.qif_is_text"))
    if sum((language is not None, json_lines, sheet)) > 1:
        raise click.UsageError(ToSay("error.choose_one_csv"))
    database = out is not None and out.suffix.lower() == ".db"
    if database and (wide or part or language or json_lines):
        raise click.UsageError(ToSay("error.database_holds_all"))
    if settings and (wide or json_lines or sheet or database):
        raise click.UsageError(ToSay("error.settings_csv"))
    if wide and json_lines:
        raise click.UsageError(ToSay("error.json_lines_are"))
    if out is not None and out.exists():
        raise click.UsageError(ToSay("error.there_already_name", out=out))
    from qlog.intake.typed.places import part_of
    from qlog.record.readings import judged_rows, written
    from qlog.review.whole import picture_from

    with opened(ctx) as o:
        words = words_of(o.build)
        owner = None if part is None else part_of(o.build, part).id
        picture = picture_from(o.build, o.logbook, studied=False)
        if qif and owner is not None:
            _qif(picture, owner, out)
            return
        found = judged_rows.rows_of(o.logbook, picture, owner)
        if database and out is not None:
            from qlog.logbook.store import now_utc
            from qlog.record.readings.database import write_database

            write_database(o.logbook.path, found, now_utc(), out)
            say_line(words.count("export.made", len(found), file=out))
            return
        spoken = language or ("de" if o.build.language.lower().startswith("de") else "en")
    if settings:
        lines = judged_rows.setting_lines(picture, owner)
        said = words.count("export.settings", len(lines) - 1, file=out)
        _write(written.as_csv(lines, spoken).encode(), out, said)
        return
    if sheet:
        lines = judged_rows.wide(found) if wide else written.long_lines(found)
        data = written.as_xlsx(lines)
    elif json_lines:
        data = written.as_json_lines(found).encode()
    elif wide:
        data = written.as_csv(judged_rows.wide(found), spoken).encode()
    else:
        data = written.long_csv(found, spoken).encode()
    said = words.count("export.made", len(found), file=out)
    _write(data, out, said, marked=not sheet and not json_lines)


def _qif(picture: Picture, part: str, out: Path | None) -> None:
    """One part as a QIF document, with how many readings it holds said of a FILE."""
    from qlog import __version__
    from qlog.record.readings.qif import qif_document

    count = sum(len(s.readings) for s in picture.part(part).series)
    said = words_of(picture.build).count("export.made", count, file=out)
    _write(qif_document(picture, part, __version__).encode(), out, said, marked=False)


def _write(data: bytes, out: Path | None, said: str, *, marked: bool = True) -> None:
    """To the screen, or to a file, `marked` as UTF-8 in the way that spreadsheets know."""
    if out is None:
        sys.stdout.write(data.decode())
        return
    from qlog.writing import write_whole

    write_whole(("\ufeff".encode() if marked else b"") + data, out)
    say_line(said)
