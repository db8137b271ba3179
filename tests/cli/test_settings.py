"""What was set: logged from a piece on, shown the next time, kept in sheet, edition and export."""

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest

from qlog.drawing.units import Unit
from qlog.intake.typed.set_values import SettingError, set_value, set_values
from qlog.logbook.facts import Setting
from qlog.logbook.store import Logbook
from tests.conftest import Ran

Run = Callable[..., Ran]


def live(folder: Path) -> list[tuple[int, str, str, str]]:
    with Logbook(folder / "logbook.db") as log:
        found = [e.fact for e in log.live(Setting)]
    return sorted((f.piece, f.what, f.value, f.unit) for f in found)


@pytest.mark.parametrize(
    ("what", "text", "unit", "value"),
    [
        ("speed", "1200", Unit.MM, ("speed", "1200", "rev/min")),
        ("speed", "90 m/min", Unit.MM, ("speed", "90", "m/min")),
        ("speed", "300 sfm", Unit.INCH, ("speed", "300", "ft/min")),
        ("feed", "0,05mm/rev", Unit.MM, ("feed", "0.05", "mm/rev")),
        ("feed", ".004 ipr", Unit.INCH, ("feed", "0.004", "in/rev")),
        ("stop", "12.5", Unit.INCH, ("stop", "12.5", "in")),
        ("offset", "-0.02", Unit.MM, ("offset", "-0.02", "mm")),
        ("Drehzahl", "900", Unit.MM, ("speed", "900", "rev/min")),
        ("speed", "slow, back gear", Unit.MM, ("speed", "slow, back gear", "")),
        ("tool", "8 mm boring bar", Unit.MM, ("tool", "8 mm boring bar", "")),
        ("bar", "4711", Unit.MM, ("bar", "4711", "")),
        ("collet", "ER20", Unit.MM, ("collet", "ER20", "")),
        ("fluid", "", Unit.MM, ("fluid", "", "")),
    ],
)
def test_a_quantity_has_its_unit_and_all_else_its_words(
    what: str, text: str, unit: Unit, value: tuple[str, str, str]
) -> None:
    found = set_value(what, text, unit)
    assert (found.what, found.value, found.unit) == value


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        (["feed=0.05"], "no unit that a feed has"),
        (["speed=900 mm/rev"], "no unit that a speed has"),
        (["speed=900-1200"], "no unit"),
        (["sped=3"], "did you mean speed"),
        (["new insert"], "sets nothing; write WHAT=VALUE"),
        (["speed=1", "speed=2"], "set twice"),
        (["tool=" + "x" * 201], "200 signs at most"),
        (["tool=a\x1b[2J"], "none that steer a terminal"),
        (["=3"], "nothing that is set"),
    ],
)
def test_what_cannot_be_set_is_refused_with_what_would_be(texts: list[str], said: str) -> None:
    with pytest.raises(SettingError, match=said):
        set_values(texts, Unit.MM)


def test_it_is_proposed_the_next_time_and_holds_until_set_anew(build_dir: Path, run: Run) -> None:
    assert "nothing is set down yet" in run("start", "cup", "10").out
    first = run("start", "cup", "10", "speed=1200", "feed=0.05mm/rev", "bar=heat 4711")
    assert "speed 1200 rev/min, from cup-1 on" in first.out
    run("done", "cup", "10", "1-2")
    again = run("start", "cup", "10", "speed=1100", "bar=heat 4712")
    assert "speed 1100 rev/min instead of 1200 rev/min, from cup-3 on" in again.out
    assert "feed 0.05 mm/rev, since cup-1" in again.out
    assert "speed 1100 rev/min, as before" in run("start", "cup", "10", "speed=1100").out
    run("done", "cup", "10", "3")
    run("setup", "cup", "10", "4", "offset", "offset=-0.02", "feed=")
    assert live(build_dir) == [
        (1, "bar", "heat 4711", ""), (1, "feed", "0.05", "mm/rev"), (1, "speed", "1200", "rev/min"),
        (3, "bar", "heat 4712", ""), (3, "speed", "1100", "rev/min"),
        (4, "feed", "", ""), (4, "offset", "-0.02", "mm"),
    ]  # fmt: skip
    assert "feed" not in run("start", "cup", "10").out.partition("set as the last time")[2][:120]
    told = run("cup-1").out
    assert "set to speed 1200 rev/min, feed 0.05 mm/rev, bar, heat or batch heat 4711" in " ".join(
        told.split()
    )


