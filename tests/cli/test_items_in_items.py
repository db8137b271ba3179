"""Items built from items: planned, put together, whole or not, in both editions."""

import json
from collections.abc import Callable
from decimal import Decimal
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qlog.drawing.build_file.load import load
from qlog.drawing.build_file.mistakes import PlanError
from qlog.logbook.facts import Assembly
from qlog.logbook.store import Logbook, create
from qlog.review.whole import picture_from
from qlog.study.matching.match import together
from tests.conftest import Ran, run_qlog

PLAN = """\
title = "Pairs on a board"

[[part]]
id = "cup"
name = "Cup"
needed = 4
spare = 1

  [[part.op]]
  number = 10
  name = "turn"

  [[part.dim]]
  id = "height"
  name = "height"
  callout = "30 ±0.1"
  op = 10

[[part]]
id = "board"
name = "Board"
needed = 1
spare = 0

  [[part.op]]
  number = 10
  name = "plane"

[[stack]]
id = "row"
name = "height"
add = ["cup.height"]
callout = "30 ±0.2"

[[item]]
id = "shelf"
name = "Shelf"
count = 1
takes = { board = 1, pair = 2 }

[[item]]
id = "pair"
name = "Pair"
count = 2
takes = { single = 2 }

[[item]]
id = "single"
name = "Single"
count = 4
takes = { cup = 1 }
"""

Run = Callable[[str], Ran]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    (tmp_path / "build.toml").write_text(PLAN, encoding="utf-8")
    create(tmp_path / "logbook.db")

    def run(line: str) -> Ran:
        return run_qlog("--build", str(tmp_path), *line.split())

    for piece in range(1, 5):
        run(f"read cup 10 height {piece} 30.0{piece}")
    run("done cup 10")
    run("done board 10")
    return run


def whole(folder: Path) -> dict[str, bool]:
    with Logbook(folder / "logbook.db") as log:
        picture = picture_from(load(folder / "build.toml"), log)
        assert picture.homeless == ()
    return {item.id: item.complete for item in picture.items}


def test_three_levels_are_put_together_and_whole_from_below(run: Run, tmp_path: Path) -> None:
    for n in range(1, 5):
        assert run(f"assemble single-{n} cup-{n}").status == 0
    assert whole(tmp_path) | {"single-1": True} == {
        "shelf-1": False, "pair-1": False, "pair-2": False,
        "single-1": True, "single-2": True, "single-3": True, "single-4": True,
    }  # fmt: skip
    ran = run("assemble pair-1 single-1 single-2 -n pinned")
    assert (ran.status, "pair-1: single-1 single-2" in ran.out) == (0, True)
    run("assemble shelf-1 board-1 pair-1 pair-2")
    assert not whole(tmp_path)["shelf-1"], "the second pair is not put together yet"
    run("assemble pair-2 single-3 single-4")
    assert all(whole(tmp_path).values())
    assert run("assemble pair-1 --size 30.05").status == 0
    assert run("verify").status == 0


def test_an_item_is_in_one_other_and_the_right_number_goes_in(run: Run, tmp_path: Path) -> None:
    run("assemble pair-1 single-1 single-2")
    twice = run("assemble pair-2 single-2 single-3")
    assert (twice.status, "single-2 is in pair-1 already" in twice.err) == (2, True)
    few = run("assemble pair-2 single-3")
    assert (few.status, "takes 2 of single" in few.err) == (2, True)
    other = run("assemble pair-2 single-3 pair-1")
    assert other.status == 2
    # A slip: the others instead, with a reason; the log keeps what was entered first.
    assert run("assemble pair-1 single-3 single-4 --why swapped").status == 0
    with Logbook(tmp_path / "logbook.db") as log:
        assert sorted(e.fact.piece for e in log.live(Assembly, item="pair-1")) == [3, 4]
        assert len(log.history(Assembly)) == 4
        number = log.live(Assembly, item="pair-1")[0].id
    assert "single-3 built into pair-1" in run("undo").out
    assert run(f"undo {number} --why other").status == 0
    assert not whole(tmp_path)["pair-1"]


