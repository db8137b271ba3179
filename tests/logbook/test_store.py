"""The store: append only, told twice is told once, contradictions named, corrections kept."""

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from qlog.logbook import log_file, opening, store
from qlog.logbook.facts import (
    FACTS,
    Clock,
    Done,
    Gap,
    KeptMatch,
    Note,
    Photo,
    Placement,
    Reading,
    Renamed,
    Said,
)  # fmt: skip
from qlog.logbook.keeping.audit import audit
from qlog.logbook.log_file import NoTable
from qlog.logbook.migrations import expected_schema
from qlog.logbook.schema import TABLES
from qlog.logbook.store import Conflict, Logbook, LogbookError, create

SHA = "ab" * 32


def reading(value: str = "8.02", piece: int = 1) -> Reading:
    return Reading("cup", 20, "bore", piece, value, value, "mm")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    create(tmp_path / "logbook.db")
    return tmp_path / "logbook.db"


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A logbook with one entry of every kind."""
    path = tmp_path_factory.mktemp("full") / "logbook.db"
    create(path)
    with Logbook(path, revision="c" * 64, source="title = 'x'") as log:
        log.append(Photo(SHA, "a.jpg", 1, "JPEG", 1, 1))
        for fact in _one_of_each():
            log.append(fact)
    return path


def test_every_fact_has_its_table_with_its_columns(path: Path) -> None:
    db = sqlite3.connect(path)
    for fact in FACTS:
        columns = [row[1] for row in db.execute(f"PRAGMA table_info({fact.TABLE})")]
        assert columns == ["entry", *fact.columns()], fact
        assert set(fact.KEY) | set(fact.SAME) <= set(fact.columns())
    tables = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'table'").fetchall()
    ours = [(name, sql) for name, sql in tables if not name.startswith("sqlite_")]
    assert len(ours) == len(FACTS) + 2
    assert all(sql.rstrip().endswith("STRICT") for _, sql in ours)
    db.close()


@pytest.mark.parametrize("verb", ["UPDATE {} SET rowid = 99", "DELETE FROM {}"])
@pytest.mark.parametrize("table", ["entry", "revision", *(f.TABLE for f in FACTS)])
def test_the_database_itself_refuses_to_change_an_entry(full: Path, table: str, verb: str) -> None:
    db = sqlite3.connect(full)
    before = db.execute(f"SELECT * FROM {table}").fetchall()
    assert before
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        db.execute(verb.format(table))
    assert db.execute(f"SELECT * FROM {table}").fetchall() == before
    db.close()


def _one_of_each() -> list:
    values = {"str": "x", "int": 1, "str | None": "x", "int | None": 1}
    special = {
        "kind": "skipped", "decision": "scrap", "direction": "out", "audience": "both",
        "cover": "", "sha256": SHA, "fit": 1, "located": 0,
    }  # fmt: skip
    made = []
    for fact in FACTS:
        if fact is Photo:
            continue
        annotations = {f: fact.__dataclass_fields__[f].type for f in fact.columns()}
        special["what"] = "items" if fact is KeptMatch else "part"
        special["decision"] = "approved" if fact is Said else "scrap"
        made.append(fact(**{n: special.get(n, values[t]) for n, t in annotations.items()}))
    return made


def test_the_same_fact_twice_changes_nothing(path: Path) -> None:
    with Logbook(path) as log:
        first, again = log.append(reading()), log.append(reading())
        assert (first.new, again.new) == (True, False)
        assert first.id == again.id
        assert log.count() == 1


def test_the_same_key_with_another_value_names_both(path: Path) -> None:
    with Logbook(path) as log:
        log.append(reading("8.02"))
        place = "part cup, op 20, dimension bore, piece 1"
        with pytest.raises(Conflict, match=rf"{place} is .* 8\.02 mm") as no:
            log.append(reading("8.03"))
        assert "not 8.03 mm" in str(no.value)
        assert "`qlog correct cup 20 bore 1 8.03 --why ...`" in str(no.value)
        assert [e.fact.value for e in log.live(Reading)] == ["8.02"]


def test_one_contradiction_writes_nothing_of_the_lot(path: Path) -> None:
    with Logbook(path) as log:
        log.append(reading("8.02", 3))
        with pytest.raises(Conflict):
            log.append_all([reading("8.01", 1), reading("8.01", 2), reading("8.01", 3)])
        assert log.count() == 1


def test_a_correction_supersedes_and_keeps_the_old_one(path: Path) -> None:
    with Logbook(path) as log:
        old = log.append(reading("80.2"))
        new = log.append(reading("8.02"), supersedes=old.id, reason="decimal slip")
        assert [e.fact.value for e in log.live(Reading)] == ["8.02"]
        assert [(e.fact.value, e.superseded_by) for e in log.history(Reading)] == [
            ("80.2", new.id),
            ("8.02", None),
        ]
        with pytest.raises(LogbookError, match="corrected already"):
            log.append(reading("8.03"), supersedes=old.id, reason="again")
        with pytest.raises(LogbookError, match="needs a reason"):
            log.append(reading("8.03"), supersedes=new.id, reason=" ")
        with pytest.raises(LogbookError, match="no entry 99"):
            log.append(reading("8.03"), supersedes=99, reason="?")
        with pytest.raises(LogbookError, match="cannot be replaced"):
            log.append(Done("cup", 20, 1), supersedes=new.id, reason="?")
        log.append(Gap("cup", 20, "bore", 1, "cannot"), supersedes=new.id, reason="ring broke")
        assert log.live(Reading) == []


def test_an_entry_taken_back_is_gone_from_the_live_ones_only(path: Path) -> None:
    with Logbook(path) as log:
        entry = log.append(reading())
        log.withdraw(entry.id, "wrong piece")
        assert log.live(Reading) == []
        db = sqlite3.connect(path)
        kept = db.execute(
            "SELECT reason FROM entry WHERE kind = 'withdrawn' AND supersedes = ?", (entry.id,)
        )
        assert kept.fetchall() == [("wrong piece",)]
        assert len(log.history(Reading)) == 1
        again = log.append(reading("8.05"))
        assert again.new


def test_value_is_kept_as_typed_and_never_passes_through_a_float(path: Path) -> None:
    text = "8.0000000000000000000000001"
    with Logbook(path) as log:
        log.append(Reading("cup", 20, "bore", 1, " 8,0150 ", text, "mm"))
    row = sqlite3.connect(path).execute("SELECT typed, value, typeof(value) FROM reading")
    assert row.fetchone() == (" 8,0150 ", text, "text")


def test_revision_is_recorded_with_the_first_entry_made_under_it(path: Path) -> None:
    with Logbook(path, revision="a" * 64, source="one") as log:
        assert log.revisions() == []
        log.append(reading())
        log.append(reading(piece=2))
    with Logbook(path, revision="b" * 64, source="two") as log:
        log.append(reading(piece=3))
        assert [(r[0], r[2]) for r in log.revisions()] == [("a" * 64, "one"), ("b" * 64, "two")]
        assert log.last_revision() == ("b" * 64, "two")
        assert [e.revision for e in log.live(Reading)] == ["a" * 64, "a" * 64, "b" * 64]


def test_an_entry_is_synced_before_it_is_acknowledged(path: Path) -> None:
    """Asked of another process, since the logs of this one are not."""
    asked = (
        "import sys; from pathlib import Path; from qlog.logbook.store import Logbook\n"
        "with Logbook(Path(sys.argv[1])) as log:\n"
        "    print(*log._db.execute('PRAGMA synchronous').fetchone())"
    )
    words = [sys.executable, "-c", asked, str(path)]
    ran = subprocess.run(words, capture_output=True, text=True, check=True, encoding="utf-8")
    assert ran.stdout.split() == ["3"]  # EXTRA


def test_foreign_keys_are_on(path: Path) -> None:
    with Logbook(path) as log, pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        log.append(Placement("cd" * 32, "cup"))
    with Logbook(path) as log, pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        log.append(Clock("phone", "k", 3, "cd" * 32))
    with Logbook(path) as log:
        assert log.count() == 0


def test_facts_without_a_key_may_be_told_often(path: Path) -> None:
    with Logbook(path) as log:
        log.append(Note("cup", None, None, "slow"))
        log.append(Note("cup", None, None, "slow"))
        assert len(log.live(Note)) == 2


def test_no_logbook_a_foreign_file_and_a_newer_one_are_refused(path: Path, tmp_path: Path) -> None:
    with pytest.raises(LogbookError, match="qlog new"):
        Logbook(tmp_path / "absent.db")
    text = tmp_path / "text.db"
    text.write_text("this is a shopping list, not a database" * 50, encoding="utf-8")
    with pytest.raises(LogbookError, match="is no logbook"):
        Logbook(text)
    other = tmp_path / "other.db"
    db = sqlite3.connect(other)
    db.execute("CREATE TABLE shopping (what TEXT)")
    db.commit()
    db.close()
    with pytest.raises(LogbookError, match="no qlog logbook"):
        Logbook(other)
    db = sqlite3.connect(path)
    db.execute(f"PRAGMA user_version = {opening.VERSION + 1}")
    db.close()
    before = path.read_bytes()
    with pytest.raises(LogbookError, match="newer qlog"):
        Logbook(path)
    assert path.read_bytes() == before


def test_a_logbook_is_never_made_over_another_file(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(LogbookError, match="never written over"):
        create(path)
    assert path.read_bytes() == before


def test_another_process_that_enters_something_is_waited_for_and_named(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(log_file, "WAIT", 0.05)
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        with Logbook(path) as log, pytest.raises(LogbookError, match="is held by another program"):
            log.append(Done("cup", 10, 1))
    finally:
        other.close()
    with Logbook(path) as log:
        assert log.append(Done("cup", 10, 1)).new


def test_a_full_disk_enters_nothing_and_says_so(path: Path) -> None:
    with Logbook(path) as log:
        log.append(Note("cup", None, None, "before"))
        pages = log._db.execute("PRAGMA page_count").fetchone()[0]
        log._db.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(LogbookError, match=r"nothing was entered: .* make room on the disk"):
            log.append_all([Note("cup", None, None, "x" * 100_000), Note("cup", None, None, "y")])
        log._db.execute("PRAGMA max_page_count = 1000000")
        log.append(Note("cup", None, None, "after"))
        assert [e.fact.text for e in log.live(Note)] == ["before", "after"]


def test_another_temperature_is_another_reading(path: Path) -> None:
    with Logbook(path) as log:
        log.append(Reading("cup", 20, "bore", 1, "22.01", "22.01", "mm"))
        warm = Reading("cup", 20, "bore", 1, "22.01", "22.01", "mm", temperature="30")
        with pytest.raises(Conflict, match=r"as 22\.01 mm, not 22\.01 mm at 30 °C"):
            log.append(warm)


ENDLESS = (
    "WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c) "
    "SELECT x AS entry, x AS sha256, x AS name, x AS size FROM c"
)


def test_the_tables_are_those_that_migrations_make() -> None:
    made = {name.split()[1] for name in expected_schema() if name.startswith("table ")}
    assert set(TABLES) == made


@pytest.mark.parametrize(
    "instead",
    [
        f"CREATE VIEW photo AS {ENDLESS}",
        f"CREATE VIEW Photo AS {ENDLESS}",
        "CREATE VIRTUAL TABLE photo USING fts5(sha256)",
    ],
)
def test_what_stands_in_the_place_of_a_table_is_not_read(
    full: Path, tmp_path: Path, instead: str
) -> None:
    path = Path(shutil.copy(full, tmp_path))
    with closing(sqlite3.connect(path)) as db:
        db.execute("DROP TABLE photo")
        db.execute(instead)
        db.commit()
    with pytest.raises(LogbookError, match="something else in the place of its table"):
        Logbook(path)
    with pytest.raises(NoTable):
        audit(path)


def test_a_foreign_trigger_without_an_end_is_stopped_and_nothing_is_entered(
    full: Path, tmp_path: Path
) -> None:
    path = Path(shutil.copy(full, tmp_path))
    with closing(sqlite3.connect(path)) as db:
        db.execute(f"CREATE VIEW endless AS {ENDLESS}")
        db.execute("CREATE TRIGGER t AFTER INSERT ON entry BEGIN SELECT count(*) FROM endless; END")
        before = db.execute("SELECT count(*) FROM entry").fetchone()
    with Logbook(path) as log, pytest.raises(LogbookError, match="far too long"):
        log.append(Note("cup", None, None, "a word"))
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("SELECT count(*) FROM entry").fetchone() == before


def test_a_long_file_told_again_is_no_entry_without_an_end(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Steps are counted for what is being written, not for all that is read within."""
    monkeypatch.setattr(store, "_AT_ONCE", 1000)
    facts = [reading(piece=n) for n in range(1, 601)]
    with Logbook(path) as log:
        assert all(entry.new for entry in log.append_all(facts))
        assert not any(entry.new for entry in log.append_all(facts))


