"""Revisions: the plan as it stood when an entry was made."""

from __future__ import annotations

from qlog.drawing.plan import Build
from qlog.logbook.build_log import BuildLog


class Revisions:
    """Plans by revision; the present one is given, older ones are read from the logbook."""

    def __init__(self, build: Build, log: BuildLog) -> None:
        self._build = build
        self._sources = {sha: source for sha, _, source in log.revisions}
        self._plans: dict[str, Build | None] = {build.revision: build}

    def __len__(self) -> int:
        return len(self._sources)

    def plan(self, revision: str | None) -> Build | None:
        """The plan of that revision; None when it cannot be read any more."""
        if revision is None:
            return self._build
        if revision not in self._plans:
            from qlog.drawing.build_file.load import PlanError, load_text

            source = self._sources.get(revision)
            try:
                self._plans[revision] = (
                    None if source is None else load_text(source, self._build.folder)
                )
            except PlanError:
                self._plans[revision] = None
        return self._plans[revision]

    def plan_or_present(self, revision: str | None) -> Build:
        """The plan of that revision, or the present one where the old cannot be read."""
        return self.plan(revision) or self._build
