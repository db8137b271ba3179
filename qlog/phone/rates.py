"""Rates: how much may come in how fast."""

from __future__ import annotations

import time
from collections.abc import Callable


def clock() -> float:
    """Seconds that only go forward."""
    return time.monotonic()


class Rate:
    """So many at once, and then so many a second."""

    def __init__(
        self, burst: int, per_second: float, now: Callable[[], float] | None = None
    ) -> None:
        self._burst = float(burst)
        self._per_second = per_second
        self._now = now or clock
        self._left = float(burst)
        self._at = self._now()

    def take(self) -> bool:
        """Whether one more may pass now."""
        at = self._now()
        self._left = min(self._burst, self._left + (at - self._at) * self._per_second)
        self._at = at
        if self._left < 1:
            return False
        self._left -= 1
        return True
