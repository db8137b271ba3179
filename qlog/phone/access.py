"""Keys: the one in the code on the screen, and what a phone gets for it."""

from __future__ import annotations

import hmac
import secrets


class Keys:
    """A key made fresh for one run, and the passes handed out for it.

    Nothing of it is written to disk: with the end of the command all passes are void.
    """

    def __init__(self) -> None:
        self.key = secrets.token_urlsafe(18)
        self._passes: set[str] = set()

    def exchange(self, offered: str) -> str | None:
        """A pass for the key; None for any other text."""
        if not hmac.compare_digest(offered.encode("utf-8"), self.key.encode("utf-8")):
            return None
        made = secrets.token_urlsafe(24)
        self._passes.add(made)
        return made

    def admits(self, offered: str | None) -> bool:
        """Whether a pass was handed out in this run."""
        if not offered:
            return False
        mine = offered.encode("utf-8")
        return any(hmac.compare_digest(mine, p.encode("utf-8")) for p in self._passes)
