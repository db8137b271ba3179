"""A file of readings: shown as it is understood, asked about, entered whole or not at all."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import click

from qlog.cli.context import Opened
from qlog.cli.terminal.echo import echoes_of_out
from qlog.cli.terminal.prompt import Keyboard, on_terminal
from qlog.cli.terminal.say import look, on_screen, say_line, say_warning
from qlog.cli.terminal.tables import print_table
from qlog.cli.terminal.text import rule_of
from qlog.frozen import frozen
from qlog.intake.files import mapping
from qlog.intake.files.table import FileTable, Meaning
from qlog.intake.files.take import (
    BadFile,
    DoubtfulFile,
    FileWarning,
    ReadyFile,
    TakenFile,
    enter_file,
    ready_file,
)
from qlog.intake.typed.places import numbers_of, op_of, part_of
from qlog.logbook.facts import Gap
from qlog.problem import Problem
from qlog.words.catalogue import Words, words_of
from qlog.words.problems import in_words
from qlog.words.questions import file_warning_text


@frozen
class FileOptions:
    """What the command line says of a file."""

    part: str | None
    op: str | None
    instrument: str | None
    note: str
    made: str | None
    strict: bool
    maps: tuple[str, ...]
    ignored: tuple[str, ...]
    skip_rows: str | None
    sheet: str | None
    yes: bool
    dry_run: bool


def read_file(o: Opened, path: Path, asked: FileOptions) -> int:
    """Show, ask and enter; the exit status.

    Raises Problem when the file is bad, and where nobody can be asked and it leaves open what was
    settled by looking at the whole of it.
    """
    owner = None if asked.part is None else part_of(o.build, asked.part)
    number = None if owner is None or asked.op is None else op_of(owner, asked.op).number
    folder = o.build.folder
    said = mapping.mapped(asked.maps, asked.ignored)
    mapping.checked(said, [d.id for p in o.build.parts for d in p.dimensions])
    kept = mapping.load(folder)
    words = words_of(o.build)
    try:
        ready = ready_file(
            o.build, o.logbook, path,
            part=None if owner is None else owner.id, op=number, instrument=asked.instrument,
            note=asked.note, made=asked.made, strict=asked.strict, headings=kept | said,
            skip=frozenset(numbers_of(asked.skip_rows)) if asked.skip_rows else (),
            sheet=asked.sheet,
        )  # fmt: skip
    except DoubtfulFile as doubtful:
        raise BadFile(path, _warnings(path, doubtful.warnings, words)) from doubtful
    shown = asked.dry_run or (on_terminal() and not asked.yes)
    if shown:
        _preview(words, ready)
    if asked.dry_run:
        click.echo(on_screen(words("import.nothing_written")))
        return 0
    if shown:
        with Keyboard(words) as keyboard:
            answer = keyboard.ask(on_screen(words.count("import.ask", _new(ready))) + "> ", "yn")
        if (answer or "n").lower() not in ("y", "yes", "j", "ja"):
            click.echo(on_screen(words("import.nothing_written")))
            return 2
    elif ready.table.assumed and not asked.yes:
        lines = [*_assumed(words, ready.table), on_screen(words("import.say_yes"))]
        raise Problem("\n".join([on_screen(words("import.needs_yes", file=path.name)), *lines]))
    taken = enter_file(o.logbook, ready)
    if said and kept | said != kept:
        at = mapping.keep(folder, kept | said)
        click.echo(on_screen(words("import.kept", file=at.name)), err=True)
    return _entered(o, ready, taken, said_before=shown)


def _new(ready: ReadyFile) -> int:
    return len(ready.facts) - ready.known


def _preview(words: Words, ready: ReadyFile) -> None:
    """How the file is understood: columns, lines left out, readings, questions."""
    table = ready.table

    def say(key: str, **values: object) -> None:
        click.echo(on_screen(words(key, **values)))

    say(
        "import.layout", file=table.path.name, layout=words(f"import.layout.{table.layout}"),
        separator=words(f"import.separator.{table.separator}"), encoding=table.encoding,
    )  # fmt: skip
    print_table(
        (words("import.heading"), words("import.read_as")),
        [
            (c.heading or "-", _meaning(words, c.meaning, c.dimension, c.unit))
            for c in table.columns
        ],
    )
    for skipped in table.skipped:
        reason = words(f"import.why.{skipped.why.value}")
        say("import.skipped", line=skipped.line, text=skipped.text, why=reason)
    places: dict[tuple[str, int, str], list[str]] = {}
    for fact in ready.facts:
        value = fact.kind if isinstance(fact, Gap) else f"{fact.value} {fact.unit}".rstrip()
        places.setdefault((fact.part, fact.op, fact.dimension), []).append(
            f"{words.called(fact.part, fact.piece)}: {value}"
        )
    print_table(
        (words("import.place"), words("import.readings")),
        [(f"{part} {op} {dim}", ", ".join(values)) for (part, op, dim), values in places.items()],
    )
    if table.blanks:
        say("import.blanks", n=table.blanks)
    if ready.known:
        say("import.known", n=ready.known)
    for line in (*_assumed(words, table), *(in_words(words, r) for r in table.remarks)):
        click.echo(f"-- {line}")
    for warning in _warnings(table.path, ready.warnings, words):
        click.echo(f"{look(words)}  {warning}")


def _warnings(path: Path, warnings: Iterable[FileWarning], words: Words) -> list[str]:
    """What the entry checks ask about, one line a kind and dimension."""
    return [
        on_screen(f"{path.name}:{one.line}: {file_warning_text(one, words)}") for one in warnings
    ]


def _meaning(words: Words, meaning: Meaning, dimension: str, unit: str) -> str:
    text = words(f"import.meaning.{meaning.value}")
    if meaning in (Meaning.READINGS, Meaning.AGAIN):
        text = f"{text} {dimension}"
    return f"{text} ({unit})" if unit else text


def _assumed(words: Words, table: FileTable) -> list[str]:
    return [
        on_screen(words(f"import.guess.{a.guess.value}", example=a.example, read_as=a.read_as))
        for a in table.assumed
    ]


def _entered(o: Opened, ready: ReadyFile, taken: TakenFile, *, said_before: bool) -> int:
    """Say what was entered and what of it is out; the exit status."""
    table, out, words = ready.table, 0, words_of(o.build)
    for line in echoes_of_out(o.build, o.logbook, (e.fact for e in taken.readings)):
        out += 1
        click.echo(line)
    if not said_before:
        for line in (*_assumed(words, table), *(in_words(words, r) for r in table.remarks)):
            click.echo(f"{table.path.name}: {line}", err=True)
        for warning in _warnings(table.path, ready.warnings, words):
            say_warning(warning, words)
    counts = {"file.known": taken.known, "file.blank": table.blanks, "file.out": out}
    told = [words("file.entered", n=taken.new), *(words(k, n=n) for k, n in counts.items() if n)]
    say_line(f"{table.path.name}: {', '.join(told)}")
    if out:
        say_line(words("sitting.verdicts", rule=rule_of(o.build, words)))
    return int(bool(out))
