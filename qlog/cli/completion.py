"""What the shell may complete: parts, operations, dimensions, pieces and instruments of the build.

Only a shell that completes loads this; it reads build.toml and never the logbook. Where the plan
cannot be read, nothing is offered, and nothing is said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial

import click
from click.shell_completion import CompletionItem

from qlog.cli.context import PLAN_NAME, build_folder
from qlog.drawing.plan import Build, Part
from qlog.intake.bench.decisions import DECISIONS
from qlog.problem import Problem

#: What may stand at an argument: each with a word on it.
Choices = Callable[[Build, click.Context], Iterable[tuple[str, str]]]


def teach(command: click.Command) -> None:
    """Let the arguments of a command complete from the plan, by their names."""
    if isinstance(command, click.Group):
        for sub in command.commands.values():
            teach(sub)
    for param in command.params:
        if param.name == "topic":
            param.shell_complete = partial(_topics)  # type: ignore[method-assign]
        if param.name in _CHOICES:
            choices = partial(_offered, _CHOICES[param.name])
            param.shell_complete = choices  # type: ignore[method-assign]


def _offered(choices: Choices, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
    build = _build(ctx)
    if build is None:
        return []
    return [
        CompletionItem(value, help=help)
        for value, help in choices(build, ctx)
        if value.startswith(incomplete)
    ]


def pieces_like(ctx: click.Context, incomplete: str) -> list[CompletionItem]:
    """The pieces whose names begin so: each is a command, `qlog cup-3`."""
    return _offered(_pieces, ctx, incomplete)


def _topics(_: click.Context, incomplete: str) -> list[CompletionItem]:
    from qlog.manual import topics

    return [CompletionItem(n, help=t) for n, t in topics().items() if n.startswith(incomplete)]


def _build(ctx: click.Context) -> Build | None:
    from qlog.drawing.build_file.load import PlanError, load

    given = ctx.find_root().params.get("folder")
    try:
        return load(build_folder(given) / PLAN_NAME)
    except (Problem, PlanError, OSError):
        return None


def _part(build: Build, ctx: click.Context) -> Part | None:
    named = ctx.params.get("part")
    return next((p for p in build.parts if p.id == named), None)


def _op(ctx: click.Context) -> int | None:
    typed = str(ctx.params.get("op") or "")
    return int(typed) if typed.isdigit() else None


def _on_route(part: Part, op: int | None) -> int | None:
    return op if any(o.number == op for o in part.operations) else None


def _parts(build: Build, _: click.Context) -> Iterable[tuple[str, str]]:
    return ((p.id, p.name) for p in build.parts)


def _ops(build: Build, ctx: click.Context) -> Iterable[tuple[str, str]]:
    part = _part(build, ctx)
    if part is None:
        return _of_piece(build, str(ctx.params.get("part") or ""))
    return ((str(o.number), o.name) for o in part.operations)


def _of_piece(build: Build, name: str) -> Iterable[tuple[str, str]]:
    """What may follow a piece's name: what is read on it, that it is done, and decisions."""
    owner = next((p for p in build.parts if name in map(p.named, p.pieces)), None)
    if owner is not None:
        yield from ((d.id, d.name) for d in owner.dimensions)
        yield from ((word, "") for word in ("done", *DECISIONS, "remake"))


def _dimensions(build: Build, ctx: click.Context) -> Iterable[tuple[str, str]]:
    """Those read after the operation that is named already; all where none is."""
    part, op = _part(build, ctx), _op(ctx)
    if part is None:
        return ()
    there = part.dimensions if op is None else part.read_after(op)
    return ((d.id, d.name) for d in there)


def _pieces(build: Build, ctx: click.Context) -> Iterable[tuple[str, str]]:
    """`3` where the part is named before, `cup-3` where it is not; those that get the operation."""
    part = _part(build, ctx)
    if part is not None:
        op = _on_route(part, _op(ctx))
        there = (n for n in part.pieces if op is None or part.takes(op, n))
        return ((part.called(n), part.named(n)) for n in there)
    return ((p.named(n), p.name) for p in build.parts for n in p.pieces)


def _instruments(build: Build, _: click.Context) -> Iterable[tuple[str, str]]:
    return ((i.id, i.name) for i in build.instruments)


def _joints(build: Build, _: click.Context) -> Iterable[tuple[str, str]]:
    return ((j.id, j.name) for j in build.joints)


def _asked(build: Build, ctx: click.Context) -> Iterable[tuple[str, str]]:
    """What a question may name: parts, pieces, dimensions, instruments, and kinds of entries."""
    from qlog.words.catalogue import words_of
    from qlog.words.diary.asked import offered

    yield from _parts(build, ctx)
    yield from _pieces(build, ctx)
    yield from ((d.id, d.name) for p in build.parts for d in p.dimensions)
    yield from _instruments(build, ctx)
    yield from ((word, "") for word in offered(words_of(build)))


_CHOICES: dict[str, Choices] = {
    "part": _parts,
    "op": _ops,
    "dim": _dimensions,
    "piece": _pieces,
    "pieces": _pieces,
    "instrument": _instruments,
    "joint": _joints,
    "words": _asked,
}
