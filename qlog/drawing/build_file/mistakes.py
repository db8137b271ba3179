"""Mistakes in build.toml: where, what, and what would be accepted."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Literal

from qlog.frozen import frozen
from qlog.problem import Either, ToSay, with_accepted

Severity = Literal["error", "warning"]

#: Keys and list places from the top of the file down to a value: ("part", 0, "dim", 2, "callout").
Place = tuple[str | int, ...]


@frozen
class Mistake:
    """One mistake; a warning does not keep the file from being used."""

    line: int  # counted from 1; 0 when the whole file is meant
    text: str  # the offending text
    what: str
    accepted: str
    severity: Severity = "error"
    file: str = "build.toml"

    @property
    def told(self) -> ToSay:
        """Where it is, what is wrong and what would be accepted, to be said in one line."""
        where = f"{self.file}:{self.line}" if self.line else self.file
        key = "error.plan_warning" if self.severity == "warning" else "error.plan_mistake"
        return ToSay(key, where=where, wrong=with_accepted(self.what, self.accepted))

    def __str__(self) -> str:
        return str(self.told)


class PlanError(Exception):
    """A build.toml that cannot be used; `mistakes` holds all of them, in the order of the file."""

    def __init__(self, mistakes: tuple[Mistake, ...]) -> None:
        super().__init__(ToSay("error.plan_mistakes", lines=tuple(m.told for m in mistakes)))
        self.mistakes = mistakes


class Notes:
    """Mistakes noted by their place while reading; lines are looked up only when there are any."""

    def __init__(self) -> None:
        self._found: list[tuple[Place, str, str, str, Severity]] = []

    def error(self, place: Place, what: str, accepted: str, text: object = "") -> None:
        """Note a mistake that keeps the file from being used."""
        self._found.append((place, str(text), what, accepted, "error"))

    def warn(self, place: Place, what: str, accepted: str, text: object = "") -> None:
        """Note a warning."""
        self._found.append((place, str(text), what, accepted, "warning"))

    @property
    def serious(self) -> bool:
        """Whether there is any mistake besides warnings."""
        return any(severity == "error" for *_, severity in self._found)

    def __len__(self) -> int:
        return len(self._found)

    def listed(self, line_of: Callable[[Place], int], file: str) -> tuple[Mistake, ...]:
        """All that was noted, in the order of the lines."""
        mistakes = [
            Mistake(line_of(place), text, what, accepted, severity, file)
            for place, text, what, accepted, severity in self._found
        ]
        return tuple(sorted(dict.fromkeys(mistakes), key=lambda m: m.line))


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word that `word` is most like, or "" when none is near."""
    import difflib

    found = difflib.get_close_matches(word.lower().replace("_", "-"), list(known), 1, 0.6)
    return found[0] if found else ""


def one_of(word: str, known: Iterable[str]) -> str:
    """What to write in place of an unknown word: the nearest known one, or all of them."""
    names = list(known)
    if near := nearest(word, names):
        return ToSay("error.did_you_mean", name=near)
    if word and (holding := [name for name in names if word.lower() in name.lower()]):
        return ToSay("error.did_you_mean_one", names=Either(f'"{name}"' for name in holding[:4]))
    if not names:
        return ToSay("error.none_known")
    listed = ", ".join(names[:12]) + (" ..." if len(names) > 12 else "")
    return ToSay("error.known_here", names=listed)
