"""A plan whose operations and dimensions stand by turns is changed like any other."""

from collections.abc import Callable
from pathlib import Path

import pytest
import tomlkit

from qlog.drawing.editing.plan_file import edited_in_order
from tests.conftest import Ran

PLAN = """\
title = "By turns"
units = "mm"

[instrument.caliper]
name = "caliper"
kind = "caliper"
step = 0.01
error = 0.03

[[part]]
id = "cup"   # the upper one
needed = 2

  # first of all
  [[part.op]]
  number = 10
  name = "turn"

  [[part.dim]]   # right behind its operation
  id = "height"
  callout = "32 ±0.1"
  op = 10
  instrument = "caliper"

  [[part.op]]
  number = 20   # later
  name = "bore"

  # about the bore
  [[part.dim]]
  id = "bore"
  callout = "Ø22 +0.05/0"
  op = 20
  instrument = "caliper"
"""


@pytest.fixture
def plan(build_dir: Path) -> Path:
    (build_dir / "build.toml").write_text(PLAN, encoding="utf-8", newline="\n")
    return build_dir / "build.toml"


def test_a_writer_of_lists_regroups_such_a_plan() -> None:
    """What the order is kept against: without it the tables change places."""
    assert tomlkit.dumps(tomlkit.parse(PLAN)) != PLAN


@pytest.mark.parametrize("end", ["", "\n", "\n\n# the end\n"])
@pytest.mark.parametrize("inside", ["", '  note = """\n[[part.dim]]\n# table 0\n"""\n'])
def test_unchanged_every_byte_stays(end: str, inside: str) -> None:
    text = PLAN.replace('  name = "turn"\n', f'  name = "turn"\n{inside}').rstrip("\n") + end
    assert edited_in_order(text, lambda marked: tomlkit.dumps(tomlkit.parse(marked))) == text


def test_a_text_without_tables_stays() -> None:
    assert edited_in_order('title = "x"\n', lambda marked: marked) == 'title = "x"\n'


@pytest.mark.parametrize(
    ("words", "old", "new"),
    [
        (["revise", "cup.height", "32 ±0.2"], '"32 ±0.1"', '"32 ±0.2"'),
        (["revise", "cup", "--needed", "3"], "needed = 2", "needed = 3"),
        (["rename", "dim", "cup.bore", "socket"], 'id = "bore"', 'id = "socket"'),
        (["rename", "instrument", "caliper", "slide"], "caliper]", "slide]"),
    ],
)
def test_a_change_touches_its_own_line_alone(
    plan: Path, run: Callable[..., Ran], words: list[str], old: str, new: str
) -> None:
    ran = run(*words, "--why", "tried")
    assert ran.status == 0, ran.err
    expected = PLAN.replace(old, new)
    if "slide" in words:
        expected = expected.replace('instrument = "caliper"', 'instrument = "slide"')
    assert plan.read_text(encoding="utf-8") == expected
