"""`qlog new`: begin a build."""

from __future__ import annotations

import os
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.logbook.store import FILE_NAME, Logbook, create
from qlog.problem import Problem, ToSay
from qlog.words.catalogue import load, words_of
from qlog.words.problems import in_words

if TYPE_CHECKING:
    from qlog.drawing.callouts.callout import Callout
    from qlog.drawing.editing.beginning import Answers
    from qlog.words.catalogue import Words


@click.command("new")
@click.argument(
    "folder", metavar="[DIR]", required=False, type=click.Path(path_type=Path, file_okay=False)
)
@click.option("--example", is_flag=True, help="Write the long commented plan, to look things up.")
@click.option(
    "--photos",
    metavar="DIR",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    help="A record of photos and words only: take these photos in at once.",
)
@click.option("--title", "-t", default="", metavar="TEXT", help="What it is called.")
@click.option("--pieces", "-n", default="", metavar="N", help="How many are made.")
@click.option("--part", default="", metavar="TEXT", help="What one of them is called.")
def command(
    folder: Path | None, example: bool, photos: Path | None, title: str, pieces: str, part: str
) -> int:
    """Begin a build in DIR: a build.toml of some twenty lines, and an empty logbook.

    On a terminal it asks what is made: name, how many, for whom, mm or inch, language, and one
    size with its tolerance; Enter takes what stands in brackets. `qlog add` goes on from there.
    In a pipe, or with --example, it writes a long commented plan to edit. Nothing that is there
    already is written over; a build.toml of yours gets its logbook.

    \b
    Example:
      qlog new
      qlog new candlesticks --example
      qlog new pans --photos /media/card --pieces 6 --part "drip pan"
    """
    import sys

    from qlog.cli.context import PLAN_NAME
    from qlog.writing import write_whole

    asks = sys.stdin.isatty() and not example and photos is None
    if folder is not None:
        _free(folder / FILE_NAME, photos)
    if folder is None and not asks and not title:
        raise click.UsageError(ToSay("error.name_folder_qlog_new"))
    text = None
    if asks and not (folder and (folder / PLAN_NAME).exists()):
        answers = _ask(folder, title, pieces, part)
        folder = folder or Path(_folder_name(answers.title))
        text = _plan(answers)
    folder = folder or Path(_folder_name(title))
    plan, logbook = folder / PLAN_NAME, folder / FILE_NAME
    begun = _free(logbook, photos)
    folder.mkdir(parents=True, exist_ok=True)
    if plan.exists():
        click.echo(f"{plan}   {_words(folder)('new.stays')}")
    else:
        if text is None and (photos is not None or title):
            from qlog.drawing.editing.beginning import plan_of_photos, title_of

            text = plan_of_photos(title or title_of(folder), _count(pieces, 1), part or "piece")
        said = "new.plan"
        if text is None:
            text = files("qlog.drawing").joinpath("starter.toml").read_text(encoding="utf-8")
            said = "new.edit"
        write_whole(text.encode("utf-8"), plan)
        click.echo(f"{plan}   {_words(folder)(said)}")
    if not begun:
        create(logbook)
        click.echo(f"{logbook}   {_words(folder)('new.logbook')}")
    where = f'"{folder}"' if " " in str(folder) else str(folder)
    if photos is not None:
        return _take_photos(folder, photos, where)
    following = _next(folder) if asks else "qlog plan"
    click.echo(f"{_words(folder)('new.next')} cd {where}\n      {following}")
    return 0


def _next(folder: Path) -> str:
    """What is typed after the questions: what status says first, or what the plan lacks for it."""
    from qlog.drawing.build_file.load import PlanError, load

    try:
        part = load(folder).parts[0]
    except PlanError:
        return "qlog plan"
    if not part.dimensions:
        return f"qlog add dim {part.id}"
    return f"qlog start {part.id} 10\n      qlog read"


def _free(logbook: Path, photos: Path | None) -> bool:
    """Refuse a logbook that is there, unless it only waits for its photos; then True."""
    if not logbook.exists():
        return False
    from qlog.logbook.facts import Photo, Placement

    if photos is not None:
        with Logbook(logbook) as log:
            if log.head().entries == len(log.history(Photo)) + len(log.history(Placement)):
                return True  # taking them in was stopped half-way
    raise Problem(ToSay("error.exists_already_nothing", logbook=logbook))


def _folder_name(title: str) -> str:
    from qlog.drawing.editing.beginning import as_id

    return as_id(title, "build")


