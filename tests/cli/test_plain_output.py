"""A terminal or a pipe that is not UTF-8: everything is still said, and JSON stays JSON."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from qlog.drawing.callout import parse_callout
from qlog.drawing.units import Unit
from tests.terminal import QLOG, TOP


def plain(folder: Path, *words: str, encoding: str = "ascii") -> str:
    ran = subprocess.run(
        [*QLOG, "--build", str(folder), *words],
        env=os.environ | {"PYTHONIOENCODING": encoding, "PYTHONPATH": str(TOP)},
        capture_output=True,
        check=False,
    )
    assert b"Traceback" not in ran.stderr
    return ran.stdout.decode(encoding)


@pytest.fixture
def named(build_dir: Path) -> Path:
    plan = build_dir / "build.toml"
    text = plan.read_text("utf-8").replace("Two small parts", "Zwölf \N{GEM STONE} Teile")
    plan.write_text(text, encoding="utf-8", newline="\n")
    return build_dir


def test_drawing_signs_are_spelled_so_that_they_read_back(named: Path) -> None:
    out = plain(named, "plan", "cup")
    assert out.startswith("Zw?lf ? Teile")
    row = next(x for x in out.splitlines() if "socket" in x)
    assert "dia 22 +0.05/0" in row
    assert "32 +-0.1" in out
    assert parse_callout("dia 22 +0.05/0", Unit.MM).limits == parse_callout(
        "Ø22 +0.05/0", Unit.MM
    ).limits  # fmt: skip


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_json_holds_the_same_in_every_encoding(named: Path, encoding: str) -> None:
    told = json.loads(plain(named, "plan", "--json", encoding=encoding))
    assert told["title"] == "Zwölf \N{GEM STONE} Teile"
    assert told["parts"][0]["dimensions"][1]["requirements"][0]["callout"] == "Ø22 +0.05/0"


def test_a_number_is_entered_and_echoed_in_ascii(named: Path) -> None:
    out = plain(named, "read", "cup", "20", "bore", "1", "22.031", "-t", "26")
    assert "at 26 degC" in out.replace(" deg", "deg")
    assert sys.executable
