"""What a phone asks to be entered: one act at a time, by the rules of the stream."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from functools import cached_property
from typing import Any

from qlog.drawing.plan import Build, Part
from qlog.intake.bench.decisions import begin_setup, dispose, remark
from qlog.intake.bench.route import mark_done, start
from qlog.intake.bench.sent import enter_once, known, take_back_sent
from qlog.intake.bench.settings import set_down
from qlog.intake.bench.stream import Ask, Stream
from qlog.intake.typed.places import dimension_of, number_of, op_of, part_of
from qlog.intake.typed.set_values import set_value
from qlog.intake.typed.temperatures import celsius
from qlog.logbook.facts import Gap
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Conflict, Logbook
from qlog.phone.bench import left_text
from qlog.phone.shown import shown_column, shown_computed, shown_reading, shown_trend
from qlog.problem import Problem
from qlog.words.catalogue import Words
from qlog.words.problems import in_words
from qlog.words.questions import question_text
from qlog.words.settings import set_down_texts

#: A name that a phone gives: hexadecimal, from 128 bits of chance.
NAME = re.compile(r"[0-9a-f]{32}")
#: What waited longer than this on the phone was made then, and not now (seconds).
_JUST_NOW = 60
_CAUSES = ("tool change", "re-touch", "offset", "new day", "other")

Answer = dict[str, Any]


class BadAct(ValueError):
    """What came is no act that the page can have sent."""


class CheckAsked(Exception):
    """The entry checks have a question; nothing was entered."""

    def __init__(self, answer: Answer) -> None:
        super().__init__("asked")
        self.answer = answer


def text_of(said: Mapping[str, Any], key: str, most: int = 500) -> str:
    """A text field, empty when it is absent. Raises BadAct."""
    value = said.get(key, "")
    if isinstance(value, int) and not isinstance(value, bool):
        value = str(value)  # an operation's or a piece's number
    if not isinstance(value, str) or len(value) > most:
        raise BadAct(key)
    if any("\ud800" <= sign <= "\udfff" for sign in value):
        raise BadAct(key)  # half a sign is no text
    return " ".join(value.split())


def name_of(said: Mapping[str, Any], key: str = "id") -> str:
    """The name that the phone gave. Raises BadAct."""
    name = text_of(said, key)
    if NAME.fullmatch(name) is None:
        raise BadAct(key)
    return name


def made_time(said: Mapping[str, Any]) -> str | None:
    """When it was made, from how long it waited: the phone's own clock is not relied on."""
    waited = said.get("waited", 0)
    if isinstance(waited, bool) or not isinstance(waited, int | float):
        raise BadAct("waited")
    if not _JUST_NOW < waited < 90 * 86_400:
        return None
    made = datetime.now().astimezone() - timedelta(seconds=waited)
    return made.isoformat(timespec="seconds")


def answered(do: Callable[[], Answer], words: Words) -> Answer:
    """What is done, or why not: in words where the rules of the bench refuse it.

    Raises LogbookError when the file cannot be written now: it is sent again later.
    """
    try:
        return do()
    except CheckAsked as asked:
        return asked.answer
    except Conflict as conflict:
        there = conflict.existing.fact
        value = getattr(there, "typed", "") or getattr(there, "kind", "") or ""
        return {"status": "conflict", "text": words("phone.conflict", value=value)}
    except Problem as problem:
        if isinstance(problem.__cause__, sqlite3.Error):
            raise
        return {"status": "refused", "text": in_words(words, problem)}


def act_of(build: Build, logbook: Logbook, words: Words, said: Mapping[str, Any]) -> Answer:
    """Enter what a phone asks for, and answer how it stands. Raises BadAct, LogbookError."""
    name_of(said)
    answer = answered(lambda: Acts(build, logbook, words, said).run(), words)
    return {**answer, "entry": logbook.last_entry()}