def test_a_slip_is_said_anew_or_undone_and_the_log_keeps_both(build_dir: Path, run: Run) -> None:
    run("start", "cup", "10", "speed=12000")
    ran = run("start", "cup", "10", "speed=1200")
    assert "speed 1200 rev/min instead of 12000 rev/min, from cup-1 on" in ran.out
    assert live(build_dir) == [(1, "speed", "1200", "rev/min")]
    with Logbook(build_dir / "logbook.db") as log:
        assert [e.fact.value for e in log.history(Setting)] == ["12000", "1200"]
        number = log.live(Setting)[0].id
    assert run("undo", str(number), "--why", "other lathe").status == 0
    assert live(build_dir) == []
    ran = run("start", "cup", "10", "speed=3 furlongs")
    assert ran.status == 2
    ran = run("start", "cup", "10", "fluid=")
    assert (ran.status, "nothing to end" in ran.err) == (2, True)
    assert len(run("undo").out.split("begun")) == 3, "a refused line begins nothing"


def test_a_piece_made_anew_leaves_those_behind_it_as_they_were_made(
    build_dir: Path, run: Run
) -> None:
    run("start", "cup", "10", "speed=1200")
    run("done", "cup", "10")
    refused = run("start", "cup", "10", "speed=1000")
    assert (refused.status, "--from cup-1" in refused.err) == (2, True)
    run("piece", "cup-2", "remake", "--why", "dropped")
    run("start", "cup", "10", "speed=1000", "tool=new insert")
    assert live(build_dir) == [
        (1, "speed", "1200", "rev/min"), (2, "speed", "1000", "rev/min"),
        (2, "tool", "new insert", ""), (3, "speed", "1200", "rev/min"), (3, "tool", "", ""),
    ]  # fmt: skip
    rows = list(csv.DictReader(io.StringIO(run("export", "cup", "--settings").out)))
    spoken = [(r["what"], r["value"], r["unit"], r["first_piece"], r["last_piece"]) for r in rows]
    assert spoken == [
        ("speed", "1200", "rev/min", "1", "1"), ("speed", "1000", "rev/min", "2", "2"),
        ("speed", "1200", "rev/min", "3", "4"), ("tool", "new insert", "", "2", "2"),
    ]  # fmt: skip


def test_sheet_and_makers_edition_hold_it_and_the_recipients_does_not(
    build_dir: Path, run: Run
) -> None:
    run("start", "cup", "10", "speed=1234", "bar=heat 4711")
    run("done", "cup", "10")
    run("sheet", "cup", "10")
    sheet = (build_dir / "sheet-cup-op10.html").read_text("utf-8")
    assert "<b>1234\N{NARROW NO-BREAK SPACE}rev/min</b>" in sheet
    assert "heat 4711" in sheet
    run("record")
    maker = (build_dir / "record" / "maker" / "parts" / "cup.html").read_text("utf-8")
    assert "1234\N{NARROW NO-BREAK SPACE}rev/min <small>pieces 1-4</small>" in maker
    pieces = (build_dir / "record" / "maker" / "piece" / "cup-1.html").read_text("utf-8")
    assert "bar, heat or batch heat 4711" in pieces
    shown = list((build_dir / "record" / "recipient").rglob("*.html"))
    assert shown
    assert not any("4711" in f.read_text("utf-8") for f in shown)
    assert run("verify").status == 0


def test_the_operation_renamed_takes_its_settings_along(build_dir: Path, run: Run) -> None:
    run("start", "cup", "20", "speed=640")
    assert run("rename", "op", "cup.20", "25").status == 0
    assert "640 rev/min" in run("start", "cup", "25").out
