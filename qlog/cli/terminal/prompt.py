"""Lines and single keys from the bench: typed at a terminal, sent by a gauge, or piped in.

On a terminal a key counts at once where nothing has been typed yet; everything else is a line
that ends with Enter, as gauges send it. Where neither termios nor msvcrt drives the input, and in
a pipe, a key is a line of its own.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Collection, Iterator
from contextlib import ExitStack, contextmanager

import click

_BACK = ("\x7f", "\b")
_STOP, _OVER, _ESCAPE = "\x03", ("\x04", "\x1a"), "\x1b"


def on_terminal() -> bool:
    """Whether somebody sits at a terminal and can be asked."""
    return sys.stdin.isatty()


class Keyboard:
    """The keyboard for one sitting: use as a context manager, then `ask` again and again.

    It stays unechoed all the time, so that what a gauge sends while a reading is being committed
    is neither lost nor drawn twice.
    """

    def __init__(self) -> None:
        self._stack = ExitStack()
        self._characters: Iterator[str] | None = None

    def __enter__(self) -> Keyboard:
        if on_terminal():
            characters = self._stack.enter_context(_characters())
            self._characters = None if characters is None else _one_end(characters)
        return self

    def __exit__(self, *error: object) -> None:
        self._stack.close()

    def ask(self, prompt: str, keys: Collection[str] = ()) -> str | None:
        """One line without its end, or one of the `keys`; None when the input is over.

        The prompt shows on a terminal only. Raises KeyboardInterrupt on Ctrl-C.
        """
        if on_terminal():
            click.echo(prompt, nl=False)
            sys.stdout.flush()
        if self._characters is None:
            line = sys.stdin.readline()
            return line.strip() if line else None
        return _edited(self._characters, keys)


def _edited(characters: Iterator[str], keys: Collection[str]) -> str | None:
    """A line edited on the screen; a key with nothing typed before it answers alone."""
    typed = ""
    for char in characters:
        if char == _STOP:
            click.echo()
            raise KeyboardInterrupt
        if char in _OVER and not typed:
            click.echo()
            return None
        if char == "\n":
            click.echo()
            return typed.strip()
        if char in _BACK:
            if typed:
                typed = typed[:-1]
                click.echo("\b \b", nl=False)
        elif char == "\x15":  # Ctrl-U: away with the line
            click.echo("\b \b" * len(typed), nl=False)
            typed = ""
        elif char == _ESCAPE:
            _swallow(characters)
        elif char.isprintable():
            click.echo(char, nl=False)
            if not typed.strip() and char.lower() in keys:
                click.echo()
                return char.lower()
            typed += char
        sys.stdout.flush()
    click.echo()
    return typed.strip() or None


def _one_end(characters: Iterator[str]) -> Iterator[str]:
    """The same with one newline at the end of every line, also where a gauge sends two characters.

    A second, empty line would put the next place off.
    """
    returned = False
    for char in characters:
        if not (returned and char == "\n"):
            yield "\n" if char == "\r" else char
        returned = char == "\r"


def _swallow(characters: Iterator[str]) -> None:
    """The rest of an arrow or function key: it means nothing here."""
    if next(characters, "") in ("[", "O"):
        while (char := next(characters, "")) and not ("@" <= char <= "~"):
            pass


@contextmanager
def _characters() -> Iterator[Iterator[str] | None]:
    """The terminal's keys one by one, unechoed; None where it cannot be driven so."""
    if sys.platform == "win32":
        yield _windows_keys()
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
    raw[0] &= ~termios.ICRNL  # `_one_end` has to tell return and newline apart
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
        yield _posix_keys(descriptor)
    finally:
        signal.signal(signal.SIGCONT, continued)
        termios.tcsetattr(descriptor, termios.TCSADRAIN, before)


def _posix_keys(descriptor: int) -> Iterator[str]:
    import codecs

    decoder = codecs.getincrementaldecoder("utf-8")(errors="replace")
    while data := os.read(descriptor, 1):
        if char := decoder.decode(data):
            yield char


def _windows_keys() -> Iterator[str]:
    # Only typed for Windows; elsewhere the module has no such functions.
    import msvcrt

    while True:
        char: str = msvcrt.getwch()  # type: ignore[attr-defined,unused-ignore]
        if char in ("\x00", "\xe0"):  # a function key: its second half means nothing here
            msvcrt.getwch()  # type: ignore[attr-defined,unused-ignore]
            continue
        yield char
