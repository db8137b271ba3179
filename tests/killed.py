"""Kill the stream at random instants, and look for everything that it had acknowledged."""

from __future__ import annotations

import random
import re
import time
from dataclasses import dataclass
from pathlib import Path

from qlog.logbook.facts import Reading
from qlog.logbook.keeping.verify import verify
from qlog.logbook.store import Logbook, create
from tests.terminal import Terminal

PLAN = """\
title = "A long batch"
[instrument.micrometer]
name = "micrometer"
kind = "micrometer"
step = 0.001
error = 0.002
[[part]]
id = "pin"
name = "Pin"
needed = 60
spare = 0
  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"
  [[part.dim]]
  id = "outside"
  name = "outside"
  callout = "Ø12 ±0.02"
  op = 10
  instrument = "micrometer"
  measures = "outside"
"""
#: What the screen shows when an entry is acknowledged, and not before.
_ANSWERED = re.compile(r"  (?:good|out (?:high|low)|not proven)  |taken back")
AHEAD = 25  # readings at most in a sitting
SURE = 4  # of these at most are acknowledged before the killing may begin


@dataclass
class Told:
    """What the kills came to."""

    kills: int = 0
    acknowledged: int = 0
    undone: int = 0
    beyond: int = 0  # kills that fell between a commit and its acknowledgement


def kill_at_random(folder: Path, *, kills: int, seed: int) -> Told:
    """Kill a sitting `kills` times. Raises AssertionError when anything acknowledged is gone."""
    rng = random.Random(seed)
    told = Told()
    build = _fresh(folder, 0)
    expected: dict[int, str] = {}
    while told.kills < kills:
        if len(expected) > 60 - AHEAD - 5:
            build, expected = _fresh(folder, told.kills), {}
        steps = _script(rng)
        with Terminal("read", "pin", "10", folder=build) as t:
            t.expect("outside mm> ")
            sure = rng.randint(0, SURE)
            _type(t, steps[:sure])
            _type_until(t, steps[sure:], time.monotonic() + rng.uniform(0, 0.4))
            screen = t.kill()
        told.kills += 1
        answered = len(_ANSWERED.findall(screen))
        told.acknowledged += answered
        told.undone += sum(s is None for s in steps[:answered])
        found = _live(build)
        exactly = _after(expected, steps[:answered])
        one_more = _after(expected, steps[: answered + 1])
        assert found in (exactly, one_more), (
            f"kill {told.kills}: {answered} acknowledged on the screen, the logbook holds "
            f"{sorted(found.items())}, not {sorted(exactly.items())}\n{screen}"
        )
        told.beyond += found != exactly
        expected = found
        assert verify(build, build / "logbook.db").damage == ()
    return told


def _type(t: Terminal, steps: list[str | None]) -> None:
    """Each step, its prompt waited for however slow the machine is."""
    for step in steps:
        t.answer("u" if step is None else f"{step}\n", "outside mm> ")


def _type_until(t: Terminal, steps: list[str | None], end: float) -> None:
    """Each step as soon as its prompt stands there, up to some instant."""
    for step in steps:
        t.type("u" if step is None else f"{step}\n")
        try:
            t.expect("outside mm> ", end - time.monotonic())
        except AssertionError:
            return


def _script(rng: random.Random) -> list[str | None]:
    """Readings, and an undo (None) here and there where this sitting has something to undo."""
    steps: list[str | None] = []
    entered = 0
    for _ in range(AHEAD):
        if entered and rng.random() < 0.12:
            steps.append(None)
            entered -= 1
        else:
            steps.append(f"{12 + rng.randint(-9, 9) / 1000:.3f}")
            entered += 1
    return steps


def _after(before: dict[int, str], steps: list[str | None]) -> dict[int, str]:
    """The readings that so many steps leave."""
    readings = dict(before)
    entered: list[int] = []
    for step in steps:
        if step is None:
            del readings[entered.pop()]
        else:
            piece = next(p for p in range(1, 61) if p not in readings)
            readings[piece] = step
            entered.append(piece)
    return readings


def _live(build: Path) -> dict[int, str]:
    with Logbook(build / "logbook.db") as logbook:
        return {e.fact.piece: e.fact.typed for e in logbook.live(Reading)}


def _fresh(folder: Path, number: int) -> Path:
    build = folder / f"build-{number}"
    build.mkdir()
    (build / "build.toml").write_text(PLAN, encoding="utf-8")
    create(build / "logbook.db")
    return build
