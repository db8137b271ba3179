"""Type into the stream without looking, and look where every value has landed."""

from __future__ import annotations

import random
import re
import sqlite3
import time
from dataclasses import dataclass
from pathlib import Path

from qlog.logbook.store import create
from tests.terminal import Terminal

PIECES = 60
PLAN = f"""\
title = "A long batch"
[instrument.bench]
name = "bench gauge"
kind = "comparator"
step = 0.00001
error = 0.00002
[[part]]
id = "pin"
name = "Pin"
needed = {PIECES}
spare = 0
  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"
  [[part.dim]]
  id = "outside"
  name = "outside"
  callout = "\u00d812 \u00b10.5"
  op = 10
  instrument = "bench"
  measures = "outside"
"""
_PROMPT = re.compile(r"pin-(\d+) outside(?: again| anew)? mm> (.*)")
_OFFER = re.compile(r"^    (?:y (?P<taken>\S+) mm, )?.*d drop it> (?P<key>.*)$")
_WAITS = re.compile(r"^  (\S+) waits: y takes it here")
_ANSWERED = re.compile(r"  (?:good|out high|out low|not proven) ")
_STILL = 0.2  # seconds without a change after which somebody has looked
_OTHER_KEYS = ("y", "y\n", "k", "k\n", "d", "a", "u", "u\n", "r", "r\n", "s", "p", "n", "t", "c",
               "\n", "\n", "\x1b", "\x1b[A", "\x7f", "x", "22 flutes\n", "?")  # fmt: skip


@dataclass
class Told:
    """What it came to."""

    pressed: int = 0
    entered: int = 0
    waited: int = 0  # values taken after they had waited
    looked: int = 0  # values typed while a prompt had stood there for a while


class _Typist:
    """Hands that type with or without looking; values are told apart by their digits."""

    def __init__(self, rng: random.Random, timing: bool) -> None:
        self.rng = rng
        self.timing = timing
        self.number = 0
        self.seen_at: dict[
            str, int
        ] = {}  # value -> piece whose prompt stood there at its first key

    def token(self, screen: str) -> str:
        """A value, a slip of a value, an answer where a question stands, or another key."""
        draw = self.rng.random()
        stands = screen[-200:]
        if stands.endswith("d drop it> ") and draw > 0.4:
            return self.rng.choice("yyyykda")
        if "waits: y takes" in "".join(stands.splitlines()[-2:]) and draw > 0.4:
            return self.rng.choice(("y", "y", "y\n", "\x1b"))
        if draw > 0.8:
            return self.rng.choice(_OTHER_KEYS)
        self.number += 1
        text = f"{12 + self.number % 20000 / 100000:.5f}"
        return (text.replace(".", "").replace("12", "12.", 1) if draw > 0.12 else
                f"{text[:2]}{text[3]}.{text[4:]}") + "\n"  # fmt: skip

    def press(self, t: Terminal, token: str, piece: int | None) -> int:
        """Send a token, in one go or key by key; the keys sent."""
        if piece is not None and token.endswith("\n"):
            self.seen_at[token.strip()] = piece
        if not self.timing:
            t.type(token)
            return len(token)
        for char in token:
            t.type(char)
            if self.rng.random() < 0.3:
                time.sleep(self.rng.uniform(0, 0.03))
        return len(token)


def type_blind(folder: Path, *, keys: int, seed: int, timing: bool) -> Told:
    """Press `keys` keys. Raises AssertionError when a value lands where no prompt asked for it.

    Without `timing` every burst is sent at once while a prompt stands there, so that the same
    seed gives the same sitting; with it every key comes at a random moment.
    """
    typist = _Typist(random.Random(seed), timing)
    told = Told()
    sittings = 0
    while told.pressed < keys:
        sittings += 1
        build = folder / f"build-{sittings}"
        build.mkdir()
        (build / "build.toml").write_text(PLAN, encoding="utf-8")
        create(build / "logbook.db")
        with Terminal("read", "pin", "10", folder=build) as t:
            t.expect("outside mm> ")
            still = True
            while told.pressed < keys and "with Enter> " not in t.screen:
                piece = _looked(t) if still else None
                for _ in range(typist.rng.choice((1, 1, 1, 1, 2, 4))):
                    told.pressed += typist.press(t, typist.token(t.screen), piece)
                    piece = None
                if timing and typist.rng.random() < 0.6:
                    time.sleep(typist.rng.choice((0, 0, 0.02, 0.1)))
                    still = False
                else:
                    t.settle(_STILL)
                    still = True
            t.settle(0.3)
            screen = t.kill()
        _check(build, screen, typist, told)
    return told


def _looked(t: Terminal) -> int | None:
    """The piece whose prompt stands at the end of the screen and has for a while, or None."""
    found = re.search(r"pin-(\d+) outside(?: again)? mm> $", t.screen)
    return int(found[1]) if found else None


def _check(build: Path, screen: str, typist: _Typist, told: Told) -> None:
    """Every reading of the logbook against the prompt under which the screen shows it."""
    shown = _landed(screen)
    db = sqlite3.connect(build / "logbook.db")
    logged = db.execute(
        "SELECT piece, typed FROM reading JOIN entry ON entry.id = reading.entry "
        "WHERE entry.reason <> 'undone at the bench' ORDER BY entry"
    ).fetchall()
    db.close()
    as_logged = [(piece, typed.removesuffix(" mm")) for piece, typed in logged]
    as_shown = [(piece, value) for piece, value, _ in shown]
    assert as_logged == as_shown, f"logged {as_logged}\nshown {as_shown}\n{screen}"
    for piece, value, waited in shown:
        told.entered += 1
        told.waited += waited
        if value in typist.seen_at and not waited:
            told.looked += 1
            assert typist.seen_at[value] == piece, (
                f"{value} was typed for {typist.seen_at[value]}, and landed on {piece}\n{screen}"
            )


def _landed(screen: str) -> list[tuple[int, str, bool]]:
    """(piece, value, whether it had waited) of every reading that the screen acknowledges."""
    found: list[tuple[int, str, bool]] = []
    piece, value, waits, waited = 0, "", "", False
    for raw in screen.split("\n"):
        line = _rendered(raw)
        if prompt := _PROMPT.search(line):
            piece, value, waited = int(prompt[1]), prompt[2].strip(), False
            if value.lower() == "y" and waits:
                value, waited = waits, True
            waits = ""
        elif waiting := _WAITS.match(line):
            waits = waiting[1]
        elif (offer := _OFFER.match(line)) and offer["key"].strip() == "y":
            value = offer["taken"]
        elif _ANSWERED.search(line):
            found.append((piece, value, waited))
    return found


def _rendered(line: str) -> str:
    """A line as it stands on the screen after all backspaces."""
    shown: list[str] = []
    for char in line.replace("\b \b", "\b"):
        if char != "\b":
            shown.append(char)
        elif shown:
            shown.pop()
    return "".join(shown)
