"""`qlog new`: begin a build."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import click

from qlog.problem import Problem


@click.command("new")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path, file_okay=False))
def command(folder: Path) -> None:
    """Begin a build in DIR: a commented build.toml to edit, and an empty logbook.

    Nothing that is there already is written over; a build.toml of yours gets its logbook.

    \b
    Example:
      qlog new candlesticks
    """
    from qlog.cli.context import PLAN_NAME
    from qlog.logbook.store import FILE_NAME, create

    plan, logbook = folder / PLAN_NAME, folder / FILE_NAME
    if logbook.exists():
        raise Problem(f"{logbook} exists already; nothing was changed")
    folder.mkdir(parents=True, exist_ok=True)
    if plan.exists():
        click.echo(f"{plan}   was there, and stays as it is")
    else:
        starter = files("qlog.drawing").joinpath("starter.toml").read_text(encoding="utf-8")
        plan.write_text(starter, encoding="utf-8", newline="\n")
        click.echo(f"{plan}   edit this: parts, operations, dimensions as on your drawing")
    create(logbook)
    click.echo(f"{logbook}   empty logbook")
    where = f'"{folder}"' if " " in str(folder) else str(folder)
    click.echo(f"next: cd {where} && qlog plan")
