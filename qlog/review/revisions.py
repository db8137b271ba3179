"""Revisions: the plan as it stood when an entry was made."""

from __future__ import annotations

from qlog.drawing.plan import Build
from qlog.logbook.build_log import BuildLog
from qlog.logbook.facts import Renamed


def letter(number: int) -> str:
    """The name of the n-th revision, counted from 1: A, B ... Z, AA, AB ..."""
    name = ""
    while number > 0:
        number, place = divmod(number - 1, 26)
        name = chr(ord("A") + place) + name
    return name


class Revisions:
    """Plans by revision; the present one is given, older ones are read from the logbook."""

    def __init__(self, build: Build, log: BuildLog) -> None:
        self._build = build
        self._known = log.revisions
        self._sources = {sha: source for sha, _, source in self._known}
        self._letters = {sha: letter(n) for n, (sha, *_) in enumerate(self._known, start=1)}
        self._plans: dict[str, Build | None] = {build.revision: build}
        self._renamed = [entry.fact for entry in log.live(Renamed)]

    @property
    def in_force(self) -> tuple[str, str]:
        """Letter and first day (ISO 8601) of the present plan; no day while nothing was entered."""
        for number, (sha, used, _) in enumerate(self._known, start=1):
            if sha == self._build.revision:
                return letter(number), used[:10]
        return letter(len(self._known) + 1), ""

    def named(self, sha: str | None) -> str:
        """Letter of the revision of that SHA-256; "" for one that is not recorded."""
        return self._letters.get(sha or "", "")

    def __len__(self) -> int:
        return len(self._sources)

    def plan(self, revision: str | None) -> Build | None:
        """The plan of that revision by the names of now; None when it cannot be read."""
        if revision is None:
            return self._build
        if revision not in self._plans:
            from qlog.drawing.build_file.kept import load_text
            from qlog.drawing.build_file.mistakes import PlanError

            source = self._sources.get(revision)
            try:
                self._plans[revision] = (
                    None if source is None else self._by_now(load_text(source, self._build.folder))
                )
            except PlanError:
                self._plans[revision] = None
        return self._plans[revision]

    def _by_now(self, plan: Build) -> Build:
        if not self._renamed:
            return plan
        from qlog.drawing.editing.renaming import with_name

        for fact in self._renamed:
            plan = with_name(plan, fact.what, fact.part, fact.old, fact.new)
        return plan

    def plan_or_present(self, revision: str | None) -> Build:
        """The plan of that revision, or the present one where the old cannot be read."""
        return self.plan(revision) or self._build
