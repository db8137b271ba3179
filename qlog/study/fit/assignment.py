"""The assignment problem in whole numbers: the cheapest pairs, exactly, the same everywhere."""

from __future__ import annotations

from collections.abc import Sequence


def cheapest_pairs(
    costs: Sequence[Sequence[int]], count: int
) -> tuple[int, tuple[tuple[int, int], ...]]:
    """The `count` pairs of a row and a column that together cost least: their cost, the pairs.

    No row and no column is used twice. Costs are whole numbers of any size and sign, so that
    nothing is rounded and ties fall the same way on every machine. Pairs come in the order of the
    rows. Rows and columns that stay out are met by added ones at no cost.

    Raises ValueError when there are fewer rows or columns than pairs wanted.
    """
    rows, columns = len(costs), len(costs[0]) if costs else 0
    if not 0 <= count <= min(rows, columns):
        raise ValueError(f"{count} pairs of {rows} rows and {columns} columns")
    if count == 0:
        return 0, ()
    # An added row never meets an added column, so that exactly `count` real pairs remain.
    never = sum(abs(c) for row in costs for c in row) + 1
    square = [[*row, *[0] * (rows - count)] for row in costs]
    square += [[0] * columns + [never] * (rows - count) for _ in range(columns - count)]
    column_of = _assign(square)
    pairs = tuple((i, j) for i, j in enumerate(column_of[:rows]) if j < columns)
    return sum(costs[i][j] for i, j in pairs), pairs


def _assign(square: Sequence[Sequence[int]]) -> list[int]:
    """The column of every row in a cheapest complete assignment.

    Shortest augmenting paths with prices on rows and columns: H. W. Kuhn, The Hungarian method
    for the assignment problem, Naval Research Logistics Quarterly 2 (1955) 83-97, in the form of
    J. Edmonds and R. M. Karp, Journal of the ACM 19 (1972) 248-264 (both cited from memory).
    """
    size = len(square)
    row_price, column_price = [0] * size, [0] * size
    row_of = [-1] * size
    for start in range(size):
        reached = [False] * size
        near: list[int | None] = [None] * size  # cheapest way to a column so far
        before = [-1] * size  # the column before it on that way
        row, last = start, -1
        while True:
            best, least = -1, 0
            for j, cost in enumerate(square[row]):
                if reached[j]:
                    continue
                way = cost - row_price[row] - column_price[j]
                known = near[j]
                if known is None or way < known:
                    known = near[j] = way
                    before[j] = last
                if best < 0 or known < least:
                    best, least = j, known
            row_price[start] += least
            for j in range(size):
                if reached[j]:
                    row_price[row_of[j]] += least
                    column_price[j] -= least
                else:
                    known = near[j]
                    near[j] = None if known is None else known - least
            reached[best] = True
            last = best
            if row_of[best] < 0:
                break
            row = row_of[best]
        while last >= 0:
            earlier = before[last]
            row_of[last] = start if earlier < 0 else row_of[earlier]
            last = earlier
    column_of = [0] * size
    for column, row in enumerate(row_of):
        column_of[row] = column
    return column_of
