"""A copy of the logbook for SQLite tools, with what was judged beside what was read.

The logbook itself keeps no verdicts: they depend on the drawing, the rule and on what is known of
an instrument by now. The copy is of one moment and says so; it is no logbook, and nothing is
entered into it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from decimal import Decimal
from pathlib import Path

from qlog.logbook.keeping.copies import snapshot
from qlog.record.readings.judged_rows import Row

_TABLE = """
CREATE TABLE judgement (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  callout TEXT, size REAL, limit_unit TEXT, lower REAL, upper REAL, verdict TEXT NOT NULL,
  standard_uncertainty REAL, setup INTEGER, suspect INTEGER NOT NULL
) STRICT"""

_VIEW = """
CREATE VIEW reading_judged AS
SELECT r.*, j.callout, j.size, j.limit_unit, j.lower, j.upper, j.verdict, j.standard_uncertainty,
  j.setup, j.suspect
FROM reading_current r JOIN judgement j ON j.entry = r.entry"""

_COLUMNS = ("entry", "callout", "size", "limit_unit", "lower", "upper", "verdict",
            "standard_uncertainty", "setup", "suspect")  # fmt: skip


def write_database(logbook: Path, rows: Sequence[Row], made: str, out: Path) -> None:
    """Write the copy with the judged readings of `rows`; `made` is its moment. Raises OSError."""
    aside = out.with_name(f".{out.name}.part")
    snapshot(logbook, aside)
    with closing(sqlite3.connect(aside, isolation_level=None)) as db:
        db.execute("PRAGMA application_id = 0")  # no logbook
        db.execute("BEGIN")
        db.execute(_TABLE)
        db.execute(_VIEW)
        db.execute("CREATE TABLE copied (at TEXT NOT NULL) STRICT")
        db.execute("INSERT INTO copied VALUES (?)", (made,))
        for row in rows:
            if row["verdict"] is not None and row["entry"] is not None:
                cells = [row[name] for name in _COLUMNS]
                values = [float(c) if isinstance(c, Decimal) else c for c in cells]
                values[-1] = int(bool(values[-1]))
                db.execute(f"INSERT INTO judgement VALUES ({', '.join('?' * len(values))})", values)
        db.execute("COMMIT")
    aside.replace(out)
