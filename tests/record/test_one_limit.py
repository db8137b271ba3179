"""What has one limit to miss, or ends at 0, is told by its distance to that: it has no middle."""

import json
import re
from pathlib import Path

import pytest

from tests.conftest import run_qlog

PLAN = """
title = "Drip pans"
units = "mm"
language = "{language}"

[[part]]
id = "pan"
name = "Pan"
needed = 3
  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"
  [[part.dim]]
  id = "runout"
  name = "runout of the rim"
  callout = "runout 0.06"
  op = 10
  [[part.dim]]
  id = "finish"
  name = "finish"
  callout = "Ra 0.8 max"
  op = 10
  [[part.dim]]
  id = "grip"
  name = "grip of the knurl"
  callout = "Ra 0.4..0.8"
  op = 10
  [[part.dim]]
  id = "width"
  name = "width"
  callout = "12 ±0.1"
  op = 10
"""
EDITION = {"en": "maker", "de": "Werkstatt"}
SAID = {
    "en": ("0.04 to the limit", "+0.02 from mid-tolerance", "Distance to the limit",
           "Deviation from mid-tolerance", "Limit used by the largest", "Tolerance used"),
    "de": ("0,04 bis zur Grenze", "+0,02 zur Toleranzmitte", "Abstand zur Grenze",
           "Abweichung von der Toleranzmitte", "Grenze genutzt vom größten", "Genutzte Toleranz"),
}  # fmt: skip


@pytest.mark.parametrize("language", SAID)
def test_the_distance_to_the_only_limit_on_screen_in_json_and_on_the_page(
    tmp_path: Path, language: str
) -> None:
    echoed, middled, column, of_middle, limit_used, used = SAID[language]
    folder = tmp_path / "b"
    assert run_qlog("new", str(folder)).status == 0
    (folder / "build.toml").write_text(PLAN.replace("{language}", language), encoding="utf-8")

    def q(*words: str) -> str:
        ran = run_qlog("--build", str(folder), *words)
        assert ran.status == 0, ran
        return ran.out.replace("\N{SOFT HYPHEN}", "")

    said = q("read", "pan", "10", "runout", "1", "0.02")
    assert echoed in said and "|.......o.............|" in said
    assert middled in q("read", "pan", "10", "width", "1", "12.02")
    q("read", "pan", "10", "width", "2", "12.03")
    assert echoed.replace("04", "3") in q("read", "pan", "10", "finish", "1", "0.5")
    q("read", "pan", "10", "runout", "2", "0.03")
    assert middled in q("read", "pan", "10", "grip", "1", "0.62")
    q("read", "pan", "10", "grip", "2", "0.66")
    rows = {
        d["dimension"]: d["statistics"] for d in json.loads(q("spread", "--json"))["dimensions"]
    }
    assert rows["runout"]["share_used"] == "0.5"  # 0.03 of 0.06; the spread would be a sixth
    assert rows["grip"]["share_used"] == "0.1"  # 0.04 of 0.4: its lower limit can be missed too
    assert "|.......o..o..........|" in q("spread")
    q("record")

    def page(dimension: str) -> str:
        found = folder / f"record/{EDITION[language]}/dimensions/pan-{dimension}.html"
        return found.read_text("utf-8").replace("\N{SOFT HYPHEN}", "")

    runout, finish, width, grip = map(page, ("runout", "finish", "width", "grip"))
    assert column in runout and column in finish and column not in width
    assert of_middle in width and of_middle not in runout + finish
    assert f'data-label="{column}" class="n">{echoed[:4]}</td>' in runout
    assert limit_used in runout and used not in runout
    assert used in width
    assert of_middle in grip and used in grip and column not in grip and limit_used not in grip
    assert f'data-label="{of_middle}" class="n">{middled[:5]}</td>' in grip


def test_a_roughness_that_creeps_to_its_lower_limit_is_foretold_to_pass_it(tmp_path: Path) -> None:
    folder = tmp_path / "b"
    assert run_qlog("new", str(folder)).status == 0
    plan = PLAN.replace("{language}", "en").replace("needed = 3", "needed = 20")
    (folder / "build.toml").write_text(plan, encoding="utf-8")
    for piece in range(1, 11):
        value = f"{0.66 - 0.02 * piece + 0.003 * (-1) ** piece:.3f}"
        read = run_qlog("--build", str(folder), "read", "pan", "10", "grip", str(piece), value)
        assert read.status == 0, read
    ran = run_qlog("--build", str(folder), "drift", "--json")
    (grip,) = (d for d in json.loads(ran.out)["dimensions"] if d["dimension"] == "grip")
    (setup,) = grip["setups"]
    assert setup["forecast"]["leaves"] == 14, "its expected reading is 0.38 there"


def test_what_is_past_its_only_limit_and_not_proven_out_says_how_far(tmp_path: Path) -> None:
    folder = tmp_path / "b"
    assert run_qlog("new", str(folder)).status == 0
    tool = 'rule = "guarded"\n\n[instrument.dial]\nname = "dial"\nstep = 0.01\nerror = 0.02\n'
    plan = PLAN.replace("{language}", "en").replace("\n\n[[part]]", f"\n{tool}\n[[part]]", 1)
    plan = plan.replace("12 ±0.1", "3 min")
    (folder / "build.toml").write_text(plan, encoding="utf-8")

    def said(dimension: str, piece: str, value: str) -> str:
        return run_qlog(
            "--build", str(folder), "read", "pan", "10", dimension, piece, value, "-i", "dial"
        ).out

    runout, width = said("runout", "1", "0.07"), said("width", "1", "2.99")
    assert "not proven" in runout and "0.01 beyond 0.06" in runout
    assert "not proven" in width and "0.01 beyond 3" in width
    assert "0.00 to the limit" in said("runout", "2", "0.06")


def test_the_largest_reading_is_not_told_as_the_limit_that_it_exceeds(tmp_path: Path) -> None:
    folder = tmp_path / "b"
    assert run_qlog("new", str(folder)).status == 0
    (folder / "build.toml").write_text(PLAN.replace("{language}", "en"), encoding="utf-8")
    for piece, value in enumerate(("0.82", "0.7"), start=1):
        run_qlog("--build", str(folder), "read", "pan", "10", "finish", str(piece), value)
    run_qlog("--build", str(folder), "record")
    html = (folder / "record/maker/dimensions/pan-finish.html").read_text("utf-8")
    told = re.findall(r"<dt>(Smallest|Largest|Spread)</dt><dd>([0-9.]+)", html)
    assert told == [("Smallest", "0.70"), ("Largest", "0.82"), ("Spread", "0.12")]
    used = re.search(r"<dt>Limit used by the largest</dt><dd>(\d+)", html)
    assert used is not None and used[1] == "103"  # 102.5
    assert " 103 % " in run_qlog("--build", str(folder), "spread").out
