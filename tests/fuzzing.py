"""Random input for everything that reads what others wrote: answered, or refused in our own words.

Each case runs within limits of time and of memory; what goes beyond, or ends in any error but our
own, is a find.
"""

from __future__ import annotations

import csv
import io
import random
import re
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from qlog.drawing.build_file.load import PlanError, load_text
from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.callouts.reading import parse, parse_fit, parse_limits
from qlog.drawing.units import Unit
from qlog.problem import Problem
from tests.conftest import SMALL_PLAN, run_qlog
from tests.fuzzing_phone import Phones
from tests.odd_photos import corners, exif

TOP = Path(__file__).parents[1]
SIGNS = (
    "0123456789.,+-±/ xXØR°'\"HhgMmUNCindegtomaxRzµ()[]{}=#:ß↗⌖\t\n\r\u00a0−×½\x00□Ⓔ;|&<>\\%*?~^_eE"
    "\u202e\u200b\ufeff\U0001f980\x1b"
)
LONGEST = 5.0  # seconds of processor a case
WAITED = 60.0  # seconds of clock: what waits for nothing uses no processor
MEMORY = 1 << 30  # bytes of the whole process


@dataclass
class Found:
    """What the cases came to."""

    cases: Counter[str] = field(default_factory=Counter)
    refused: int = 0
    slowest: float = 0.0
    finds: list[str] = field(default_factory=list)


class TooLongError(BaseException):
    """A case took more than LONGEST or WAITED; not an Exception, so that nobody treats it."""


@contextmanager
def limited() -> Iterator[None]:
    """What runs within is ended by TooLongError after LONGEST or WAITED seconds (POSIX)."""
    if sys.platform == "win32":
        yield
        return

    used, clock = time.process_time(), time.monotonic()

    def look(*_: object) -> None:
        if time.process_time() - used > LONGEST or time.monotonic() - clock > WAITED:
            raise TooLongError

    before = signal.signal(signal.SIGALRM, look)
    signal.setitimer(signal.ITIMER_REAL, LONGEST, 0.5)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def mixed(chance: random.Random, text: str, most: int = 3) -> str:
    """A text with a few of its signs exchanged, doubled or dropped."""
    letters = list(text)
    for _ in range(chance.randint(1, most)):
        place = chance.randrange(len(letters) + 1)
        letters[place : place + chance.randint(0, 2)] = chance.choice(SIGNS) * chance.choice(
            (0, 1, 1, 1, 2, 40)
        )
    return "".join(letters)


NUMBERS = (
    "1e999", "-1e999", "1e-999", "nan", "inf", "-inf", "0x10", "1_000", "99999999999", "1000000",
    "-0", "0", "1e6", "9" * 400, "0." + "0" * 400 + "1", "1/0", "22/7", "½", "1 1/2", "12,5",
    "1.234,5", "1,234.5", "٣", "１２", "+", "-", "", " ", "12 mm", '.5"', "1e5 in", "true",
    '"x"', "[]", "{}", "2026-01-01", "1..2", "12±", "\x00", "12.000000000000000000000000000001",
)  # fmt: skip


def _callout(chance: random.Random, examples: list[str]) -> None:
    text = mixed(chance, chance.choice(examples), chance.choice((1, 1, 3)))
    unit = chance.choice((Unit.MM, Unit.INCH))
    chance.choice(
        (
            lambda: parse(text, unit=unit, general="m"),
            lambda: parse(text, unit=unit, general=".XX ±.01"),
            lambda: parse_fit(text),
            lambda: parse_limits(text, unit=unit),
        )
    )()


def _plan(chance: random.Random, plans: list[str], build: Path) -> None:
    text = chance.choice(plans)
    if chance.random() < 0.5:
        text = mixed(chance, text)
    else:  # one value exchanged for a strange one
        lines = text.split("\n")
        at = chance.choice([n for n, line in enumerate(lines) if " = " in line])
        lines[at] = f"{lines[at].partition(' = ')[0]} = {chance.choice(NUMBERS)}"
        text = "\n".join(lines)
    load_text(text, Path())
    # What is read is worked with: a strange value must not end a later command.
    folder = build.parent / "planned"
    folder.mkdir(exist_ok=True)
    (folder / "build.toml").write_bytes(text.encode())
    (folder / "logbook.db").write_bytes((build.parent / "read.db").read_bytes())
    for words in (("status",), ("drift",), ("plan", "--json")):
        ran = run_qlog("--build", str(folder), *words)
        if ran.status != 2:
            _refused(ran.status, ran.err)
        elif "Traceback" in ran.err:
            raise RuntimeError(ran.err)