def _count(text: str, default: int, words: Words | None = None) -> int:
    if not text.strip():
        return default
    if not text.strip().isdecimal() or not 1 <= int(text) <= 1000:
        raise Problem((words or load("en"))("ask.no_count", answer=repr(text)))
    return int(text)


def _words(folder: Path) -> Words:
    """The words of the plan in a folder; English where it cannot be read."""
    from qlog.drawing.build_file.load import PlanError
    from qlog.drawing.build_file.load import load as plan_of

    try:
        return words_of(plan_of(folder))
    except PlanError:
        return load("en")


def _system_language() -> str:
    """The language of the terminal, where there are words in it; else English."""
    import locale

    said = os.environ.get("LC_ALL") or os.environ.get("LC_MESSAGES") or os.environ.get("LANG")
    spoken = (said or locale.getlocale()[0] or "").lower()
    return "de" if spoken.startswith(("de", "german")) else "en"


def _plan(answers: Answers) -> str:
    from qlog.drawing.editing.beginning import first_plan

    return first_plan(answers)


def _ask(folder: Path | None, title: str, pieces: str, part: str) -> Answers:
    """The questions, one a line; nothing is written before the last one is answered."""
    from qlog.drawing.editing.beginning import Answers, title_of

    spoken = _system_language()
    words = load(spoken)
    likely = "" if folder is None else title_of(folder)
    title = title or _line(words("ask.made"), likely) or words("ask.build")
    count = _number(pieces, words)
    recipient = _line(words("ask.for_whom"), "")
    units = {"mm": "mm", "inch": "inch", "in": "inch", "i": "inch"}
    inch = _choice("ask.unit", units, "mm", words)
    language = _choice("ask.language", {"en": "en", "de": "de"}, spoken, words)
    words = load(language)
    part = part or _line(words("ask.part"), "part")
    op = _line(words("ask.first_op"), words("ask.turn"))
    callout, found = _size(inch == "inch", words)
    size = instrument = ""
    if found is not None:
        from qlog.drawing.editing.beginning import size_name

        size = _line(words("ask.which_size"), size_name(found))
        if not found.attribute:
            instrument = _line(words("ask.measured_with"), "caliper")
    return Answers(
        title, count, recipient, inch == "inch", language, part, op, callout, size, instrument
    )


def _line(question: str, default: str) -> str:
    shown = f" [{default}]" if default else ""
    answer: str = click.prompt(f"{question}{shown}", default=default, show_default=False)
    return answer.strip()


def _number(given: str, words: Words) -> int:
    while True:
        try:
            return _count(given or _line(words("ask.how_many"), "1"), 1, words)
        except Problem as problem:
            click.echo(f"  {in_words(words, problem)}")
            given = ""


def _choice(question: str, known: dict[str, str], default: str, words: Words) -> str:
    while True:
        answer = _line(words(question), default).lower()
        if answer in known:
            return known[answer]
        click.echo(f"  {words('ask.neither', answer=repr(answer), question=words(question))}")


def _size(inch: bool, words: Words) -> tuple[str, Callout | None]:
    """One size as on the drawing, with its limits shown at once; "" and None for none."""
    from qlog.cli.terminal.text import limits_of
    from qlog.drawing.callouts.callout import CalloutError
    from qlog.drawing.editing.beginning import read_callout

    example = "dia .875 +.002/-0" if inch else "dia 22 +0.05/0"
    while True:
        none = words("ask.none_yet")
        text = _line(words("ask.size", example=example), none)
        if text == none:
            return "", None
        try:
            found = read_callout(text, inch=inch)
        except CalloutError as error:
            click.echo(f"  {in_words(words, error)}")
            continue
        click.echo(f"  {limits_of(found, words)}")
        return text, found


def _take_photos(folder: Path, photos: Path, where: str) -> int:
    """Take the photos in as pictures of the first operation, and say what comes next."""
    from qlog.cli.main import qlog

    words = ["--build", str(folder), "photo", "add", str(photos), "--part", _first_part(folder),
             "--op", "10"]  # fmt: skip
    status = qlog.main(words, prog_name="qlog", standalone_mode=False)
    click.echo(
        f"{_words(folder)('new.next')} cd {where}\n"
        f"      qlog done {_first_part(folder)} 10\n      qlog record --zip"
    )
    return status if isinstance(status, int) else 0


def _first_part(folder: Path) -> str:
    from qlog.drawing.build_file.load import load

    return load(folder).parts[0].id
