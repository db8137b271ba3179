"""Where everything stands on a mat, in millimetres from the paper's upper left corner."""

from __future__ import annotations

import math

from qlog.frozen import frozen

#: Width and height of the paper (ISO 216; ANSI/ASME Y14.1 size A).
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
#: What most printers leave white, the side of a corner's code, and the white that it needs
#: around it: four squares of at least 29 (ISO/IEC 18004).
MARGIN, CODE, CLEAR = 10.0, 24.0, 4.0
#: Places on one sheet: more would be smaller than a hand's breadth of work.
MOST = 24
#: sRGB greys of the patches, dark to light, and the side of one.
GREYS, PATCH, _PITCH = (40, 90, 140, 190, 230), 8.0, 12.0
#: The bar of the scale.
SCALE = 100.0
#: White for the balance: left and right of the patches, so far from the paper's middle.
_WHITE = 40.0

Box = tuple[float, float, float, float]


@frozen
class MatLayout:
    """The places of so many pieces on one sheet."""

    paper: str
    count: int

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the paper."""
        return PAPERS[self.paper]

    def corner(self, number: int) -> Box:
        """Left, top, right, bottom of a corner's code; 0 is upper left, then clockwise."""
        width, height = self.size
        left = MARGIN if number in (0, 3) else width - MARGIN - CODE
        top = MARGIN if number in (0, 1) else height - MARGIN - CODE
        return left, top, left + CODE, top + CODE

    @property
    def columns(self) -> int:
        """As many as leave the places widest."""
        left, top, right, bottom = self.field

        def narrow(columns: int) -> float:
            return min((right - left) / columns, (bottom - top) / math.ceil(self.count / columns))

        return max(range(1, self.count + 1), key=narrow)

    @property
    def field(self) -> Box:
        """Where the places are."""
        width, height = self.size
        return MARGIN, MARGIN + CODE + CLEAR, width - MARGIN, height - MARGIN - CODE - CLEAR

    def cell(self, index: int) -> Box:
        """The place of a piece, counted from 0, row by row."""
        left, top, right, bottom = self.field
        rows = math.ceil(self.count / self.columns)
        wide, high = (right - left) / self.columns, (bottom - top) / rows
        row, column = divmod(index, self.columns)
        x, y = left + column * wide, top + row * high
        return x, y, x + wide, y + high

    def patches(self) -> list[tuple[Box, int]]:
        """The grey patches of both rows with their greys."""
        width, height = self.size
        found = []
        for top in (MARGIN + CODE - PATCH, height - MARGIN - CODE):
            for n, grey in enumerate(GREYS):
                left = width / 2 + (n - len(GREYS) / 2) * _PITCH + (_PITCH - PATCH) / 2
                found.append(((left, top, left + PATCH, top + PATCH), grey))
        return found

    def whites(self) -> list[Box]:
        """Bare paper beside the patches."""
        width, height = self.size
        tops = (MARGIN + CODE - PATCH, height - MARGIN - CODE)
        return [
            (width / 2 + x - PATCH / 2, top, width / 2 + x + PATCH / 2, top + PATCH)
            for top in tops
            for x in (-_WHITE, _WHITE)
        ]
