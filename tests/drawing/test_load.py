"""build.toml into the typed plan: the starter, every field, and files that are hard to read."""

import hashlib
import re
import subprocess
import sys
from decimal import Decimal
from importlib.resources import files
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import check, load, load_text
from qlog.drawing.build_file.mistakes import PlanError
from qlog.drawing.callouts.callout import Kind
from qlog.drawing.decision import Rule
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Ban, Credit, Feature
from qlog.drawing.units import Unit

STARTER = files("qlog.drawing").joinpath("starter.toml").read_text(encoding="utf-8")

FULL = """
title = "Eight table candlesticks"
maker = "A. Turner"
recipient = "the two of you"
occasion = "an anniversary"
units = "mm"
general = "ISO 2768-1 m"
rule = "simple"
conformance = 0.99
language = "de"
timezone = "Europe/Berlin"
photo-formats = ["webp", "avif"]

[material.brass]
name = "brass"
expansion = 20.5
care = "dust it"

[material.steel]
kind = "carbon steel 1020"

[instrument.bore-gauge]
name = "bore gauge"
unit = "mm"
step = 0.001
error = "0,006"
expansion = 11.5
note = "set in a ring"

[instrument.indicator]
unit = "inch"
step = 0.0005

[instrument.specimens]
kind = "comparator"
unit = "µm"

[[credit]]
who = "A. Turner"
what = "turning"

[object]
Marks = "1 to 8"
"Distinguishing features" = "four are black"

[[part]]
id = "cup"
name = "Cup"
material = "brass"
needed = 8
spare = 2
drawing = "TC-03"
image = "cup.svg"
story = "Holds the candle."
general = "ISO 2768-f"

  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"
  machine = "lathe"
  tool = "left hand"
  photos = 1
  photos-each = 2

  [[part.op]]
  number = 20
  name = "bore"

  [[part.op]]
  number = 30
  name = "blacken"
  kind = "blackening"
  sent-out = "the shop"
  irreversible = true
  story = "Black as the night."
  layer = "0.5..2 um"
  only = [1, 2, 10]

  [[part.dim]]
  id = "bore"
  name = "socket bore"
  callout = "Ø22 +0.05/0"
  op = 30
  before = { op = 20, callout = "Ø22 +0.05/+0.02" }
  instrument = "bore-gauge"
  measures = "inside"
  at = [0.25, 1]
  visible = true
  unreachable-after = 30
  note = "warm from the chuck"

  [[part.dim]]
  id = "height"
  callout = 30
  op = 10

  [[part.dim]]
  id = "rim"
  callout = '3/8" ±.002'
  op = 10

[[part]]
id = "stem"
needed = 8

  [[part.op]]
  number = 10
  name = "turn"

  [[part.dim]]
  id = "spigot"
  callout = "Ø21.95 0/-0.03"
  op = 10

  [[part.dim]]
  id = "pin"
  callout = "Ø8 p6"
  op = 10

  [[part.dim]]
  id = "hole"
  callout = "Ø8 H7"
  op = 10

  [[part.dim]]
  id = "depth"
  callout = "depth 8 ±0.1"
  op = 10

[[joint]]
id = "sliding"
name = "cup on stem"
inside = "cup.bore"
outside = "stem.spigot"
clearance = "0.04..0.14"

[[joint]]
id = "pressed"
inside = "stem.hole"
outside = "stem.pin"
fit = "H7/p6"

[[stack]]
id = "overall"
add = ["cup.height", "stem.depth"]
subtract = ["stem.depth"]
callout = "30 ±0.4"

[[item]]
id = "bright"
name = "Bright"
count = 4
takes = { cup = 1, stem = 1 }
only = { cup = [1, 2, 3, 4, 9] }

[[item]]
id = "black"
count = 4
takes = { cup = 1, stem = 1 }

[[keep]]
together = ["cup-3", "stem-4"]

[[keep]]
apart = ["cup-1", "cup-2"]
"""


@pytest.fixture
def full(tmp_path):
    (tmp_path / "cup.svg").write_text("<svg/>", encoding="utf-8")
    (tmp_path / "build.toml").write_text(FULL, encoding="utf-8")
    return load(tmp_path)


def test_the_starter_is_fine_and_without_warnings(tmp_path):
    (tmp_path / "build.toml").write_text(STARTER, encoding="utf-8")
    assert check(tmp_path) == ()
    build = load(tmp_path / "build.toml")
    assert [part.id for part in build.parts] == ["cup", "stem"]
    assert build.groups[0].count == 8


def test_the_starter_shows_every_key():
    """Whatever the reader knows stands in the starter, as an example or in a remark."""
    from qlog.drawing.build_file.entry import PlanTable

    asked = set()
    original = PlanTable.get

    def remember(self, key):
        asked.add(key)
        return original(self, key)

    PlanTable.get = remember
    try:
        load_text(FULL, Path())
    finally:
        PlanTable.get = original
    named_by_the_user = {"cup", "stem", "Marks", "Distinguishing features"}
    missing = {
        key
        for key in asked - named_by_the_user
        if not re.search(rf"(?m)(\b{key} = |\[{key}[.\]]|\.{key}\])", STARTER)
    }
    assert not missing


