"""The stream at a terminal: single keys, questions, and what a kill at any instant leaves."""

import sqlite3
import sys
from pathlib import Path

import pytest

from tests.conftest import run_qlog
from tests.killed import kill_at_random
from tests.terminal import Terminal
from tests.typed_blind import type_blind

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are POSIX only")


def rows(folder: Path, sql: str) -> list[tuple[object, ...]]:
    db = sqlite3.connect(folder / "logbook.db")
    try:
        return db.execute(sql).fetchall()
    finally:
        db.close()


def live(folder: Path) -> list[tuple[object, ...]]:
    return rows(
        folder,
        "SELECT dimension, piece, value FROM reading r WHERE NOT EXISTS "
        "(SELECT 1 FROM entry s WHERE s.supersedes = r.entry) ORDER BY dimension, piece",
    )


@pytest.fixture
def bored(build_dir: Path) -> Path:
    """The small build with the cups turned, ready to be bored."""
    assert run_qlog("--build", str(build_dir), "done", "cup", "10").status == 0
    return build_dir


def test_a_gauge_types_numbers_and_each_is_answered(bored: Path) -> None:
    with Terminal("read", "cup", "20", "bore", folder=bored) as t:
        t.expect("4 to read")
        t.expect("socket  22.00 to 22.05 mm  (micrometer)")
        t.expect("cup-1 bore mm> ")
        shown = t.answer("22.031\r\n", "cup-2 bore mm> ")  # as some gauges end a line
        assert "good  " in shown and "+0.006 from mid-tolerance" in shown
        shown = t.answer("22,058\n", "cup-3 bore mm> ")
        assert "out high" in shown and "0.008 beyond 22.05" in shown
        t.answer("22.02\n", "drift is judged from the 5th reading on")
        t.expect("cup-4 bore mm> ")
        t.answer("22.0x\b22\n", "with Enter> ")
        t.answer("22.033\n", "nothing is left to read, '22.033' was not entered")
        t.expect("with Enter> ")
        t.answer("u\n", "taken back: cup-4 bore 22.022")
        t.expect("cup-4 bore mm> ")
        t.answer("22.021\n", "with Enter> ")
        t.type("\n")
        assert t.ended() == 1
    assert [r[1:] for r in live(bored)] == [
        (1, "22.031"), (2, "22.058"), (3, "22.02"), (4, "22.021"),
    ]  # fmt: skip


def test_single_keys_need_no_enter(bored: Path) -> None:
    with Terminal("read", "cup", "20", "bore", folder=bored) as t:
        t.expect("cup-1 bore mm> ")
        t.answer("22.031\n", "cup-2 bore mm> ")
        t.answer("u", "taken back: cup-1 bore 22.031")
        t.expect("cup-1 bore mm> ")
        t.answer("22.030\n", "cup-2 bore mm> ")
        t.answer("r", "cup-1 bore again mm> ")
        t.answer("22.029\n", "cup-2 bore mm> ")
        t.answer("?", "these keys")
        t.expect("cup-2 bore mm> ")
        t.answer("n", "note on cup-1> ")
        t.answer("a burr at the rim\n", "noted with cup-1")
        t.expect("cup-2 bore mm> ")
        t.answer("t", "or a word> ")
        t.answer("c", "new setup from cup-2: tool change; read this first piece")
        t.expect("cup-2 bore mm> ")
        t.answer("s", "cannot be measured> ")
        # A gauge that fires now must be neither an answer nor lost in silence.
        t.answer("22.04\n", "22.04 is no answer to this; it waits for the next reading")
        t.expect("cannot be measured> ")
        t.answer("p", "why> ")
        t.answer("chamfer hides it\n", "cup-2 bore skipped on purpose (chamfer hides it)")
        t.expect("22.04 waits: y takes it here, Esc drops it")
        t.expect("cup-3 bore mm> ")
        t.answer("\x1b", "22.04 was not entered")
        t.expect("cup-3 bore mm> ")
        t.answer("22.060\n", "cup-4 bore mm> ")
        t.answer("x", "scrap which piece? y cup-3, or its number> ")
        t.type("\n")  # the Enter of the x
        t.answer("y", "cup-3 scrapped, why> ")
        t.answer("dug in\n", "cup-3 scrapped (dug in); 3 pieces left, 3 needed: no spare")
        t.expect("cup-4 bore mm> ")
        t.answer("q", "1 left to read; the same command goes on there")
        assert t.ended() == 1
    assert live(bored) == [("bore", 1, "22.029"), ("bore", 3, "22.060")]
    reasons = rows(bored, "SELECT kind, reason FROM entry WHERE supersedes IS NOT NULL ORDER BY id")
    assert reasons == [("withdrawn", "undone at the bench"), ("reading", "read again")]
    assert rows(bored, "SELECT piece, cause FROM setup") == [(2, "tool change")]
    assert rows(bored, "SELECT kind, why FROM gap") == [("skipped", "chamfer hides it")]
    assert rows(bored, "SELECT piece, decision, op, why FROM disposition") == [
        (3, "scrap", 20, "dug in")
    ]
    assert rows(bored, "SELECT op, piece, text FROM note") == [(20, 1, "a burr at the rim")]


