"""Two logbooks into one: nothing is lost, the order does not matter, twice changes nothing."""

from __future__ import annotations

import hashlib
import itertools
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from qlog.logbook.facts import Note, Photo, Reading
from qlog.logbook.keeping.audit import audit
from qlog.logbook.keeping.merge import clashes, merge
from qlog.logbook.log_file import LogbookError
from qlog.logbook.photos import originals
from qlog.logbook.store import Logbook, create

SHA = hashlib.sha256(b"").hexdigest()


def reading(piece: int, value: str = "8.01", instrument: str | None = None) -> Reading:
    return Reading("cup", 20, "bore", piece, value, value, "mm", instrument)


@pytest.fixture
def log(tmp_path: Path) -> Callable[[str], Path]:
    """A copy of one logbook with an entry in it, in a folder of its own."""
    first = tmp_path / "first.db"
    create(first)
    with Logbook(first, revision=SHA, source="") as opened:
        opened.append(reading(1))

    def copy(name: str) -> Path:
        (tmp_path / name).mkdir()
        return Path(shutil.copy(first, tmp_path / name / "logbook.db"))

    return copy


@pytest.fixture
def meet(tmp_path: Path) -> Callable[[Path, Path], int]:
    numbers = itertools.count()

    def together(ours: Path, other: Path) -> int:
        scratch = tmp_path / f"scratch-{next(numbers)}"
        scratch.mkdir()
        return merge(ours, other, scratch).entries

    return together


def rows(path: Path) -> list[tuple[object, ...]]:
    """Everything that a log says, in its order."""
    with closing(sqlite3.connect(path)) as db:
        return [
            *db.execute("SELECT * FROM entry ORDER BY id"),
            *db.execute("SELECT * FROM reading ORDER BY entry"),
            *db.execute("SELECT * FROM note ORDER BY entry"),
        ]


def enter(path: Path, *facts: Reading | Note, person: str = "") -> None:
    with Logbook(path, revision=SHA, source="", person=person) as opened:
        opened.append_all(facts)


Copy = Callable[[str], Path]
Meet = Callable[[Path, Path], int]


def test_both_computers_end_with_the_same_log(log: Copy, meet: Meet) -> None:
    laptop, house = log("laptop"), log("house")
    enter(laptop, reading(2), person="Ada")
    enter(house, reading(3), Note("cup", None, None, "slow"))
    enter(laptop, reading(4))
    assert meet(laptop, house) == 2
    assert meet(house, laptop) == 2
    assert rows(laptop) == rows(house)
    with Logbook(laptop) as opened:
        assert [e.fact.piece for e in opened.live(Reading)] == [1, 2, 3, 4]
        assert [e.person for e in opened.live(Reading)].count("Ada") == 1
        assert opened.people() == {"": 4, "Ada": 1}


def test_three_logs_in_any_order_give_one(log: Copy, meet: Meet, tmp_path: Path) -> None:
    for number, name in enumerate(("laptop", "house", "stick")):
        enter(log(name), *(reading(piece) for piece in range(2, 3 + number)))
    told = []
    for order in itertools.permutations(("laptop", "house", "stick")):
        target = tmp_path / "-".join(order)
        target.mkdir()
        path = Path(shutil.copy(tmp_path / order[0] / "logbook.db", target))
        for other in (*order[1:], *order):
            meet(path, tmp_path / other / "logbook.db")
        assert audit(path).damage == ()
        told.append(rows(path))
    assert all(other == told[0] for other in told)


def test_merging_twice_changes_nothing(log: Copy, meet: Meet) -> None:
    laptop, house = log("laptop"), log("house")
    enter(house, reading(2))
    meet(laptop, house)
    before = laptop.read_bytes()
    assert meet(laptop, house) == 0
    assert laptop.read_bytes() == before


