"""Every requirement on speed in one table: medians of interleaved runs beside their reference.

    python -m tests.benchmarks [ROW ...] [--runs 5] [--list]

Without a name all rows are measured; a name chooses those that begin with it (`demo`, `csv-1`).
Each run is a fresh process, the row's and its reference's by turns. Time is the processor's, user
and system, since a clock on a busy machine measures its other work. A row that is too slow says
so, and the command ends with status 1. The record's rows have photos of 64 x 48 pixels with three
renditions each; what a photo of 12 megapixels costs is in photo_renditions.py. The rows of a
million readings take long and are measured only where their whole name is given.
MiB are the most that any run had in use, and no less than this process itself has.
"""

from __future__ import annotations

import argparse
import csv
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Placement, Reading
from qlog.logbook.store import FILE_NAME, Logbook, create
from tests.benchmarks import record_again, status_growth, stream_wait
from tests.conftest import SMALL_PLAN

TOP = Path(__file__).parents[2]
PYTHON = sys.executable
BARE = [PYTHON, "-c", "import click, sqlite3"]
_MAIN = "import sys; from qlog.__main__ import main; sys.exit(main())"
_TINY = "from qlog.record.publish import editions; editions.SIZES = (16, 32, 64); "
QLOG = [PYTHON, "-c", _MAIN]
#: The same with small renditions, so that small photos have three each.
TINY = [PYTHON, "-c", _TINY + _MAIN]


@dataclass(frozen=True, slots=True)
class Work:
    """What one row runs: its command and the reference's, and what to do before each run."""

    command: list[str]
    reference: list[str] | None = None
    before: Callable[[int], None] | None = None
    told: bool = False  # whether the command itself prints the seconds


@dataclass(frozen=True, slots=True)
class Row:
    """One requirement: so many seconds, or so many times the reference."""

    name: str
    what: str
    reference: str
    reach: float
    in_seconds: bool
    made: Callable[[Path], Work]
    memory: int | None = None  # MiB in use at most
    by_hand: bool = False  # measured only where its whole name is asked for: it takes long


def demo(*words: str) -> Callable[[Path], Work]:
    """A command on the finished example, beside the bare interpreter."""

    def made(folder: Path) -> Work:
        shared = folder.parent / "demo"
        if not shared.exists():
            taken([*QLOG, "demo", str(shared)])
        return Work([*QLOG, "--build", str(shared), *words], BARE)

    return made


def reading(folder: Path) -> Work:
    """One reading into the example's plan and an empty log."""
    folder.mkdir()
    (folder / "build.toml").write_bytes((TOP / "demo" / "build.toml").read_bytes())

    def before(turn: int) -> None:
        (folder / FILE_NAME).unlink(missing_ok=True)
        create(folder / FILE_NAME)

    words = ("read", "foot", "10", "bore", "1", "14.011")
    return Work([*QLOG, "--build", str(folder), *words], BARE, before)


def large(command: str, size: int) -> Callable[[Path], Work]:
    """A command on so many readings, beside sqlite3 reading the same rows."""

    def made(folder: Path) -> Work:
        status_growth.make(folder, size, deep=False)
        read = [PYTHON, "-c", status_growth._REFERENCE, str(folder / FILE_NAME)]
        return Work([*QLOG, "--build", str(folder), command], read)

    return made


def million(command: str) -> Callable[[Path], Work]:
    """A command at 1,000,000 readings, beside the same at 100,000, both on parts of 50 pieces.

    With 25 pieces a plan of so many parts is longer than a build.toml may be.
    """

    def made(folder: Path) -> Work:
        folder.mkdir()
        commands = []
        for name, size in (("large", 1_000_000), ("small", 100_000)):
            status_growth.make(folder / name, size, deep=False, each=50)
            commands.append([*QLOG, "--build", str(folder / name), command])
        return Work(commands[0], commands[1])

    return made


def stream(size: int) -> Callable[[Path], Work]:
    """Readings typed into the stream, on a log of so many."""

    def made(folder: Path) -> Work:
        stream_wait.make(folder, size)
        return Work(
            [PYTHON, "-m", "tests.benchmarks.stream_wait", str(folder), str(size)], told=True
        )

    return made


def table(size: int) -> Callable[[Path], Work]:
    """So many readings from one CSV file, beside sqlite3 taking the same file into a table."""

    def made(folder: Path) -> Work:
        status_growth.make(folder, size, deep=False)
        with Logbook(folder / FILE_NAME) as log:
            facts = [entry.fact for entry in log.live(Reading)]
        path = folder / "readings.csv"
        with path.open("w", encoding="utf-8", newline="") as file:
            out = csv.writer(file)
            out.writerow(("part", "op", "dimension", "piece", "value", "unit", "instrument"))
            out.writerows(
                (f.part, f.op, f.dimension, f.piece, f.typed, f.unit, f.instrument) for f in facts
            )

        def before(turn: int) -> None:
            (folder / FILE_NAME).unlink(missing_ok=True)
            create(folder / FILE_NAME)

        words = ("read", "--csv", str(path), "--yes")
        load_ = ["sqlite3", ":memory:", ".mode csv", f".import '{path}' readings"]
        return Work([*QLOG, "--build", str(folder), *words], load_, before)

    return made


def again(photos: int, *, changed: bool) -> Callable[[Path], Work]:
    """A record built again: as it stands, or after one reading and one photo more."""

    def made(folder: Path) -> Work:
        folder.mkdir()
        (folder / "build.toml").write_text(SMALL_PLAN, encoding="utf-8")
        create(folder / FILE_NAME)
        every = record_again.photos(folder, photos + 100)
        build = load(folder)

        def enter(some: list[int]) -> None:
            with Logbook(folder / FILE_NAME, revision=build.revision, source=build.source) as log:
                log.append_all([every[n] for n in some])
                log.append_all([Placement(every[n].sha256, "cup", 10, n % 4 + 1) for n in some])

        enter(list(range(photos)))
        command = [*TINY, "--build", str(folder), "record"]
        first = taken(command)
        print(f"  cold record of {photos} photos: {first:.1f} s of processor", file=sys.stderr)

        def before(turn: int) -> None:
            if changed:
                enter([photos + turn])

        return Work(command, None, before)

    return made


