"""Joints between items, sizes of larger items, and their choice kept and put together."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from itertools import permutations
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.drawing.build_file.mistakes import PlanError
from qlog.logbook.store import create
from tests.conftest import Ran, run_qlog
from tests.photo_scenes import photo

PART = """
[[part]]
id = "{id}"
name = "{id}"
needed = {needed}
spare = 0
  [[part.op]]
  number = 10
  name = "turn"
  [[part.dim]]
  id = "{dim}"
  name = "{dim}"
  callout = "{callout}"
  op = 10
  measures = "{measures}"
  instrument = "micrometer"
  [[part.dim]]
  id = "height"
  name = "height"
  callout = "20 ±0.1"
  op = 10
  instrument = "micrometer"
"""
PLAN = (
    """title = "Candlesticks of base and top, two to a pair"
rule = "simple"

[instrument.micrometer]
step = 0.001
error = 0.002
"""
    + PART.format(id="foot", needed=2, dim="bore", callout="Ø40 +0.1/0", measures="inside")
    + PART.format(id="cup", needed=2, dim="rim", callout="Ø40 +0.06/-0.04", measures="outside")
    + """
[[joint]]
id = "shut"
name = "the top on its base"
inside = "foot.bore"
outside = "cup.rim"
clearance = "0.02..0.05"

[[stack]]
id = "whole"
name = "height with the top"
add = ["foot.height", "cup.height"]
callout = "40 ±0.2"

[[stack]]
id = "piled"
name = "two bases piled"
add = ["foot.height", "foot.height"]
callout = "40 ±0.2"

[[item]]
id = "base"
count = 2
takes = { foot = 1 }

[[item]]
id = "top"
count = 2
takes = { cup = 1 }

[[item]]
id = "candlestick"
count = 2
takes = { base = 1, top = 1 }

[[item]]
id = "pair"
count = 1
takes = { candlestick = 2 }
"""
)
BORES, RIMS = ("40.080", "40.030"), ("39.995", "40.040")
HEIGHTS = {"foot": ("20.01", "20.04"), "cup": ("19.98", "20.02")}
Run = Callable[[str], Ran]


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The build with everything turned and read; tests take a copy of it."""
    folder = tmp_path_factory.mktemp("bases")
    (folder / "build.toml").write_text(PLAN, encoding="utf-8")
    create(folder / "logbook.db")
    lines = ["part,dimension,piece,value"]
    for part, dim, sizes in (("foot", "bore", BORES), ("cup", "rim", RIMS)):
        for piece, size in enumerate(sizes, 1):
            height = HEIGHTS[part][piece - 1]
            lines += [f"{part},{dim},{piece},{size}", f"{part},height,{piece},{height}"]
        assert run_qlog("--build", str(folder), "done", part, "10").status in (0, 1)
    (folder / "sizes.csv").write_text("\n".join(lines), encoding="utf-8")
    told = run_qlog("--build", str(folder), "read", "--csv", str(folder / "sizes.csv"), "--yes")
    assert told.status == 0, told
    return folder


@pytest.fixture
def run(read: Path, tmp_path: Path) -> Run:
    shutil.copytree(read, tmp_path, dirs_exist_ok=True)
    return lambda line: run_qlog("--build", str(tmp_path), *line.split())


def larger(run: Run) -> dict[str, dict[str, object]]:
    return {one["item"]: one for one in json.loads(run("match --json").out)["larger"]}


def test_tops_go_on_the_bases_that_they_fit(run: Run) -> None:
    """Of all ways to put two tops on two bases only one has both clearances in 0.02..0.05."""
    ways = {
        order: sum(0.02 <= round(float(BORES[b]) - float(RIMS[d]), 4) <= 0.05
                   for b, d in enumerate(order))
        for order in permutations(range(2))
    }  # fmt: skip
    assert ways == {(0, 1): 0, (1, 0): 2}
    found = json.loads(run("match --json").out)
    assert found["items_within"]["candlestick-1"] == ["base-1", "top-2"]
    assert found["items_within"]["candlestick-2"] == ["base-2", "top-1"]
    joints = {item: one["joints"] for item, one in larger(run).items()}
    assert joints["candlestick-1"] == [
        {"joint": "shut", "inside": "foot-1", "outside": "cup-2", "clearance": "0.040",
         "verdict": "good"}
    ]  # fmt: skip
    assert joints["pair-1"] == []  # both are joints of the candlesticks, not of the pair
    said = run("match").out
    assert "candlestick-1: base-1 and top-2, as they fit best" in said
    assert "the top on its base, foot-1 and cup-2: +0.040 mm good" in said


