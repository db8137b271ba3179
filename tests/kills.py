"""Every command that writes, killed at random instants: nothing acknowledged lost, nothing by half.

Commands run in forked children of a process that has loaded them already, so that a kill falls
into their work and not into Python's starting up; POSIX only.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from qlog.logbook.keeping.verify import verify
from tests.cli.test_photo_clock import shown
from tests.conftest import run_qlog
from tests.photo_scenes import photo

PLAN = """\
title = "Pins and cups"
units = "mm"
[material.brass]
name = "brass"
[instrument.micrometer]
name = "micrometer"
kind = "micrometer"
step = 0.001
error = 0.002
[[part]]
id = "cup"
name = "Cup"
material = "brass"
needed = 4
spare = 1
  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"
  photos = 1
  [[part.op]]
  number = 20
  name = "bore"
  kind = "boring"
  [[part.op]]
  number = 30
  name = "plate"
  kind = "plating"
  sent-out = "a plater"
  [[part.dim]]
  id = "height"
  name = "height"
  callout = "30 ±0.1"
  op = 10
  instrument = "micrometer"
  [[part.dim]]
  id = "bore"
  name = "bore"
  callout = "Ø12 +0.03/0"
  measures = "inside"
  op = 20
  instrument = "micrometer"
[[part]]
id = "pin"
name = "Pin"
material = "brass"
needed = 12
spare = 0
  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"
  [[part.dim]]
  id = "outside"
  name = "outside"
  callout = "Ø11.98 ±0.02"
  op = 10
  instrument = "micrometer"
