"""The diary: every day with what was logged on it, like things together, each entry once."""

from dataclasses import replace
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Photo, Placement, Setting
from qlog.logbook.store import Logbook
from qlog.review.diary.days import Diary, Happening
from qlog.review.diary.events import What
from qlog.review.whole import picture_from
from qlog.words.catalogue import words_of
from qlog.words.diary.told import happening_text, place_line
from tests.conftest import run_qlog

EVENING, NEXT = "2026-06-06T19:30+02:00", "2026-06-07T20:00+02:00"


def diary(folder: Path) -> Diary:
    with Logbook(folder / "logbook.db") as log:
        found = picture_from(load(folder), log, studied=False, dated=True).diary
    assert found is not None
    return found


def said(folder: Path, language: str = "en") -> dict[str, list[str]]:
    """Every day with its lines, as they are said."""
    build = replace(load(folder), language=language)
    words = words_of(build)

    def line(happening: Happening) -> str:
        place = place_line(happening, build, words)
        return (
            f"{place}: {happening_text(happening, words)}"
            if place
            else happening_text(happening, words)
        )

    return {day.date: [line(h) for h in day.happenings] for day in diary(folder).days}


def log(folder: Path, *lines: str, made: str = EVENING, person: str = "") -> None:
    for line in lines:
        who = ["--person", person] if person else []
        timed = [] if made == "" else ["--made", made]
        ran = run_qlog("--build", str(folder), *who, *line.split("|"), *timed)
        assert ran.status in (0, 1), ran.err


@pytest.fixture
def worked(build_dir: Path) -> Path:
    """Two evenings at the cup."""
    log(build_dir, "start|cup|20")
    for piece, size in ((1, "22.01"), (2, "22.061"), (3, "22.03")):
        log(build_dir, f"done|cup|20|{piece}|--override|bored first",
            f"read|cup|20|bore|{piece}|{size}")  # fmt: skip
    log(build_dir, "note|cup|chatter at the far end|--piece|3|--op|20",
        "piece|cup-2|scrap|--why|bored too large|--op|20",
        "setup|cup|20|3|tool", made=NEXT)  # fmt: skip
    return build_dir


def test_a_day_says_what_was_begun_done_and_read(worked: Path) -> None:
    days = said(worked)
    assert days["2026-06-06"] == [
        "revision A of the plan is used from here on",
        "Cup · 20 bore: begun",
        "Cup · 20 bore: done out of order on 1-3: bored first",
        "Cup · 20 bore: socket: 1: 22.01, 2: 22.061 (out high), 3: 22.03",
    ]
    assert days["2026-06-07"] == [
        "Cup · 20 bore: cup-3: note: chatter at the far end",
        "Cup · 20 bore: cup-2: scrapped: bored too large",
        "Cup · 20 bore: new setup from cup-3: tool change",
    ]


def test_it_is_said_in_german_too(worked: Path) -> None:
    days = said(worked, "de")
    assert "Cup · 20 bore: socket: 1: 22,01, 2: 22,061 (zu groß), 3: 22,03" in days["2026-06-06"]
    assert "Cup · 20 bore: cup-2: verworfen: bored too large" in days["2026-06-07"]


def test_a_correction_stands_on_the_day_on_which_it_was_entered(worked: Path) -> None:
    ran = run_qlog("--build", str(worked), "correct", "cup", "20", "bore", "3", "22.04",
                   "--why", "read the wrong line")  # fmt: skip
    assert ran.status == 0, ran.err
    days = said(worked)
    first, *_, last = days.values()
    assert "Cup · 20 bore: cup-3 socket: 22.03, corrected later" in first
    assert last == [
        "Cup · 20 bore: cup-3 socket corrected from 22.03 to 22.04: read the wrong line",
        "Cup · 20 bore: socket: 3: 22.04",
    ]


def test_what_was_taken_back_is_told_and_counts_no_more(worked: Path) -> None:
    with Logbook(worked / "logbook.db") as logbook:
        newest = logbook.last_entry()
    ran = run_qlog("--build", str(worked), "undo", str(newest), "--why", "it was sharp")
    assert ran.status == 0, ran.err
    days = said(worked)
    assert not any("new setup" in line for line in days["2026-06-07"])
    assert list(days.values())[-1] == [
        "Cup · 20 bore: taken back: new setup from cup-3 (tool change). it was sharp"
    ]


def test_every_entry_is_told_once(worked: Path) -> None:
    numbers = [e.number for e in diary(worked).events if e.what is not What.CORRECTED]
    known = [n for n in numbers if n is not None]
    with Logbook(worked / "logbook.db") as logbook:
        assert sorted(known) == list(range(1, logbook.count() + 1))


def test_photos_stand_on_the_day_on_which_they_were_taken(worked: Path) -> None:
    with Logbook(worked / "logbook.db") as logbook:
        for name, taken in (
            ("a", "2026-06-05T18:00:00"),
            ("b", None),
            ("c", "2026-06-05T18:09:00"),
        ):
            photo = Photo(name * 64, f"{name}.jpg", 9, "JPEG", 4, 3, taken=taken, basis="original",
                          offset="+02:00", likeness=f"{ord(name):016x}")  # fmt: skip
            logbook.append(photo)
            logbook.append(Placement(name * 64, "cup", 20, 1))
    days = said(worked)
    assert days["2026-06-05"] == ["Cup · 20 bore: 2 photos"]
    assert list(days)[-1] == ""
    assert days[""] == ["Cup · 20 bore: 1 photo"]


def test_what_is_set_anew_on_the_same_evening_stands_with_its_own_piece(build_dir: Path) -> None:
    settings = ((1, "speed", "800", "1/min"), (1, "tool", "bar", ""), (3, "speed", "900", "1/min"))
    with Logbook(build_dir / "logbook.db") as logbook:
        for piece, what, value, unit in settings:
            logbook.append(Setting("cup", 20, piece, what, value, value, unit), made=EVENING)
    first, anew = said(build_dir)["2026-06-06"]
    assert "from cup-1" in first and "800" in first and "bar" in first and "900" not in first
    assert "from cup-3" in anew and "900" in anew


def test_who_entered_it_is_known(build_dir: Path) -> None:
    log(build_dir, "read|cup|20|bore|1|22.01", person="Ada")
    log(build_dir, "read|cup|20|bore|2|22.02", person="Bo")
    people = [h.people for d in diary(build_dir).days for h in d.happenings]
    assert ("Ada", "Bo") in people
