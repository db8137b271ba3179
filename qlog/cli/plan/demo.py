"""`qlog demo`: the example build."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("demo")
@click.argument("folder", metavar="[DIR]", default="qlog-demo", type=click.Path(path_type=Path))
def command(folder: Path) -> int:
    """Make the whole example build in DIR (./qlog-demo): eight turned table candlesticks.

    Everything in it is invented, the photos are rendered. Both editions of the record are left
    under DIR/record.

    \b
    Example:
      qlog demo
    """
    from qlog.cli.main import qlog
    from qlog.cli.plan.example import make_example
    from qlog.cli.terminal.progress import progress

    with progress("the build") as advance:
        make_example(folder, advance)
    click.echo(f"made {folder}: plan, logbook and photos of an invented build")
    qlog.main(["--build", str(folder), "record"], prog_name="qlog", standalone_mode=False)
    where = f'"{folder}"' if " " in str(folder) else folder
    click.echo(f"try: qlog --build {where} status")
    return 0
