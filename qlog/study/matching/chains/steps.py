"""How long a search may go on, counted in steps of work and never in seconds.

The same question then has the same answer on every machine, however slow or busy.
"""

from __future__ import annotations


class Steps:
    """Steps left to a search; one is about as much work as one quick attempt at a choice."""

    def __init__(self, left: int, whole: Steps | None = None) -> None:
        self.left = left
        self.whole = whole

    @property
    def done(self) -> bool:
        """Whether nothing is left."""
        return self.left <= 0

    def spend(self, steps: int) -> None:
        """Count some work, here and in the whole that this is a part of."""
        self.left -= steps
        if self.whole is not None:
            self.whole.spend(steps)

    def half(self) -> Steps:
        """Half of what is left, as a budget of its own; what it spends is spent here too."""
        return Steps(self.left // 2, self)
