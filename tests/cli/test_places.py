"""One rule for places: callout and instrument step, in both units; no figure that nobody wrote."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran, run_qlog

PLAN = """\
title = "Inch stems"
units = "inch"

[instrument.mic]
name = "micrometer"
kind = "micrometer"
step = 0.0001
error = 0.0001

[instrument.mm]
name = "metric micrometer"
kind = "micrometer"
unit = "mm"
step = 0.001
error = 0.002

[instrument.protractor]
name = "protractor"
kind = "protractor"
unit = "deg"
step = 0.1
error = 0.1

[[part]]
id = "cup"
name = "Cup"
needed = 2
spare = 1
  [[part.op]]
  number = 10
  name = "bore"
  kind = "boring"
  [[part.dim]]
  id = "bore"
  name = "bore"
  callout = "Ø22 mm H7"
  op = 10
  instrument = "mm"
  measures = "inside"
  [[part.dim]]
  id = "angle"
  name = "angle"
  callout = "7.3333° ±0.5°"
  op = 10
  instrument = "protractor"

[[part]]
id = "stem"
name = "Stem"
needed = 2
spare = 1
  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"
  [[part.dim]]
  id = "shank"
  name = "shank"
  callout = "Ø.8658 ±.0006"
  op = 10
  instrument = "mic"
  measures = "outside"

[[joint]]
id = "slide"
inside = "cup.bore"
outside = "stem.shank"
clearance = ".0002 to .0012"

[[stack]]
id = "sum"
name = "sum"
callout = "1.7315 ±.002"
add = ["cup.bore", "stem.shank"]

[[item]]
id = "set"
name = "Set"
count = 2
takes = { cup = 1, stem = 1 }
"""

#: More figures behind the point than anybody writes or any instrument here shows.
ENDLESS = re.compile(r"\.0*[1-9]\d{7,}")


@pytest.fixture
def q(tmp_path: Path) -> Callable[..., Ran]:
    folder = tmp_path / "b"
    assert run_qlog("new", str(folder)).status == 0
    (folder / "build.toml").write_text(PLAN, encoding="utf-8")
    run: Callable[..., Ran] = lambda *words: run_qlog("--build", str(folder), *words)  # noqa: E731
    for words in (
        ("cup", "10", "bore", "1", "0.866251984251968504 in"),  # 22.0028 mm
        ("cup", "10", "bore", "2", "22.002"),
        ("cup", "10", "angle", "1", "7°20'"),  # 7.333333333333333333333333333 degrees
        ("stem", "10", "shank", "1", ".8657"),
        ("stem", "10", "shank", "2", ".8656"),
    ):
        assert run("read", *words).status == 0
    return run


@pytest.mark.parametrize(
    "words",
    [
        ("plan",), ("fit",), ("fit", "--for", "stem-3"), ("fit", "--for", "cup-3"), ("spread",),
        ("spread", "cup"), ("match",), ("drift",), ("status",), ("gauge", "budget", "cup", "bore"),
        ("gauge", "budget", "cup", "angle"), ("gauge", "budget", "stem", "shank", "-i", "mm"),
    ],
)  # fmt: skip
def test_no_command_prints_a_number_without_an_end(q: Callable[..., Ran], words: str) -> None:
    ran = q(*words)
    assert ran.status in (0, 1)
    assert not ENDLESS.findall(ran.out + ran.err)


def test_a_long_value_that_was_typed_is_not_repeated(q: Callable[..., Ran]) -> None:
    """It is out and undecided, so that `match` leaves it out with its value."""
    assert q("read", "cup", "10", "bore", "3", "0.876251984251968504 in").status == 1
    q("correct", "cup", "10", "bore", "3", "0.87625198425196851 in", "--why", "slip")
    said = {words: q(*words).out for words in (("cup-3",), ("match",), ("status",))}
    assert all("0.8762519..." in said[words] for words in (("cup-3",), ("match",)))
    assert not ENDLESS.findall("".join(said.values()))


def test_an_echo_has_an_end_in_both_units(q: Callable[..., Ran]) -> None:
    for place, value in (
        (("cup", "10", "bore", "3"), "0.866492125984251969 in"),
        (("cup", "10", "angle", "2"), "7°19'"),
    ):
        ran = q("read", *place, value)
        assert ran.status == 0
        assert not ENDLESS.findall(ran.out)


def test_what_to_aim_at_is_said_as_the_dimension_is_drawn_and_read(q: Callable[..., Ran]) -> None:
    # By hand, guarded: the bore's own limits 22.000..22.021 mm, read with ±0.002 mm and a step of
    # 0.001 mm, and .0002..0.0012 in over stems of .8656 and .8657 in (21.98624 and 21.98878 mm):
    # between 21.98878 + 0.00508 and 21.98624 + 0.03048, before the guards; the drawing is narrower.
    cup = q("fit", "--for", "cup-3").out
    found = re.search(r"make it (\d+\.\d+)\.\.(\d+\.\d+) mm", cup)
    assert "drawing 22.000 to 22.021 mm" in cup and found is not None
    low, high = map(float, found.groups())
    assert 22.000 < low < 22.003 < 22.010 < high < 22.0168
    assert all(len(text.partition(".")[2]) == 3 for text in found.groups())
    stem = q("fit", "--for", "stem-3").out
    assert re.search(r"make it 0?\.\d{4} \.\. 0?\.\d{4} in", stem)


def test_how_far_an_angle_in_minutes_is_off_has_an_end(build_dir: Path) -> None:
    """22° ±20' has no end in degrees: 22.3333333333 is a third of a degree off."""
    plan = build_dir / "build.toml"
    text = plan.read_text(encoding="utf-8").replace('"32 ±0.1"', '"22° ±20\'"', 1)
    plan.write_text(text.replace('measures = "length"', "", 1), encoding="utf-8")
    said = run_qlog("--build", str(build_dir), "read", "cup", "10", "height", "1", "22.3333333333")
    assert "22.33 °" in said.out and "+0.33 from mid-tolerance" in said.out, said
