"""`qlog cut`: bar for the blanks, in both units."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran

Run = Callable[..., Ran]


def test_one_bar_for_all_blanks_of_the_parts(run: Run) -> None:
    # 4 cups of 30 + 2 and 2 rings of 12 + 2, five cuts of 2 between six blanks: 156 + 10.
    ran = run("cut", "cup=30", "ring=12", "--kerf", "2", "--facing", "1")
    assert ran.status == 0
    assert "4 cup of 32 mm" in ran.out
    assert "one bar of 166 mm (156 mm of it blanks)" in ran.out
    held = run("cut", "cup=30", "ring=12", "--kerf", "2", "--facing", "1", "--end", "40")
    assert "one bar of 208 mm" in held.out, "with an end in the chuck the last is cut off as well"


def test_bars_at_hand_and_json(run: Run) -> None:
    words = ("cut", "cup=30x5", "--bar", "2x100", "--bar", "70", "--kerf", "2")
    assert "2 bars, 170 mm together (150 mm of it blanks): no plan uses less bar" in run(*words).out
    told = json.loads(run(*words, "--json").out)
    assert [(b["length"], b["cut"], b["rest"]) for b in told["bars"]] == [
        ("100", {"cup": 3}, "4"), ("70", {"cup": 2}, "6"),
    ]  # fmt: skip


def test_inches_and_fractions(build_dir: Path, run: Run) -> None:
    assert "4 cup of 25.4 mm" in run("cut", "cup=1 in").out
    plan = build_dir / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace('units = "mm"', 'units = "inch"'), "utf-8")
    ran = run("cut", "cup=1/2", "--kerf", "3/32", "--facing", "1/32", "--bar", "6")
    assert "4 cup of .5625 in" in ran.out
    assert "1 bar, 6 in (2.25 in of it blanks)" in ran.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("cup",), "write PART=LENGTH"),
        (("cup=thirty",), "is no length"),
        (("bowl=30",), "no part 'bowl'"),
        (("cup=30", "--bar", "20"), "longer than every bar"),
        (("cup=30", "--bar", "2x40"), "do not suffice"),
        (("cup=30", "--bar", "0"), "above 0"),
        (("cup=30", "--kerf", "-1"), "below 0"),
        ((), "name the blanks"),
    ],
)
def test_what_cannot_be_reckoned_is_told(words: tuple[str, ...], said: str, run: Run) -> None:
    ran = run("cut", *words)
    assert (ran.status, said in ran.err) == (2, True), ran.err
