"""The logbook's tables, as numbered migrations of sqlite-utils, each in its own transaction.

Imported only when a logbook is made, brought up or verified, never for a reading.
To change the tables, add a function with the next number to `MIGRATIONS` and raise
`schema.VERSION`. A new column of a table of facts or of `entry` takes NULL where it says nothing:
fields that are NULL are left out of the sums, so that the sums of old entries stay true.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from types import MappingProxyType

from sqlite_utils import Database, Migrations

from qlog.logbook.chain import Columns, entry_sum
from qlog.logbook.schema import APPLICATION_ID
from qlog.logbook.sql_views import SETTING_CURRENT, VIEWS
from qlog.problem import ToSay

#: What one migration does to the tables; its docstring says why.
Step = Callable[[Database], None]

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


_CHAINED_ENTRY = """
CREATE TABLE chained_entry (
  id INTEGER PRIMARY KEY AUTOINCREMENT,   -- order of entry over all kinds, in this file
  kind TEXT NOT NULL,                     -- name of the table that holds the fact
  entered TEXT NOT NULL,                  -- UTC
  made TEXT NOT NULL,                     -- time of making, with offset
  revision TEXT REFERENCES revision (sha256),
  supersedes INTEGER REFERENCES entry (id),
  reason TEXT NOT NULL DEFAULT '',
  sum TEXT NOT NULL CHECK (length(sum) = 64),   -- SHA-256 of the entry; the same everywhere
  before TEXT,      -- sums of the entries it was made upon; NULL: the one with the id before
  CHECK (supersedes IS NULL OR (supersedes < id AND reason <> ''))
) STRICT"""

_FROZEN = (
    "revision", "entry", "reading", "gap", "start", "done", "setup", "disposition", "note",
    "photo", "placement", "clock", "gauge_check", "trial", "shipment", "assembly", "item_size",
)  # fmt: skip


#: Table -> its unique columns, besides the number of the row.
_UNIQUE = {"revision": ("sha256",), "photo": ("entry", "sha256"), "entry": ("id",)}

_ONLY = "the logbook is append-only: correct with a new entry"


def migrate(db: sqlite3.Connection) -> int:
    """Bring a logbook to the newest tables and return the version that it had.

    One transaction a migration: a migration that fails leaves the file as it was. The connection
    is in autocommit mode. Raises sqlite3.Error, ValueError.
    """
    db.execute("PRAGMA foreign_keys = OFF")  # a table that others point to is made anew
    had = _version(db)
    for number, step in enumerate(MIGRATIONS, start=1):
        if number > had:
            _apply(Database(db, execute_plugins=False), number, step)
    return had


def _apply(db: Database, number: int, step: Step) -> None:
    """Run one migration in its own transaction, unless another process was quicker.

    The library's list of what it applied never leaves the transaction: it would be data that no
    sum covers. What holds is `user_version`, and `verify` compares the tables with it.
    """
    steps = Migrations("qlog")
    steps(name=f"{number} {step.__name__.strip('_')}")(step)
    db.execute("BEGIN IMMEDIATE")
    try:
        if number > _version(db.conn):
            forget = f"DROP TABLE IF EXISTS {steps.migrations_table}"
            db.execute(forget)  # the first version's, or a stranger's: not asked
            steps.apply(db)
            db.execute(forget)
            lost = db.execute("PRAGMA foreign_key_check").fetchone()
            if lost is not None:
                table, row, parent = lost[:3]
                raise ValueError(ToSay("error.row_points_row", table=table, row=row, parent=parent))
            db.execute(f"PRAGMA user_version = {number}")
        db.commit()
    except BaseException:
        db.rollback()
        raise


def _version(db: sqlite3.Connection) -> int:
    return int(db.execute("PRAGMA user_version").fetchone()[0])


def _first(db: Database) -> None:
    """The first tables, which refuse UPDATE and DELETE."""
    for statement in _FIRST.split(";\n"):
        if statement.strip():
            db.execute(statement)
    for table in _FROZEN:
        _freeze(db, table)
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")


def _freeze(db: Database, table: str) -> None:
    """Make the database itself refuse UPDATE and DELETE on a table of entries."""
    for verb in ("UPDATE", "DELETE"):
        db.execute(
            f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} BEGIN "
            f"SELECT RAISE(ABORT, '{_ONLY}'); END"
        )


def _second(db: Database) -> None:
    """A chain of sums over all entries, and no INSERT OR REPLACE past the triggers."""
    answer = db.execute("PRAGMA integrity_check").fetchone()[0]
    if answer != "ok":
        raise ValueError(ToSay("error.database_damaged", answer=answer))
    db.execute(_CHAINED_ENTRY)
    columns = Columns(db.conn)
    sums: dict[int, str] = {}
    last: str | None = None
    for number, (id, *rest) in enumerate(
        db.execute(
            "SELECT id, kind, entered, made, revision, supersedes, reason FROM entry ORDER BY id"
        ),
        start=1,
    ):
        if id != number:
            raise ValueError(ToSay("error.entry_missing", before=number))
        kind, entered, made, revision, supersedes, reason = rest
        said = {
            "kind": kind, "entered": entered, "made": made, "revision": revision,
            "supersedes": None if supersedes is None else sums[supersedes], "reason": reason,
        }  # fmt: skip
        last = entry_sum([] if last is None else [last], said, columns.fact(kind, id))
        sums[id] = last
        db.execute(
            "INSERT INTO chained_entry VALUES (?, ?, ?, ?, ?, ?, ?, ?, NULL)", (id, *rest, last)
        )
    db.execute("DROP TABLE entry")
    db.execute("ALTER TABLE chained_entry RENAME TO entry")
    db.execute("CREATE INDEX entry_supersedes ON entry (supersedes)")
    # Which qlog reads this: told to an older one that meets the file.
    db.execute("CREATE VIEW needs AS SELECT '0.2.0' AS qlog")
    _freeze(db, "entry")
    for table in _FROZEN:
        _no_replace(db, table)


def _no_replace(db: Database, table: str) -> None:
    """Make the database refuse INSERT OR REPLACE of an entry that is there."""
    taken = " OR ".join(
        f"EXISTS (SELECT 1 FROM {table} WHERE {name} = NEW.{name})"
        for name in _UNIQUE.get(table, ("entry",))
    )
    db.execute(
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN {taken} BEGIN "
        f"SELECT RAISE(ABORT, '{_ONLY}'); END"
    )


def _third(db: Database) -> None:
    """Photos tied to a dimension, and what a phone has sent, each by the name it gave it."""
    db.execute("ALTER TABLE placement ADD COLUMN dimension TEXT")
    db.execute(
        """
