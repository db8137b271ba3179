"""The stream on the screen: prompts, single keys, questions and echoes; the work is intake's."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from qlog.cli.terminal.echo import echo
from qlog.cli.terminal.prompt import Keyboard, is_answer, is_command, on_terminal
from qlog.cli.terminal.questions import put, warn
from qlog.cli.terminal.say import on_screen, words_for
from qlog.cli.terminal.text import required, rule_of
from qlog.counting import count
from qlog.intake.bench.readings import ReadingError
from qlog.intake.bench.stream import Ask, Proposed, Stream
from qlog.logbook.facts import Disposition, Gap, Note, Reading, Setup
from qlog.logbook.part_log import PartLog
from qlog.problem import Problem
from qlog.review.part.trend import TrendSoFar

if TYPE_CHECKING:
    from qlog.logbook.facts import Fact

HELP = """\
  number, Enter  the reading              Enter alone  not now, ask in the next sitting
  u  undo the last entry                  s  skip: not yet, on purpose, cannot
  r  read the last one again              x  scrapped, and why
  n  note                                 t  tool changed here: a new setup
  q  stop; all that was entered stays     ?  these keys\
"""

#: The same at a go/no-go check, where `n` is the beginning of an answer.
HELP_GO = """\
  go or no-go, Enter  the outcome (also ok / not ok, pass / fail, g / n)
  Enter alone  not now, ask in the next sitting
  u  undo the last entry                  s  skip: not yet, on purpose, cannot
  r  read the last one again              x  scrapped, and why
  note TEXT, Enter  note                  t  tool changed here: a new setup
  q  stop; all that was entered stays     ?  these keys\
