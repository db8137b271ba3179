"""Tables on the terminal, by rich; as wide as they need when piped."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

#: Width where nobody's window bounds it: a program reads whole cells, however many there are.
PIPED_WIDTH = 10_000
#: Width of a window that a table is broken for when the output is piped: paper, a mail.
PAGE_WIDTH = 120


def console() -> Console:
    """Where tables go: no colour and no cutting off when the output is piped."""
    tty = sys.stdout.isatty()
    return Console(
        file=sys.stdout,
        width=None if tty else PIPED_WIDTH,
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


def print_grid(
    header: Sequence[str], rows: Sequence[Sequence[str]], *, width: int | None = None
) -> None:
    """Print a grid whose first column names its rows, in as many blocks as the width needs.

    Nothing is cut off: columns that do not fit beside each other follow below, under the names of
    the rows once more. `width` in characters; by default that of the window, or of a page.
    """
    if width is None:
        width = console().width if sys.stdout.isatty() else PAGE_WIDTH
    lengths = [
        max(len(Text.from_ansi(line[i])) for line in (header, *rows)) + 2
        for i in range(len(header))
    ]
    columns = len(header) - 1
    room = max(1, (width - lengths[0] - 2) // max(lengths[1:], default=1))
    blocks = max(1, -(-columns // room))
    each = -(-columns // blocks)  # as many in one block as in the next
    for start in range(1, len(header), each):
        end = start + each
        print_table(
            (header[0], *header[start:end]),
            [(row[0], *row[start:end]) for row in rows],
            keep=tuple(range(each + 1)),
        )
