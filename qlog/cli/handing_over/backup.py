"""`qlog backup`: a safe copy of the logbook, or of the whole build on another disk."""

from __future__ import annotations

from pathlib import Path

import click

from qlog.cli.context import build_folder, name_other_logs, say_brought_up


@click.command("backup")
@click.argument("dest", metavar="[DEST]", required=False, type=click.Path(path_type=Path))
@click.pass_context
def command(ctx: click.Context, dest: Path | None) -> int:
    """Copy the whole build - log, photos, plan - to the folder DEST, best on another disk.

    What DEST has already is not copied again, and everything written is read back. A damaged log
    replaces no earlier backup. Without DEST only the log is copied, to backup/ beside it.
    `qlog restore` makes a build of it again; the exit status is 1 when a photo is missing.

    \b
    Example:
      qlog backup /media/stick/candlesticks
    """
    from qlog.cli.terminal.say import on_screen, say_line, words_at
    from qlog.logbook.log_file import FILE_NAME
    from qlog.logbook.opening import check_version
    from qlog.words.problems import in_words

    folder = build_folder(ctx.find_root().obj)
    say_brought_up(check_version(folder / FILE_NAME), folder)
    name_other_logs(folder)
    words = words_at(folder)
    if dest is None:
        from qlog.logbook.keeping.copies import copy_log

        say_line(words("backup.copied", file=copy_log(folder / FILE_NAME)))
        say_line(words("backup.same_disk"))
        return 0
    from qlog.cli.terminal.say import progress
    from qlog.logbook.keeping.backup import back_up, last_backup

    last = last_backup(folder)
    with progress(words("progress.photos")) as advance:
        made = back_up(folder, dest, progress=advance)
    for damage in made.damage:
        said = words("backup.not_taken", where=damage.where, what=in_words(words, damage.what))
        click.echo(on_screen(said), err=True)
    entries = words.count("n.entries", made.head.entries)
    photos = words.count("n.photos", made.photos)
    say_line(words("backup.made", dest=dest, entries=entries, photos=photos, new=made.new))
    if made.head.entries:
        say_line(words("verify.head", entry=made.head.entries, sum=made.head.sum))
    if last is not None:
        say_line(words("backup.before", date=words.date(last.when), where=last.where))
    return int(bool(made.damage))
