"""`qlog find`: what was logged is found by day, place, kind, person and word, in two languages."""

import json
from datetime import date
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.logbook.store import Logbook
from qlog.review.diary.days import Diary
from qlog.review.diary.sought import FromTo, OnDay, found_in
from qlog.review.whole import picture_from
from qlog.words.diary.asked import understood
from tests.conftest import Ran, run_qlog

LINES = {
    "2026-05-30T19:00+02:00": (
        "start|cup|20|--person|Ada", "done|cup|20|1|--override|bored first",
        "read|cup|20|bore|1|22.01", "note|cup|chatter at the far end|--piece|1|--op|20",
    ),
    "2026-06-06T19:30+02:00": (
        "read|cup|20|bore|2|22.061", "piece|cup-2|scrap|--why|bored too large|--op|20",
        "setup|cup|20|3|tool", "read|ring|10|outside|1|1.0005 in",
    ),
    "2027-06-06T20:00+02:00": ("read|cup|20|bore|3|22,03", "read|cup|10|height|1|32.05"),
}  # fmt: skip


@pytest.fixture(scope="module")
def worked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three evenings, a year between the last two."""
    from qlog.logbook.store import create
    from tests.conftest import SMALL_PLAN

    folder = tmp_path_factory.mktemp("find") / "build"
    folder.mkdir()
    (folder / "build.toml").write_text(SMALL_PLAN, encoding="utf-8", newline="\n")
    create(folder / "logbook.db")
    for made, lines in LINES.items():
        for line in lines:
            words = line.split("|")
            who = words[-2:] if "--person" in words else []
            ran = run_qlog("--build", str(folder), *who, *words[: len(words) - len(who)],
                           "--made", made)  # fmt: skip
            assert ran.status in (0, 1), ran.err
    return folder


@pytest.fixture(scope="module")
def diary(worked: Path) -> Diary:
    with Logbook(worked / "logbook.db") as log:
        found = picture_from(load(worked), log, studied=False, dated=True).diary
    assert found is not None
    return found


def find(folder: Path, question: str, *more: str) -> Ran:
    return run_qlog("--build", str(folder), "find", *question.split(), *more)


@pytest.mark.parametrize(
    ("question", "days", "events"),
    [
        ("6 June", ["2026-06-06", "2027-06-06"], 6),
        ("June 6, 2026", ["2026-06-06"], 4),
        ("June 6,2026", ["2026-06-06"], 4),
        ("6. Juni 2026", ["2026-06-06"], 4),
        ("6.6.2027", ["2027-06-06"], 2),
        ("2026", ["2026-05-30", "2026-06-06"], 9),
        ("May", ["2026-05-30"], 5),
        ("since June 2026", ["2026-06-06", "2027-06-06"], 6),
        ("bis 31. Mai 2026", ["2026-05-30"], 5),
        ("30 May to 6 June 2026", ["2026-05-30", "2026-06-06"], 9),
        ("yesterday", ["2027-06-06"], 2),
        ("cup-1", ["2026-05-30", "2027-06-06"], 4),
        ("cup 2", ["2026-06-06"], 2),
        ("ring", ["2026-06-06"], 1),
        ("cup bore", ["2026-05-30", "2026-06-06", "2027-06-06"], 3),
        ("socket of cup-2", ["2026-06-06"], 1),
        ("op 20 readings", ["2026-05-30", "2026-06-06", "2027-06-06"], 3),
        ("Arbeitsgang 20 Messwerte", ["2026-05-30", "2026-06-06", "2027-06-06"], 3),
        ("out", ["2026-06-06"], 1),
        ("scrapped", ["2026-06-06"], 1),
        ("Ausschuss", ["2026-06-06"], 1),
        ("chatter", ["2026-05-30"], 1),
        ("22.03", ["2027-06-06"], 1),
        ("22,03", ["2027-06-06"], 1),
        ("cup,22,030", ["2027-06-06"], 1),
        ("tool", ["2026-06-06"], 1),
        ("caliper", ["2027-06-06"], 1),
        ("Ada", ["2026-05-30"], 1),
        ("outside diameter", ["2026-06-06"], 1),
        ("cup part off", [], 0),
    ],
)
def test_a_question_finds_what_it_means(
    worked: Path, diary: Diary, question: str, days: list[str], events: int
) -> None:
    asked = understood(question.split(), load(worked), diary, date(2027, 6, 7))
    assert asked.unknown == ()
    found = found_in(diary, asked.sought)
    assert ([day.date for day in found.days], len(list(found.events))) == (days, events)


def test_it_is_said_day_by_day_as_the_diary_does(worked: Path) -> None:
    ran = find(worked, "cup-2")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.splitlines() == [
        "6 June 2026",
        "  Cup · 20 bore: socket: 2: 22.061 (out high)",
        "  Cup · 20 bore: cup-2: scrapped: bored too large",
    ]


def test_what_is_not_understood_is_named_and_left_out(worked: Path) -> None:
    ran = find(worked, "cup-2 blorb snan")
    assert ran.status == 0
    assert "blorb" in ran.err and "snan" in ran.err
    assert ran.out == find(worked, "cup-2").out


def test_a_piece_that_there_is_not_is_answered_with_those_that_there_are(worked: Path) -> None:
    ran = find(worked, "cup-9")
    assert (ran.status, ran.out) == (1, "")
    assert "pieces 1 to 4" in ran.err


def test_nothing_found_is_status_1(worked: Path) -> None:
    ran = find(worked, "cup photos")
    assert (ran.status, ran.out) == (1, "")
    assert ran.err


def test_programs_get_every_kind_of_event_in_words(worked: Path, diary: Diary) -> None:
    """Whatever was logged: the new setup of the second evening once ended it with an error."""
    days = json.loads(find(worked, "2026 to 2027", "--json").out)["days"]
    told = [(e["what"], e["text"]) for day in days for e in day["events"]]
    assert sorted(what for what, _ in told) == sorted(e.what.value for e in diary.events)
    assert all(text for _, text in told)
    assert ("setup", "new setup from cup-3: tool change") in told


def test_programs_get_each_event_with_its_place(worked: Path) -> None:
    ran = find(worked, "cup-2 out", "--json")
    answer = json.loads(ran.out)
    assert answer["understood"] == ["cup-2", "out"]
    (day,) = answer["days"]
    (event,) = day["events"]
    assert (day["day"], event["typed"], event["verdict"]) == ("2026-06-06", "22.061", "out high")
    where = (event["part"], event["op"], event["dimension"], event["piece"])
    assert where == ("cup", 20, "bore", 2)


@pytest.mark.parametrize(
    ("question", "today", "first", "last"),
    [
        ("since May", date(2027, 1, 20), (2026, 5, None), None),
        ("since May", date(2027, 5, 1), (2027, 5, None), None),
        ("seit 2. Mai", date(2027, 5, 1), (2026, 5, 2), None),
        ("until November", date(2027, 1, 20), None, (2026, 11, None)),
        ("December to January", date(2027, 1, 20), (2026, 12, None), (2027, 1, None)),
        ("6 June to 9 June", date(2027, 6, 7), (2027, 6, 6), (2027, 6, 9)),
        ("30 December to 6 January 2026", date(2027, 6, 7), (2025, 12, 30), (2026, 1, 6)),
        ("June 2025 to January", date(2027, 6, 7), (2025, 6, None), (2026, 1, None)),
        ("2025 to 2026", date(2027, 6, 7), (2025, None, None), (2026, None, None)),
    ],
)
def test_a_stretch_without_a_year_is_the_latest_and_may_go_over_the_end_of_a_year(
    worked: Path,
    question: str,
    today: date,
    first: tuple[int, int | None, int | None] | None,
    last: tuple[int, int | None, int | None] | None,
) -> None:
    (asked,) = understood(question.split(), load(worked), Diary(), today).sought
    ends = [None if end is None else OnDay(*end) for end in (first, last)]
    assert asked.means == (FromTo(*ends),)


def test_a_day_without_a_year_is_that_day_of_any_year() -> None:
    assert [OnDay(None, 6, 6).order(d) for d in ("2026-06-05", "2026-06-06", "2027-06-07")] == [
        -1, 0, 1,
    ]  # fmt: skip
    assert OnDay(2026, 6, None).order("2026-06-30") == 0
    assert OnDay(2026, 6, None).order("2026-07-01") == 1
