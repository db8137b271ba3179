"""What takes the general tolerance says so wherever the command line shows its limits."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran

Run = Callable[..., Ran]

#: ISO 2768-1 m: over 30 to 120 mm, ±0.3.
RIM = """
  [[part.dim]]
  id = "rim"
  name = "rim"
  callout = "Ø40"
  op = 10
  instrument = "caliper"
"""


@pytest.fixture
def rimmed(build_dir: Path, run: Run) -> Path:
    plan = build_dir / "build.toml"
    head, ring = plan.read_text("utf-8").split('[[part]]\nid = "ring"')
    plan.write_text(f'{head}{RIM}\n[[part]]\nid = "ring"{ring}', encoding="utf-8", newline="\n")
    return build_dir


def test_it_is_said_at_every_place(rimmed: Path, run: Run) -> None:
    plan = run("plan", "cup").out
    rows = {x.split()[1]: x for x in plan.splitlines() if " mm " in x}
    assert rows["rim"].rstrip().endswith("ISO 2768-1 m")
    assert "39.7 to 40.3 mm" in rows["rim"]
    assert "2768" not in rows["height"]

    heading = next(x for x in run("read", "cup", "10", "rim", stdin="").out.splitlines()
                   if x.startswith("rim"))  # fmt: skip
    assert heading == "rim  39.7 to 40.3 mm (ISO 2768-1 m)  (caliper)"
    assert "2768" not in run("read", "cup", "10", "height", stdin="").out

    ran = run("read", "cup", "10", "rim", "1", "40.35")
    assert "out high" in ran.out
    assert "0.05 beyond 40.3 (ISO 2768-1 m)" in ran.out
    run("read", "cup", "10", "height", "1", "32.15")
    told = run("status", "cup").out
    assert "cup-1, rim: 40.35 mm, out high (39.7 to 40.3 mm; ISO 2768-1 m)\n" in told
    assert "cup-1, height: 32.15 mm, out high (31.9 to 32.1 mm)\n" in told

    spread = run("spread", "cup").out
    assert "39.7 to 40.3 mm *" in spread
    assert "31.9 to 32.1 mm *" not in spread
    assert "  * no tolerance at the dimension: ISO 2768-1 m\n" in spread
    source = {
        r["dimension"]: r["limits_from"]
        for r in json.loads(run("spread", "--json").out)["dimensions"]
    }
    assert source == {"height": "as written", "rim": "ISO 2768-1 m"}

    assert "39.7 to 40.3 mm (ISO 2768-1 m)" in run("gauge", "budget", "cup", "rim").out


def test_limits_of_an_earlier_drawing_are_not_called_general(rimmed: Path, run: Run) -> None:
    plan = rimmed / "build.toml"
    drawn = plan.read_text("utf-8")
    plan.write_text(drawn.replace('"Ø40"', '"Ø40 ±0.1"'), encoding="utf-8", newline="\n")
    run("read", "cup", "10", "rim", "1", "40.35")
    plan.write_text(drawn, encoding="utf-8", newline="\n")
    assert "cup-1, rim: 40.35 mm, out high (39.9 to 40.1 mm)\n" in run("status", "cup").out