ROWS = (
    Row("help", "qlog --help", "python -c 'import click, sqlite3'", 1.15, False, demo("--help")),
    Row("reading", "one reading to disk", "the same", 1.6, False, reading),
    *(
        Row(f"demo-{c}", f"qlog {c} on the example", "the same", 6, False, demo(c))
        for c in ("status", "spread", "drift", "fit", "match")
    ),
    Row("demo-record", "record of the example, as it stands", "-", 0.6, True, demo("record")),
    *(
        Row(f"stream-{n}", f"Enter to the next prompt at {n} readings", "-", 0.02, True, stream(n))
        for n in (10, 1_000, 10_000, 100_000)
    ),
    *(
        Row(
            f"{command}-{n}",
            f"{command} at {n} readings",
            "sqlite3 reads the rows",
            s,
            True,
            large(command, n),
            memory=500,
        )
        for command, n, s in (
            ("status", 1_000, 0.4),
            ("status", 10_000, 1.0),
            ("status", 100_000, 5.0),
            ("spread", 100_000, 5.0),
        )
    ),
    *(
        Row(
            f"{command}-1000000",
            f"{command} at 1,000,000 readings",
            f"{command} at 100,000",
            11,
            False,
            million(command),
            memory=1536,
            by_hand=True,
        )
        for command in ("status", "record")
    ),
    Row("csv-10000", "10,000 readings from CSV", "sqlite3 .import", 1.5, True, table(10_000)),
    Row("csv-100000", "100,000 readings from CSV", "sqlite3 .import", 15, True, table(100_000)),
    Row("again-5000", "record of 5,000 photos again", "-", 1, True, again(5_000, changed=False)),
    Row("again-20000", "record of 20,000 photos again", "-", 3, True, again(20_000, changed=False)),
    Row(
        "more-500",
        "record after one photo more, 500 photos",
        "-",
        3,
        True,
        again(500, changed=True),
    ),
)


@dataclass(frozen=True, slots=True)
class Used:
    """What one process used: seconds of processor, MiB at most, and what it printed."""

    seconds: float
    memory: float
    printed: str


def used_by(command: list[str]) -> Used:
    """Run one process. A finding (status 1) is fine, a traceback is not."""
    with tempfile.TemporaryFile() as printed:
        process = subprocess.Popen(command, stdout=printed, stderr=subprocess.PIPE)
        assert process.stderr is not None
        said = process.stderr.read()
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode not in (0, 1) or b"Traceback" in said:
            raise SystemExit(f"{command}: {said.decode()}")
        printed.seek(0)
        begin = printed.read(100).decode("utf-8", "replace")
    return Used(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, begin)


def taken(command: list[str]) -> float:
    """Seconds of processor of one process."""
    return used_by(command).seconds


def measured(row: Row, work: Work, runs: int) -> Iterator[str]:
    """The cells of a row, and at last whether it reaches what it has to."""
    own: list[float] = []
    other: list[float] = []
    most = 0.0
    for turn in range(-1, runs):  # the first compiles and fills caches
        if work.before is not None:
            work.before(turn + 1)
        used = used_by(work.command)
        beside = taken(work.reference) if work.reference else 0.0
        if turn >= 0:
            own.append(float(used.printed.split()[0]) if work.told else used.seconds)
            other.append(beside)
            most = max(most, used.memory)
    middle, beside = statistics.median(own), statistics.median(other)
    ratio = middle / beside if beside else None
    yield row.what
    yield row.reference
    yield f"{middle:.3f}"
    yield f"{ratio:.2f}" if ratio is not None and row.reference != "-" else "-"
    yield "-" if work.told else f"{most:.0f}"
    yield f"{row.reach:g} s" if row.in_seconds else f"{row.reach:g} x"
    in_time = (middle if row.in_seconds else ratio or 0.0) <= row.reach
    yield "yes" if in_time and (row.memory is None or most <= row.memory) else "no"


@contextmanager
def compiled() -> Iterator[Path]:
    """A folder, and an environment in which Python keeps modules compiled, as an installation."""
    with tempfile.TemporaryDirectory() as name:
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = str(Path(name) / "compiled")
        os.environ["QLOG_CACHE"] = str(Path(name) / "cache")
        yield Path(name)


def main() -> int:
    """Measure the rows asked for and print the table; 1 when one of them misses."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("rows", nargs="*")
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--list", action="store_true", help="only name the rows")
    asked = parser.parse_args()
    wanted = [
        row
        for row in ROWS
        if row.name in asked.rows
        or (not row.by_hand and (not asked.rows or row.name.startswith(tuple(asked.rows))))
    ]
    if asked.list:
        print("\n".join(f"{row.name:12} {row.what}" for row in wanted))
        return 0
    print(f"{time.strftime('%Y-%m-%d')}, medians of {asked.runs} interleaved runs\n")
    print("| row | what | reference | processor s | times the reference | MiB | reach | reached |")
    print("|---|---|---|---|---|---|---|---|")
    missed = 0
    with compiled() as folder:
        for row in wanted:
            cells = list(measured(row, row.made(folder / row.name), asked.runs))
            missed += cells[-1] == "no"
            print(f"| {row.name} | {' | '.join(cells)} |", flush=True)
    return int(bool(missed))


if __name__ == "__main__":
    raise SystemExit(main())
