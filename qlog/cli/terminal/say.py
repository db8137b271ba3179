"""What commands say: lines in the build's language, JSON for programs, a bar for long work."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import click

from qlog.words.catalogue import Words, words_of

#: Signs of the pages for which a terminal has simpler ones.
_SIMPLER = str.maketrans({"\N{NARROW NO-BREAK SPACE}": " ", "\N{MINUS SIGN}": "-"})


def words_at(folder: Path | None) -> Words:
    """The catalogue of the build in a folder, also where its plan has mistakes; else English."""
    from qlog.drawing.build_file.kept import load as load_plan
    from qlog.drawing.build_file.mistakes import PlanError
    from qlog.words.catalogue import DEFAULT, languages, load

    if folder is None:
        return load(DEFAULT)
    plan = folder / "build.toml"
    try:
        return words_of(load_plan(plan))
    except (PlanError, OSError):
        text = plan.read_text("utf-8", "replace") if plan.is_file() else ""
        found = re.search(r"""^[ \t]*language[ \t]*=[ \t]*["']([a-z]{2})""", text, re.MULTILINE)
        return load(found[1] if found and found[1] in languages() else DEFAULT)


def on_screen(text: str) -> str:
    """A text of the catalogue with common blanks and minus signs, so that it can be copied."""
    return text.translate(_SIMPLER)


def say_line(text: str, *, err: bool = False) -> None:
    """Print a line of the catalogue."""
    click.echo(on_screen(text), err=err)


def say_warning(text: str, words: Words) -> None:
    """Say on stderr what should be looked at, behind the word that status has for it."""
    say_line(f"{look(words)}  {text}", err=True)


def look(words: Words) -> str:
    """The word before what should be looked at, coloured where the terminal takes it."""
    return click.style(words("weight.warn"), fg="yellow")


def bad(words: Words) -> str:
    """The word before what is out, missing or too few, coloured where the terminal takes it."""
    return click.style(words("weight.bad"), fg="red")


#: Command -> version of its shape. A field that comes on top leaves it; one that goes, or means
#: something else, raises it. `qlog/manual/schemas` has a JSON Schema for each.
VERSIONS = {
    "plan": 1, "status": 1, "spread": 1, "drift": 1, "fit": 1, "match": 1, "stock": 1,
    "photo list": 1, "photo unplaced": 1, "cut": 1, "find": 1,
}  # fmt: skip


def say_json(command: str, said: Mapping[str, object]) -> None:
    """Write an answer to standard output: `form`, `version`, and what the command has to say."""
    import json  # not at the head: a reading at the bench loads this module

    head = {"form": f"qlog {command}", "version": VERSIONS[command]}
    json.dump({**head, **said}, sys.stdout, indent=2, ensure_ascii=False, default=str)
    sys.stdout.write("\n")


@contextmanager
def progress(what: str) -> Iterator[Callable[[int, int], None]]:
    """A function to call with (done, in all); draws on stderr only when that is a terminal."""
    if not sys.stderr.isatty():
        yield lambda _done, _total: None
        return
    from rich.console import Console
    from rich.progress import Progress

    # Lines printed meanwhile stay on standard output when that goes into a file or a pipe.
    both = sys.stdout.isatty()
    with Progress(
        console=Console(file=getattr(sys.stderr, "unguarded", sys.stderr)),
        transient=True,
        redirect_stdout=both,
    ) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)