[[joint]]
id = "seat"
name = "pin in cup"
inside = "cup.bore"
outside = "pin.outside"
clearance = "0..0.1"
[[item]]
id = "set"
name = "Set"
count = 2
takes = { cup = 1, pin = 1 }
"""
#: What lies in the build before every command.
BEFORE = (
    "done cup 10",
    "read cup 10 height 1 30.01",
    "read cup 10 height 2 30.02",
    *(f"read cup 20 bore {n} 12.01{n}" for n in range(1, 5)),
    *(f"read pin 10 outside {n} 11.98{n}" for n in range(1, 5)),
    "photo add {given}/first.jpg",
    "done cup 20 1-2",
    "done cup 20 4",
    "send cup 30 4",
    "backup {aside}/older",
    "record",
)


@dataclass(frozen=True)
class Case:
    """One command; `makes` looks at what it writes beside the log."""

    words: str
    typed: str = ""
    #: The word that acknowledges: so many of them on the screen, so many entries at least.
    says: str = ""
    makes: Callable[[Path, Path], None] = field(default=lambda _build, _aside: None)
    #: What the same words do once more: the "same" as if they had run once; go "on" from where
    #: the killed run came to; or something "else", when they no longer fit what is there.
    again: Literal["same", "on", "else"] = "same"


def _record_is_whole(build: Path, _: Path) -> None:
    for edition in ("maker", "recipient"):
        ran = run_qlog("--build", str(build), "record", "--check", str(build / "record" / edition))
        assert ran.status == 0, ran


def _backup_is_whole(_: Path, aside: Path) -> None:
    for name in ("older", "dest"):
        if (aside / name / "logbook.db").exists():
            assert verify(aside / name, aside / name / "logbook.db").damage == ()


def _page_is_whole(build: Path, _: Path) -> None:
    for page in build.glob("*.html"):
        assert page.read_text(encoding="utf-8").rstrip().endswith("</html>")


CASES = (
    Case("read cup 20 bore 5 12.015", says="mm  good"),
    Case(
        "read pin 10",
        "11.981\n11.982\n11.983\n11.984\n11.985\n11.986\n",
        says="mm  good",
        again="on",
    ),
    Case("read --csv {given}/pins.csv --yes", says="entered"),
    Case("done cup 20", says="done"),
    Case("setup cup 20 3 tool --note sharpened", says="setup"),
    Case("piece cup-2 scrap --why dropped", says="scrap"),
    Case("correct cup 10 height 1 30.03 --why misread", says="mm  good", again="else"),
    Case("undo {entry} --why wrong", says="taken back", again="else"),
    Case("note cup slower --op 20", says="not", again="else"),
    Case("send cup 30 1-2", says=" out to ", again="else"),
    Case("back cup 30", says="back", again="else"),
    Case("photo add {given}/card", says=": taken in"),
    Case("photo place 1 cup 10 2", says="photo"),
    Case("photo caption 1 turning", says="photo"),
    Case("photo cover 1 build", says="photo"),
    Case("gauge check micrometer 10 10.001", says="micrometer", again="on"),
    Case(
        "gauge study micrometer cup bore --pieces 1-2 --repeats 2",
        "12.010\n12.011\n12.010\n12.012\n",
        again="on",
    ),
    Case("assemble set-1 cup-1 pin-1", says="set-1"),
    Case("match --keep", says="kept"),
    Case("backup {aside}/dest", makes=_backup_is_whole),
    Case("backup {aside}/older", makes=_backup_is_whole),
    Case("backup"),
    Case("restore {aside}/older {aside}/again"),
    Case("record", makes=_record_is_whole),
    Case("record --out {aside}/out --zip"),
    Case("new {aside}/begun"),
    Case("add op cup ream --after 20 --kind reaming", again="else"),
    Case("sheet cup 20", makes=_page_is_whole),
    Case("merge {given}/other --keep first"),
    Case("rename dim cup.bore socket --why drawn", again="else"),
    Case("revise cup.bore '12.2 +0.03/0' --from 5 --why drawn", again="else"),
    Case("piece cup-2 remake --why dropped", says="cup-2", again="else"),
    Case("photo clock {given}/clock.jpg", says="its clock is"),
    Case("drawing cup {given}/first.jpg", makes=_page_is_whole),
    Case("export -o {aside}/readings.xlsx"),
    Case("new --photos {given}/card {aside}/shown"),
)


@dataclass
class Told:
    """What the kills came to."""

    kills: int = 0
    ended: int = 0  # runs that ended before their kill
    acknowledged: int = 0
    beyond: int = 0  # kills after which more was entered than had been acknowledged
    left: int = 0  # kills that left something for the next command to tidy


@dataclass
class Bench:
    """The build that every kill begins with, and what stands beside it."""

    top: Path
    build: Path
    given: Path

    def words(self, case: Case, aside: Path) -> list[str]:
        import shlex

        entry = _rows(self.build)[1][0]
        return [
            word.format(given=self.given, aside=aside, entry=entry)
            for word in shlex.split(case.words)
        ]


def make_bench(top: Path) -> Bench:
    """The build before every command, with photos and a file to be taken in."""
    build, given, aside = top / "build", top / "given", top / "aside"
    build.mkdir()
    aside.mkdir()
    (build / "build.toml").write_text(PLAN, encoding="utf-8")
    photo(given / "first.jpg", "10:00", 1)
    for n in range(4):
        photo(given / "card" / f"{n}.jpg", f"10:0{n + 1}", n + 2)
    photo(given / "clock.jpg", "10:00", 9, shows=shown("09:03:12"))
    rows = "".join(f"{n},11.98{n % 5}\n" for n in range(5, 13))
    (given / "pins.csv").write_text(
        "part,op,piece,dimension,value\n"
        + "".join(f"pin,10,{row.replace(',', ',outside,')}" for row in rows.splitlines(True)),
        encoding="utf-8",
    )
    from qlog.logbook.store import create

    create(build / "logbook.db")
    for line in BEFORE:
        words = line.format(given=given, aside=aside).split()
        ran = run_qlog("--build", str(build), *words)
        assert ran.status in (0, 1), (line, ran)
    # The same build on another computer, where work went on.
    other = given / "other"
    shutil.copytree(build, other)
    for line in (f"photo add {given}/card/0.jpg", "note cup elsewhere", "read cup 10 height 3 30"):
        run_qlog("--build", str(other), *line.split())
    # One entry more, so that a second backup and a second record have something to write.
    run_qlog("--build", str(build), "note", "cup", "after the backup")
    return Bench(top, build, given)


def _rows(build: Path) -> list[tuple[int, tuple[object, ...]]]:
    """Every entry with what it says, times and sums left out."""
    found: list[tuple[int, tuple[object, ...]]] = []
    with closing(sqlite3.connect(build / "logbook.db")) as db:
        entries = db.execute("SELECT id, kind, supersedes, reason FROM entry ORDER BY id")
        for number, kind, replaced, reason in entries.fetchall():
            facts: list[tuple[object, ...]] = []
            if kind != "withdrawn":  # says nothing of its own
                facts = db.execute(f"SELECT * FROM {kind} WHERE entry = ?", (number,)).fetchall()
            said = tuple(tuple(row[1:]) for row in facts)
            found.append((number, (kind, replaced, reason, said)))
    return found


def _facts(build: Path) -> Counter[tuple[object, ...]]:
    return Counter(said for _, said in _rows(build))


class Child:
    """A command in a forked process, its output in a file."""

    def __init__(self, words: list[str], out: Path, typed: str) -> None:
        self.out = out
        out.unlink(missing_ok=True)
        given = out.with_suffix(".in")
        given.write_text(typed, encoding="utf-8")
        sys.stdout.flush()
        sys.stderr.flush()
        self.pid = os.fork()
        if self.pid == 0:
            self._run(words, given)

    def _run(self, words: list[str], given: Path) -> None:
        status = 70
        try:
            os.setpgid(0, 0)
            os.dup2(os.open(given, os.O_RDONLY), 0)
            handle = os.open(self.out, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(handle, 1)
            os.dup2(handle, 2)
            sys.stdin = os.fdopen(0, "r", encoding="utf-8", closefd=False)
            sys.stdout = os.fdopen(1, "w", encoding="utf-8", buffering=1, closefd=False)
            sys.stderr = os.fdopen(2, "w", encoding="utf-8", buffering=1, closefd=False)
            from qlog.cli.main import main

            try:
                main(words)
            except SystemExit as stop:
                status = stop.code if isinstance(stop.code, int) else 1
            sys.stdout.flush()
        except BaseException:
            import traceback

            traceback.print_exc()
        finally:
            os._exit(status)

    def wait(self, limit: float = 900) -> int:
        """The exit status; below zero the signal that ended it. Raises AssertionError.

        The limit is for a machine that has other work; nothing here takes a hundredth of it.
        """
        until = time.monotonic() + limit
        while True:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                return os.waitstatus_to_exitcode(status)
            if time.monotonic() > until:
                self.kill()
                raise AssertionError(f"still running after {limit} s: {self.said()}")
            time.sleep(0.0005)

    def kill(self) -> int:
        """Kill it and its own children; the exit status."""
        try:
            os.killpg(self.pid, signal.SIGKILL)
        except ProcessLookupError:
            os.kill(self.pid, signal.SIGKILL)  # not yet in a group of its own
        return os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])

    def said(self) -> str:
        """What the screen shows."""
        return self.out.read_text(encoding="utf-8", errors="replace") if self.out.exists() else ""


@dataclass(frozen=True)
class Whole:
    """A run that nobody killed."""

    seconds: float
    said: str
    new: Counter[tuple[object, ...]]
    names: frozenset[str]


def _copy(bench: Bench, to: Path) -> tuple[Path, Path]:
    # Nearly all of the files are the record's: linked, which takes a twentieth of a copy's time.
    # One written in place would be another in the bench as well: looked for at the end.
    unlike = shutil.ignore_patterns("record")
    shutil.copytree(bench.build, to / "build", ignore=unlike)
    shutil.copytree(bench.build / "record", to / "build" / "record", copy_function=os.link)
    shutil.copytree(bench.top / "aside", to / "aside")
    return to / "build", to / "aside"


def _names(folder: Path) -> frozenset[str]:
    """Everything below a folder but copies of the log and notes on records, whose names are of
    times and places.
    """
    names = (str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file())
    return frozenset(n for n in names if not n.startswith(("build/backup/", "build/.kept/")))


def _whole(bench: Bench, case: Case, folder: Path) -> Whole:
    """The command run once here, to load what it loads, and once as a child, to time it."""
    for name in ("warm", "timed"):
        build, aside = _copy(bench, folder / name)
        words = ["--build", str(build), *bench.words(case, aside)]
        start = time.monotonic()
        if name == "warm":
            run_qlog(*words, stdin=case.typed)
        else:
            child = Child(words, folder / "whole.out", case.typed)
            status = child.wait()
            assert status in (0, 1), (case.words, child.said())
    seconds = time.monotonic() - start
    whole = Whole(seconds, child.said(), _facts(build) - _facts(bench.build), _names(folder / name))
    if case.says:
        assert case.says in whole.said, (case.words, whole.said)
    shutil.rmtree(folder / "warm")
    shutil.rmtree(folder / "timed")
    return whole


def kill_all(top: Path, *, kills: int, seed: int, first: int = 1) -> Iterator[tuple[Case, Told]]:
    """Kill every command by turns until so many kills are made, and look after each.

    `first` is the case to begin with, of 1 to all: each has chances of its own.
    Raises AssertionError when anything is lost, half entered, or left for good.
    """
    bench = make_bench(top)
    before = _facts(bench.build)
    each, more = divmod(kills, len(CASES))
    for number, case in enumerate(CASES[first - 1 :], first - 1):
        rng = random.Random(f"{seed} {number}")
        folder = top / f"case{number}"
        folder.mkdir()
        whole = _whole(bench, case, folder)
        told = Told()
        wanted = each + (number < more)
        seconds = whole.seconds
        while told.kills < wanted:
            assert told.ended < 20 + 4 * wanted, f"{case.words}: too quick to be killed"
            run = folder / f"run{told.kills + told.ended}"
            build, aside = _copy(bench, run)
            words = ["--build", str(build), *bench.words(case, aside)]
            child = Child(words, folder / "out", case.typed)
            delay = rng.uniform(0, seconds)
            time.sleep(delay)
            status = child.kill()
            if status == -signal.SIGKILL:
                told.kills += 1
            else:
                told.ended += 1
                seconds = min(seconds, 1.1 * delay)  # it takes less than it seemed
            where = f"{case.words!r}, kill {told.kills} (seed {seed}): {child.said()!r}"
            _look(case, whole, before, run, child.said(), told, where)
            _again(case, whole, before, run, words, folder, where)
            shutil.rmtree(run)
        shutil.rmtree(folder)
        yield case, told
    _record_is_whole(bench.build, top)


def _look(
    case: Case,
    whole: Whole,
    before: Counter[tuple[object, ...]],
    run: Path,
    said: str,
    told: Told,
    where: str,
) -> None:
    """What lies there after a kill."""
    build = run / "build"
    found = verify(build, build / "logbook.db")
    assert found.damage == (), where
    there = _facts(build)
    assert not before - there, f"lost: {where}"
    new = there - before
    assert not new - whole.new, f"entered by half: {where}"
    count = new.total()
    acknowledged = said.count(case.says) if case.says else 0
    if case.says and said == whole.said:
        assert new == whole.new, f"acknowledged: {new}, not {whole.new}: {where}"
    assert count >= min(acknowledged, whole.new.total()), f"acknowledged and lost: {where}"
    told.acknowledged += acknowledged
    told.beyond += count > acknowledged
    told.left += bool(_left(run))
    case.makes(build, run / "aside")


def _left(run: Path) -> list[str]:
    """Files in the making, and what SQLite keeps while it writes."""
    return sorted(
        str(p.relative_to(run))
        for p in run.rglob("*")
        if (p.name.startswith(".") and p.name not in (".sound", ".kept"))
        or p.name.endswith((".part", "-journal"))
    )


def _again(
    case: Case,
    whole: Whole,
    before: Counter[tuple[object, ...]],
    run: Path,
    words: list[str],
    folder: Path,
    where: str,
) -> None:
    """The same command once more ends the work, and nothing is left of the killed one."""
    child = Child(words, folder / "again", case.typed)
    status = child.wait()
    assert status in (0, 1, 2), f"{child.said()}; after {where}"
    assert "Traceback" not in child.said(), f"{child.said()}; after {where}"
    build = run / "build"
    assert verify(build, build / "logbook.db").damage == ()
    new = _facts(build) - before
    if case.again == "on":
        assert new.total() >= whole.new.total(), f"{child.said()}; after {where}"
    elif case.again == "same":
        assert status != 2 or "there" in child.said() or "exists" in child.said(), (
            f"{child.said()}; after {where}"
        )
        assert new == whole.new, f"{child.said()}; after {where}"
        assert _names(run) == whole.names, (
            f"{sorted(_names(run) ^ whole.names)}: {child.said()}; after {where}"
        )
    else:
        assert not whole.new - new, f"{child.said()}; after {where}"
    assert _left(run) == [], f"left for good: {_left(run)}; after {where}"
