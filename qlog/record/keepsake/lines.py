"""Lines: every sentence and photo on its way to the recipient passes here, to be heard or held.

A line is known by its key (`op foot 10 story`, `photo <sum>`). What the maker decided in a
rehearsal holds for the words that stood there then: other words are a line not approved yet.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from qlog.frozen import frozen
from qlog.logbook.facts import Said


class State(StrEnum):
    """Where a line stands."""

    OPEN = "open"
    APPROVED = "approved"
    CHANGED = "changed"
    HIDDEN = "hidden"


@frozen
class Line:
    """One line as it was met: where, what stands there, and what is shown in its place."""

    key: str
    place: str  # in words: "How it was made"
    stands: str
    shown: str
    state: State

    @property
    def code(self) -> str:
        """A short name that changes with the words, so that what was seen is what is decided."""
        return hashlib.sha256(f"{self.key}\n{self.stands}".encode()).hexdigest()[:6]

    @property
    def photo(self) -> str:
        """SHA-256 of the photo that it is about, "" for a sentence."""
        return self.key.removeprefix("photo ") if self.key.startswith("photo ") else ""


@dataclass(slots=True)
class Lines:
    """Says of every line whether and how it is shown; remembers all that it met."""

    decided: Mapping[str, Said]
    held: bool = False  # a rehearsal was begun: only what was approved is shown
    rehearsing: bool = False  # everything is shown, approved or not
    met: dict[str, Line] = field(default_factory=dict)

    def say(self, key: str, place: str, text: str) -> str:
        """The text as it is shown; "" when it is hidden or not approved."""
        if not text:
            return ""
        line = self.met.setdefault(key, self._line(key, place, text))
        return line.shown if self._may(line) else ""

    def photo(self, sha256: str, place: str, caption: str) -> str | None:
        """The caption of a photo as it is shown; None when the photo is not."""
        key = f"photo {sha256}"
        line = self.met.setdefault(key, self._line(key, place, caption))
        return line.shown if self._may(line) else None

    def open(self) -> tuple[Line, ...]:
        """The lines about which nothing is decided, in the order in which they were met."""
        return tuple(line for line in self.met.values() if line.state is State.OPEN)

    def _may(self, line: Line) -> bool:
        if line.state is State.HIDDEN:
            return self.rehearsing
        return self.rehearsing or not self.held or line.state is not State.OPEN

    def _line(self, key: str, place: str, text: str) -> Line:
        said = self.decided.get(key)
        if said is None or (said.seen != text and said.decision != State.HIDDEN):
            return Line(key, place, text, text, State.OPEN)
        state = State(said.decision)
        return Line(key, place, text, said.words if state is State.CHANGED else text, state)