def test_a_newer_log_whose_word_for_its_version_has_no_end_is_refused(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("DROP VIEW needs")
        db.execute(f"CREATE VIEW needs AS SELECT max(entry) AS qlog FROM ({ENDLESS})")
        db.execute("PRAGMA user_version = 99")
    with pytest.raises(LogbookError, match="newer qlog"):
        Logbook(path)


@pytest.mark.skipif(
    os.name == "nt", reason="there are no pipes of that kind, and links need a right"
)
@pytest.mark.parametrize("ending", ["-journal", "-wal", "-shm"])
def test_what_is_no_file_of_sqlites_own_is_neither_waited_for_nor_followed(
    path: Path, ending: str
) -> None:
    beside = path.with_name(path.name + ending)
    os.mkfifo(beside)
    with pytest.raises(LogbookError, match=f"{beside.name} is a folder, a pipe"):
        Logbook(path)
    beside.unlink()
    beside.symlink_to(path.with_name("of-somebody"))
    with pytest.raises(LogbookError, match=f"{beside.name} is a folder, a pipe"):
        Logbook(path)
    beside.unlink()
    with Logbook(path) as log:
        log.append(Note("cup", None, None, "a word"))
    assert not path.with_name("of-somebody").exists()


def test_what_is_renamed_within_a_transaction_is_found_under_its_new_name_at_once(
    path: Path,
) -> None:
    with Logbook(path) as log, log.together():
        log.append(reading())
        assert len(log.live(Reading, part="cup")) == 1
        renamed = log.append(Renamed("part", None, "cup", "bowl"))
        assert [e.fact.part for e in log.live(Reading, part="bowl")] == ["bowl"]
        log.withdraw(renamed.id, "a slip")
        assert [e.fact.part for e in log.live(Reading, part="cup")] == ["cup"]
    with Logbook(path) as log:
        assert log.live(Reading, part="bowl") == []
