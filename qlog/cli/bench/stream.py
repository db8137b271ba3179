"""The stream on the screen: prompts, single keys, questions and echoes; the work is intake's."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import click

from qlog.cli.terminal.echo import echo
from qlog.cli.terminal.prompt import Keyboard, is_answer, is_command, on_terminal
from qlog.cli.terminal.questions import put, warn
from qlog.cli.terminal.say import on_screen, say_line, say_warning
from qlog.cli.terminal.text import required, rule_of
from qlog.counting import runs
from qlog.intake.bench.readings import ReadingError
from qlog.intake.bench.stream import Ask, ProposedReading, Stream
from qlog.intake.typed.places import names_piece, piece_and_value
from qlog.logbook.part_log import PartLog
from qlog.problem import Problem, ToSay
from qlog.review.part.trend import TrendSoFar
from qlog.words.catalogue import words_of
from qlog.words.entries import cause_text, entry_text
from qlog.words.problems import in_words
from qlog.words.stock import margin_text

if TYPE_CHECKING:
    from qlog.drawing.units import Unit
    from qlog.intake.bench.settings import SetDown
    from qlog.intake.typed.set_values import SetValue
    from qlog.words.catalogue import Words

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
        self.words = words_of(stream.build)
        keyboard.capitals = frozenset(m[0].upper() for m in stream.part.marks if m[0].isalpha())
        self.asking = on_terminal()
        self.out = 0
        self._dimension = ""
        self._log = PartLog.read(stream.logbook, stream.part)
        self._trend = TrendSoFar(stream.build, stream.logbook)
        self._asked: tuple[str, int] | None = None  # the place that the prompt names
        self._bad: int | None = None  # the piece just read, when it is out
        self._acts: dict[str, Callable[[Ask, str], None]] = {
            "u": self._undo, "s": self._skip, "r": self._repeat, "x": self._scrap,
            "n": self._note, "t": self._tool, "?": self._help,
        }  # fmt: skip

    def run(self) -> int:
        """Ask for one place after the other until all are read, or the input is over."""
        part, op = self.stream.part, self.stream.op
        places = self.stream.places()
        words = self.words
        where = words("place.op", part=part.id, op=op, name=part.operation(op).name)
        if not places:
            say_line(words("sitting.nothing", place=where))
            return 0
        self._first = places[0]
        keys = f"   {words('sitting.keys')}" if self.asking else ""
        say_line(words("sitting.begin", place=where, n=len(places)) + keys)
        if any(not ask.callout.attribute for ask in places):
            say_line(words("sitting.verdicts", rule=rule_of(self.stream.build, words)))
        self._new_day()
        while True:
            ask = self.stream.next()
            if ask is None:
                if not self._more():
                    break
                continue
            self._introduce(ask)
            self._asked = ask.place
            text = self.keyboard.ask(self._prompt(ask), self._keys(ask), value=True)
            if text is None or (self._key(ask, text) == "q"):
                break
            try:
                self._take(ask, text)
            except Problem as problem:
                if not self.asking:
                    raise
                say_line(f"  {in_words(self.words, problem)}")
        left = len(self.stream.places())
        say_line(words("sitting.left", n=left) if left else words("sitting.all_read"))
        return self.out

    def _more(self) -> bool:
        """Nothing is left to ask for: the last entry can still be taken back, read again, noted.

        No key counts at once here: it may be the first letter of the next command. A number that
        comes now is not swallowed in silence. False ends the sitting.
        """
        last = self.stream.last
        done = "sitting.none_left" if self.stream.places() else "sitting.all_read"
        to_mark = ready_to_mark(self.stream) if self.asking else ()
        state = self.words(done)
        end = self.words("sitting.end", state=state)
        if to_mark:
            named = runs(to_mark, self.stream.part.called)
            end = self.words("sitting.end.mark", state=state, pieces=named)
        text = self.keyboard.ask(f"{end}> ", takes=bool)
        if text and is_command(text):
            self._say("sitting.not_run", text=repr(text))
            return False
        if text and to_mark and text.lower() in ("d", "done"):
            mark_read(self.stream, to_mark, self.words)
            return True
        key = _WORDS.get((text or "q").partition(" ")[0].lower())
        if not text or key == "q":
            return False
        try:
            if key not in ("u", "r", "x", "n", "?") or (key in ("x", "n") and last is None):
                raise ReadingError(ToSay("error.nothing_left_read", text=text))
            self._acts[key](last or self._first, text.partition(" ")[2].strip())
        except Problem as problem:
            if not self.asking:
                raise
            say_line(f"  {in_words(self.words, problem)}")
        return True

    def _take(self, ask: Ask, text: str) -> None:
        if not text:
            self._put_off(ask)
        elif (key := self._key(ask, text)) in self._acts:
            self._acts[key](ask, text.partition(" ")[2].strip())
        elif (other := self._of_piece(text)) is not None:
            piece, value = other
            self._reading(self.stream.propose(self.stream.place(ask.dimension, piece), value))
        else:
            self._reading(self.stream.propose(ask, text))

    def _put_off(self, ask: Ask) -> None:
        key = "sitting.stays" if self.stream.repeating else "sitting.put_off"
        self.stream.put_off(ask)
        self._say(key, place=self._place(ask))

    def _introduce(self, ask: Ask) -> None:
        if ask.dimension.id != self._dimension:
            self._dimension = ask.dimension.id
            none = "" if ask.callout.attribute else self.words("sitting.no_instrument")
            used = ask.instrument.name if ask.instrument else none
            asked = required(ask.callout, self.words)
            say_line(f"{ask.dimension.name}  {asked}" + (f"  ({used})" if used else ""))

    def _prompt(self, ask: Ask) -> str:
        again = f" {self.words('sitting.again')}" if self.stream.repeating else ""
        unit = ask.unit or (self.words("sitting.go_no_go") if ask.callout.attribute else "")
        return f"{self._place(ask)}{again} {unit}".rstrip() + "> "

    def _say(self, key: str, **values: object) -> None:
        """Print a line of the catalogue under the prompt."""
        say_line(f"  {self.words(key, **values)}")

    def _place(self, ask: Ask) -> str:
        return f"{self._name(ask.piece)} {ask.dimension.id}"

    def _name(self, piece: int) -> str:
        return self.stream.part.named(piece)

    def _keys(self, ask: Ask) -> str:
        """What counts at once; at a go/no-go check an `n` may be the beginning of an answer."""
        return "usrxtq?" if ask.callout.attribute else "usrxntq?"

    def _key(self, ask: Ask, text: str) -> str | None:
        word = text.partition(" ")[0].lower()
        if ask.callout.attribute and text.lower() == "n":
            return None
        if text[:1] in self.keyboard.capitals and self._of_piece(text) is not None:
            return None
        return _WORDS.get(word)

    def _of_piece(self, text: str) -> tuple[int, str] | None:
        return piece_and_value(self.stream.part, text)

    def _reading(self, proposed: ProposedReading) -> None:
        """Settle what the checks ask, enter the reading, echo it."""
        if proposed.questions and not self.asking:
            warn(self.stream, proposed, self.strict)
        elif proposed.questions:
            if proposed.ask.place != self._asked:
                click.echo(f"  {self._name(proposed.ask.piece)} {proposed.ask.dimension.id}")
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

    def _enter(self, proposed: ProposedReading, *, valued: bool = False) -> None:
        entry = self.stream.enter(proposed)
        ask, s = proposed.ask, self.stream
        line, bad = echo(
            s.build, s.logbook, s.part, ask.callout, entry.fact,
            named=not self.asking or ask.place != self._asked, valued=valued or not self.asking,
        )  # fmt: skip
        self.out += bad
        self._bad = ask.piece if bad else None
        self._log.catch_up(s.logbook)
        glance = self._trend.glance(self._log, s.op, ask.dimension, ask.piece)
        trend = ""
        if glance is not None:
            from qlog.words.trend import glance_text

            trend = on_screen(glance_text(glance, ask.callout.limits, self.words.about(s.part.id)))
        click.echo(f"  {line}")
        if trend and self.asking:
            click.echo(click.wrap_text(trend, 78, "  ", "    "))
        elif trend:
            click.echo(f"  {trend}")

    # The keys.

    def _help(self, ask: Ask, rest: str) -> None:
        # At a go/no-go check `n` is the beginning of an answer.
        self._say("keys.go" if ask.callout.attribute else "keys.number")

    def _undo(self, ask: Ask, rest: str) -> None:
        if self.stream.repeating:
            self._put_off(ask)
            return
        undone = self.stream.undo()
        if isinstance(undone, Ask):
            self._say("sitting.back_to", place=self._place(undone))
        elif undone is not None:
            self._say("sitting.taken_back", entry=entry_text(undone, self.words))
        else:
            self._say("sitting.nothing_to_undo")

    def _repeat(self, ask: Ask, rest: str) -> None:
        self.stream.repeat()

    def _skip(self, ask: Ask, rest: str) -> None:
        kind, _, why = rest.partition(" ")
        if not kind and self.asking:
            kind = self.keyboard.ask(f"  {self.words('sitting.skip')}> ", "npc") or ""
            if kind in ("p", "c"):
                why = self.keyboard.ask(f"  {self.words('sitting.why')}> ") or ""
        kind = kind.lower()[:1] or "n"
        if kind == "n":
            self._put_off(ask)
        elif kind in ("p", "c"):
            entry = self.stream.skip(ask, {"p": "skipped", "c": "cannot"}[kind], why)
            say_line(f"  {entry_text(entry.fact, self.words)}")
        else:
            raise ReadingError(ToSay("error.say_yet_purpose", rest=rest))

    def _scrap(self, ask: Ask, rest: str) -> None:
        from qlog.intake.typed.places import piece_of

        first, _, why = rest.partition(" ")
        likely = self._bad or ask.piece
        if not rest and self.asking:
            first = self.keyboard.ask(
                f"  {self.words('sitting.scrap', piece=self._name(likely))}> ",
                "y",
                takes=self._is_piece,
            ) or ""  # fmt: skip
            if not first:
                self._say("sitting.none_scrapped")
                return
            piece = likely if first == "y" else piece_of(self.stream.part, first)
            asked = self.words("sitting.scrap_why", piece=self._name(piece))
            why = self.keyboard.ask(f"  {asked}> ") or ""
            if not why:
                self._say("sitting.no_reason")
                return
        else:
            piece = piece_of(self.stream.part, first or "?")
        entry = self.stream.scrap(piece, why)
        said = entry_text(entry.fact, self.words)
        say_line(f"  {said}; {margin_words(self.stream, self.words)}")

    def _is_piece(self, text: str) -> bool:
        """Whether a line can name a piece; a measured value cannot."""
        return is_answer(text) or names_piece(self.stream.part, text)

    def _note(self, ask: Ask, rest: str) -> None:
        last = self.stream.last
        piece = ask.piece if last is None else last.piece
        if not rest and self.asking:
            asked = self.words("sitting.note", piece=self._name(piece))
            rest = self.keyboard.ask(f"  {asked}> ") or ""
        if not rest:
            raise ReadingError(ToSay("error.empty_note_says_nothing"))
        self.stream.remark(rest, piece)
        self._say("sitting.noted", piece=self._name(piece))

    def _tool(self, ask: Ask, rest: str) -> None:
        asked = _asked_setup(self.keyboard, self.words, rest, asking=self.asking)
        if asked is None:
            self._say("sitting.no_setup")
        else:
            self._begin(ask.piece, *_of_setup(asked, self.stream.build.unit))

    def _begin(
        self, piece: int, cause: str, note: str = "", values: Sequence[SetValue] = ()
    ) -> None:
        done = self.stream.new_setup(piece, cause, note, values)
        self._say("sitting.setup", piece=self._name(piece), cause=cause_text(cause, self.words))
        _say_set(done, self.words)

    def _new_day(self) -> None:
        """Another day than the last reading's: a new setup is proposed, one key takes it."""
        day = self.stream.other_day()
        ask = self.stream.next()
        if day is None or ask is None:
            return
        name = self._name(ask.piece)
        said = self.words("sitting.other_day", day=self.words.date(day.isoformat()))
        if not self.asking:
            part, op = self.stream.part.id, self.stream.op
            named = self.stream.part.called(ask.piece)
            command = f"qlog setup {part} {op} {named} new-day"
            warning = self.words("sitting.other_day.warn", said=said, command=command)
            say_warning(warning, self.words)
            return
        answer = self.keyboard.ask(
            f"{self.words('sitting.other_day.ask', said=said, piece=name)}> ", "yk"
        )
        if answer == "y":
            self._begin(ask.piece, "new day")
        elif answer and answer != "k":
            self._say("sitting.no_setup_key")


