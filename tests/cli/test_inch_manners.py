"""An inch build: no zero before the point, Letter paper, each dimension in its own unit."""

import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.callouts.reading import parse
from qlog.logbook.store import create
from tests.conftest import run_qlog

PLAN = """\
title = "Inch parts"
units = "inch"
general = ".XX ±.01, .XXX ±.005"

[instrument.cal]
name = "caliper"
kind = "caliper"
step = 0.001
error = 0.001

[instrument.metric]
name = "metric micrometer"
kind = "micrometer"
unit = "mm"
step = 0.001
error = 0.002

[[part]]
id = "cup"
name = "Cup"
needed = 5
spare = 1

  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"

  [[part.op]]
  number = 20
  name = "plate"
  sent-out = "plater"
  layer = ".0002..0.0004"

  [[part.dim]]
  id = "bore"
  name = "bore"
  callout = "Ø.3750 +.0010/-.0010"
  op = 20
  before = { op = 10, callout = "Ø.3758 +.0010/-.0010" }
  instrument = "cal"
  measures = "inside"

  [[part.dim]]
  id = "height"
  name = "height"
  callout = ".50"
  op = 10
  instrument = "cal"
  visible = true

  [[part.dim]]
  id = "slot"
  name = "slot"
  callout = "0.8 mm ±0.02"
  op = 10
  instrument = "metric"

[[part]]
id = "stem"
name = "Stem"
needed = 5
spare = 0

  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"

  [[part.dim]]
  id = "pin"
  name = "pin"
  callout = "Ø.3740 ±.0010"
  op = 10
  instrument = "cal"
  measures = "outside"

[[joint]]
id = "fit"
name = "stem in cup"
inside = "cup.bore"
outside = "stem.pin"
clearance = ".0004...0030"

[[stack]]
id = "all"
name = "overall"
add = ["cup.height"]
callout = ".500 ±.010"

[[item]]
id = "set"
name = "Set"
count = 4
takes = { cup = 1, stem = 1 }
"""

#: A number with a zero before the point, its unit inches.
ZERO = re.compile(r"(?<![\d.,])0\.\d+(?=[\s\u202f]*in\b)")
COMMANDS = (
    "plan", "plan --both", "spread", "spread cup", "drift cup", "fit", "match", "cup-3",
    "gauge budget cup height", "gauge check cal .5 .501", "undo", "send cup 20 --ask",
    "send cup 20 1-5", "back cup 20 1-5", "fit --for cup-6", "read cup 20 bore 1 .3753",
    "read cup 20 bore 2 3.754", "read cup 20 bore 3 .3771", "read cup 10 height 1 .51",
    "correct cup 10 height 1 .502 --why typo", "assemble set-1 cup-1 stem-2", "status", "stock",
)  # fmt: skip


@pytest.fixture
def inch(tmp_path: Path) -> Callable[[str], str]:
    (tmp_path / "build.toml").write_text(PLAN, encoding="utf-8")
    create(tmp_path / "logbook.db")

    def run(line: str) -> str:
        ran = run_qlog("--build", str(tmp_path), *line.split())
        return f"$ {line}\n{ran.out}{ran.err}"

    for piece, bore in enumerate((3759, 3760, 3761, 3762, 3763), 1):
        run(f"read cup 10 bore {piece} .{bore}")
        run(f"read cup 10 height {piece} .50{piece}")
        run(f"read cup 10 slot {piece} 0.80{piece}")
        run(f"read stem 10 pin {piece} .374{piece}")
    run("done cup 10")
    run("done stem 10")
    return run


def test_no_zero_stands_before_the_point_on_screen_and_pages(
    inch: Callable[[str], str], tmp_path: Path
) -> None:
    said = [inch(line) for line in COMMANDS]
    wrong = [line for text in said for line in text.splitlines() if ZERO.search(line)]
    assert not wrong
    spread = next(t for t in said if t.startswith("$ spread cup"))
    # Each dimension in its own unit: inches without, millimetres with their zero.
    assert re.search(r"height op 10 +\.49 to \.51 in .* \.5030 ", spread)
    assert re.search(r"slot op 10 +0\.78 to 0\.82 mm .* 0\.8030 ", spread)
    both = next(t for t in said if t.startswith("$ plan --both"))
    assert re.search(r"0\.78 to 0\.82 mm = \.03\d+ to \.03\d+ in", both)
    asked = inch("gauge check cal .5 .5001") + inch("gauge check cal .5 5.001")
    assert "steps of .001 in, and .5001 lies" in asked and "5.001: .5001?" in asked
    stack = inch("fit")
    assert "by the drawing, worst case: .490 .. .510 in" in stack, "three points hide the number"
    inch("record")
    pages = sorted((tmp_path / "record").rglob("*.html"))
    assert len(pages) > 15
    for page in pages:
        text = re.sub(r"<[^>]+>", "", page.read_text("utf-8"))
        assert not ZERO.search(text), (page.name, ZERO.findall(text))
    dimension = (tmp_path / "record" / "maker" / "dimensions" / "cup-height.html").read_text(
        "utf-8"
    )
    assert not re.search(r">[-+±]?0\.\d+<", dimension), "bare numbers of charts and cells"


