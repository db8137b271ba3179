"""The desk: plan and logbook, opened for one request and closed behind it."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from qlog.drawing.build_file.load import PlanError, load
from qlog.drawing.plan import Build
from qlog.logbook.store import FILE_NAME, Logbook
from qlog.problem import Problem, said_by


class PlanSpoilt(Problem):
    """A plan with mistakes: somebody is editing it, and entries wait until it is whole again."""


class Desk:
    """One request at a time; the plan is read anew when the file has changed.

    Other programs write to the same logbook meanwhile: nothing is kept between two requests.
    """

    def __init__(self, path: Path, person: str = "") -> None:
        self._path = path
        self._person = person
        self._lock = threading.Lock()
        self._build: Build | None = None
        self._stamp: tuple[int, int] | None = None

    @contextmanager
    def open(self) -> Iterator[tuple[Build, Logbook]]:
        """Plan and logbook. Raises PlanSpoilt when the plan has mistakes, LogbookError."""
        with self._lock:
            build = self._plan()
            with Logbook(
                build.folder / FILE_NAME,
                revision=build.revision,
                source=build.source,
                person=self._person or build.person,
            ) as logbook:
                yield build, logbook

    @property
    def known(self) -> Build | None:
        """The plan when it was last without mistakes; None before it was asked for."""
        return self._build

    def _plan(self) -> Build:
        status = self._path.stat()
        stamp = (status.st_mtime_ns, status.st_size)
        if self._build is None or stamp != self._stamp:
            try:
                self._build = load(self._path)
            except PlanError as error:
                raise PlanSpoilt(said_by(error)) from error
            self._stamp = stamp
        return self._build