def test_a_slip_is_asked_about_and_one_key_takes_or_keeps(bored: Path) -> None:
    with Terminal("read", "cup", "20", "bore", folder=bored) as t:
        t.expect("cup-1 bore mm> ")
        t.answer("220.3\n", "? 22.03? the decimal point would be one place out")
        t.expect("y 22.03 mm, k keep 220.3, a type it anew, d drop it> ")
        assert live(bored) == []  # nothing before the answer
        # Enter alone settles nothing: a gauge's empty line must not.
        t.answer("\n", "d drop it> ")
        t.answer("y", "22.030 mm  good")
        t.expect("cup-2 bore mm> ")
        t.answer("0.867\n", "? inch? 0.867 in would be 22.0218 mm")
        t.expect("d drop it> ")
        t.answer("k", "out low")
        t.expect("cup-3 bore mm> ")
        t.answer("220.4\n", "d drop it> ")
        t.answer("a", "cup-3 bore anew mm> ")
        t.answer("22.04\n", "good  ")
        t.expect("cup-4 bore mm> ")
        t.answer("220.1\n", "d drop it> ")
        t.answer("d", "not entered")
        t.expect("cup-4 bore mm> ")
        t.type("q")
        assert t.ended() == 1
    assert live(bored) == [("bore", 1, "22.03"), ("bore", 2, "0.867"), ("bore", 3, "22.04")]


def test_a_hot_piece_is_asked_about_once_a_dimension(bored: Path) -> None:
    with Terminal("read", "cup", "20", "bore", "--hot", folder=bored) as t:
        t.expect("cup-1 bore mm> ")
        t.answer("22.031\n", "still warm? 30 K would make it 0.013 mm large")
        t.expect("d drop it> ")
        t.answer("d", "cup-1 bore mm> ")
        t.answer("22.021\n", "k keep 22.021, a type it anew, d drop it> ")
        t.answer("k", "cup-2 bore mm> ")
        assert "still warm?" not in t.answer("22.03\n", "cup-3 bore mm> ")
        t.type("q")
        assert t.ended() == 0
    assert live(bored) == [("bore", 1, "22.021"), ("bore", 2, "22.03")]


def test_one_reading_is_asked_about_as_well(bored: Path) -> None:
    with Terminal("read", "cup", "20", "bore", "1", "220.3", folder=bored) as t:
        t.expect("d drop it> ")
        t.answer("y", "cup-1 bore  22.030 mm  good")
        assert t.ended() == 0
    with Terminal("read", "cup", "20", "bore", "2", "220.3", folder=bored) as t:
        t.expect("d drop it> ")
        t.answer("d", "not entered")
        assert t.ended() == 2
    assert live(bored) == [("bore", 1, "22.03")]


def test_quitting_and_coming_back_goes_on_at_the_next_empty_place(bored: Path) -> None:
    with Terminal("read", "cup", "20", "--by-piece", folder=bored) as t:
        t.expect("cup-1 bore mm> ")
        t.answer("22.031\n", "cup-1 look go or no-go> ")
        t.answer("ok\n", "cup-2 bore mm> ")
        t.answer("22.02\n", "cup-2 look go or no-go> ")
        t.answer("\x04", "5 left to read")
        assert t.ended() == 0
    with Terminal("read", "cup", "20", "--by-piece", folder=bored) as t:
        t.expect("cup-2 look go or no-go> ")
        t.answer("n\n", "fail")
        t.expect("cup-3 bore mm> ")
        t.answer("\n", "cup-3 look go or no-go> ")
        t.answer("\x03", "stopped; everything acknowledged is in the logbook")
        assert t.ended() == 130