def test_an_inch_build_is_printed_on_letter_and_any_build_on_what_it_says(
    inch: Callable[[str], str], tmp_path: Path
) -> None:
    def papers() -> list[str]:
        inch("sheet cup 10")
        inch("card cup 10")
        inch("record")
        css = tmp_path / "record" / "maker" / "record.css"
        texts = [f.read_text("utf-8") for f in
                 (tmp_path / "sheet-cup-op10.html", tmp_path / "cards.html", css)]  # fmt: skip
        return [re.findall(r"size: (A4|letter)", text)[-1] for text in texts]

    assert papers() == ["letter"] * 3
    (tmp_path / "build.toml").write_text(PLAN.replace('"inch"', '"inch"\npaper = "a4"', 1), "utf-8")
    assert papers() == ["A4"] * 3
    inch("sheet cup 10 --paper letter")
    assert "size: letter" in (tmp_path / "sheet-cup-op10.html").read_text("utf-8")


@pytest.mark.parametrize("callout", ["Ø12 cd8", "Ø12 EF7", "Ø10.5 fg6", "Ø40 FG7"])
def test_classes_for_fine_mechanisms_end_at_10_mm(callout: str) -> None:
    # ISO 286-1:2010: cd, ef and fg stand in its tables to 10 mm.
    with pytest.raises(CalloutError, match="for sizes to 10 mm only"):
        parse(callout)
    assert parse(f"Ø10 {callout.split()[1]}").limits.width


def test_bench_spread_and_pages_show_a_size_with_the_same_places(
    inch: Callable[[str], str], tmp_path: Path
) -> None:
    """A caliper of .001 in; 12.7249 mm is .50098031 in, and its last place, .0001 mm, .0000039."""
    said = inch("read cup 10 height 6 12.7249mm")
    assert "+.0009803 from mid-tolerance" in said, said
    assert "height  .500 in  good" in inch("correct cup 10 height 1 .5 --why misread")
    spread = next(t for t in inch("spread cup").splitlines() if t.startswith("  height"))
    assert " .500000 " in spread and " .505000 " in spread
    inch("record")
    page = (tmp_path / "record/maker/dimensions/cup-height.html").read_text("utf-8")
    rows = {n: re.findall(rf'<tr id="cup-{n}".*?</tr>', page, re.DOTALL)[0] for n in (1, 6)}
    assert ".500980\N{NARROW NO-BREAK SPACE}in" in rows[6] and "+.0009803" in rows[6]
    assert ">.500\N{NARROW NO-BREAK SPACE}in" in rows[1]


PINS = """title = "Pins"
units = "inch"
[instrument.mic]
step = 0.0001
error = 0.0002
[[part]]
id = "pin"
needed = 2
  [[part.op]]
  number = 10
  name = "turn"
  [[part.dim]]
  id = "dia"
  callout = "Ø.500 ±.002"
  op = 10
  instrument = "mic"
"""


def test_a_budget_s_remarks_have_no_zero_before_the_point(tmp_path: Path) -> None:
    (tmp_path / "build.toml").write_text(PINS, encoding="utf-8")
    create(tmp_path / "logbook.db")
    said = run_qlog("--build", str(tmp_path), "gauge", "budget", "pin", "dia").out
    assert "half the step of .0001" in said and " 0." not in said


def test_fahrenheit_is_taken_and_a_bare_72_is_asked_about_on_an_inch_drawing(
    tmp_path: Path,
) -> None:
    plan = PINS.replace('"inch"', '"inch"\ntemperature = "68 ±5 F"')
    (tmp_path / "build.toml").write_text(plan, encoding="utf-8")
    create(tmp_path / "logbook.db")
    build = ("--build", str(tmp_path))
    read = (*build, "read", "pin", "10", "dia")
    assert "at 22.22 °C" in run_qlog(*read, "1", ".5003", "-t", "72F").out  # (72 - 32) / 1.8
    bare = run_qlog(*read, "2", ".5003", "-t", "72")
    assert (bare.status, "write 72F or 72C" in bare.err) == (2, True)
    assert run_qlog(*read, "2", ".5003", "-t", "72C").status == 0
    room = load(tmp_path / "build.toml").temperature
    assert room is not None and (room.middle, room.half) == (20, Decimal("2.78"))