def test_head(full, tmp_path):
    assert full.title == "Eight table candlesticks"
    assert (full.maker, full.recipient, full.occasion) == (
        "A. Turner",
        "the two of you",
        "an anniversary",
    )
    assert full.unit is Unit.MM
    assert full.general == "m"
    assert full.decision.rule is Rule.SIMPLE
    assert full.decision.conformance == Decimal("0.99")
    assert (full.language, full.timezone) == ("de", "Europe/Berlin")
    assert full.photo_formats == ("webp", "avif")
    assert full.credits == (Credit("A. Turner", "turning"),)
    assert full.object_record == (
        ("Marks", "1 to 8"),
        ("Distinguishing features", "four are black"),
    )
    assert full.folder == tmp_path
    assert full.source == FULL
    assert full.revision == hashlib.sha256(FULL.encode()).hexdigest()


def test_defaults():
    build = load_text(
        'title = "t"\n[[part]]\nid = "a"\nneeded = 1\n[[part.op]]\nnumber = 1\nname = "x"', Path()
    )
    assert build.unit is Unit.MM
    assert build.general == ""
    assert build.decision.rule is Rule.GUARDED
    assert build.decision.conformance == Decimal("0.95")
    assert (build.language, build.timezone) == ("en", "")
    assert build.parts[0].spare == 0
    assert build.parts[0].name == "a"
    assert build.parts[0].pieces == range(1, 2)


def test_materials_and_instruments(full):
    assert full.material("brass").expansion == Decimal("20.5")
    assert full.material("brass").care == "dust it"
    # thermal_expansion.csv, carbon steel 1020 (Callister, table B.6)
    assert full.material("steel").expansion == Decimal("11.7")
    gauge = full.instrument("bore-gauge")
    assert (gauge.step, gauge.error) == (Decimal("0.001"), Decimal("0.006"))
    assert gauge.kind == "bore gauge"
    assert gauge.expansion == Decimal("11.5")
    assert full.instrument("indicator").unit is Unit.INCH
    assert full.instrument("specimens").unit is Unit.MICROMETRE
    assert full.instrument("specimens").kind == "comparator"


def test_route(full):
    cup = full.part("cup")
    assert [o.number for o in cup.operations] == [10, 20, 30]
    first, last = cup.operations[0], cup.operations[2]
    assert (first.kind, first.machine, first.tool) == ("turning", "lathe", "left hand")
    assert (first.photos, first.photos_each) == (1, 2)
    assert not first.irreversible and first.layer is None
    assert last.sent_out == "the shop" and last.irreversible
    assert last.layer == Limits(Decimal("0.5"), Decimal(2), Unit.MICROMETRE)
    assert last.story == "Black as the night."
    assert last.only == (1, 2, 10) and first.only == ()
    assert cup.takes(30, 10) and not cup.takes(30, 3) and cup.takes(10, 3)
    assert (cup.drawing, cup.image, cup.story) == ("TC-03", "cup.svg", "Holds the candle.")
    assert cup.general == "f" and full.part("stem").general == "m"
    assert cup.material == "brass" and full.part("stem").material is None


def test_two_sets_of_limits(full):
    bore = full.part("cup").dimension("bore")
    assert [r.op for r in bore.requirements] == [20, 30]
    assert bore.op == 30
    assert bore.callout.text == "Ø22 +0.05/0"
    before = bore.requirement_at(20)
    assert before is not None and before.callout.limits.lower == Decimal("22.02")
    assert bore.requirement_at(10) is None
    assert (bore.instrument, bore.measures) == ("bore-gauge", "inside")
    assert bore.at == (0.25, 1.0)
    assert bore.visible and bore.unreachable_after == 30
    assert bore.note == "warm from the chuck"
    assert [d.number for d in full.part("cup").dimensions] == [1, 2, 3]
    assert [d.id for d in full.part("cup").read_after(20)] == ["bore"]


def test_the_general_class_of_the_part_goes_before_that_of_the_build(full):
    height = full.part("cup").dimension("height").callout
    assert height.general and height.source == "ISO 2768-1 f"
    assert height.text == "30"
    assert height.limits.upper == Decimal("30.1")


def test_inch_and_mm_side_by_side(full):
    rim = full.part("cup").dimension("rim").callout
    assert rim.unit is Unit.INCH and rim.limits.upper == Decimal("0.377")


def test_what_a_dimension_measures(full):
    stem = full.part("stem")
    assert {d.id: d.measures for d in stem.dimensions} == {
        "spigot": "outside",
        "pin": "outside",
        "hole": "inside",
        "depth": "depth",
    }
    assert full.part("cup").dimension("height").measures == "length"


