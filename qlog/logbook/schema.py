"""The logbook's tables, as numbered migrations.

Each migration runs in its own transaction. To change the schema, add a function with the next
number below and raise nothing else: `VERSION` follows from the list.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sqlite_utils import Database, Migrations

#: Marks the file as a logbook (SQLite application id, "qlog" in ASCII).
APPLICATION_ID = 0x716C6F67

#: Number of the newest migration below; kept in SQLite's user_version.
VERSION = 1

_FIRST = """
CREATE TABLE revision (
  sha256 TEXT PRIMARY KEY CHECK (length(sha256) = 64),
  first_used TEXT NOT NULL,               -- UTC
  source TEXT NOT NULL                    -- build.toml, whole
) STRICT;

CREATE TABLE entry (
  id INTEGER PRIMARY KEY AUTOINCREMENT,   -- order of entry over all kinds
  kind TEXT NOT NULL,                     -- name of the table that holds the fact
  entered TEXT NOT NULL,                  -- UTC
  made TEXT NOT NULL,                     -- time of making, with offset
  revision TEXT REFERENCES revision (sha256),
  supersedes INTEGER UNIQUE REFERENCES entry (id),
  reason TEXT NOT NULL DEFAULT '',
  CHECK (supersedes IS NULL OR (supersedes < id AND reason <> ''))
) STRICT;

CREATE TABLE reading (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  part TEXT NOT NULL, op INTEGER NOT NULL, dimension TEXT NOT NULL, piece INTEGER NOT NULL,
  typed TEXT NOT NULL CHECK (typed <> ''),
  value TEXT NOT NULL CHECK (value <> ''),
  unit TEXT NOT NULL,
  instrument TEXT,
  temperature TEXT, instrument_temperature TEXT,   -- degrees Celsius
  note TEXT NOT NULL
) STRICT;
CREATE INDEX reading_key ON reading (part, op, dimension, piece);

CREATE TABLE gap (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  part TEXT NOT NULL, op INTEGER NOT NULL, dimension TEXT NOT NULL, piece INTEGER NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('skipped', 'cannot')),
  why TEXT NOT NULL
) STRICT;

CREATE TABLE start (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  part TEXT NOT NULL, op INTEGER NOT NULL, note TEXT NOT NULL
) STRICT;

CREATE TABLE done (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  part TEXT NOT NULL, op INTEGER NOT NULL, piece INTEGER NOT NULL,
  override TEXT NOT NULL
) STRICT;
CREATE INDEX done_key ON done (part, op, piece);

CREATE TABLE setup (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  part TEXT NOT NULL, op INTEGER NOT NULL, piece INTEGER NOT NULL,
  cause TEXT NOT NULL, note TEXT NOT NULL
) STRICT;

CREATE TABLE disposition (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  part TEXT NOT NULL, piece INTEGER NOT NULL, op INTEGER,
  decision TEXT NOT NULL CHECK (decision IN ('scrap', 'rework', 'use as is')),
  why TEXT NOT NULL
) STRICT;

CREATE TABLE note (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  part TEXT NOT NULL, op INTEGER, piece INTEGER, text TEXT NOT NULL
) STRICT;

CREATE TABLE photo (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  sha256 TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64),
  name TEXT NOT NULL, size INTEGER NOT NULL, format TEXT NOT NULL,
  width INTEGER NOT NULL, height INTEGER NOT NULL, orientation INTEGER NOT NULL,
  camera TEXT NOT NULL, camera_key TEXT NOT NULL,
  taken TEXT, offset TEXT, basis TEXT NOT NULL, gps_utc TEXT,
  located INTEGER NOT NULL CHECK (located IN (0, 1)),
  likeness TEXT NOT NULL, sharpness TEXT NOT NULL, slate TEXT NOT NULL
) STRICT;

CREATE TABLE placement (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  sha256 TEXT NOT NULL REFERENCES photo (sha256),
  part TEXT, op INTEGER, piece INTEGER, item TEXT,
  caption TEXT NOT NULL, how TEXT NOT NULL, proposed INTEGER NOT NULL,
  audience TEXT NOT NULL CHECK (audience IN ('both', 'maker', 'nobody')),
  cover TEXT NOT NULL CHECK (cover IN ('', 'part', 'item', 'build')),
  best INTEGER NOT NULL
) STRICT;
CREATE INDEX placement_photo ON placement (sha256);

CREATE TABLE clock (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  camera TEXT NOT NULL, camera_key TEXT NOT NULL, seconds INTEGER NOT NULL,
  sha256 TEXT NOT NULL REFERENCES photo (sha256)
) STRICT;

CREATE TABLE gauge_check (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  instrument TEXT NOT NULL, reference TEXT NOT NULL, reading TEXT NOT NULL,
  unit TEXT NOT NULL, allowed TEXT NOT NULL, fit INTEGER NOT NULL CHECK (fit IN (0, 1)),
  note TEXT NOT NULL
) STRICT;

CREATE TABLE trial (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  study TEXT NOT NULL, instrument TEXT NOT NULL, part TEXT NOT NULL, dimension TEXT NOT NULL,
  person TEXT NOT NULL, piece INTEGER NOT NULL, trial INTEGER NOT NULL,
  value TEXT NOT NULL, unit TEXT NOT NULL
) STRICT;

CREATE TABLE shipment (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  parcel TEXT NOT NULL, direction TEXT NOT NULL CHECK (direction IN ('out', 'back')),
  part TEXT NOT NULL, op INTEGER NOT NULL, piece INTEGER NOT NULL,
  who TEXT NOT NULL, note TEXT NOT NULL
) STRICT;

CREATE TABLE assembly (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  item TEXT NOT NULL, part TEXT NOT NULL, piece INTEGER NOT NULL, note TEXT NOT NULL
) STRICT;

CREATE TABLE item_size (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  item TEXT NOT NULL, stack TEXT NOT NULL,
  typed TEXT NOT NULL, value TEXT NOT NULL, unit TEXT NOT NULL, instrument TEXT
) STRICT;
"""

_FROZEN = (
    "revision", "entry", "reading", "gap", "start", "done", "setup", "disposition", "note",
    "photo", "placement", "clock", "gauge_check", "trial", "shipment", "assembly", "item_size",
)  # fmt: skip


def freeze(db: Database, table: str) -> None:
    """Make the database itself refuse UPDATE and DELETE on a table of entries."""
    for verb in ("UPDATE", "DELETE"):
        db.execute(
            f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} BEGIN "
            f"SELECT RAISE(ABORT, 'the logbook is append-only: correct with a new entry'); END"
        )


def migrations() -> Migrations:
    """All migrations in order, each in its own transaction."""
    from sqlite_utils import Migrations

    steps = Migrations("qlog")

    @steps(name="1 first tables")
    def first(db: Database) -> None:
        for statement in _FIRST.split(";\n"):
            if statement.strip():
                db.execute(statement)
        for table in _FROZEN:
            freeze(db, table)
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        db.execute("PRAGMA user_version = 1")

    return steps
