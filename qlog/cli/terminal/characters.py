"""The characters that a terminal sends, one by one and unechoed, on POSIX and on Windows.

A line has one end however it is sent, an arrow or function key is nothing, and Esc is Esc alone.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

STOP, OVER, ESCAPE = "\x03", ("\x04", "\x1a"), "\x1b"

#: Seconds within which the rest of an arrow or function key follows its Esc.
_BURST = 0.05


class Characters:
    """Characters with their meaning; `read` answers None at the end of input.

    `ready` says whether one is there already, or comes within some seconds.
    """

    def __init__(
        self, read: Callable[[], str | None], ready: Callable[[float], bool] = lambda _: True
    ) -> None:
        self._read = read
        self._ready = ready
        self._back: list[str] = []
        self._returned = False
        self._acted = False

    def ready(self, within: float = 0) -> bool:
        """Whether `next` would answer without waiting."""
        return bool(self._back) or self._ready(within)

    def acted(self) -> None:
        """A key counted at once: the Enter that follows it is part of it."""
        self._acted = True

    def next(self) -> str | None:
        """One character, or an empty text for what means nothing here; None at the end.

        Some gauges end a line with two characters: a second, empty line would put a place off.
        """
        char = self._taken()
        if not char:
            return char
        second = self._returned and char == "\n"
        self._returned = char == "\r"
        if second:
            return ""
        if char == "\r":
            char = "\n"
        behind, self._acted = self._acted, False
        if behind and char == "\n":
            return ""
        if char == ESCAPE:
            return self._escape()
        return char

    def _taken(self) -> str | None:
        return self._back.pop() if self._back else self._read()

    def _escape(self) -> str:
        """Esc alone, or nothing for a whole arrow or function key; a digit is never part of Esc."""
        if not self.ready(_BURST):
            return ESCAPE
        char = self._taken() or ""
        if char not in ("[", "O") or not self.ready(_BURST):
            self._back.append(char)
            return ESCAPE
        long = char == "["
        while self.ready(_BURST) and (char := self._taken() or ""):
            if "@" <= char <= "~":
                break
            if not long or char < " ":  # no part of such a key
                self._back.append(char)
                break
        return ""


@contextmanager
def terminal_characters() -> Iterator[Characters | None]:
    """The terminal's characters; None where it cannot be driven so."""
    if sys.platform == "win32":
        yield windows_characters()
        return
    try:
        import signal
        import termios

        descriptor = sys.stdin.fileno()
        before = termios.tcgetattr(descriptor)
    except (ImportError, OSError, ValueError):
        yield None
        return
    raw = list(before)
    raw[0] &= ~termios.ICRNL  # return and newline have to be told apart
    raw[3] &= ~(termios.ICANON | termios.ECHO)
    raw[6] = list(before[6])
    raw[6][termios.VMIN], raw[6][termios.VTIME] = 1, 0

    def again(*_: object) -> None:
        termios.tcsetattr(descriptor, termios.TCSADRAIN, raw)

    # Stopped by Ctrl-Z and called back, the terminal is as the shell left it.
    continued = signal.signal(signal.SIGCONT, again)
    try:
        # What a gauge sent while the last reading was committed must not be thrown away: no flush.
        again()
        yield _posix_characters(descriptor)
    finally:
        signal.signal(signal.SIGCONT, continued)
        termios.tcsetattr(descriptor, termios.TCSADRAIN, before)


def _posix_characters(descriptor: int) -> Characters:
    import codecs
    import select

    decoder = codecs.getincrementaldecoder("utf-8")(errors="replace")

    def read() -> str | None:
        while data := os.read(descriptor, 1):
            if char := decoder.decode(data):
                return char
        return None

    def ready(within: float) -> bool:
        return bool(select.select([descriptor], [], [], within)[0])

    return Characters(read, ready)


def windows_characters() -> Characters:
    """The keys of a Windows console; nothing here is imported elsewhere."""
    # Only typed for Windows; elsewhere the module has no such functions.
    import msvcrt
    import time

    def read() -> str | None:
        char: str = msvcrt.getwch()  # type: ignore[attr-defined,unused-ignore]
        if char in ("\x00", "\xe0"):  # a function key: its second half means nothing here
            msvcrt.getwch()  # type: ignore[attr-defined,unused-ignore]
            return ""
        return char

    def ready(within: float) -> bool:
        end = time.monotonic() + within
        while not msvcrt.kbhit():  # type: ignore[attr-defined,unused-ignore]
            if time.monotonic() >= end:
                return False
            time.sleep(0.005)
        return True

    return Characters(read, ready)
