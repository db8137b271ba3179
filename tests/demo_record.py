"""The example build and both editions of its record, made once a test process."""

import atexit
import functools
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from unittest.mock import patch

from qlog.record.publish.build import Built, Edition, build_record
from qlog.review.picture import Picture

VERSION = "1.2.3"
MADE_AT = "2026-10-04T12:00:00+02:00"
EDITIONS: tuple[Edition, ...] = ("maker", "recipient")


@dataclass(frozen=True)
class Demo:
    """The example build's folder, its picture, and its editions."""

    folder: Path
    picture: Picture
    built: dict[str, Built]

    def edition(self, name: str) -> Path:
        return self.built[name].folder

    def pages(self, name: str) -> list[str]:
        folder = self.edition(name)
        return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*.html"))


@contextmanager
def steady_clock() -> Iterator[None]:
    """Let the logbook's clock run a second an entry, from the same moment each time."""
    start = datetime(2026, 10, 3, 18, 0, tzinfo=UTC)
    ticks = count()

    def tick() -> str:
        moment = start + timedelta(seconds=next(ticks))
        return moment.isoformat(timespec="microseconds")

    with patch("qlog.logbook.store.now_utc", tick):
        yield


def picture_of(folder: Path, language: str = "en") -> Picture:
    from qlog.drawing.build_file.load import load
    from qlog.logbook.store import Logbook
    from qlog.review.whole import picture_from

    build = replace(load(folder / "build.toml"), language=language)
    with Logbook(folder / "logbook.db") as logbook:
        return picture_from(build, logbook, mated=True, dated=True)


def build(
    picture: Picture, folder: Path, edition: Edition, out: Path, made_at: str = MADE_AT
) -> Built:
    return build_record(
        picture, edition=edition, out=out, originals=folder, made_at=made_at, version=VERSION
    )


@functools.cache
def example() -> tuple[Path, Picture]:
    """The example build's folder and picture, without a record; do not change anything in it."""
    from qlog.cli.plan.demo import make_example

    base = Path(tempfile.mkdtemp(prefix="qlog-demo-record-"))
    atexit.register(shutil.rmtree, base, ignore_errors=True)
    folder = base / "build"
    with steady_clock():
        make_example(folder)
    return folder, picture_of(folder)


@functools.cache
def demo() -> Demo:
    """The example build with both editions; do not change anything in it."""
    folder, picture = example()
    return Demo(
        folder,
        picture,
        {name: build(picture, folder, name, folder / "record" / name) for name in EDITIONS},
    )
