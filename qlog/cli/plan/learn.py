"""`qlog learn`: how dimensions scattered in an earlier build, put into this build's plan."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import build_folder
from qlog.problem import ToSay

if TYPE_CHECKING:
    from qlog.drawing.plan import Build
    from qlog.review.picture import Picture


@click.command("learn")
@click.argument("earlier", type=click.Path(path_type=Path), required=False)
@click.argument("part", required=False)
@click.option("--forget", is_flag=True, help="Take out what was learnt.")
@click.pass_context
def command(ctx: click.Context, earlier: Path | None, part: str | None, forget: bool) -> int:
    """Learn from the build in the folder EARLIER how dimensions scatter; or --forget it.

    Only like is learnt from like: the same part, dimension and operation by name, cut by the same
    tool on the same machine, read with an instrument of the same kind and step. The figures are
    written into build.toml and used to look for drift from then on; EARLIER is only read, nothing
    of it runs, and it is not needed again. The exit status is 1 when nothing was learnt.

    \b
    Example:
      qlog learn ../last-years-set
      qlog learn ../last-years-set cup
      qlog learn --forget
    """
    from qlog.cli.terminal.say import say_line
    from qlog.drawing.editing.plan_file import PlanFile
    from qlog.drawing.editing.revising import put_scatter
    from qlog.intake.typed.places import part_of
    from qlog.review.lessons import lessons
    from qlog.words.catalogue import words_of
    from qlog.words.trend import lesson_text

    folder = build_folder(ctx.find_root().obj)
    plan = PlanFile(folder)
    words = words_of(plan.build)
    if forget:
        # The one argument is a part then: there is no folder to name.
        owner = None if earlier is None else part_of(plan.build, str(earlier)).id
        known = [
            (p.id, d.id)
            for p in plan.build.parts
            for d in p.dimensions
            if d.scatter and owner in (None, p.id)
        ]
        put_scatter(plan, dict.fromkeys(known, ()))
        plan.save()
        say_line(words.count("learn.forgotten", len(known)))
        return 0
    if earlier is None:
        raise click.UsageError(ToSay("error.name_folder_earlier"))
    if earlier.resolve() == folder.resolve():
        raise click.UsageError(ToSay("error.build_itself_name"))
    owner = None if part is None else part_of(plan.build, part).id
    build, picture = _earlier(earlier)
    told = list(lessons(plan.build, picture, build.title, owner))
    learnt = {
        (lesson.part, lesson.dimension): [
            x.learnt for x in told
            if x.learnt and (x.part, x.dimension) == (lesson.part, lesson.dimension)
        ]
        for lesson in told
        if lesson.learnt
    }  # fmt: skip
    if learnt:
        put_scatter(plan, learnt)
        plan.save()
    for lesson in told:
        say_line(lesson_text(lesson, words))
    if learnt:
        say_line(words("learn.written", title=build.title))
        return 0
    say_line(words("learn.nothing", title=build.title))
    return 1


def _earlier(folder: Path) -> tuple[Build, Picture]:
    """Plan and picture of another build, from a copy of its log; nothing of it is changed or run.

    Raises Problem when it has no plan that can be read, or no sound logbook.
    """
    from qlog.drawing.build_file.load import FILE_NAME, PlanError, load
    from qlog.logbook.keeping.merge import other_log, readable
    from qlog.logbook.store import Logbook
    from qlog.problem import Problem
    from qlog.review.whole import picture_from

    if not (folder / FILE_NAME).is_file():
        raise Problem(ToSay("error.name_folder_earlier_build", file_name=FILE_NAME, folder=folder))
    try:
        build = load(folder / FILE_NAME)
    except PlanError as error:
        raise Problem(
            ToSay("error.mistakes_nothing_learnt", folder=folder / FILE_NAME, said=error)
        ) from error
    with tempfile.TemporaryDirectory(prefix="qlog-learn-") as scratch:
        copy = readable(other_log(folder), Path(scratch))
        with Logbook(copy) as log:
            return build, picture_from(build, log)