def test_joints_stacks_and_items(full):
    sliding, pressed = full.joints
    assert sliding.inside == Feature("cup", "bore")
    assert sliding.outside == Feature("stem", "spigot")
    assert sliding.clearance == Limits(Decimal("0.04"), Decimal("0.14"), Unit.MM)
    assert sliding.text == "0.04..0.14"
    # 8 H7 is 0..+15, 8 p6 +15..+24 micrometres
    assert pressed.clearance == Limits(Decimal("-0.024"), Decimal("0.000"), Unit.MM)
    assert pressed.text == "H7/p6"
    (stack,) = full.stacks
    assert stack.terms == (
        (1, Feature("cup", "height")),
        (1, Feature("stem", "depth")),
        (-1, Feature("stem", "depth")),
    )
    assert stack.callout.kind is Kind.LENGTH
    bright, black = full.groups
    assert bright.takes == (("cup", 1), ("stem", 1))
    assert bright.only == (("cup", (1, 2, 3, 4, 9)),)
    assert black.name == "black"
    assert full.bans == (
        Ban((("cup", 3), ("stem", 4)), together=True),
        Ban((("cup", 1), ("cup", 2)), together=False),
    )


def test_an_inch_drawing():
    build = load_text(
        'title = "t"\nunits = "inch"\n[instrument.caliper]\nstep = 0.0005\n[[part]]\nid = "a"\n'
        'needed = 1\n[[part.op]]\nnumber = 1\nname = "x"\nlayer = ".0002...0004"\n'
        "[[part.dim]]\nid = \"d\"\ncallout = '3/8 +.002/-.000'\nop = 1\n"
        '[[part.dim]]\nid = "m"\ncallout = "Ø8 mm H7"\nop = 1\n',
        Path(),
    )
    first, second = build.parts[0].dimensions
    assert first.callout.unit is Unit.INCH
    assert second.callout.unit is Unit.MM
    assert build.instruments[0].unit is Unit.INCH
    layer = build.parts[0].operations[0].layer
    assert layer is not None and layer.unit is Unit.INCH and layer.upper == Decimal("0.0004")


def test_lines_only_when_asked_for(tmp_path):
    (tmp_path / "build.toml").write_text(FULL, encoding="utf-8")
    lines = FULL.split("\n")
    build = load(tmp_path, lines=True)
    assert lines[build.part("cup").operations[2].line] == "  number = 30"
    assert load(tmp_path).part("cup").operations[2].line == 0


@pytest.mark.parametrize(
    "raw",
    [
        STARTER.encode("utf-8-sig"),
        STARTER.replace("\n", "\r\n").encode(),
        STARTER.rstrip("\n").encode(),
    ],
    ids=["byte order mark", "Windows line ends", "no last line end"],
)
def test_files_as_editors_write_them(tmp_path, raw):
    (tmp_path / "build.toml").write_bytes(raw)
    assert check(tmp_path) == ()
    assert load(tmp_path).title == "Eight table candlesticks"


def test_lines_are_right_with_windows_line_ends(tmp_path):
    text = STARTER.replace('callout = "30"', 'callout = "30 H99"').replace("\n", "\r\n")
    (tmp_path / "build.toml").write_bytes(text.encode())
    (mistake,) = check(tmp_path)
    assert "30 H99" in text.split("\r\n")[mistake.line - 1]


def test_a_missing_file(tmp_path):
    with pytest.raises(PlanError, match=r"there is no .*build\.toml; `qlog new` writes one"):
        load(tmp_path)


def test_a_folder_in_place_of_the_file(tmp_path):
    (tmp_path / "build.toml").mkdir()
    (mistake,) = check(tmp_path / "build.toml")
    assert mistake.severity == "error"


def test_the_local_code_page_is_read_with_a_remark_at_its_line(tmp_path):
    text = STARTER.replace('name = "Cup"', 'name = "K\xfcche"')
    raw = text.encode("cp1252", "replace")
    (tmp_path / "build.toml").write_bytes(raw)
    remark = check(tmp_path)[0]
    assert (remark.severity, "read as cp1252" in remark.what) == ("warning", True)
    assert raw.split(b"\n")[remark.line - 1] != text.encode().split(b"\n")[remark.line - 1]
    build = load(tmp_path)
    assert (build.part("cup").name, build.code_page) == ("K\xfcche", "cp1252")
    (tmp_path / "build.toml").write_text(text, encoding="utf-8")
    assert load(tmp_path).code_page == ""


def test_what_is_no_text_in_either_names_the_line(tmp_path):
    raw = STARTER.encode().replace(b'name = "Cup"', b'name = "K\x81che"')
    (tmp_path / "build.toml").write_bytes(raw)
    (mistake,) = check(tmp_path)
    assert b"\x81" in raw.split(b"\n")[mistake.line - 1]
    assert mistake.what == "this line is not UTF-8"
    assert "UTF-8" in mistake.accepted


def test_reading_needs_nothing_heavy(tmp_path):
    """A bench command reads the plan every time: no numpy, and no grammar for lines."""
    (tmp_path / "build.toml").write_text(STARTER, encoding="utf-8")
    code = (
        "import sys; from pathlib import Path; from qlog.drawing.build_file.load import load;"
        f"load(Path({str(tmp_path)!r}));"
        "heavy = {'numpy', 'scipy', 'tree_sitter', 'difflib', 'rich', 'sqlite3', 'PIL'};"
        "print(sorted(heavy & set(sys.modules)))"
    )
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
