"""Grids wider than the window: nothing is cut off, columns follow below."""

import pytest

from qlog.cli.terminal.tables import print_grid, print_table

HEADER = ("", *(f"stem-{i}" for i in range(1, 19)))
ROWS = [(f"foot-{k}", *(f"+0.0{k}{i:02} ok" for i in range(1, 19))) for k in range(1, 4)]


@pytest.mark.parametrize("width", [40, 80, 120, 10_000])
def test_every_cell_is_printed_once_and_whole(
    capsys: pytest.CaptureFixture[str], width: int
) -> None:
    print_grid(HEADER, ROWS, width=width)
    lines = [line.rstrip() for line in capsys.readouterr().out.splitlines()]
    assert max(map(len, lines)) <= width
    words = " ".join(lines).replace(" ok", "_ok").split()
    for cell in (*HEADER[1:], *(c.replace(" ok", "_ok") for row in ROWS for c in row[1:])):
        assert words.count(cell) == 1
    blocks = sum("stem-" in line for line in lines)
    assert [words.count(row[0]) for row in ROWS] == [blocks] * 3
    assert (blocks == 1) == (width == 10_000)
    heads = [line.split() for line in lines if "stem-" in line]
    assert max(map(len, heads)) - min(map(len, heads)) < max(map(len, heads)) / 2 or blocks == 1


def test_a_window_narrower_than_a_column_still_gets_one(capsys: pytest.CaptureFixture[str]) -> None:
    print_grid(HEADER[:4], [row[:4] for row in ROWS], width=5)
    assert "+0.0302 ok" in capsys.readouterr().out


def test_a_piped_table_is_as_wide_as_it_needs(capsys: pytest.CaptureFixture[str]) -> None:
    print_table(("a", "b"), [("x" * 150, "y" * 150)], keep=(0, 1))
    assert f"{'x' * 150}  {'y' * 150}" in capsys.readouterr().out