def _typed(chance: random.Random, _: object) -> None:
    from qlog.intake.typed.parse import parse_value

    text = chance.choice((*NUMBERS, "12.031", "12.5 mm", "1 1/2", "10'30\"", "+0.02", "12,03"))
    text = mixed(chance, text, chance.choice((1, 1, 3)))
    parse_value(text, chance.choice((Unit.MM, Unit.INCH, Unit.DEGREE, Unit.MICROMETRE)))


def _csv(chance: random.Random, build: Path) -> None:
    long = [
        ["part", "op", "piece", "dimension", "value"],
        *(["cup", "20", str(n), "bore", f"22.0{n}"] for n in range(1, 5)),
    ]
    wide = [["piece", "bore", "height"], *([str(n), f"22.0{n}", "32"] for n in range(1, 5))]
    # Named as far as the file does not name it itself; at times too far.
    rows, place = chance.choice(
        ((long, ()), (long, ("cup",)), (wide, ("cup",)), (wide, ("cup",)), (wide, ("cup", "20")))
    )
    for _ in range(chance.choice((0, 1, 1, 2))):
        row = chance.choice(rows)
        at = chance.randrange(len(row))
        row[at] = chance.choice(NUMBERS) if chance.random() < 0.5 else mixed(chance, row[at], 1)
    name = chance.choice(("in.csv", "in.csv", "in.txt", "in.xlsx", "in.ods"))
    file = build / name
    if name == "in.xlsx" and chance.random() < 0.7:
        data = _workbook(rows)
    else:
        out = io.StringIO()
        csv.writer(out, delimiter=chance.choice(",;\t|")).writerows(rows)
        data = out.getvalue().encode(
            chance.choice(("utf-8", "utf-8-sig", "utf-16", "cp1252")), "replace"
        )
    if chance.random() < 0.2:
        data = bytes(b ^ (chance.random() < 0.02) * chance.randrange(256) for b in data)
    file.write_bytes(data)
    ran = run_qlog("--build", str(build), "read", "--csv", str(file), "--dry-run", *place)
    _refused(ran.status, ran.err)


def _workbook(rows: list[list[str]]) -> bytes:
    """The rows as a spreadsheet, numbers as numbers where they are."""
    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_urls": False})
    sheet = book.add_worksheet()
    for number, row in enumerate(rows):
        for column, text in enumerate(row):
            if re.fullmatch(r"\d{1,3}(\.\d{1,4})?", text):
                sheet.write_number(number, column, float(text))
            else:
                sheet.write_string(number, column, text)
    book.close()
    return out.getvalue()


LINES = (
    "read cup 20 bore 1 22.01", "read cup 20 bore 2 22.03 -t 24", "read cup 20", "done cup 10 1-2",
    "setup cup 20 2 tool --note x", "piece cup-1 scrap --why x", "piece cup-1 rework --op 10",
    "piece cup-2", "correct cup 20 bore 1 22.02 --why x", "undo 1-2 --why x", "undo --most 3",
    "note cup x --op 20 --piece 1", "send cup 20 1-2 --ask", "back cup 20 1", "stock cup",
    "photo list", "photo place 1 cup 10 2", "photo caption 1 x", "gauge check caliper 10 10.01",
    "gauge budget cup bore", "gauge study caliper cup bore --pieces 1-2 --repeats 2",
    "assemble set-1 cup-1", "match --json", "status --json", "spread cup --json", "drift cup bore",
    "fit --json", "plan --json", "start cup 20", "verify", "cup-1", "cup-1 bore 22.01",
    "record --check .", "restore . .", "manual chain", "read cup 20 bore 1 22.01 --made 2026-01-01",
)  # fmt: skip
WORDS = (
    *NUMBERS, "cup", "ring", "cup-1", "ring-9", "10", "20", "bore", "1-999999999999", "-5",
    "--json", "--help", "--why", "--note", "--op", "--all", "", "--", "-", "2026-02-30",
    "0001-01-01", "é", "9999-12-31T23:59:59+14:00", "1-3,5", "3-1", "*", "cup 10", "\udce9",
)  # fmt: skip