CREATE TABLE sent (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  name TEXT NOT NULL CHECK (name <> ''),  -- chosen by the sender, never used twice
  act TEXT NOT NULL,                      -- what was done: reading, skip, photo ...
  entries INTEGER NOT NULL                -- how many entries just before this one it brought
) STRICT"""
    )
    db.execute("CREATE INDEX sent_name ON sent (name)")
    _freeze(db, "sent")
    _no_replace(db, "sent")


def _fourth(db: Database) -> None:
    """The choice of pieces that was laid out on the bench, frozen as it was shown."""
    db.execute(
        """
CREATE TABLE kept_match (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  what TEXT NOT NULL CHECK (what = 'items'),  -- one match is in force, for all items
  items TEXT NOT NULL                         -- a line an item: "set-1: cup-2 peg-1"
) STRICT"""
    )
    _freeze(db, "kept_match")
    _no_replace(db, "kept_match")


def _fifth(db: Database) -> None:
    """What is called otherwise since, and pieces that were made anew."""
    db.execute(
        """
CREATE TABLE renamed (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  what TEXT NOT NULL CHECK (what IN ('part', 'op', 'dim', 'instrument')),
  part TEXT,                              -- whose operation or dimension
  old TEXT NOT NULL, new TEXT NOT NULL,   -- holds for the entries before this one
  why TEXT NOT NULL
) STRICT"""
    )
    db.execute(
        """
