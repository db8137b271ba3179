"""Lines and single keys from the bench: typed at a terminal, sent by a gauge, or piped in.

On a terminal a key counts at once where nothing has been typed yet, and the Enter behind it counts
for nothing; everything else is a line that ends with Enter, as gauges send it. What was typed
before a prompt stood on the screen answers nothing: a number waits until somebody takes it, at
most one, and the screen says so. In a pipe a key is a line of its own.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Collection
from contextlib import ExitStack

import click

from qlog.cli.terminal.characters import ESCAPE, OVER, STOP, Characters, terminal_characters
from qlog.cli.terminal.say import on_screen, say_line
from qlog.words.catalogue import Words

_BACK = ("\x7f", "\b")
_CLEAR = "\x15"  # Ctrl-U

#: A number as gauges and people write it, with or without a unit. Compiled at first use.
_NUMBER = (
    r"(?i)[-+\u2212\u2013]?\s*(?:[0-9]+[\s-]+)?(?:[0-9]|[.,][0-9])[0-9.,'/°\"\u2032\u2033]*"
    r"\s*(?:mm|in\.?|inch|\"|''|[µu]m|[µu]in|°|deg|degrees?)?"
)
_GO = ("go", "ok", "pass", "passed", "nogo", "no-go", "nok", "fail", "failed")


def on_terminal() -> bool:
    """Whether somebody sits at a terminal and can be asked."""
    return sys.stdin.isatty()


def is_value(line: str) -> bool:
    """Whether a line is what is typed for a reading, and so no answer to a question."""
    import re

    return line.lower() in _GO or re.fullmatch(_NUMBER, line) is not None


def is_command(line: str) -> bool:
    """Whether a line was meant for the shell."""
    return line.partition(" ")[0] == "qlog"


def is_answer(line: str) -> bool:
    """Whether a line can answer a question in words."""
    return not is_value(line) and not is_command(line)


class Keyboard:
    """The keyboard for one sitting: use as a context manager, then `ask` again and again.

    `words` are those of the build that the sitting is about.

    It stays unechoed all the time, so that what a gauge sends while a reading is being committed
    is neither lost nor drawn twice. `waiting` is the one value that came too early.
    """

    def __init__(self, words: Words) -> None:
        self._words = words
        self._stack = ExitStack()
        self._characters: Characters | None = None
        self._asking = False
        #: Capitals that begin a word of their own, such as the mark of a piece: no keys.
        self.capitals: frozenset[str] = frozenset()
        self.waiting: str | None = None

    def __enter__(self) -> Keyboard:
        self._asking = on_terminal()
        if self._asking:
            self._characters = self._stack.enter_context(terminal_characters())
        return self

    def __exit__(self, *error: object) -> None:
        self._stack.close()
        if self.waiting is not None:
            say_line(self._words("waits.dropped", value=self.waiting))

    def ask(
        self,
        prompt: str,
        keys: Collection[str] = "",
        *,
        value: bool = False,
        takes: Callable[[str], bool] = is_answer,
    ) -> str | None:
        """One line without its end, or one of the `keys`; None when the input is over.

        With `value` a reading is asked for, and a value that waits is offered. Else it is a
        question: a line that it does not take, such as a number, waits for the next reading. The
        prompt shows on a terminal only. Raises KeyboardInterrupt on Ctrl-C.
        """
        if not self._asking:
            line = sys.stdin.readline()
            return line.strip() if line else None
        while True:
            text = self._typed_before(keys)
            if text is None:
                return None
            offered = value and self.waiting is not None
            if offered:
                say_line(f"  {self._words('waits.offered', value=self.waiting)}")
            click.echo(on_screen(prompt) + text, nl=False)
            sys.stdout.flush()
            answer = self._line(text, [*keys, "y"] if offered else keys, escapes=offered)
            if answer is None:
                return None
            if offered and answer == ESCAPE:
                say_line(f"  {self._words('waits.dropped', value=self.waiting)}")
                self.waiting = None
            elif offered and answer.lower() == "y":
                answer, self.waiting = self.waiting, None
                return answer
            elif offered and (not answer or is_value(answer)):
                if answer:
                    self._hold(answer)
            elif not answer or (not is_command(answer) if value else takes(answer)):
                return answer
            else:
                self._hold(answer)

    def _hold(self, line: str, *, early: bool = False) -> None:
        """A value waits, if none does yet; anything else is named and not taken.

        `early` is what was typed before the prompt stood there.
        """
        words = self._words
        if is_command(line):
            said = words("waits.shell", line=repr(line))
        elif not is_value(line):
            said = words("waits.too_early" if early else "waits.no_answer", line=repr(line))
        elif self.waiting is None:
            self.waiting = line
            said = words("waits.holds_early" if early else "waits.holds", line=line)
        else:
            said = words("waits.full", line=line, value=self.waiting)
        say_line(f"  {said}")

    def _typed_before(self, keys: Collection[str]) -> str | None:
        """What was typed before the prompt: an unfinished line goes on, whole lines are held.

        A key typed too early is named and not taken. None when the input is over.
        """
        if self._characters is None:
            return ""
        text = ""
        while self._characters.ready():
            char = self._characters.next()
            if char is None:
                return None
            if char == STOP:
                raise KeyboardInterrupt
            if char in OVER and not text:
                return None
            if char == "\n":
                if line := text.strip():
                    self._hold(line, early=True)
                text = ""
            else:
                text = _changed(text, char)
        begun = text.strip()
        if begun and (
            self._is_key(begun[0], keys) or (begun[0] in "yY" and self.waiting is not None)
        ):
            self._hold(begun, early=True)
            return ""
        return text

    def _line(self, typed: str, keys: Collection[str], *, escapes: bool) -> str | None:
        """A line edited on the screen; a key with nothing typed before it answers alone.

        With `escapes`, Esc on an empty line answers as well.
        """
        if self._characters is None:
            line = sys.stdin.readline()
            return line.strip() if line else None
        while (char := self._characters.next()) is not None:
            if char == STOP:
                click.echo()
                raise KeyboardInterrupt
            if char in OVER and not typed:
                click.echo()
                return None
            if char == "\n":
                click.echo()
                return typed.strip()
            if char == ESCAPE and not typed and escapes:
                click.echo()
                return ESCAPE
            if char.isprintable() and not typed.strip() and self._is_key(char, keys):
                click.echo(char)
                self._characters.acted()
                return char.lower()
            before, typed = typed, _changed(typed, char)
            _show(before, typed)
        click.echo()
        return typed.strip() or None

    def _is_key(self, char: str, keys: Collection[str]) -> bool:
        return char != "" and char.lower() in keys and char not in self.capitals


def _changed(typed: str, char: str) -> str:
    """A line after one more character."""
    if char in _BACK:
        return typed[:-1]
    if char in (_CLEAR, ESCAPE):
        return ""
    return typed + char if char.isprintable() else typed


def _show(before: str, after: str) -> None:
    """Bring the line on the screen from one text to the other."""
    if after.startswith(before):
        click.echo(after[len(before) :], nl=False)
    else:
        click.echo("\b \b" * (len(before) - len(after)), nl=False)
    sys.stdout.flush()
