"""The chain over the log: what any SQLite tool alters, removes or re-orders is found."""

import hashlib
import shutil
import sqlite3
from pathlib import Path

import pytest
from sqlite_utils import Database

from qlog.logbook import migrations, opening
from qlog.logbook.chain import Head, entry_sum, head
from qlog.logbook.facts import (
    FACTS,
    Done,
    KeptMatch,
    Note,
    Reading,
    Remade,
    Renamed,
    Said,
    Sent,
    Setting,
)
from qlog.logbook.keeping.audit import audit
from qlog.logbook.log_file import LogbookError
from qlog.logbook.schema import VERSION
from qlog.logbook.store import Logbook, create

OLD = sorted((Path(__file__).parent / "old").glob("version-*.db"))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A log of five readings under one drawing."""
    create(tmp_path / "logbook.db")
    source = "title = 'x'"
    revision = hashlib.sha256(source.encode()).hexdigest()
    with Logbook(tmp_path / "logbook.db", revision=revision, source=source) as log:
        for piece in range(1, 6):
            text = f"22.0{piece}"
            log.append(Reading("cup", 20, "bore", piece, text, text, "mm"))
    return tmp_path / "logbook.db"


def tamper(path: Path, *statements: str, keep_triggers: bool = False) -> None:
    """Change a log as any SQLite tool can: take the triggers off, change, put them back."""
    db = sqlite3.connect(path, isolation_level=None)
    triggers = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in triggers:
        db.execute(f"DROP TRIGGER {name}")
    for statement in statements:
        db.execute(statement)
    if not keep_triggers:
        for _, sql in triggers:
            db.execute(sql)
    db.close()


def found(path: Path) -> list[str]:
    return [d.what for d in audit(path).damage]


def test_a_sound_log_has_a_head_that_every_entry_moves(path: Path) -> None:
    first = audit(path)
    assert (first.damage, first.head.entries) == ((), 5)
    with Logbook(path) as log:
        assert log.head() == first.head
        log.append(Done("cup", 10, 1))
        assert log.head().sum != first.head.sum
        assert log.head() == audit(path).head


def test_a_sum_is_what_the_manual_says_worked_out_by_hand() -> None:
    text = b"before " + b"a" * 64 + b"\nentry.kind 4 note\nentry.reason 0 \nfact.text 3 \xc3\x98x\n"
    said = entry_sum(
        ["a" * 64], {"reason": "", "kind": "note", "supersedes": None}, {"text": "Øx", "op": None}
    )
    assert said == hashlib.sha256(text).hexdigest()


@pytest.mark.parametrize(
    ("statement", "word"),
    [
        ("UPDATE reading SET value = '22.99' WHERE entry = 3", "entry 3 (reading) is not as"),
        ("UPDATE reading SET typed = '22.99' WHERE entry = 3", "entry 3 (reading) is not as"),
        ("UPDATE reading SET note = 'x' WHERE entry = 3", "entry 3 (reading) is not as"),
        ("UPDATE entry SET made = '2026-01-01T00:00:00+00:00' WHERE id = 2", "entry 2 (reading)"),
        ("UPDATE entry SET revision = NULL WHERE id = 2", "entry 2 (reading) is not as"),
        ("UPDATE entry SET sum = replace(sum, substr(sum, 1, 1), 'x') WHERE id = 2", "entry 2"),
        ("DELETE FROM entry WHERE id = 3", "entry 3 is missing"),
        ("DELETE FROM entry WHERE id = 5", "has counted 5 entries and holds 4"),
        ("DELETE FROM reading WHERE entry = 3", "entry 3 of reading is empty"),
        ("INSERT INTO done VALUES (9, 'cup', 10, 1, '')", "done holds a row 9 that no entry names"),
        ("UPDATE revision SET source = 'y'", "stored drawing"),
        ("UPDATE revision SET first_used = '2020'", "no entry was made at its time"),
        ("UPDATE entry SET entered = 'soon' WHERE id = 1", "'soon' is no time"),
        ("UPDATE entry SET kind = 'reeding' WHERE id = 1", "'reeding'"),
        ("DROP INDEX reading_key", "its index reading_key is gone"),
        ("CREATE TRIGGER t BEFORE INSERT ON done BEGIN SELECT 1; END", "a strange trigger t"),
        ("UPDATE reading SET value = CAST(x'ff' AS TEXT) WHERE entry = 1", "entry 1 (reading)"),
    ],
)
def test_what_any_tool_does_past_the_triggers_is_found(
    path: Path, statement: str, word: str
) -> None:
    tamper(path, statement)
    assert any(word in what for what in found(path)), found(path)


def test_rows_in_another_order_are_found(path: Path) -> None:
    tamper(
        path,
        "UPDATE entry SET id = 100 WHERE id = 2", "UPDATE reading SET entry = 100 WHERE entry = 2",
        "UPDATE entry SET id = 2 WHERE id = 3", "UPDATE reading SET entry = 2 WHERE entry = 3",
        "UPDATE entry SET id = 3 WHERE id = 100", "UPDATE reading SET entry = 3 WHERE entry = 100",
    )  # fmt: skip
    assert sum("is not as it was entered" in what for what in found(path)) >= 2


def test_a_trigger_that_is_gone_is_found(path: Path) -> None:
    tamper(path, keep_triggers=True)
    assert any("trigger reading_no_update is gone" in what for what in found(path))


def test_a_view_of_ones_own_is_no_damage(path: Path) -> None:
    db = sqlite3.connect(path)
    db.execute("CREATE VIEW mine AS SELECT * FROM reading")
    db.close()
    assert (audit(path).damage, audit(path).remarks) == ((), ("view mine is not qlog's own",))


@pytest.mark.parametrize("table", ["entry", "revision", *(f.TABLE for f in FACTS)])
def test_insert_or_replace_does_not_get_past_the_triggers(table: str, tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    shutil.copy(OLD[0], path)
    with Logbook(path) as log:
        log.append(Sent("a", "reading", 1))
        log.append(Renamed("part", None, "bowl", "cup"))
        log.append(Remade("cup", 9, "dropped"))
        log.append(KeptMatch("items", "set-1: cup-1 stem-1"))
        log.append(Setting("cup", 20, 1, "speed", "1200", "1200", "rev/min"))
        log.append(Said("title", "approved", "", "x"))
    db = sqlite3.connect(path)
    before = db.execute(f"SELECT * FROM {table}").fetchall()
    assert before
    marks = ", ".join("?" * len(before[0]))
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        db.execute(f"INSERT OR REPLACE INTO {table} VALUES ({marks})", before[0])
    assert db.execute(f"SELECT * FROM {table}").fetchall() == before
    db.close()


def _columns(db: sqlite3.Connection, table: str) -> str:
    return ", ".join(row[1] for row in db.execute(f"PRAGMA table_info({table})"))


def test_a_logbook_of_every_version_before_this_one_is_kept() -> None:
    assert {p.stem for p in OLD} == {f"version-{n}" for n in range(1, VERSION)}


@pytest.mark.parametrize("old", OLD, ids=lambda p: p.stem)
def test_a_logbook_of_every_released_version_opens_and_gets_its_chain(
    old: Path, tmp_path: Path
) -> None:
    path = tmp_path / "logbook.db"
    shutil.copy(old, path)
    with sqlite3.connect(old) as db:
        there = {name for (name,) in db.execute("SELECT name FROM sqlite_master")}
        known = {f: _columns(db, f.TABLE) for f in FACTS if f.TABLE in there}
        rows = {f: db.execute(f"SELECT {c} FROM {f.TABLE}").fetchall() for f, c in known.items()}
        entries = db.execute(
            "SELECT id, kind, entered, made, revision, supersedes, reason FROM entry"
        ).fetchall()
    db.close()
    before_chain = old.stem == "version-1"
    with Logbook(path) as log:
        assert f"brought from {old.stem.replace('-', ' ')} to {VERSION}" in log.brought_up
        assert ("has a sum over itself" in log.brought_up) is before_chain
        assert all(rows.values())
        assert log.head().entries == len(entries)
        log.append(Note("cup", None, None, "after"))
    db = sqlite3.connect(path)
    for fact, before in rows.items():
        after = db.execute(f"SELECT {known[fact]} FROM {fact.TABLE}").fetchall()
        assert after[: len(before)] == before
    same = "SELECT id, kind, entered, made, revision, supersedes, reason FROM entry"
    assert db.execute(same).fetchall()[: len(entries)] == entries
    db.close()
    assert audit(path).damage == ()
    [copy] = (tmp_path / "backup").glob("logbook-*-before-version-*.db")
    assert copy.stat().st_size > 0
    with Logbook(path) as log:
        assert log.brought_up == ""


def test_a_migration_that_fails_leaves_the_file_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "logbook.db"
    shutil.copy(OLD[0], path)

    def fails(db: Database) -> None:
        migrations._second(db)
        raise ValueError("a plug was pulled")

    monkeypatch.setattr(migrations, "MIGRATIONS", (migrations._first, fails))
    with pytest.raises(LogbookError, match=r"a plug was pulled.*as it was"):
        Logbook(path)
    assert path.read_bytes() == OLD[0].read_bytes()


@pytest.mark.parametrize("version", range(2, VERSION))
def test_a_logbook_of_every_version_in_between_is_brought_up(
    version: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "logbook.db"
    shutil.copy(OLD[0], path)
    with monkeypatch.context() as then:
        then.setattr(migrations, "MIGRATIONS", migrations.MIGRATIONS[:version])
        db = sqlite3.connect(path, isolation_level=None)
        assert migrations.migrate(db) == 1
        before = head(db)
        db.close()
    with Logbook(path) as log:
        assert f"brought from version {version} to {VERSION}" in log.brought_up
        assert log.head() == before, "no migration changes the sum of an entry"
    assert audit(path).damage == ()


def test_an_old_log_that_is_damaged_is_not_sealed(tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    shutil.copy(OLD[0], path)
    tamper(path, "DELETE FROM reading WHERE entry = 2")
    with pytest.raises(LogbookError, match="entry 2 of reading is empty"):
        Logbook(path)


def test_a_newer_logbook_names_the_qlog_to_get(path: Path) -> None:
    tamper(path, "DROP VIEW needs", "CREATE VIEW needs AS SELECT '7.1' AS qlog")
    db = sqlite3.connect(path)
    db.execute(f"PRAGMA user_version = {opening.VERSION + 1}")
    db.close()
    with pytest.raises(LogbookError, match=r"newer qlog.*get qlog 7\.1 or later"):
        Logbook(path)


def _copy_rows(source: Path, target: Path) -> None:
    """What a merge does with the entries that are missing, in its shortest form."""
    db = sqlite3.connect(target, isolation_level=None)
    db.execute("ATTACH ? AS other", (str(source),))
    mine = {s for (s,) in db.execute("SELECT sum FROM entry")}
    sums = dict(db.execute("SELECT id, sum FROM other.entry"))
    numbers = {s: i for i, s in db.execute("SELECT id, sum FROM entry")}
    rows = db.execute("SELECT * FROM other.entry ORDER BY id").fetchall()
    for id, kind, entered, made, revision, supersedes, reason, sum, before, _ in rows:
        if sum in mine:
            continue
        upon = before if before is not None else sums.get(id - 1, "")
        replaced = None if supersedes is None else numbers[sums[supersedes]]
        db.execute("BEGIN")
        number = db.execute(
            "INSERT INTO entry (kind, entered, made, revision, supersedes, reason, sum, before) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (kind, entered, made, revision, replaced, reason, sum, upon),
        ).lastrowid
        numbers[sum] = number or 0
        fact = db.execute(f"SELECT * FROM other.{kind} WHERE entry = ?", (id,)).fetchone()
        marks = ", ".join("?" * len(fact))
        db.execute(f"INSERT INTO {kind} VALUES ({marks})", (number, *fact[1:]))
        db.execute("COMMIT")
    db.close()


def _head(path: Path) -> Head:
    with sqlite3.connect(path) as db:
        found = head(db)
    db.close()
    return found


def test_logs_that_met_in_any_order_have_one_head_and_stay_provable(
    path: Path, tmp_path: Path
) -> None:
    names = ("laptop", "house", "third")
    logs = {name: tmp_path / f"{name}.db" for name in names}
    for number, (name, log) in enumerate(logs.items()):
        shutil.copy(path, log)
        with Logbook(log) as opened:
            for piece in range(number + 1):
                opened.append(Note("cup", None, piece, f"by {name}"))
    apart = {name: tmp_path / f"{name}-apart.db" for name in names}
    for name in names:
        shutil.copy(logs[name], apart[name])
    for order in (("laptop", "house", "third"), ("third", "laptop", "house")):
        target = tmp_path / f"{'-'.join(order)}.db"
        shutil.copy(apart[order[0]], target)
        for other in order[1:] * 2:  # twice changes nothing
            _copy_rows(apart[other], target)
        assert audit(target).damage == ()
    heads = {_head(p) for p in tmp_path.glob("*-*-*.db")}
    assert len(heads) == 1 and heads.pop().entries == 5 + 1 + 2 + 3
    with Logbook(tmp_path / "laptop-house-third.db") as log:
        log.append(Note("cup", None, None, "after they met"))
        log.append(Note("cup", None, None, "and again"))
        assert log.head() == audit(log.path).head
    assert audit(tmp_path / "laptop-house-third.db").damage == ()
    tamper(tmp_path / "laptop-house-third.db", "UPDATE note SET text = 'x' WHERE text = 'by house'")
    assert len(found(tmp_path / "laptop-house-third.db")) == 2


def test_migrations_leave_no_list_of_their_own_and_believe_none(path: Path, tmp_path: Path) -> None:
    """sqlite-utils' list of what it applied: the first version kept it, and no sum covers it."""
    listed = "SELECT name FROM sqlite_master WHERE name LIKE '%_sqlite_migrations%'"
    with sqlite3.connect(path) as db:
        assert db.execute(listed).fetchall() == []
    db.close()
    for number, forged in enumerate((
        "DELETE FROM _sqlite_migrations",
        "INSERT INTO _sqlite_migrations (migration_set, name) VALUES ('qlog', '2 second')",
        "DROP TABLE _sqlite_migrations",
    )):  # fmt: skip
        old = tmp_path / f"{number}.db"
        shutil.copy(OLD[0], old)
        tamper(old, forged)
        with Logbook(old) as log:
            assert log.brought_up
        assert audit(old).damage == () and audit(old).remarks == ()
    with sqlite3.connect(old) as db:
        assert db.execute(listed).fetchall() == []
        db.execute("CREATE TABLE _sqlite_migrations (migration_set TEXT, name TEXT)")
    db.close()
    assert audit(old).remarks == ("table _sqlite_migrations is not qlog's own",)


def test_each_migration_is_a_transaction_and_one_that_fails_loses_none_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(db: Database) -> None:
        db.execute("CREATE TABLE half (a)")
        raise ValueError("a plug was pulled")

    monkeypatch.setattr(migrations, "MIGRATIONS", (*migrations.MIGRATIONS[:3], fails))
    db = sqlite3.connect(tmp_path / "logbook.db", isolation_level=None)
    with pytest.raises(ValueError, match="plug"):
        migrations.migrate(db)
    assert db.execute("PRAGMA user_version").fetchone() == (3,)
    names = {name for (name,) in db.execute("SELECT name FROM sqlite_master")}
    assert "sent" in names and not names & {"half", "_sqlite_migrations"}
    monkeypatch.undo()
    assert migrations.migrate(db) == 3
    assert db.execute("PRAGMA user_version").fetchone() == (VERSION,)
    db.close()