def _arguments(chance: random.Random, build: Path) -> None:
    words = chance.choice(LINES).split()
    for _ in range(chance.randint(0, 2)):
        at = chance.randrange(len(words))
        how = chance.randrange(4)
        if how == 0:
            words[at] = chance.choice(WORDS)
        elif how == 1:
            words.insert(at, chance.choice(WORDS))
        elif how == 2 and len(words) > 1:
            del words[at]
        else:
            words[at] = mixed(chance, words[at], 1)
    ran = run_qlog("--build", str(build), *words, stdin="".join(mixed(chance, "22.01\nu\n\n")))
    _refused(ran.status, ran.err)


def _picture(chance: random.Random) -> bytes:
    """A small picture with some of its bytes spoilt, and perhaps cut off."""
    out = io.BytesIO()
    kind = chance.choice(("JPEG", "PNG", "TIFF", "WEBP", "GIF"))
    more = {"exif": exif(make="a" * chance.randint(0, 40))} if kind == "JPEG" else {}
    corners(24, 16).save(out, kind, **more)
    data = bytearray(out.getvalue())
    for _ in range(chance.choice((1, 2, 12))):
        data[chance.randrange(min(len(data), chance.choice((40, 4000))))] = chance.randrange(256)
    if chance.random() < 0.3:
        del data[chance.randrange(len(data)) :]
    return bytes(data)


def _image(chance: random.Random, build: Path) -> None:
    from qlog.intake.photos.photo_file import read
    from qlog.logbook.photos.pictures import PhotoError

    path = build / "photo.jpg"
    path.write_bytes(_picture(chance))
    try:
        read(path)
    except PhotoError as error:
        raise Problem(str(error)) from error


def _refused(status: int, said: str) -> None:
    """Exit status 2 is a refusal; any other but 0 and 1, or a traceback, is a find."""
    if status not in (0, 1, 2) or "Traceback" in said:
        raise RuntimeError(f"status {status}: {said[-300:]}")
    if status == 2:
        raise Problem(said)


#: Kind -> how many of a hundred cases.
SHARES = {
    "callout": 35, "typed": 20, "image": 15, "plan": 10, "csv": 5, "arguments": 5, "phone": 10,
}  # fmt: skip


def fuzz(folder: Path, *, cases: int, seed: int) -> Found:
    """So many cases in a folder that may be written; `Found.finds` says what was found."""
    from qlog.logbook.store import create

    chance = random.Random(seed)
    with (TOP / "tests/drawing/data/callouts.csv").open(encoding="utf-8", newline="") as file:
        examples = [row["callout"] for row in csv.DictReader(file)]
    build = folder / "build"
    build.mkdir()
    (build / "build.toml").write_text(SMALL_PLAN, encoding="utf-8")
    create(build / "logbook.db")
    for line in ("done cup 10", *(f"read cup 20 bore {n} 22.0{n}" for n in range(1, 4))):
        run_qlog("--build", str(build), *line.split())
    (folder / "read.db").write_bytes((build / "logbook.db").read_bytes())
    plans = [SMALL_PLAN, (TOP / "qlog/drawing/starter.toml").read_text(encoding="utf-8")]
    phones = Phones(chance, build, mixed, _picture)
    kinds: dict[str, Callable[[], None]] = {
        "callout": lambda: _callout(chance, examples),
        "typed": lambda: _typed(chance, None),
        "image": lambda: _image(chance, build),
        "plan": lambda: _plan(chance, plans, build),
        "csv": lambda: _csv(chance, build),
        "arguments": lambda: _arguments(chance, build),
        "phone": phones.ask,
    }
    assert set(kinds) == set(SHARES)
    found = Found()
    for number in range(cases):
        kind = chance.choices(list(SHARES), list(SHARES.values()))[0]
        start = time.process_time()
        try:
            with limited():
                kinds[kind]()
        except (CalloutError, PlanError, Problem):
            found.refused += 1
        except (TooLongError, MemoryError, RecursionError, Exception) as error:
            import traceback

            at = traceback.extract_tb(error.__traceback__)[-1]
            found.finds.append(
                f"case {number}, {kind}: {type(error).__name__}: {str(error)[:300]} "
                f"({Path(at.filename).name}:{at.lineno})"
            )
        found.cases[kind] += 1
        found.slowest = max(found.slowest, time.process_time() - start)
    return found
