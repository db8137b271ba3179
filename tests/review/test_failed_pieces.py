"""What failed, or is not here, never goes into a finished item unsaid."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran, run_qlog
from tests.review.test_mating import PLAN, fill, picture


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    assert run_qlog("new", str(tmp_path / "b")).status == 0
    (tmp_path / "b" / "build.toml").write_text(PLAN, encoding="utf-8")
    return tmp_path / "b"


@pytest.fixture
def q(folder: Path) -> Callable[..., Ran]:
    return lambda *words, stdin="": run_qlog("--build", str(folder), *words, stdin=stdin)


@pytest.fixture
def failed(q: Callable[..., Ran]) -> Callable[..., Ran]:
    """Cup 2's height is 0.20 over its limit; it is the cup that matching would like best."""
    fill(q, **{"cup 10 height": "20.00 - 19.95", "cup 10 bore": "8.010 8.004 8.005"})
    assert q("read", "cup", "10", "height", "2", "20.30").status == 1
    return q


def items(ran: Ran) -> set[str]:
    return {piece for item in json.loads(ran.out)["items"] for piece in item["pieces"]}


def test_a_failed_piece_is_left_out_of_the_match_and_named(failed: Callable[..., Ran]) -> None:
    ran = failed("match")
    assert ran.status == 1
    assert "left out: cup-2, height 20.30 is out high" in ran.out
    assert "cup-2" not in items(failed("match", "--json"))
    assert json.loads(failed("match", "--json").out)["left_out"] == [
        {"piece": "cup-2", "why": "height 20.30 is out high", "item": None}
    ]


def test_it_is_taken_once_it_is_used_as_it_is(failed: Callable[..., Ran]) -> None:
    assert failed("piece", "cup-2", "use-as-is", "--why", "stands on its rim").status == 0
    ran = failed("match")
    assert "left out" not in ran.out and ran.status == 0
    assert failed("assemble", "set-1", "cup-2", "stem-2").status == 0


def test_rework_alone_does_not_make_it_good_but_the_new_reading_does(
    failed: Callable[..., Ran],
) -> None:
    assert failed("piece", "cup-2", "rework", "--why", "face it again").status == 0
    assert "left out: cup-2" in failed("match").out
    words = ("cup", "10", "height", "2", "20.02", "--why", "faced again")
    assert failed("correct", *words).status == 0
    assert "left out" not in failed("match").out


def test_it_can_be_asked_for_by_name(failed: Callable[..., Ran]) -> None:
    assert failed("piece", "cup-1", "scrap", "--why", "dropped").status == 0
    assert "cup-2" not in items(failed("match", "--json"))
    assert "cup-2" in items(failed("match", "--json", "--with", "cup-2"))


def test_assembling_it_wants_a_reason_that_the_record_keeps(
    failed: Callable[..., Ran], folder: Path
) -> None:
    ran = failed("assemble", "set-1", "cup-2", "stem-2")
    assert (ran.status, "height 20.30 is out high; nothing was entered" in ran.err) == (2, True)
    assert (
        failed("assemble", "set-1", "cup-2", "stem-2", "--despite", "hidden by the rim").status == 0
    )
    _, seen = picture(folder)
    assert seen.items[0].notes == ("cup-2, height 20.30 is out high: hidden by the rim",)
    # It stands in an item now, and is still named until somebody decides about it.
    ran = failed("match")
    assert ran.status == 1 and "cup-2 is in set-1: height 20.30 is out high" in ran.out


def test_a_no_go_bars_a_piece_as_a_number_out_does(folder: Path, q: Callable[..., Ran]) -> None:
    plan = PLAN.replace(
        '  id = "height"\n  name = "height"\n  callout = "20 ±0.1"',
        '  id = "rim"\n  name = "rim"\n  callout = "go/no-go"\n  op = 10\n'
        '  [[part.dim]]\n  id = "height"\n  name = "height"\n  callout = "20 ±0.1"',
    )
    (folder / "build.toml").write_text(plan, encoding="utf-8")
    fill(q, **{"cup 10 bore": "8.010 8.004 8.005"})
    assert q("read", "cup", "10", "rim", "1", "no-go").status in (0, 1)
    ran = q("match")
    assert ran.status == 1 and "left out: cup-1, rim no-go failed" in ran.out


def test_a_piece_that_is_still_away_stays_out(folder: Path, q: Callable[..., Ran]) -> None:
    fill(q, **{"cup 10 bore": "8.010 8.004 8.005"})
    assert q("done", "stem", "10").status == 0
    assert q("send", "stem", "20", "1", "--to", "the plater").status == 0
    ran = q("match")
    assert ran.status == 1 and "left out: stem-1, it is still sent out" in ran.out
    ran = q("assemble", "set-1", "cup-1", "stem-1")
    assert (ran.status, "stem-1: it is still sent out" in ran.err) == (2, True)


def test_a_failed_piece_is_never_counted_as_finished(failed: Callable[..., Ran]) -> None:
    assert failed("done", "cup", "10").status == 0
    told = {p["id"]: p for p in json.loads(failed("status", "--json").out)["parts"]}
    assert told["cup"]["finished"] == 2  # of three, one of which is out
    assert failed("piece", "cup-2", "use-as-is", "--why", "stands on its rim").status == 0
    told = {p["id"]: p for p in json.loads(failed("status", "--json").out)["parts"]}
    assert told["cup"]["finished"] == 3


def test_a_piece_with_a_reading_missing_is_not_finished(q: Callable[..., Ran]) -> None:
    fill(q, **{"cup 10 height": "20.00 20.05 -"})
    assert q("done", "cup", "10").status == 0
    told = {p["id"]: p for p in json.loads(q("status", "--json").out)["parts"]}
    assert told["cup"]["finished"] == 2
    assert "every operation done, 1 reading missing" in q("piece", "cup-3").out
    assert "finished" in q("piece", "cup-1").out
