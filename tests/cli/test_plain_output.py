"""A terminal or a pipe that is not UTF-8: everything is still said, and JSON stays JSON."""

import json
import os
import subprocess
from pathlib import Path

import pytest

from qlog.drawing.callouts.reading import parse
from tests.terminal import QLOG, TOP


def plain(folder: Path, *words: str, encoding: str = "cp850") -> str:
    ran = subprocess.run(
        [*QLOG, "--build", str(folder), *words],
        env=os.environ | {"PYTHONIOENCODING": encoding, "PYTHONPATH": str(TOP)},
        capture_output=True,
        check=False,
    )
    assert b"Traceback" not in ran.stderr
    return ran.stdout.decode("utf-8" if encoding == "ascii" or "--json" in words else encoding)


@pytest.fixture
def named(build_dir: Path) -> Path:
    plan = build_dir / "build.toml"
    text = plan.read_text("utf-8").replace("Two small parts", "Zwölf \N{GEM STONE} Teile")
    plan.write_text(text, encoding="utf-8", newline="\n")
    return build_dir


def test_drawing_signs_are_spelled_so_that_they_read_back(named: Path) -> None:
    out = plain(named, "plan", "cup")
    assert out.startswith("Zwölf ? Teile")
    assert "Ø22 +0.05/0" in out
    # Code page 437, an old console's, has no diameter sign.
    out = plain(named, "plan", "cup", encoding="cp437")
    row = next(x for x in out.splitlines() if "socket" in x)
    assert "dia 22 +0.05/0" in row
    assert "32 ±0.1" in out
    assert parse("dia 22 +0.05/0").limits == parse("Ø22 +0.05/0").limits


@pytest.mark.parametrize("encoding", ["ascii", "cp437", "cp1252", "utf-8"])
def test_json_holds_the_same_in_every_encoding(named: Path, encoding: str) -> None:
    told = json.loads(plain(named, "plan", "--json", encoding=encoding))
    assert told["title"] == "Zwölf \N{GEM STONE} Teile"
    assert told["parts"][0]["dimensions"][1]["requirements"][0]["callout"] == "Ø22 +0.05/0"


def test_a_number_is_entered_and_echoed(named: Path) -> None:
    words = ("read", "cup", "20", "bore", "1", "22.031", "-t", "26")
    # Code page 874, Thai, has no degree sign; what is missing in ASCII is the setting.
    assert "22.031 mm at 26  degC" in plain(named, *words, encoding="cp874")
    assert "22.031 mm at 26 °C" in plain(named, *words, encoding="ascii")