def test_entries_made_after_they_met_stay_provable(log: Copy, meet: Meet) -> None:
    laptop, house = log("laptop"), log("house")
    enter(laptop, reading(2))
    enter(house, reading(3))
    meet(laptop, house)
    enter(laptop, reading(4))
    enter(laptop, reading(5))
    assert audit(laptop).damage == ()
    assert meet(house, laptop) == 3
    assert audit(house).damage == ()


def test_what_clashes_is_found_and_what_is_the_same_is_not_a_clash(log: Copy, meet: Meet) -> None:
    laptop, house = log("laptop"), log("house")
    enter(laptop, reading(2, "8.01"), reading(3, "8.02"), reading(4, "8.01", "cal"))
    enter(house, reading(2, "8.03"), reading(3, "8.02"), reading(4, "8.02", "mic"))
    meet(laptop, house)
    with Logbook(laptop) as opened:
        differ, same = clashes(opened)
        assert [(c.first.fact.value, c.second.fact.value) for c in differ] == [("8.01", "8.03")]
        assert [e.fact.piece for e in same] == [3]
        opened.withdraw(differ[0].first.id, "merge: the other one holds")
        opened.withdraw(same[0].id, "merge: entered on both computers")
        assert clashes(opened) == ([], [])
    meet(house, laptop)
    with Logbook(house) as opened:
        assert clashes(opened) == ([], [])


def test_photos_come_along_and_a_missing_one_stops_it(log: Copy, meet: Meet) -> None:
    laptop, house = log("laptop"), log("house")
    picture = house.parent / "cup.jpg"
    picture.write_bytes(b"a picture")
    sha256 = originals.digest(picture)
    photo = Photo(sha256, "cup.jpg", 9, "JPEG", 4, 3)
    with Logbook(house, revision=SHA, source="") as opened:
        opened.append(photo)
    before = laptop.read_bytes()
    with pytest.raises(LogbookError, match=r"original of cup\.jpg is not there.*nothing was chan"):
        meet(laptop, house)
    assert laptop.read_bytes() == before
    originals.keep(house.parent, picture, sha256)
    assert meet(laptop, house) == 1
    found = originals.find(laptop.parent, sha256)
    assert found is not None and found.read_bytes() == b"a picture"


def test_a_photo_taken_in_on_both_is_no_hindrance(log: Copy, meet: Meet) -> None:
    laptop, house = log("laptop"), log("house")
    for path in (laptop, house):
        picture = path.parent / "cup.jpg"
        picture.write_bytes(b"a picture")
        sha256 = originals.digest(picture)
        originals.keep(path.parent, picture, sha256)
        with Logbook(path, revision=SHA, source="") as opened:
            opened.append(Photo(sha256, "cup.jpg", 9, "JPEG", 4, 3))
    assert meet(laptop, house) == 1
    assert audit(laptop).damage == ()
    with Logbook(laptop) as opened:
        assert len(clashes(opened)[1]) == 1


def test_a_log_of_another_build_is_refused(log: Copy, meet: Meet, tmp_path: Path) -> None:
    laptop = log("laptop")
    strange = tmp_path / "strange.db"
    create(strange)
    with Logbook(strange, revision=hashlib.sha256(b"x").hexdigest(), source="x") as opened:
        opened.append(reading(9))
    with pytest.raises(LogbookError, match="another build"):
        meet(laptop, strange)


def test_what_is_no_sound_log_is_refused(log: Copy, meet: Meet, tmp_path: Path) -> None:
    laptop, house = log("laptop"), log("house")
    with closing(sqlite3.connect(house)) as db:
        db.execute("DROP TRIGGER reading_no_update")
        db.execute("UPDATE reading SET value = '9'")
        db.commit()
    with pytest.raises(LogbookError, match="not sound"):
        meet(laptop, house)
    (tmp_path / "text.db").write_text("no log", encoding="utf-8")
    with pytest.raises(LogbookError):
        meet(laptop, tmp_path / "text.db")