"""

#: Words for the keys, so that a pipe or a plain line can say them.
_WORDS = {
    "u": "u", "undo": "u", "s": "s", "skip": "s", "r": "r", "repeat": "r", "x": "x",
    "scrap": "x", "scrapped": "x", "n": "n", "note": "n", "t": "t", "tool": "t", "q": "q",
    "quit": "q", "?": "?", "help": "?",
}  # fmt: skip

_CAUSES = {"r": "re-touch", "o": "offset", "c": "tool change"}


class Sitting:
    """One run of the stream; `run` answers how many readings were out."""

    def __init__(self, stream: Stream, keyboard: Keyboard, *, strict: bool = False) -> None:
        self.stream = stream
        self.keyboard = keyboard
        self.strict = strict
        self.asking = on_terminal()
        self.out = 0
        self._dimension = ""
        self._log = PartLog.read(stream.logbook, stream.part)
        self._trend = TrendSoFar(stream.build)
        self._bad: int | None = None  # the piece just read, when it is out
        self._acts: dict[str, Callable[[Ask, str], None]] = {
            "u": self._undo, "s": self._skip, "r": self._repeat, "x": self._scrap,
            "n": self._note, "t": self._tool, "?": self._help,
        }  # fmt: skip

    def run(self) -> int:
        """Ask for one place after the other until all are read, or the input is over."""
        part, op = self.stream.part, self.stream.op
        places = self.stream.places()
        where = f"{part.id} op {op} {part.operation(op).name}"
        if not places:
            click.echo(f"{where}: nothing left to read")
            return 0
        self._first = places[0]
        keys = "   (? shows the keys)" if self.asking else ""
        click.echo(f"{where}: {len(places)} to read{keys}")
        if any(not ask.callout.attribute for ask in places):
            click.echo(
                f"verdicts by the {rule_of(self.stream.build, words_for(self.stream.build))}"
            )
        self._new_day()
        while True:
            ask = self.stream.next()
            if ask is None:
                if not self._more():
                    break
                continue
            self._introduce(ask)
            text = self.keyboard.ask(self._prompt(ask), self._keys(ask), value=True)
            if text is None or (self._key(ask, text) == "q"):
                break
            try:
                self._take(ask, text)
            except Problem as problem:
                if not self.asking:
                    raise
                click.echo(f"  {problem}")
        left = len(self.stream.places())
        click.echo(f"{left} left to read; the same command goes on there" if left else "all read")
        return self.out

    def _more(self) -> bool:
        """Nothing is left to ask for: the last entry can still be taken back, read again, noted.

        No key counts at once here: it may be the first letter of the next command. A number that
        comes now is not swallowed in silence. False ends the sitting.
        """
        last = self.stream.last
        done = "nothing left in this sitting" if self.stream.places() else "all read"
        text = self.keyboard.ask(
            f"{done}: Enter ends it; u undo, r read again, x, n, with Enter> ", takes=bool
        )
        if text and is_command(text):
            click.echo(f"  {text!r} was not run: this ends here, then type it again")
            return False
        key = _WORDS.get((text or "q").partition(" ")[0].lower())
        if not text or key == "q":
            return False
        try:
            if key not in ("u", "r", "x", "n", "?") or (key in ("x", "n") and last is None):
                raise ReadingError(f"nothing is left to read, {text!r} was not entered")
            self._acts[key](last or self._first, text.partition(" ")[2].strip())
        except Problem as problem:
            if not self.asking:
                raise
            click.echo(f"  {problem}")
        return True

    def _take(self, ask: Ask, text: str) -> None:
        if not text:
            self._put_off(ask)
        elif (key := self._key(ask, text)) in self._acts:
            self._acts[key](ask, text.partition(" ")[2].strip())
        else:
            self._reading(self.stream.propose(ask, text))

    def _put_off(self, ask: Ask) -> None:
        again = self.stream.repeating
        self.stream.put_off(ask)
        left = "stays as it was" if again else "left for the next sitting"
        click.echo(f"  {self._name(ask.piece)} {ask.dimension.id} {left}")

    def _introduce(self, ask: Ask) -> None:
        if ask.dimension.id != self._dimension:
            self._dimension = ask.dimension.id
            used = ask.instrument.name if ask.instrument else "no instrument named"
            asked = required(ask.callout, words_for(self.stream.build))
            click.echo(f"{ask.dimension.name}  {asked}  ({used})")

    def _prompt(self, ask: Ask) -> str:
        again = " again" if self.stream.repeating else ""
        unit = ask.unit or ("go or no-go" if ask.callout.attribute else "")
        return f"{self._name(ask.piece)} {ask.dimension.id}{again} {unit}".rstrip() + "> "

    def _name(self, piece: int) -> str:
        return f"{self.stream.part.id}-{piece}"

    def _keys(self, ask: Ask) -> str:
        """What counts at once; at a go/no-go check an `n` may be the beginning of an answer."""
        return "usrxtq?" if ask.callout.attribute else "usrxntq?"

    def _key(self, ask: Ask, text: str) -> str | None:
        word = text.partition(" ")[0].lower()
        if ask.callout.attribute and text.lower() == "n":
            return None
        return _WORDS.get(word)

    def _reading(self, proposed: Proposed) -> None:
        """Settle what the checks ask, enter the reading, echo it."""
        if proposed.questions and not self.asking:
            warn(self.stream, proposed, self.strict)
        elif proposed.questions:
            settled = put(self.keyboard, self.stream, proposed)
            if settled is None:
                return
            typed = proposed.reading.typed
            proposed, again = settled
            self._enter(proposed, valued=proposed.reading.typed != typed)
            if again is not None:
                self.stream.repeat(again)
            return
        self._enter(proposed)

    def _enter(self, proposed: Proposed, *, valued: bool = False) -> None:
        entry = self.stream.enter(proposed)
        ask, s = proposed.ask, self.stream
        line, bad = echo(
            s.build, s.logbook, s.part, ask.callout, entry.fact,
            named=not self.asking, valued=valued or not self.asking,
        )  # fmt: skip
        self.out += bad
        self._bad = ask.piece if bad else None
        self._log.catch_up(s.logbook)
        glance = self._trend.glance(self._log, s.op, ask.dimension, ask.piece)
        trend = ""
        if glance is not None:
            from qlog.words.trend import glance_text

            trend = on_screen(glance_text(glance, ask.callout.limits, words_for(s.build)))
        click.echo(f"  {line}")
        if trend and self.asking:
            click.echo(click.wrap_text(trend, 78, "  ", "    "))
        elif trend:
            click.echo(f"  {trend}")

    # The keys.

    def _help(self, ask: Ask, rest: str) -> None:
        click.echo(HELP_GO if ask.callout.attribute else HELP)

    def _undo(self, ask: Ask, rest: str) -> None:
        if self.stream.repeating:
            self._put_off(ask)
            return
        undone = self.stream.undo()
        if isinstance(undone, Ask):
            click.echo(f"  back to {self._name(undone.piece)} {undone.dimension.id}")
        elif undone is not None:
            click.echo(f"  taken back: {said(undone)}")
        else:
            click.echo("  nothing to undo in this sitting")

    def _repeat(self, ask: Ask, rest: str) -> None:
        self.stream.repeat()

    def _skip(self, ask: Ask, rest: str) -> None:
        kind, _, why = rest.partition(" ")
        if not kind and self.asking:
            kind = (
                self.keyboard.ask("  n not yet, p on purpose, c cannot be measured> ", "npc") or ""
            )
            if kind in ("p", "c"):
                why = self.keyboard.ask("  why> ") or ""
        kind = kind.lower()[:1] or "n"
        if kind == "n":
            self._put_off(ask)
        elif kind in ("p", "c"):
            entry = self.stream.skip(ask, {"p": "skipped", "c": "cannot"}[kind], why)
            click.echo(f"  {said(entry.fact)}")
        else:
            raise ReadingError(f"s {rest!r}: say s n (not yet), s p (on purpose) or s c (cannot)")

    def _scrap(self, ask: Ask, rest: str) -> None:
        from qlog.intake.typed.places import piece_of

        first, _, why = rest.partition(" ")
        likely = self._bad or ask.piece
        if not rest and self.asking:
            first = self.keyboard.ask(
                f"  scrap which piece? y {self._name(likely)}, or its number> ",
                "y",
                takes=self._is_piece,
            ) or ""  # fmt: skip
            if not first:
                click.echo("  nothing was scrapped")
                return
            piece = likely if first == "y" else piece_of(self.stream.part, first)
            why = self.keyboard.ask(f"  {self._name(piece)} scrapped, why> ") or ""
            if not why:
                click.echo("  not scrapped: no reason given")
                return
        else:
            piece = piece_of(self.stream.part, first or "?")
        entry = self.stream.scrap(piece, why)
        click.echo(f"  {said(entry.fact)}; {margin_words(self.stream)}")

    def _is_piece(self, text: str) -> bool:
        """Whether a line can name a piece; a measured value cannot."""
        return is_answer(text) or (text.isdecimal() and int(text) in self.stream.part.pieces)

    def _note(self, ask: Ask, rest: str) -> None:
        last = self.stream.last
        piece = ask.piece if last is None else last.piece
        if not rest and self.asking:
            rest = self.keyboard.ask(f"  note on {self._name(piece)}> ") or ""
        if not rest:
            raise ReadingError("an empty note says nothing; write n and the text on one line")
        self.stream.remark(rest, piece)
        click.echo(f"  noted with {self._name(piece)}")

    def _tool(self, ask: Ask, rest: str) -> None:
        cause, note = "tool change", rest
        if not rest and self.asking:
            said_ = self.keyboard.ask(
                "  c tool changed or sharpened, r re-touched, o offset, or a word> ", "cro"
            )
            if not said_:
                click.echo("  no new setup")
                return
            cause, note = _CAUSES.get(said_, "tool change"), "" if said_ in _CAUSES else said_
        self._begin(ask.piece, cause, note)

    def _begin(self, piece: int, cause: str, note: str = "") -> None:
        self.stream.new_setup(piece, cause, note)
        click.echo(
            f"  new setup from {self._name(piece)}: {cause}; read this first piece before the next"
        )

    def _new_day(self) -> None:
        """Another day than the last reading's: a new setup is proposed, one key takes it."""
        day = self.stream.other_day()
        ask = self.stream.next()
        if day is None or ask is None:
            return
        name = self._name(ask.piece)
        said_ = f"the last reading here is of {day}"
        if not self.asking:
            part, op = self.stream.part.id, self.stream.op
            click.echo(
                f"?? {said_}; if the machine was set anew: "
                f"qlog setup {part} {op} {ask.piece} new-day",
                err=True,
            )
            return
        answer = self.keyboard.ask(
            f"{said_}: does a new setup begin with {name}? y yes, k same setup> ", "yk"
        )
        if answer == "y":
            self._begin(ask.piece, "new day")
        elif answer and answer != "k":
            click.echo("  no new setup; `t` begins one")


def said(fact: Fact) -> str:
    """An entry in a few words."""
    match fact:
        case Reading():
            return f"{fact.part}-{fact.piece} {fact.dimension} {fact.typed}"
        case Gap():
            kind = "skipped on purpose" if fact.kind == "skipped" else "cannot be measured"
            why = f" ({fact.why})" if fact.why else ""
            return f"{fact.part}-{fact.piece} {fact.dimension} {kind}{why}"
        case Disposition():
            return f"{fact.part}-{fact.piece} scrapped ({fact.why})"
        case Setup():
            return f"new setup from {fact.part}-{fact.piece} ({fact.cause})"
        case Note():
            return f"note “{fact.text}”"
    return fact.TABLE


def margin_words(stream: Stream) -> str:
    """How many pieces are left, and whether that is enough."""
    from qlog.intake.bench.route import scrapped

    part = stream.part
    live = len(part.pieces) - len(scrapped(stream.logbook, part))
    margin = live - part.needed
    left = f"{margin} to spare" if margin > 0 else "no spare" if margin == 0 else "too few"
    return f"{count(live, 'piece', 'pieces')} left, {part.needed} needed: {left}"