def test_a_larger_item_has_the_sizes_of_all_that_is_in_it(run: Run) -> None:
    found = larger(run)
    # 20.01 + 20.02 and 20.04 + 19.98; two feet lie in the pair alone, each counted once.
    assert found["candlestick-1"]["sizes"] == {"whole": "40.03"}
    assert found["candlestick-2"]["sizes"] == {"whole": "40.02"}
    assert found["pair-1"]["sizes"] == {"piled": "40.05"}
    assert "two bases piled: 40.05 mm good (from its pieces)" in run("match").out
    singles = json.loads(run("match --json").out)["items"]
    assert all("piled" not in item["sizes"] for item in singles)


def test_the_choice_is_kept_and_put_together_with_its_items(run: Run, tmp_path: Path) -> None:
    assert run("match --keep").status == 0
    ran = run("assemble --as-matched")
    assert ran.status == 0, (ran.out, ran.err)
    assert (
        "candlestick-1: base-1 top-2" in ran.out
        and "pair-1: candlestick-1 candlestick-2" in ran.out
    )
    assert run("assemble --as-matched").status == 0  # twice changes nothing
    assert "pair-1 holds candlestick-1 and candlestick-2" in run("match").out
    status = run("status").out
    assert "in base-1, candlestick-1, pair-1" in status and "pair: 1 of 1 whole" in status
    assert run("assemble candlestick-1 --stack whole --size 40.50").status == 1
    measured = run("match")
    assert measured.status == 1 and "height with the top: 40.50 mm out high (measured)" in (
        measured.out
    )
    picture = photo(tmp_path / "card" / "IMG_1.JPG", "10:05", 1)
    assert run(f"photo add {picture} --item candlestick-1").status == 0
    assert run("photo show 1 both").status == 0
    assert run("record").status in (0, 1)
    fits = (tmp_path / "record" / "maker" / "fits.html").read_text("utf-8")
    assert "the top on its base" in fits and "+0.040" in fits
    own = (tmp_path / "record" / "recipient" / "items" / "candlestick-1.html").read_text("utf-8")
    assert "<img" in own and "40.5" in own


def test_a_top_that_fits_nothing_is_found(run: Run) -> None:
    run("correct foot 10 bore 2 40.001 --why again")
    ran = run("match")
    assert ran.status == 1
    assert "the top on its base, foot-2 and cup-1: +0.006 mm out low" in ran.out


def test_an_item_left_over_takes_no_place_of_two_that_go_in_together(tmp_path: Path) -> None:
    """Two tops to a base, and the fifth one left over: it alone fits base-2, but is not enough."""
    before, _, after = PLAN.partition('[[stack]]\nid = "whole"')
    plan = before + after.partition("\n\n")[2]
    for old, new in (
        ("needed = 2", "needed = 5"),
        ("count = 2\ntakes = { cup = 1 }", "count = 5\ntakes = { cup = 1 }"),
        ("takes = { base = 1, top = 1 }", "takes = { base = 1, top = 2 }"),
    ):
        assert old in plan
        plan = plan.replace(old, new)
    (tmp_path / "build.toml").write_text(plan, encoding="utf-8")
    create(tmp_path / "logbook.db")
    lines = ["part,dimension,piece,value"]
    lines += [f"foot,bore,{n},{size}" for n, size in enumerate(BORES, 1)]
    rims = ("40.040", "40.041", "40.039", "40.040", "39.995")
    lines += [f"cup,rim,{n},{size}" for n, size in enumerate(rims, 1)]
    (tmp_path / "sizes.csv").write_text("\n".join(lines), encoding="utf-8")
    build = ("--build", str(tmp_path))
    assert run_qlog(*build, "read", "--csv", str(tmp_path / "sizes.csv"), "--yes").status == 0
    found = json.loads(run_qlog(*build, "match", "--json").out)["items_within"]
    assert [len(found[candlestick]) for candlestick in ("candlestick-1", "candlestick-2")] == [3, 3]
    assert "top-5" not in (*found["candlestick-1"], *found["candlestick-2"])


def test_stacks_over_several_pieces_are_reckoned_with_different_ones(run: Run) -> None:
    told = next(s for s in json.loads(run("fit --json").out)["stacks"] if s["stack"] == "piled")
    # Two feet, 20.01 and 20.04: one way to pile them, not 40.02 or 40.08 of one foot twice.
    found = told["from_the_pieces"]
    assert (found["smallest"], found["largest"], found["possible"]) == ("40.05", "40.05", 1)


def test_dimensions_of_one_part_are_named_equally_often(tmp_path: Path) -> None:
    text = PLAN.replace(
        '["foot.height", "foot.height"]', '["foot.height", "foot.height", "foot.bore"]'
    )
    (tmp_path / "build.toml").write_text(text, encoding="utf-8")
    with pytest.raises(PlanError, match="equally often"):
        load(tmp_path / "build.toml")
