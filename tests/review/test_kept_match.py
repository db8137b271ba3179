"""A match that was shown can be kept, and what was laid out on the bench is what is logged."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from qlog.logbook.facts import Assembly, KeptMatch
from qlog.logbook.store import Logbook
from tests.conftest import Ran, run_qlog
from tests.review.test_mating import PLAN, fill

Qlog = Callable[..., Ran]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    assert run_qlog("new", str(tmp_path / "b")).status == 0
    (tmp_path / "b" / "build.toml").write_text(PLAN, encoding="utf-8")
    return tmp_path / "b"


@pytest.fixture
def q(folder: Path) -> Qlog:
    run: Qlog = lambda *words, stdin="": run_qlog("--build", str(folder), *words, stdin=stdin)  # noqa: E731
    fill(run)
    return run


def shown(q: Qlog) -> dict[str, list[str]]:
    return {i["item"]: i["pieces"] for i in json.loads(q("match", "--json").out)["items"]}


def logged(folder: Path) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    with Logbook(folder / "logbook.db") as log:
        for entry in log.live(Assembly):
            found.setdefault(entry.fact.item, []).append(f"{entry.fact.part}-{entry.fact.piece}")
    return found


def read_again(q: Qlog, table: dict[str, list[str]]) -> None:
    """Correct sizes until the matching would choose other pieces than the table showed."""
    assert q("correct", "cup", "10", "height", "1", "20.05", "--why", "dirt").status < 2
    assert q("correct", "cup", "10", "height", "2", "20.00", "--why", "dirt").status < 2
    assert shown(q) != table


def test_without_a_kept_match_nothing_is_assembled_as_matched(folder: Path, q: Qlog) -> None:
    assert "not kept: `qlog match --keep`" in q("match").out
    ran = q("assemble", "set-1", "--as-matched")
    assert (ran.status, "no match was kept" in ran.err, "qlog match --keep" in ran.err) == (
        2,
        True,
        True,
    )
    assert logged(folder) == {}


def test_one_command_assembles_all_items_as_the_table_showed(folder: Path, q: Qlog) -> None:
    table = shown(q)
    assert "kept: `qlog assemble --as-matched`" in q("match", "--keep").out
    assert "these pieces were kept on" in q("match").out
    ran = q("assemble", "--as-matched", "-n", "pressed")
    assert ran.status == 0
    assert logged(folder) == table
    again = q("assemble", "--as-matched")  # twice is as good as once
    assert (again.status, logged(folder)) == (0, table)


def test_the_table_is_taken_even_when_matching_would_now_choose_otherwise(
    folder: Path, q: Qlog
) -> None:
    table = shown(q)
    assert q("match", "--keep").status == 0
    read_again(q, table)
    assert "other pieces were kept" in q("match").out
    ran = q("assemble", "--as-matched")
    assert ran.status == 1
    assert "something was entered about" in ran.out and "cup-1" in ran.out
    assert "`qlog match` would choose other pieces now" in ran.out
    assert logged(folder) == table


def test_another_choice_replaces_the_kept_one_only_with_a_reason(folder: Path, q: Qlog) -> None:
    table = shown(q)
    assert q("match", "--keep").status == 0
    assert q("match", "--keep").status == 0  # the same choice: one entry
    read_again(q, table)
    ran = q("match", "--keep")
    assert (ran.status, "--why" in ran.err) == (2, True)
    assert q("match", "--keep", "--why", "cups read again").status == 0
    with Logbook(folder / "logbook.db") as log:
        old, new = log.history(KeptMatch)
    assert (old.superseded_by, new.supersedes, new.reason) == (new.id, old.id, "cups read again")
    assert q("assemble", "--as-matched").status == 0
    assert logged(folder) == shown(q) != table


def test_a_kept_piece_that_was_scrapped_stops_the_whole_set(folder: Path, q: Qlog) -> None:
    table = shown(q)
    assert q("match", "--keep").status == 0
    piece = table["set-2"][0]
    assert q("piece", piece, "scrap", "--why", "dropped").status < 2
    ran = q("assemble", "--as-matched")
    assert (ran.status, f"{piece} was scrapped" in ran.err) == (2, True)
    assert logged(folder) == {}


def test_a_changed_drawing_is_said(folder: Path, q: Qlog) -> None:
    assert q("match", "--keep").status == 0
    plan = folder / "build.toml"
    plan.write_text(PLAN.replace("Stems in cups", "Stems in their cups"), encoding="utf-8")
    ran = q("assemble", "--as-matched")
    assert (ran.status, "build.toml was changed" in ran.out) == (1, True)


def test_a_match_kept_by_mistake_can_be_taken_back(folder: Path, q: Qlog) -> None:
    assert q("match", "--keep").status == 0
    with Logbook(folder / "logbook.db") as log:
        (entry,) = log.live(KeptMatch)
    assert q("undo", str(entry.id), "--why", "not laid out yet").status == 0
    assert q("assemble", "--as-matched").status == 2


def test_it_is_said_in_german(folder: Path, q: Qlog) -> None:
    (folder / "build.toml").write_text('language = "de"\n' + PLAN, encoding="utf-8")
    assert "festgehalten: `qlog assemble --as-matched`" in q("match", "--keep").out
