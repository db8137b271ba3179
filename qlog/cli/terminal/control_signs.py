"""What a terminal is sent: text and colours; any other control sign from a text is shown as text.

A title, a note or a file name may hold signs that move the cursor, rename the window or answer for
the keyboard. They are data, and are written out as `\\x1b` and the like.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, TextIO

#: Colours, as our own output and tables use them; line ends, tabs and backspaces of the prompt.
_OWN = r"\x1b\[[0-9;]{0,16}m|\r\n|[\n\t]"
_SIGN = re.compile(_OWN + r"|[\x00-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_OWN_SIGN = re.compile(_OWN)
#: Pieces of output that are a movement and nothing else: the prompt's own, and a cleared screen.
_MOVEMENT = re.compile(r"[\b \r]*|\x1b\[2J\x1b\[1;1H")


def shown(text: str) -> str:
    """The text with every control sign but colours and line ends written out."""
    if _MOVEMENT.fullmatch(text):
        return text
    return _SIGN.sub(_one, text)


def _one(found: re.Match[str]) -> str:
    sign = found.group()
    return sign if _OWN_SIGN.fullmatch(sign) else sign.encode("unicode_escape").decode("ascii")


class Guarded:
    """A stream to a terminal on which `shown` stands watch; all else is the stream's own."""

    def __init__(self, stream: TextIO) -> None:
        self.unguarded = stream

    def write(self, text: str) -> int:
        """Write the text as it may be shown."""
        self.unguarded.write(shown(text))
        return len(text)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.unguarded, name)


@contextmanager
def guarded() -> Iterator[None]:
    """Standard output and errors watched while a command runs, where they go to a terminal."""
    before = sys.stdout, sys.stderr
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is not None and stream.isatty():
            setattr(sys, name, Guarded(stream))
    try:
        yield
    finally:
        sys.stdout, sys.stderr = before
