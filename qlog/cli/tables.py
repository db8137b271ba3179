"""Tables on the terminal, by rich; as wide as they need when piped."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text


def console() -> Console:
    """Where tables go: no colour and no cutting off when the output is piped."""
    tty = sys.stdout.isatty()
    return Console(
        file=sys.stdout,
        width=None if tty else 160,
        highlight=False,
        soft_wrap=False,
        color_system="auto" if tty else None,
    )


def print_table(
    header: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    right: Sequence[int] = (),
    keep: Sequence[int] = (),
    indent: int = 2,
) -> None:
    """Print rows under a header; `right` columns are set right, `keep` columns never wrap."""
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    table.add_column("", width=max(0, indent - 2))
    for index, name in enumerate(header):
        table.add_column(
            name,
            justify="right" if index in right else "left",
            no_wrap=index in keep or index in right,
        )
    for row in rows:
        table.add_row("", *(Text.from_ansi(cell) for cell in row))
    console().print(table)