def _say_set(done: Sequence[SetDown], words: Words) -> None:
    """What was set down, a line each."""
    if done:
        from qlog.words.settings import set_down_texts

        for line in set_down_texts(done, words):
            say_line(f"  {line}")


def _asked_setup(keyboard: Keyboard, words: Words, rest: str, *, asking: bool) -> str | None:
    """What was touched, a key of `_CAUSES` or in words; None when nothing was after all."""
    if rest or not asking:
        return rest
    answer = keyboard.ask(f"  {words('sitting.tool')}> ", "cro=")
    if answer == "=":
        answer = keyboard.ask(f"  {words('sitting.set')}> ")
    return answer or None


def _of_setup(asked: str, unit: Unit) -> tuple[str, str, Sequence[SetValue]]:
    """The cause, the remark and what is set, of what was said. Raises SettingError."""
    if asked in _CAUSES:
        return _CAUSES[asked], "", ()
    if "=" not in asked:
        return "tool change", asked, ()
    from qlog.intake.typed.set_values import words_and_values

    note, values = words_and_values(asked, unit)
    if note or not values:
        return "tool change", note, values
    return "offset" if any(v.what == "offset" for v in values) else "other", "", values


def ready_to_mark(stream: Stream) -> tuple[int, ...]:
    """Live pieces that are read and on which the operation is not marked as done yet."""
    if stream.places():
        return ()
    log, op = stream.log, stream.op
    read = {piece for at in log.places for piece in log.places[at] if at[1] == op}
    return tuple(
        p for p in sorted(read)
        if (op, p) not in log.done and p not in log.scrapped and not log.open_ops(op, p)
    )  # fmt: skip


def mark_read(stream: Stream, pieces: tuple[int, ...], words: Words) -> None:
    """Mark the operation as done on the pieces that were read. Says what was left out."""
    from qlog.intake.bench.route import mark_done
    from qlog.words.ready import held_text

    outcome = mark_done(stream.logbook, stream.part, stream.op, pieces, made=stream.made)
    op = words("op.name", op=stream.op, name=stream.part.operation(stream.op).name)
    done = f"{stream.part.id} {runs(outcome.new, stream.part.called)}"
    say_line(f"  {words('done.marked', op=op, pieces=done)}")
    for held in outcome.held:
        say_line(f"  {words('done.left_out', why=held_text(held, words))}")


def margin_words(stream: Stream, words: Words) -> str:
    """How many pieces are left, and whether that is enough."""
    part = stream.part
    live = len(part.pieces) - len(stream.log.scrapped)
    margin = margin_text(live - part.needed, words)
    return words.count("sitting.left_pieces", live, needed=part.needed, margin=margin)
