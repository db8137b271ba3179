"""`qlog` alone: what is next at the bench, in the order of the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import build_folder, opened
from qlog.problem import Problem

if TYPE_CHECKING:
    from collections.abc import Iterable

    from qlog.review.views import Next


def what_next(ctx: click.Context) -> None:
    """Print what is next in the build at hand, or the help where there is no build."""
    if ctx.obj is None:
        try:
            build_folder(None)
        except Problem:
            click.echo(ctx.get_help())
            return
    from qlog.review.assemble import assemble

    with opened(ctx) as o:
        picture = assemble(o.build, o.logbook)
    click.echo(picture.build.title)
    print_next(picture.next)
    click.echo("more: `qlog status`; all commands: `qlog --help`")


def print_next(lines: Iterable[Next]) -> None:
    """One line a part; a sentence where nothing is left to do."""
    click.echo("next")
    told = [line.text for line in lines] or ["nothing: every piece has had every operation"]
    for text in told:
        click.echo(f"  {text}")
