"""An error that no command expected, told apart: is the logbook spoilt, or qlog at fault?"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path


def said_of(error: Exception, args: Sequence[str]) -> str | None:
    """What to say of an error when the logbook explains it; None when it is a defect of qlog."""
    from qlog.logbook.keeping.audit import audit
    from qlog.logbook.log_file import UNREADABLE, cause

    if isinstance(error, MemoryError | RecursionError):
        return None
    log = _logbook(args)
    if isinstance(error, UNREADABLE) and type(error).__module__ == "sqlite3":
        return f"{log or 'the logbook'} {cause(error)}"
    if log is None or not log.is_file():
        return None
    try:
        damage = audit(log).damage
    except UNREADABLE as worse:
        return f"{log} {cause(worse)}"
    if not damage:
        return None
    return f"{log} is spoilt: {damage[0].what}; `qlog verify` names all of it ({error})"


def _logbook(args: Sequence[str]) -> Path | None:
    """The logbook of the build that the command was for."""
    from qlog.cli.terminal.wrong import folder_of_call
    from qlog.logbook.log_file import FILE_NAME

    folder = folder_of_call(args)
    return None if folder is None else folder / FILE_NAME