CREATE TABLE remade (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  part TEXT NOT NULL, piece INTEGER NOT NULL,   -- entries before this one are of the earlier piece
  why TEXT NOT NULL CHECK (why <> '')
) STRICT"""
    )
    for table in ("renamed", "remade"):
        _freeze(db, table)
        _no_replace(db, table)


def _sixth(db: Database) -> None:
    """Who entered something, one photo taken in on two computers, and views of what stands."""
    db.execute("ALTER TABLE entry ADD COLUMN person TEXT")
    for table in ("photo", "placement", "clock"):
        sql = db.execute("SELECT sql FROM sqlite_master WHERE name = ?", (table,)).fetchone()[0]
        loose = str(sql).replace("NOT NULL UNIQUE CHECK (length", "NOT NULL CHECK (length")
        loose = loose.replace(" REFERENCES photo (sha256)", "")
        columns = loose.partition("(")[2]
        db.execute(f"CREATE TABLE {table}_anew ({columns}")
        db.execute(f"INSERT INTO {table}_anew SELECT * FROM {table}")
        db.execute(f"DROP TABLE {table}")
        db.execute(f"ALTER TABLE {table}_anew RENAME TO {table}")
        _freeze(db, table)
        db.execute(
            f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN EXISTS "
            f"(SELECT 1 FROM {table} WHERE entry = NEW.entry) BEGIN "
            f"SELECT RAISE(ABORT, '{_ONLY}'); END"
        )
    for table in ("placement", "clock"):
        db.execute(
            f"CREATE TRIGGER {table}_of_a_photo BEFORE INSERT ON {table} WHEN NOT EXISTS "
            "(SELECT 1 FROM photo WHERE sha256 = NEW.sha256) BEGIN "
            "SELECT RAISE(ABORT, 'FOREIGN KEY: there is no photo of that sum'); END"
        )
    db.execute("CREATE INDEX photo_sha256 ON photo (sha256)")
    db.execute("CREATE INDEX placement_photo ON placement (sha256)")
    for view in VIEWS:
        db.execute(view)
    db.execute("DROP VIEW needs")
    db.execute("CREATE VIEW needs AS SELECT '0.2.0' AS qlog")


def _seventh(db: Database) -> None:
    """Corrections of a camera's clock that hold for the photos before as well."""
    db.execute("ALTER TABLE clock ADD COLUMN earlier INTEGER")


def _eighth(db: Database) -> None:
    """What an operation was set to: speed, feed, tool, bar, from one piece on."""
    db.execute(
        """
CREATE TABLE setting (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  part TEXT NOT NULL, op INTEGER NOT NULL,
  piece INTEGER NOT NULL,                 -- the first piece made with it; it holds until set anew
  what TEXT NOT NULL CHECK (what <> ''),  -- speed, feed, depth, tool, stop, offset, fluid, bar ...
  typed TEXT NOT NULL,
  value TEXT NOT NULL,                    -- a number in `unit`, or words; '': nothing from here on
  unit TEXT NOT NULL
) STRICT"""
    )
    db.execute("CREATE INDEX setting_key ON setting (part, op, piece, what)")
    _freeze(db, "setting")
    _no_replace(db, "setting")
    db.execute(SETTING_CURRENT)


def _ninth(db: Database) -> None:
    """What was decided about the sentences and photos on their way to the recipient."""
    db.execute(
        """
CREATE TABLE said (
  entry INTEGER PRIMARY KEY REFERENCES entry (id),
  what TEXT NOT NULL CHECK (what <> ''),  -- "op foot 10 story", "photo <sha256>"
  decision TEXT NOT NULL CHECK (decision IN ('approved', 'changed', 'hidden')),
  words TEXT NOT NULL,                    -- what is shown in its place when it was changed
  seen TEXT NOT NULL                      -- what stood there when it was decided
) STRICT"""
    )
    db.execute("CREATE INDEX said_key ON said (what)")
    _freeze(db, "said")
    _no_replace(db, "said")


MIGRATIONS: tuple[Step, ...] = (
    _first, _second, _third, _fourth, _fifth, _sixth, _seventh, _eighth, _ninth,
)  # fmt: skip


def expected_schema() -> Mapping[str, str]:
    """Name -> SQL of every table, index and trigger that a logbook of this version has."""
    return _schema_after(MIGRATIONS)


@cache
def _schema_after(steps: tuple[Step, ...]) -> Mapping[str, str]:
    """What these migrations make of nothing; a backup holds several logbooks against it."""
    db = sqlite3.connect(":memory:", isolation_level=None)
    try:
        for number, step in enumerate(steps, start=1):
            _apply(Database(db, execute_plugins=False), number, step)
        return MappingProxyType(dict(schema_of(db)))
    finally:
        db.close()


def schema_of(db: sqlite3.Connection) -> Iterator[tuple[str, str]]:
    """Type and name -> SQL of what a database has, SQLite's own left out."""
    for kind, name, table, sql in db.execute("SELECT type, name, tbl_name, sql FROM sqlite_master"):
        if not str(name).startswith("sqlite_"):
            yield f"{kind} {name} of {table}", " ".join(str(sql).replace('"', "").split())
