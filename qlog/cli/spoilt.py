"""An error that no command expected, told apart: is the logbook spoilt, or qlog at fault?"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from qlog.problem import ToSay


def said_of(error: Exception, args: Sequence[str]) -> str | None:
    """What to say of an error when the logbook explains it; None when it is a defect of qlog."""
    from qlog.logbook.keeping.audit import audit
    from qlog.logbook.log_file import UNREADABLE, cause

    if isinstance(error, MemoryError | RecursionError):
        return None
    log = _logbook(args)
    if isinstance(error, UNREADABLE) and type(error).__module__ == "sqlite3":
        return ToSay("error.of_log", log=log or ToSay("error.the_logbook"), cause=cause(error))
    if log is None or not log.is_file():
        return None
    try:
        damage = audit(log).damage
    except UNREADABLE as worse:
        return ToSay("error.of_log", log=log, cause=cause(worse))
    if not damage:
        return None
    return ToSay("error.log_spoilt", log=log, what=damage[0].what, error=error)


def folder_of_call(args: Sequence[str]) -> Path | None:
    """The folder of the build that a command was for; None when there is none."""
    import os

    from qlog.cli.context import build_folder
    from qlog.problem import Problem

    given = os.environ.get("QLOG_BUILD")
    for word, after in zip(args, [*args[1:], ""], strict=True):
        if word == "--build":
            given = after
        elif word.startswith("--build="):
            given = word.partition("=")[2]
    try:
        return build_folder(given or None)
    except (Problem, OSError):
        return None


def _logbook(args: Sequence[str]) -> Path | None:
    """The logbook of the build that the command was for."""
    from qlog.logbook.log_file import FILE_NAME

    folder = folder_of_call(args)
    return None if folder is None else folder / FILE_NAME
