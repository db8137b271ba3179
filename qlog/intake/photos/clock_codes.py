"""A run of clock codes, one for every second, for a page that shows the time without a network."""

from __future__ import annotations

import base64
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from qlog.intake.photos.slate import Slate, payload

#: The codes' mask: one for all, since choosing the best takes five times as long and these codes
#: fill a screen.
_MASK = 0


@dataclass(frozen=True, slots=True)
class ClockCodes:
    """Codes of consecutive seconds from `start` (UTC) on, `side` squares wide and high.

    `bits` holds each code row by row, a bit a square, 1 for dark, padded to whole bytes, in
    base64.
    """

    start: datetime
    side: int
    bits: tuple[str, ...]

    def path(self, index: int) -> str:
        """One code as the `d` of an SVG path, a unit a square, without the quiet zone."""
        data = base64.b64decode(self.bits[index])
        return "".join(
            f"M{n % self.side} {n // self.side}h1v1h-1z"
            for n in range(self.side * self.side)
            if data[n >> 3] >> (7 - (n & 7)) & 1
        )


def clock_codes(start: datetime, seconds: int) -> ClockCodes:
    """The codes for `seconds` seconds from `start`, an aware time, on; about 2 ms each."""
    import segno

    first = start.astimezone(UTC).replace(microsecond=0)
    found: list[str] = []
    side = 0
    for n in range(seconds):
        text = payload(Slate(shown=first + timedelta(seconds=n)))
        code = segno.make(text, error="h", version=3, micro=False, boost_error=False, mask=_MASK)
        rows = list(code.matrix)
        side = len(rows)
        squares = "".join("1" if cell else "0" for row in rows for cell in row)
        size = (len(squares) + 7) // 8
        number = int(squares.ljust(size * 8, "0"), 2)
        found.append(base64.b64encode(number.to_bytes(size, "big")).decode("ascii"))
    return ClockCodes(first, side, tuple(found))