def test_both_editions_show_what_is_in_what(run: Run, tmp_path: Path) -> None:
    for n in range(1, 5):
        run(f"assemble single-{n} cup-{n}")
    run("assemble pair-1 single-1 single-2")
    run("assemble pair-2 single-3 single-4")
    run("assemble shelf-1 board-1 pair-1 pair-2")
    assert run("record").status == 0
    maker = (tmp_path / "record" / "maker" / "items.html").read_text("utf-8")
    assert '<a href="items.html#pair-1">' in maker
    items = tmp_path / "record" / "recipient" / "items"
    shelf = (items / "shelf-1.html").read_text("utf-8")
    assert '<a href="../items/pair-2.html">Pair 2</a>' in shelf
    pair = (items / "pair-2.html").read_text("utf-8")
    assert '<a href="../items/shelf-1.html">Shelf 1</a>' in pair
    assert '<a href="../items/single-3.html">Single 3</a>' in pair


def test_match_proposes_which_items_go_together(run: Run, tmp_path: Path) -> None:
    plan = tmp_path / "build.toml"
    stack = PLAN[PLAN.index("[[stack]]") : PLAN.index("[[item]]")]
    plan.write_text(PLAN.replace(stack, ""), "utf-8")
    told = json.loads(run("match --json").out)["items_within"]
    assert told == {
        "shelf-1": ["pair-1", "pair-2"], "pair-1": ["single-1", "single-2"],
        "pair-2": ["single-3", "single-4"],
    }  # fmt: skip
    assert "pair-1: single-1 and single-2, in their order" in run("match").out
    # With a size of their own the most alike go together: 30.01 with 30.02, 30.08 with 30.09.
    plan.write_text(PLAN, "utf-8")
    for piece, size in ((1, "30.01"), (2, "30.08"), (3, "30.02"), (4, "30.09")):
        run(f"correct cup 10 height {piece} {size} --why again")
        run(f"assemble single-{piece} cup-{piece}")
    ran = run("match").out
    assert "pair-1: single-1 and single-3, 0.01 mm apart in height (as alike as can be)" in ran
    run("assemble pair-1 single-1 single-3")
    assert "pair-1 holds single-1 and single-3" in run("match").out


@given(
    sizes=st.lists(st.integers(0, 30), min_size=4, max_size=7), each=st.integers(2, 3),
    count=st.integers(1, 2),
)  # fmt: skip
def test_no_other_grouping_is_more_alike(sizes: list[int], each: int, count: int) -> None:
    named = [(f"i{n}", Decimal(size)) for n, size in enumerate(sizes)]
    found = together(named, each, count)
    groups = min(count, len(sizes) // each)
    assert len({n for g in found for n in g.items}) == groups * each

    def worst(left: frozenset[int], more: int) -> int:
        if not more:
            return 0
        return min(
            max(max(sizes[n] for n in own) - min(sizes[n] for n in own),
                worst(left - set(own), more - 1))
            for own in combinations(sorted(left), each)
        )  # fmt: skip

    assert max((g.spread for g in found), default=0) == worst(frozenset(range(len(sizes))), groups)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("{ cup = 1 }", "{ cup = 1, single = 1 }", "single holds itself"),
        ("{ cup = 1 }", "{ cup = 1, shelf = 1 }", "holds itself"),
        ("{ single = 2 }", "{ single = 3 }", "the items take 6 of single, and there are 4"),
        ("{ single = 2 }", "{ sngle = 2 }", 'part "sngle" is not known'),
    ],
)
def test_circles_and_too_many_are_named(tmp_path: Path, old: str, new: str, said: str) -> None:
    (tmp_path / "build.toml").write_text(PLAN.replace(old, new), encoding="utf-8")
    with pytest.raises(PlanError) as raised:
        load(tmp_path / "build.toml")
    assert any(said in str(m) for m in raised.value.mistakes), raised.value.mistakes
