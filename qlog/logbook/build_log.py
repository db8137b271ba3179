"""The whole logbook read once: every kind of entry by one query, shared by all who look at it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, TypeVar

from qlog.drawing.plan import Part
from qlog.logbook.chain import Head
from qlog.logbook.facts import Entry, Fact
from qlog.logbook.part_log import KINDS, PartLog
from qlog.logbook.store import Logbook

F = TypeVar("F", bound=Fact)


class BuildLog:
    """Entries by kind and by part; each kind is read when it is first asked for, and once.

    Entries come under the names that the plan has by now (`renames`).
    """

    def __init__(self, logbook: Logbook) -> None:
        self._logbook = logbook
        self._last = logbook.last_entry()
        self._every: dict[type[Fact], list[Entry[Any]]] = {}
        self._by_part: dict[type[Fact], dict[str, list[Entry[Any]]]] = {}

    @property
    def head(self) -> Head:
        """How many entries the logbook holds, and the sum that depends on all of them."""
        return self._logbook.head()

    @property
    def last_entered(self) -> str | None:
        """When the newest entry was entered (UTC, ISO 8601); None in an empty logbook."""
        return self._logbook.last_entered()

    @property
    def revisions(self) -> list[tuple[str, str, str]]:
        """Recorded revisions of build.toml, oldest first: (sha256, first used, source)."""
        return self._logbook.revisions()

    @property
    def withdrawn(self) -> dict[int, tuple[str, str]]:
        """Entries that were taken back, by number: when (UTC) and why."""
        return self._logbook.withdrawn()

    @property
    def people(self) -> dict[str, int]:
        """Who entered how many entries, where more than one did; else nobody's name is of use."""
        found = self._logbook.people()
        return found if len(found) > 1 else {}

    def history(self, kind: type[F]) -> Sequence[Entry[F]]:
        """All entries of a kind, replaced ones included, in order of entry."""
        found = self._every.get(kind)
        if found is None:
            found = self._every[kind] = self._logbook.history(kind)
        return found

    def live(self, kind: type[F]) -> list[Entry[F]]:
        """Entries of a kind that nothing supersedes, in order of entry."""
        return [e for e in self.history(kind) if e.superseded_by is None]

    def part(self, part: Part) -> PartLog:
        """What is logged of one part."""
        entries = [e for kind in KINDS for e in self._of_parts(kind).get(part.id, ())]
        return PartLog(part, entries, self._last)

    def each(self, parts: Iterable[Part]) -> Iterator[PartLog]:
        """The logs of parts, one after another; each is let go of as the next one is asked for.

        So are their entries here: what is asked for again, also meanwhile, is read again. A log of
        a million readings would fill the memory once more beside what is made of it.
        """
        left = [self._of_parts(kind) for kind in KINDS]
        for kind in KINDS:
            del self._by_part[kind]
            self._every.pop(kind, None)
        for part in parts:
            yield PartLog(part, [e for of in left for e in of.pop(part.id, ())], self._last)

    def _of_parts(self, kind: type[Fact]) -> dict[str, list[Entry[Any]]]:
        found = self._by_part.get(kind)
        if found is None:
            found = self._by_part[kind] = {}
            for entry in self.history(kind):
                found.setdefault(getattr(entry.fact, "part"), []).append(entry)  # noqa: B009
        return found
