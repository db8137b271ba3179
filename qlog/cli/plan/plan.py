"""`qlog plan`: the drawing as qlog understands it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from qlog.cli.context import PLAN_NAME, build_folder, name_other_logs
from qlog.cli.terminal.text import number
from qlog.drawing.plan import Build, Dimension, Part
from qlog.words.catalogue import words_of
from qlog.words.problems import in_words

if TYPE_CHECKING:
    from qlog.drawing.build_file.mistakes import Mistake
    from qlog.words.catalogue import Words


@click.command("plan")
@click.argument("part", required=False)
@click.option("--both", is_flag=True, help="Show limits in mm and in inches.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for programs and editors.")
@click.pass_context
def command(ctx: click.Context, part: str | None, both: bool, as_json: bool) -> int:
    """Show each part's route and each dimension with callout, limits and tolerance width.

    Every mistake in build.toml is listed with its line; the exit status is then 1.

    \b
    Example:
      qlog plan
      qlog plan cup
      qlog plan cup --both
    """
    from qlog.drawing.build_file.load import PlanError, check, load

    path = build_folder(ctx.find_root().obj) / PLAN_NAME
    name_other_logs(path.parent)
    try:
        build = load(path)
    except PlanError as error:
        from qlog.cli.terminal.say import words_at
        from qlog.words.problems import in_words

        words = words_at(path.parent)
        if as_json:
            from qlog.cli.terminal.say import say_json

            say_json("plan", {"mistakes": [_mistake(m, words) for m in error.mistakes]})
        else:
            for mistake in error.mistakes:
                click.echo(in_words(words, mistake.told), err=True)
        return 1
    warnings = [m for m in check(path) if m.severity == "warning"]
    from qlog.intake.typed.places import part_of

    parts = build.parts if part is None else (part_of(build, part),)
    changed = _changes(build)
    if as_json:
        from qlog.cli.terminal.say import say_json
        from qlog.words.catalogue import words_of

        say_json(
            "plan",
            plan_json(build, parts)
            | {
                "changes": changed,
                "warnings": [_mistake(m, words_of(build)) for m in warnings],
                "unknown_kinds": _unknown_kinds(build),
            },
        )
        return 0
    from qlog.cli.plan.plan_text import print_plan

    print_plan(build, parts, both=both)
    if changed:
        from qlog.cli.terminal.say import say_line
        from qlog.words.catalogue import words_of

        click.echo()
        say_line(words_of(build)("plan.changed"))
        for line in changed:
            click.echo(f"  {line}")
    if warnings:
        from qlog.words.catalogue import words_of
        from qlog.words.problems import in_words

        words = words_of(build)
        for warning in warnings:
            click.echo(in_words(words, warning.told), err=True)
    for line in _unknown_kinds(build):
        click.echo(line, err=True)
    return 0


def _unknown_kinds(build: Build) -> list[str]:
    """Operations whose cautions are a guess, and what each is treated as."""
    from qlog.drawing.build_file.load import load
    from qlog.review.cautions.recognise import unknown_kinds

    words = words_of(build)
    told = []
    found = unknown_kinds(build)
    for one in found and unknown_kinds(load(build.folder, lines=True)):
        kind = words("plan.kind_unknown", kind=one.kind) if one.kind else words("plan.no_kind")
        treated = words.list(one.treated_as)
        like = words("plan.treated", kinds=treated) if treated else words("plan.treated_turning")
        told.append(
            words(
                "plan.cautions_guessed",
                file=PLAN_NAME, line=one.line, part=one.part, op=one.op, kind=kind, like=like,
            )
        )  # fmt: skip
    return told


def _mistake(mistake: Mistake, words: Words) -> dict[str, object]:
    return {
        "line": mistake.line,
        "text": mistake.text,
        "what": in_words(words, mistake.what),
        "accepted": in_words(words, mistake.accepted),
        "severity": mistake.severity,
    }


def _changes(build: Build) -> list[str]:
    """What has changed since the revision that the last entry was made under."""
    from qlog.cli.terminal.say import on_screen
    from qlog.drawing.build_file.load import PlanError, load_text
    from qlog.drawing.changes import changes
    from qlog.logbook.store import FILE_NAME, Logbook

    if not (build.folder / FILE_NAME).exists():
        return []
    with Logbook(build.folder / FILE_NAME) as logbook:
        latest = logbook.last_revision()
    if latest is None or latest[0] == build.revision:
        return []
    words = words_of(build)
    try:
        old = load_text(latest[1], build.folder)
    except PlanError:
        return [words("plan.last_unreadable")]
    from qlog.logbook.build_log import BuildLog
    from qlog.review.homeless import hanging
    from qlog.words.findings import lost_text

    with Logbook(build.folder / FILE_NAME) as logbook:
        lost = hanging(old, build, BuildLog(logbook))
    return [
        *(in_words(words, change.told) for change in changes(old, build)),
        *(on_screen(words("plan.would_have_no_home", lost=lost_text(one, words))) for one in lost),
    ]


def plan_json(build: Build, parts: Sequence[Part]) -> dict[str, object]:
    """The plan's parts with routes, dimensions and limits."""
    return {
        "title": build.title,
        "revision": build.revision,
        "units": build.unit.value,
        "rule": build.decision.rule.value,
        "instruments": [
            {
                "id": i.id,
                "name": i.name,
                "unit": i.unit.value,
                "step": None if i.step is None else number(i.step),
                "error": None if i.error is None else number(i.error),
            }
            for i in build.instruments
        ],
        "parts": [_part(part) for part in parts],
    }


def _part(part: Part) -> dict[str, object]:
    return {
        "id": part.id,
        "name": part.name,
        "material": part.material,
        "needed": part.needed,
        "spare": part.spare,
        "route": [
            {"op": o.number, "name": o.name, "kind": o.kind, "sent_out": o.sent_out or None}
            for o in part.operations
        ],
        "dimensions": [_dimension(d) for d in part.dimensions],
    }


def _dimension(dimension: Dimension) -> dict[str, object]:
    return {
        "number": dimension.number,
        "id": dimension.id,
        "name": dimension.name,
        "instrument": dimension.instrument,
        "computed": None
        if dimension.derived is None
        else {
            "rule": dimension.derived.rule,
            "from": {
                i.name: i.dimension or f"{i.value} {i.unit.value}" for i in dimension.derived.inputs
            },
        },
        "requirements": [
            {
                "op": r.op,
                "callout": r.callout.text,
                "kind": r.callout.kind.value,
                "unit": r.callout.unit.value,
                "lower": None if r.callout.limits.lower is None else number(r.callout.limits.lower),
                "upper": None if r.callout.limits.upper is None else number(r.callout.limits.upper),
                "width": None if r.callout.limits.width is None else number(r.callout.limits.width),
                "source": r.callout.source,
            }
            for r in dimension.requirements
        ],
    }