class Acts:
    """Everything that may be entered at one operation of one part, or taken back."""

    def __init__(
        self, build: Build, logbook: Logbook, words: Words, said: Mapping[str, Any]
    ) -> None:
        self.build = build
        self.logbook = logbook
        self.words = words
        self.said = said
        self.name = name_of(said)
        self.made = made_time(said)

    @cached_property
    def part(self) -> Part:
        """The part that it is about; what is undone at an item is about none."""
        return part_of(self.build, text_of(self.said, "part"))

    @cached_property
    def op(self) -> int:
        """The operation that it is about."""
        return op_of(self.part, text_of(self.said, "op")).number

    def run(self) -> Answer:
        """Enter the act once and answer how it stands. Raises what its rules raise, BadAct."""
        act = text_of(self.said, "act")
        do: dict[str, Callable[[], Answer]] = {
            "reading": self._reading, "skip": self._skip, "scrap": self._scrap,
            "note": self._note, "setup": self._setup, "start": self._start, "done": self._done,
            "set": self._set,
            "undo": self._undo,
        }  # fmt: skip
        if act not in do:
            raise BadAct("act")
        if known(self.logbook, self.name) is not None:  # its answer was lost on the way
            return {**self._stands(act), "status": "entered", "again": True}
        answer: Answer = {}
        fresh = enter_once(self.logbook, self.name, act, lambda: answer.update(do[act]()))
        return {**(answer if fresh else self._stands(act)), "status": "entered"}

    def _stands(self, act: str) -> Answer:
        """The answer to something that was entered before: how its place stands now."""
        if act != "reading":
            return {"text": self.words("phone.known")}
        ask = self._place(Stream(self.build, self.logbook, self.part, self.op))
        return self._shown(ask)

    def _place(self, stream: Stream) -> Ask:
        dimension = dimension_of(self.part, text_of(self.said, "dimension"))
        return stream.place(dimension, self._piece())

    def _piece(self) -> int:
        return number_of(self.part, text_of(self.said, "piece"))

    def _stream(self) -> Stream:
        warm = text_of(self.said, "temperature", 20)
        return Stream(
            self.build, self.logbook, self.part, self.op, made=self.made,
            instrument=text_of(self.said, "instrument", 60) or None,
            temperature=celsius(warm, self.build.unit) if warm else None,
            hot=self.said.get("hot") is True,
        )  # fmt: skip

    def _reading(self) -> Answer:
        stream = self._stream()
        ask = self._place(stream)
        there = stream.log.reading(ask.dimension.id, self.op, ask.piece) is not None
        if self.said.get("again") is True and there:
            stream.read_again(ask)
        proposed = stream.propose(ask, text_of(self.said, "text", 60))
        kept = self.said.get("kept", [])
        if not isinstance(kept, list):
            raise BadAct("kept")
        if proposed.questions:
            question = proposed.questions[0]
            if question.check.value not in kept:
                about = stream.about(proposed, question)
                whose = "" if about == ask.piece else f"{self.part.named(about)}: "
                raise CheckAsked(
                    {
                        "status": "question",
                        "check": question.check.value,
                        "text": whose + question_text(question, self.words),
                        "retype": question.retype,
                        "about": about,
                        "burr": question.check.name == "BURR",
                    }
                )
            stream.answered(proposed, question)
        stream.enter(proposed)
        return self._shown(ask)

    def _shown(self, ask: Ask) -> Answer:
        """The reading of a place with its verdict, the strip of the batch, and the trend."""
        log = PartLog.read(self.logbook, self.part)
        entry = log.reading(ask.dimension.id, self.op, ask.piece)
        if entry is None:
            return {"text": self.words("phone.taken_back_since")}
        build, words = self.build, self.words
        column = shown_column(build, self.logbook, log, self.op, ask.dimension, ask.callout, words)
        return {
            "computed": shown_computed(build, self.logbook, self.part, ask, words),
            "reading": shown_reading(
                build, self.logbook, self.part, ask.callout, entry.fact, words
            ),
            "column": {str(piece): shown for piece, shown in column.items()},
            "trend": shown_trend(
                build, self.logbook, log, self.op, ask.dimension, ask.callout, ask.piece, words
            ),
        }

    def _skip(self) -> Answer:
        stream = self._stream()
        kind = text_of(self.said, "kind")
        if kind not in ("skipped", "cannot"):
            raise BadAct("kind")
        ask = self._place(stream)
        entry = stream.skip(ask, kind, text_of(self.said, "why"))
        assert isinstance(entry.fact, Gap)
        return {"text": self.words(f"phone.gap.{kind}")}

    def _scrap(self) -> Answer:
        piece = self._piece()
        dispose(
            self.logbook, self.part, piece, "scrap", text_of(self.said, "why"),
            op=self.op, made=self.made,
        )  # fmt: skip
        left = left_text(self.part, PartLog.read(self.logbook, self.part), self.words)
        return {"text": f"{self.words('phone.scrapped', piece=self.part.named(piece))}; {left}"}

    def _note(self) -> Answer:
        piece = self._piece() if self.said.get("piece") else None
        remark(
            self.logbook, self.part, text_of(self.said, "text"),
            op=self.op, piece=piece, made=self.made,
        )  # fmt: skip
        return {"text": self.words("note.noted")}

    def _setup(self) -> Answer:
        cause = text_of(self.said, "cause")
        if cause not in _CAUSES:
            raise BadAct("cause")
        piece = self._piece()
        begin_setup(
            self.logbook, self.part, self.op, piece, cause,
            note=text_of(self.said, "note"), made=self.made,
        )  # fmt: skip
        return {"text": self.words("phone.new_setup", piece=self.part.named(piece))}

    def _set(self) -> Answer:
        value = set_value(text_of(self.said, "what"), text_of(self.said, "text"), self.build.unit)
        first = self._piece() if self.said.get("piece") else None
        done = set_down(self.logbook, self.part, self.op, [value], first=first, made=self.made)
        return {"text": "; ".join(set_down_texts(done, self.words))}

    def _start(self) -> Answer:
        start(self.logbook, self.part, self.op, made=self.made)
        return {"text": self.words("phone.started")}

    def _done(self) -> Answer:
        marked = mark_done(self.logbook, self.part, self.op, made=self.made)
        said = [self.words.count("phone.marked", len(marked.new))]
        return {"text": " ".join([*said, *(str(reason) for reason in marked.held)])}

    def _undo(self) -> Answer:
        taken = take_back_sent(self.logbook, name_of(self.said, "undo"))
        return {"text": self.words("phone.undone" if taken else "phone.nothing_undone")}
