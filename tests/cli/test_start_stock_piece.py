"""Before an operation, the stock, a piece's history: what is said, and when it is a finding."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran

Run = Callable[..., Ran]

SEALED = """
  [[part.dim]]
  id = "groove"
  name = "groove"
  callout = "3 ±0.1"
  op = 10
  instrument = "caliper"
  unreachable-after = 10
"""


def with_groove(folder: Path, extra_op: str = "") -> None:
    """The cup gets a groove that can only be measured before it is bored."""
    plan = folder / "build.toml"
    text = plan.read_text("utf-8")
    text = text.replace('  kind = "boring"\n', f'  kind = "boring"\n{extra_op}', 1)
    text = text.replace('\n[[part]]\nid = "ring"', f'{SEALED}\n[[part]]\nid = "ring"')
    plan.write_text(text, encoding="utf-8")


def test_start_says_what_is_missing_and_how_to_be_safe(build_dir: Path, run: Run) -> None:
    with_groove(build_dir)
    run("done", "cup", "10", "1-3")
    ran = run("start", "cup", "20")
    assert ran.status == 1
    flat = " ".join(ran.out.split())
    assert ran.out.startswith("cup op 20 bore: cup 1-3\n")
    assert "op 10 turn outside is open on cup-4 qlog done cup 10, if they have had it" in flat
    assert (
        "groove of cup 1-4 cannot be reached after this operation qlog read cup 10 groove" in flat
    )
    assert "height of cup 1-3 not read (op 10) qlog read cup 10 height" in flat
    assert "1 photo of op 10 turn outside missing" in flat
    assert "never fingers" in flat
    assert flat.index("machine's manual, the safety data sheets, local rules and") > flat.index(
        "fingers"
    )
    assert "read socket and look: qlog read cup 20" in flat


def test_start_opens_the_stretch_and_is_quiet_when_all_is_there(build_dir: Path, run: Run) -> None:
    ran = run("start", "cup", "10", "--note", "new insert")
    assert ran.status == 0
    assert "missing" not in ran.out
    assert "before stock is cut: 4 cup for 3, 1 to spare" in ran.out
    assert "qlog done cup 10" in run("status").out


def test_losses_are_reckoned_before_what_cannot_be_undone(build_dir: Path, run: Run) -> None:
    with_groove(build_dir, '  irreversible = true\n  sent-out = "the plater"\n')
    run("piece", "cup-4", "scrap", "--why", "dropped")
    ran = run("start", "cup", "20")
    assert "goes out to the plater, cannot be undone: 3 cup for 3, no spare" in ran.out


def test_an_undecided_piece_and_a_failed_instrument_are_pointed_out(run: Run) -> None:
    run("read", "cup", "10", "height", "2", "32.4")
    run("gauge", "check", "micrometer", "10", "10.01")
    ran = run("start", "cup", "20")
    assert "cup-2 height 32.4 is out and nothing is decided" in ran.out
    assert "micrometer failed its last check" in ran.out


def test_done_refuses_what_puts_an_unread_dimension_out_of_reach(build_dir: Path, run: Run) -> None:
    with_groove(build_dir)
    run("done", "cup", "10")
    ran = run("done", "cup", "20", "1")
    assert ran.status == 2
    assert "groove of cup-1 is not read, and cannot be reached after op 20" in ran.err
    run("read", "cup", "10", "groove", "1", "3.01")
    assert run("done", "cup", "20", "1").status == 0
    assert run("done", "cup", "20", "2", "--override", "gauge was away").status == 0
    ran = run("read", "cup", "10", "groove", "2", "3.02")
    assert "cannot be reached after op 20, which is done" in ran.err
    assert "out of order: gauge was away" in run("piece", "cup-2").out


def test_stock_counts_and_reckons(run: Run) -> None:
    run("piece", "cup-2", "scrap", "--op", "10", "--why", "chatter")
    run("piece", "cup-3", "use-as-is", "--op", "10", "--why", "scratch inside")
    ran = run("stock", "cup", "--loss", "10")
    assert ran.status == 0
    assert "cup: 3 live for 3 needed, none over" in ran.out
    assert "scrapped  cup-2 at op 10: chatter" in ran.out
    assert "as it is  cup-3 at op 10: scratch inside" in ran.out
    # Three of three must live through two operations: 0.9^6 = 53.1 %.
    assert "53 % that 3 come through" in ran.out
    told = json.loads(run("stock", "cup", "--loss", "10", "--json").out)["parts"][0]
    assert told["chance_of_enough"] == pytest.approx(0.9**6, abs=1e-4)
    assert (told["live"], told["margin"], told["spare"]) == (3, 0, [])
    # Binomial by hand: 5 blanks at 0.81 give 0.948..., 6 give more than 0.95. The scrapped one is
    # none of the six: three live ones and three more.
    assert told["more_blanks_for_95_percent"] == 3
    assert "3 more blanks would make it 95 %" in ran.out
    run("piece", "cup-1", "scrap", "--why", "dropped")
    assert run("stock").status == 1
    assert "1 too few" in run("stock").out


def test_pieces_further_on_have_less_to_lose(run: Run) -> None:
    before = json.loads(run("stock", "ring", "--json").out)["parts"][0]["chance_of_enough"]
    run("done", "ring", "10", "1")
    after = json.loads(run("stock", "ring", "--json").out)["parts"][0]["chance_of_enough"]
    assert (before, after) == (pytest.approx(0.98**2, abs=1e-4), pytest.approx(0.98, abs=1e-4))


def test_history_of_a_piece(run: Run) -> None:
    assert "cup-1: not begun; next is op 10\n  nothing logged yet" in run("piece", "cup-1").out
    run("done", "cup", "10", "1", "--made", "2026-03-01T10:00+01:00")
    run("read", "cup", "10", "height", "1", "32.41", "--made", "2026-03-01T10:05+01:00")
    ran = run("piece", "cup-1")
    assert ran.status == 1
    run("correct", "cup", "10", "height", "1", "32.05", "--why", "digits exchanged",
        "--made", "2026-03-01T10:06+01:00")  # fmt: skip
    run("note", "cup", "a small scratch", "--piece", "1")
    ran = run("piece", "cup-1")
    assert ran.status == 0
    lines = ran.out.splitlines()
    assert lines[0] == "cup-1: in work; next is op 20"
    assert lines[1] == "  2026-03-01  op 10   turn outside done"
    assert lines[2].startswith(
        "  2026-03-01  op 10   height 32.05 (was 32.41: digits exchanged)  good"
    )
    assert "note: a small scratch" in lines[3]
    assert run("piece", "cup-9").status == 2


def test_status_answers_next_then_missing_then_out_then_the_grid(run: Run) -> None:
    run("done", "cup", "10", "1")
    run("read", "cup", "10", "height", "2", "32.4")
    out = run("status").out
    places = [out.index(w) for w in ("next\n", "\nmissing\n", "\nout, in doubt", "\ncup: 0 of 3")]
    assert places == sorted(places)
    assert "ring: not begun; 2 pieces for 2 needed" in out
    assert "x done and read" in out
    assert "verdicts by the simple rule" in out


def test_a_scrapped_piece_is_not_used_as_it_is(run: Run) -> None:
    run("piece", "cup-2", "scrap", "--why", "chatter")
    for decision in ("use-as-is", "rework"):
        ran = run("piece", "cup-2", decision, "--why", "second thoughts")
        assert (ran.status, "cup-2 was scrapped (chatter)" in ran.err) == (2, True)


def test_a_run_of_pieces_without_end_is_refused_at_once(run: Callable[..., Ran]) -> None:
    for pieces in ("1-999999999999", "1-3,2-999999999999", "9" * 5000, "1-" + "9" * 5000):
        ran = run("done", "cup", "10", pieces)
        assert ran.status == 2
        assert "raise `spare`" in ran.err or "names no piece" in ran.err


def test_plan_warns_of_a_kind_that_it_does_not_know(build_dir: Path, run: Run) -> None:
    assert "is not known" not in run("plan").err
    plan = build_dir / "build.toml"
    text = plan.read_text("utf-8").replace('kind = "boring"', 'kind = "frobbing"')
    plan.write_text(text.replace('name = "bore"', 'name = "x"'), encoding="utf-8")
    ran = run("plan")
    assert ran.status == 0
    assert 'cup op 20: kind "frobbing" is not known; its cautions are those of a machine' in ran.err


def test_start_says_the_cautions_in_the_builds_language(build_dir: Path, run: Run) -> None:
    assert "The machine's manual, the safety data sheets" in run("start", "cup", "10").out
    plan = build_dir / "build.toml"
    text = plan.read_text("utf-8").replace('units = "mm"', 'units = "mm"\nlanguage = "de"')
    plan.write_text(text, encoding="utf-8")
    assert "Betriebsanleitung, Sicherheitsdatenblätter" in run("start", "cup", "10").out


def test_what_was_noted_at_the_start_stands_with_the_piece(run: Run) -> None:
    run("start", "cup", "10", "-n", "1200 rpm, white spirit, stop at 32")
    run("done", "cup", "10", "1")
    run("start", "cup", "10", "-n", "1200 rpm, white spirit, stop at 32")
    said = run("piece", "cup-1").out
    assert said.count("turn outside begun: 1200 rpm, white spirit, stop at 32") == 1
    assert "1200 rpm" not in run("piece", "cup-2").out
