"""Flip single bytes of a logbook, and hold what `verify` says against what really changed."""

from __future__ import annotations

import random
import sqlite3
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from qlog.logbook.keeping.verify import verify
from qlog.logbook.log_file import LogbookError
from qlog.logbook.opening import check_version
from tests.conftest import run_qlog

#: Commands that read the whole log; on a spoilt one they say so and end with status 1 or 2.
READERS = (("status",), ("spread", "--json"), ("verify",))


@dataclass
class Flips:
    """What the flips came to."""

    data: int = 0  # flips that changed what a reader of the file sees
    found: int = 0
    other: int = 0  # in space that holds nothing
    missed: list[str] = field(default_factory=list)
    untreated: list[str] = field(default_factory=list)


def contents(path: Path) -> object:
    """Everything that a reader of the file sees: schema, versions, every row of every table."""
    try:
        with closing(sqlite3.connect(path)) as db:
            db.text_factory = bytes
            seen: list[object] = [
                db.execute(f"PRAGMA {name}").fetchall()
                for name in ("application_id", "user_version", "encoding")
            ]
            names = db.execute("SELECT type, name, tbl_name, sql FROM sqlite_master").fetchall()
            seen.append(names)
            for kind, name, _, _ in names:
                if kind == b"table":
                    quoted = '"' + name.decode("utf-8", "replace").replace('"', '""') + '"'
                    seen.append(db.execute(f"SELECT rowid, * FROM {quoted}").fetchall())
            return seen
    except (sqlite3.Error, UnicodeDecodeError) as error:
        return f"cannot be read: {error}"


def flip_at_random(
    build: Path, folder: Path, *, flips: int, seed: int, commands: int = 10
) -> Flips:
    """Flip one byte at a time in copies of a build's log until `flips` of them changed data.

    Every `commands`th copy is also read by the commands that read a whole log.
    """
    rng = random.Random(seed)
    raw = (build / "logbook.db").read_bytes()
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "build.toml").write_bytes((build / "build.toml").read_bytes())
    path = folder / "logbook.db"
    path.write_bytes(raw)
    sound = contents(path)
    told = Flips()
    while told.data < flips:
        at, bit = rng.randrange(len(raw)), 1 << rng.randrange(8)
        spoilt = bytearray(raw)
        spoilt[at] ^= bit
        path.write_bytes(spoilt)
        where = f"byte {at}, bit {bit}"
        changed = contents(path) != sound
        try:
            check_version(path)
            seen = bool(verify(folder, path).damage)
        except LogbookError:
            seen = True
        except Exception as error:  # what is being looked for
            told.untreated.append(f"{where}: verify: {type(error).__name__}: {error}")
            continue
        finally:
            (folder / "logbook.db-journal").unlink(missing_ok=True)
        if not changed:
            told.other += 1
            continue
        told.data += 1
        told.found += seen
        if not seen:
            told.missed.append(where)
        if told.data % commands == 0:
            for words in READERS:
                path.write_bytes(spoilt)
                try:
                    ran = run_qlog("--build", str(folder), *words)
                except Exception as error:  # what is being looked for
                    told.untreated.append(f"{where}: {words[0]}: {type(error).__name__}: {error}")
                else:
                    if ran.status not in (0, 1, 2):
                        told.untreated.append(f"{where}: {words[0]}: status {ran.status}")
    return told
