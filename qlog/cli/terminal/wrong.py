"""What went wrong, said in the language of the build that the command was for."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from qlog.words.catalogue import DEFAULT, Words, languages, load


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


def words_of_call(args: Sequence[str]) -> Words:
    """The catalogue of that build's language, also where its plan has mistakes; else English."""
    folder = folder_of_call(args)
    try:
        text = "" if folder is None else (folder / "build.toml").read_text("utf-8", "replace")
    except OSError:
        text = ""
    found = re.search(r"""^[ \t]*language[ \t]*=[ \t]*["']([a-z]{2})""", text, re.MULTILINE)
    return load(found[1] if found and found[1] in languages() else DEFAULT)
