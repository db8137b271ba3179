"""Context: which build a command works on, opened the same way by all of them."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.logbook.store import FILE_NAME, Logbook
from qlog.problem import Problem, ToSay

PLAN_NAME = "build.toml"


@frozen
class Opened:
    """A build with its logbook."""

    build: Build
    logbook: Logbook


def build_folder(given: str | None) -> Path:
    """The folder named, else the nearest one from here upwards that holds a build.toml.

    Raises Problem when there is none.
    """
    if given is not None:
        folder = Path(given)
        if not (folder / PLAN_NAME).is_file():
            raise Problem(ToSay("error.qlog_new_begins", plan_name=PLAN_NAME, folder=folder))
        return folder
    here = Path.cwd()
    for folder in (here, *here.parents):
        if (folder / PLAN_NAME).is_file():
            return folder
    raise Problem(ToSay("error.above_go_build", plan_name=PLAN_NAME))


def load_plan(ctx: click.Context) -> Build:
    """The plan of the build that the command works on; its mistakes end the command."""
    from qlog.drawing.build_file.kept import load
    from qlog.drawing.build_file.mistakes import PlanError

    path = build_folder(ctx.find_root().obj) / PLAN_NAME
    try:
        build = load(path)
    except PlanError as error:
        raise Problem(ToSay("error.plan_spoilt", path=path, error=error)) from error
    if build.code_page:
        told = ToSay("error.read_as", name=path.name, page=build.code_page)
        _say(told, path.parent)
    return build


def who_enters(ctx: click.Context, build: Build) -> str:
    """Who enters: --person or QLOG_PERSON, else the build's own; "" for nobody in particular."""
    return ctx.find_root().params.get("person") or build.person


@contextmanager
def opened(ctx: click.Context) -> Iterator[Opened]:
    """Plan and logbook of the build that the command works on."""
    build = load_plan(ctx)
    person = who_enters(ctx, build)
    path = build.folder / FILE_NAME
    with Logbook(path, revision=build.revision, source=build.source, person=person) as logbook:
        say_brought_up(logbook.brought_up, build.folder)
        name_other_logs(build.folder)
        yield Opened(build, logbook)


def name_other_logs(folder: Path) -> None:
    """Name logbooks beside the build's own, as synchronising programs leave them."""
    for name in sorted(os.listdir(folder)):  # noqa: PTH208 - names alone, before every command
        if name != FILE_NAME and name.startswith("logbook") and name.endswith(".db"):
            try:
                with (folder / name).open("rb") as file:
                    ours = file.read(72)[68:] == b"qlog"
            except OSError:
                continue
            if ours:
                _say(ToSay("error.second_log", name=name, path=folder / name), folder)


def say_brought_up(said: str, folder: Path) -> None:
    """Say that the logbook was of an older version, and what was done with it."""
    if said:
        _say(said, folder)


def _say(said: str, folder: Path) -> None:
    from qlog.cli.terminal.say import words_at
    from qlog.words.problems import in_words

    click.echo(in_words(words_at(folder), said), err=True)
