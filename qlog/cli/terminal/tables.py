"""Tables on the terminal, by rich; as wide as they need when piped."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence

import click
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table
from rich.text import Text

#: Width where nobody's window bounds it: a program reads whole cells, however many there are.
PIPED_WIDTH = 10_000


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
) -> None:
    """Print rows under a header; `right` columns are set right, `keep` columns never wrap."""
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    table.add_column("", width=0)
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
    header: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    right: Sequence[int] = (),
    width: int | None = None,
) -> None:
    """Print a grid whose first column names its rows, in as many blocks as the width needs.

    Nothing is cut off: columns that do not fit beside each other follow below, under the names of
    the rows once more. `right` columns are set right. `width` in characters; by default that of
    the window, and no bound where the output is piped.
    """
    every = (header, *rows)
    wide = [max(map(_width, column)) for column in zip(*every, strict=True)]
    lengths = [length + 2 for length in wide]
    width = min(console().width if width is None else width, sum(lengths))
    blocks = _packed(lengths, width)
    while width > 1 and len(_packed(lengths, width - 1)) == len(blocks):
        width -= 1  # as even as can be: no block with a lonely last column
        blocks = _packed(lengths, width)
    for block in blocks:
        for number, row in enumerate(every):
            cells = [_set(row[i], wide[i], right=i in right) for i in (0, *block)]
            line = f"  {'  '.join(cells)}"
            click.echo(line if number else click.style(line, dim=True))


def _width(cell: str) -> int:
    """Columns of a terminal that a cell takes, whatever colours it has."""
    return cell_len(cell if cell.isprintable() else click.unstyle(cell))


def _set(cell: str, width: int, *, right: bool) -> str:
    """A cell with blanks before or behind it."""
    blanks = " " * (width - _width(cell))
    return blanks + cell if right else cell + blanks


def _packed(lengths: Sequence[int], width: int) -> list[list[int]]:
    """The columns from the second on, shared out to blocks no wider than `width` if it can be."""
    room = width - lengths[0] - 2
    blocks: list[list[int]] = []
    for i in range(1, len(lengths)):
        if blocks and sum(lengths[k] for k in blocks[-1]) + lengths[i] - 2 <= room:
            blocks[-1].append(i)
        else:
            blocks.append([i])
    return blocks