def test_another_day_offers_a_new_setup_and_a_number_is_not_its_answer(bored: Path) -> None:
    for piece in ("1", "2"):
        run_qlog(
            "--build", str(bored), "read", "cup", "20", "bore", piece, "22.02",
            "--made", "2026-04-17T20:00+02:00",
        )  # fmt: skip
    with Terminal("read", "cup", "20", "bore", folder=bored) as t:
        t.expect("does a new setup begin with cup-3? y yes, k same setup> ")
        t.answer("22.03\n", "22.03 is no answer to this; it waits for the next reading")
        t.expect("k same setup> ")
        t.answer("k", "22.03 waits: y takes it here")
        t.expect("cup-3 bore mm> ")
        t.answer("y", "good  ")
        t.expect("cup-4 bore mm> ")
    assert [r[1] for r in live(bored)] == [1, 2, 3]
    assert rows(bored, "SELECT * FROM setup") == []
    run_qlog("--build", str(bored), "piece", "cup-3", "scrap", "--why", "made up")
    for entry in ("4",):
        with Terminal("read", "cup", "20", "bore", "--made", "2926-12-24 12:00", folder=bored) as t:
            t.expect("2926-12-24 12:00 has not come yet: k keep it, d drop the entry> ")
            t.answer("k", "k same setup> ")
            t.answer("y", f"new setup from cup-{entry}: new day")
    assert rows(bored, "SELECT piece, cause FROM setup") == [(4, "new day")]


def test_a_piece_that_stands_apart_is_read_again_and_both_readings_stay(bored: Path) -> None:
    plan = bored / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("spare = 1", "spare = 7"), encoding="utf-8")
    run_qlog("--build", str(bored), "done", "cup", "10")
    nine = "".join(f"22.04{piece % 3}\n" for piece in range(1, 10))
    assert run_qlog("--build", str(bored), "read", "cup", "20", "bore", stdin=nine).status == 0
    with Terminal("read", "cup", "20", "bore", folder=bored) as t:
        t.expect("cup-10 bore mm> ")
        t.answer("22.004\n", "22.004 stands apart from the batch")
        t.expect("r read again, k keep 22.004, a type it anew, d drop it> ")
        t.answer("r", "cup-10 bore again mm> ")
        t.answer("22.041\n", "with Enter> ")
        t.type("q\n")
        assert t.ended() == 0
    taken = rows(bored, "SELECT typed FROM reading WHERE piece = 10 ORDER BY entry")
    assert taken == [("22.004",), ("22.041",)]


def test_a_correction_is_asked_about_as_well(bored: Path) -> None:
    run_qlog("--build", str(bored), "read", "cup", "20", "bore", "1", "22.31")
    words = ("correct", "cup", "20", "bore", "1", "220.31", "--why", "a digit lost")
    with Terminal(*words, folder=bored) as t:
        t.expect("y 22.031 mm, k keep 220.31, a type it anew, d drop it> ")
        t.answer("y", "cup-1 bore  22.031 mm  good")
        assert t.ended() == 0
    assert [r[2] for r in live(bored)] == ["22.031"]


def test_stopped_and_called_back_keys_still_count_at_once(bored: Path) -> None:
    import signal
    import termios

    with Terminal("read", "cup", "20", "bore", folder=bored) as t:
        t.expect("cup-1 bore mm> ")
        t.signal(signal.SIGSTOP)
        cooked = termios.tcgetattr(t.descriptor)
        cooked[3] |= termios.ICANON | termios.ECHO  # as a shell leaves it
        termios.tcsetattr(t.descriptor, termios.TCSANOW, cooked)
        t.signal(signal.SIGCONT)
        t.answer("22.031\n", "cup-2 bore mm> ")
        t.answer("u", "taken back")


