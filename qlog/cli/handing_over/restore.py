"""`qlog restore`: a build made again from a backup."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("restore")
@click.argument("backup", type=click.Path(path_type=Path, exists=True))
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
def command(backup: Path, folder: Path) -> int:
    """Make the build of BACKUP again in the empty folder DIR, and verify it there.

    BACKUP is a folder that `qlog backup DEST` wrote, or one log of a build's backup/ folder.
    Nothing is written over, and nothing of the backup is changed. The exit status is 1 when
    something in the backup is missing or harmed.

    \b
    Example:
      qlog restore /media/stick/candlesticks candlesticks-again
    """
    from qlog.cli.context import say_brought_up
    from qlog.cli.handing_over.verify import verified_text
    from qlog.cli.terminal.say import progress, say_line, words_at
    from qlog.logbook.keeping.restore import restore
    from qlog.words.problems import damage_text

    with progress(words_at(backup)("progress.photos")) as advance:
        found, said = restore(backup, folder, advance)
    say_brought_up(said, folder)
    words = words_at(folder)
    for damage in found.damage:
        say_line(damage_text(damage, words), err=True)
    say_line(words("restore.found", folder=folder, found=verified_text(found, words)))
    if found.entries:
        say_line(words("verify.head", entry=found.head.entries, sum=found.head.sum))
    return int(bool(found.damage))