def test_the_terminal_is_given_back_as_it_was(bored: Path) -> None:
    import pty
    import subprocess
    import termios

    from tests.terminal import QLOG, TOP

    master, slave = pty.openpty()
    before = termios.tcgetattr(slave)
    process = subprocess.Popen(
        [*QLOG, "--build", str(bored), "read", "cup", "20", "bore"],
        stdin=slave, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, cwd=TOP,
    )  # fmt: skip
    import os

    assert process.stdout is not None
    shown = b""
    for prompt, keys in ((b"cup-1 bore mm> ", b"22.031\n"), (b"cup-2 bore mm> ", b"q")):
        while prompt not in shown:
            shown += process.stdout.read1()
        os.write(master, keys)
    process.stdout.read()
    process.stdout.close()
    assert process.wait(30) == 0
    assert termios.tcgetattr(slave) == before
    os.close(slave)
    os.close(master)
    assert live(bored) == [("bore", 1, "22.031")]


def test_out_of_order_is_asked_why(bored: Path) -> None:
    plan = bored / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("spare = 1", "spare = 2"), encoding="utf-8")
    with Terminal("done", "cup", "20", "5", folder=bored) as t:
        t.expect("leave it> ")
        t.answer("bored from the bar\n", "done: op 20 bore on cup-5")
        assert t.ended() == 0
    assert rows(bored, "SELECT override FROM done WHERE op = 20") == [("bored from the bar",)]
    with Terminal("done", "ring", "10", folder=bored) as t:
        t.expect("done: op 10 part off on ring 1, 2")


def test_enter_behind_y_puts_no_place_off(bored: Path) -> None:
    with Terminal("read", "cup", "20", "bore", folder=bored) as t:
        t.expect("cup-1 bore mm> ")
        t.answer("220.3\n", "d drop it> ")
        t.answer("y\n", "cup-2 bore mm> ")
        t.answer("22.04\n", "cup-3 bore mm> ")
        t.answer("22.0\x1b22.01\n", "cup-4 bore mm> ")  # Esc: begun anew
    assert live(bored) == [("bore", 1, "22.03"), ("bore", 2, "22.04"), ("bore", 3, "22.01")]


def test_numbers_typed_blind_overwrite_nothing(bored: Path) -> None:
    with Terminal("read", "cup", "20", "bore", folder=bored) as t:
        t.expect("cup-1 bore mm> ")
        t.answer("220.3\n22.02\n22.01\n", "22.02 was typed before this was asked; it waits")
        t.expect("22.01 was not entered: 22.02 waits already")
        t.expect("d drop it> ")
        t.answer("22.03\n", "22.03 was not entered: 22.02 waits already")
        t.expect("d drop it> ")
        assert live(bored) == []
        t.answer("y", "22.02 waits: y takes it here, Esc drops it")
        t.expect("cup-2 bore mm> ")
        t.answer("22.04\n", "22.04 was not entered: 22.02 waits already")
        t.expect("cup-2 bore mm> ")
        t.answer("y", "cup-3 bore mm> ")
        t.answer("22.01\n\n", "cup-4 bore mm> ")  # an Enter too many, before its prompt
        t.answer("22.03\n", "with Enter> ")
    assert [r[1:] for r in live(bored)] == [(1, "22.03"), (2, "22.02"), (3, "22.01"), (4, "22.03")]


def test_undo_goes_back_to_a_place_put_off_and_repeat_works_behind_it(bored: Path) -> None:
    with Terminal("read", "cup", "20", "bore", folder=bored) as t:
        t.expect("cup-1 bore mm> ")
        t.answer("22.01\n", "cup-2 bore mm> ")
        t.answer("22.02\n", "cup-3 bore mm> ")
        t.answer("\n", "cup-3 bore left for the next sitting")
        t.expect("cup-4 bore mm> ")
        t.answer("u", "back to cup-3 bore")
        t.expect("cup-3 bore mm> ")
        assert len(live(bored)) == 2  # nothing else was taken back
        t.answer("u", "taken back: cup-2 bore 22.02")
        t.expect("cup-2 bore mm> ")
        t.answer("r", "cup-1 bore again mm> ")
        t.answer("u", "cup-1 bore stays as it was")
        t.expect("cup-2 bore mm> ")
        t.answer("r", "cup-1 bore again mm> ")
        t.answer("22.011\n", "cup-2 bore mm> ")
    assert live(bored) == [("bore", 1, "22.011")]


def test_the_end_eats_no_letter_of_the_next_command(bored: Path) -> None:
    with Terminal("read", "cup", "20", "bore", folder=bored) as t:
        for piece in range(1, 5):
            t.expect(f"cup-{piece} bore mm> ")
            t.type("22.02\n")
        t.expect("with Enter> ")
        t.answer("qlog status\n", "'qlog status' was not run: this ends here, then type it again")
        assert t.ended() == 0


def test_what_was_typed_before_a_question_is_no_reason(bored: Path) -> None:
    with Terminal("done", "ring", "10", folder=bored) as t:
        assert t.ended() == 0
    plan = bored / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("spare = 1", "spare = 2"), encoding="utf-8")
    with Terminal("done", "cup", "20", "5", folder=bored) as t:
        t.type("qlog read cup 20\n")  # at once, as if at the shell
        t.expect("leave it> ")
        t.answer("\n", "")
        assert t.ended() == 2
    assert rows(bored, "SELECT override FROM done WHERE op = 20") == []


def test_typed_at_random_no_value_lands_on_another_piece(tmp_path: Path) -> None:
    # A sample; tests/benchmarks/type_blind.py presses thousands of keys with random timing.
    told = type_blind(tmp_path, keys=500, seed=3, timing=False)
    assert told.entered >= 20
    assert told.waited >= 3


def test_killed_at_random_points_loses_nothing_acknowledged(tmp_path: Path) -> None:
    # A sample; tests/benchmarks/kill_stream.py runs the same 200 times.
    told = kill_at_random(tmp_path, kills=8, seed=12)
    assert told.kills == 8
    assert told.acknowledged >= 8


def test_the_keys_at_a_go_no_go_check_are_those_that_are_there(bored: Path) -> None:
    with Terminal("read", "cup", "20", "look", folder=bored) as t:
        t.expect("cup-1 look go or no-go> ")
        shown = t.answer("?", "cup-1 look go or no-go> ")
        assert "go or no-go, Enter" in shown and "note TEXT" in shown
        assert "  n  " not in shown, "n is the beginning of no-go here"
        t.answer("n\n", "cup-2 look")  # as the keys say: no-go
        t.type("q\n")
        assert t.ended() == 1
    assert [row[2] for row in live(bored)] == ["no-go"]


def test_the_tool_key_takes_what_is_set_and_undo_takes_all_of_it_back(bored: Path) -> None:
    def held() -> list[tuple[str, str]]:
        return rows(bored, "SELECT what, value FROM setting_current ORDER BY what")

    with Terminal("read", "cup", "20", "bore", folder=bored) as t:
        t.expect("cup-1 bore mm> ")
        t.answer("22.031\n", "cup-2 bore mm> ")
        t.answer("t", "or a word> ")
        t.answer('touched up offset=-0.02 tool="new insert"\n', "new setup from cup-2: tool change")
        t.expect("offset -0.02 mm, from cup-2 on")
        t.expect("cup-2 bore mm> ")
        t.answer("u", "taken back: ")
        t.expect("cup-2 bore mm> ")
        assert (
            held(),
            rows(
                bored,
                "SELECT * FROM setup JOIN entry e ON e.id = entry WHERE NOT "
                "EXISTS (SELECT 1 FROM entry s WHERE s.supersedes = e.id)",
            ),
        ) == ([], [])
        t.answer("t", "or a word> ")
        t.answer("=", "speed=900> ")
        t.answer("offset=-0.03\n", "new setup from cup-2: offset")
        t.expect("cup-2 bore mm> ")
        t.answer("q", "3 left to read")
        t.ended()
    assert held() == [("offset", "-0.03")]


def test_a_piped_tool_line_takes_what_is_set(bored: Path) -> None:
    ran = run_qlog("--build", str(bored), "read", "cup", "20", "bore", stdin="t speed=900\n22.03\n")
    assert "new setup from cup-1: other" in ran.out and "speed 900" in ran.out
    bad = run_qlog("--build", str(bored), "read", "cup", "20", "bore", stdin="t spedd=900\n")
    assert "spedd" in bad.err and rows(bored, "SELECT value FROM setting") == [("900",)]
