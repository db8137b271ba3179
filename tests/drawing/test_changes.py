"""What changed between two revisions of a drawing, in words."""

from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load_text
from qlog.drawing.changes import changes

OLD = """\
title = "t"
general = "ISO 2768-m"
[material.brass]
expansion = 20.5
[instrument.caliper]
error = 0.03
[[part]]
id = "cup"
material = "brass"
needed = 8
  [[part.op]]
  number = 10
  name = "turn"
  [[part.op]]
  number = 20
  name = "bore"
  [[part.dim]]
  id = "bore"
  callout = "Ø8 H7"
  op = 20
  instrument = "caliper"
  [[part.dim]]
  id = "pin"
  callout = "Ø8 p6"
  op = 10
  [[part.dim]]
  id = "height"
  callout = "30"
  op = 10
[[joint]]
id = "press"
inside = "cup.bore"
outside = "cup.pin"
fit = "H7/p6"
[[stack]]
id = "sum"
add = ["cup.height"]
callout = "30 ±0.4"
[[item]]
id = "set"
count = 4
takes = { cup = 1 }
[[keep]]
apart = ["cup-1", "cup-2"]
"""


def said(*replacements: tuple[str, str]) -> list[str]:
    new = OLD
    for old, text in replacements:
        assert old in new
        new = new.replace(old, text, 1)
    before, after = load_text(OLD, Path()), load_text(new, Path())
    found = [str(change) for change in changes(before, after)]
    back = changes(after, before)
    assert len(back) == len(found)
    return found


def test_nothing_changed():
    assert said() == []
    assert said(('title = "t"', '# a remark\ntitle = "t"')) == []


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (
            '"Ø8 H7"\n  op = 20',
            '"Ø8 +0.015/0"\n  measures = "inside"\n  op = 20',
            "cup.bore: callout Ø8 H7 (8.000..8.015 mm) after op 20 -> "
            "Ø8 +0.015/0 (8..8.015 mm) after op 20",
        ),
        (
            'callout = "30"',
            'callout = "30 ±0.1"',
            "cup.height: limits 30 (29.8..30.2 mm) by ISO 2768-1 m after op 10 -> "
            "30 ±0.1 (29.9..30.1 mm) after op 10",
        ),
        ("needed = 8", "needed = 9", "cup: needed 8 -> 9"),
        ("needed = 8", "needed = 8\nspare = 2", "cup: spare 0 -> 2"),
        ('name = "bore"', 'name = "bore it"', "cup op 20: name bore -> bore it"),
        ('name = "bore"', 'name = "bore"\nonly = [1, 3]', "cup op 20: only for pieces added: 1, 3"),
        ('title = "t"', 'title = "u"', "build: title t -> u"),
        ('title = "t"', 'title = "t"\nrule = "simple"', "build: rule guarded -> simple"),
        ("error = 0.03", "error = 0.02", "instrument caliper: error 0.03 -> 0.02"),
        ("expansion = 20.5", "expansion = 19", "material brass: expansion 20.5 -> 19"),
        ('  instrument = "caliper"\n', "", "cup.bore: instrument removed: caliper"),
        ("count = 4", "count = 5", "item set: count 4 -> 5"),
        (
            "30 ±0.4",
            "30 ±0.5",
            "stack sum: limits 30 ±0.4 (29.6..30.4 mm) -> 30 ±0.5 (29.5..30.5 mm)",
        ),
        (
            'fit = "H7/p6"',
            'clearance = "-0.03..0"',
            "joint press: clearance H7/p6 (-0.024..0.000 mm) -> -0.03..0 (-0.03..0 mm)",
        ),
        (
            "apart",
            "together",
            "build: pieces kept together or apart cup-1, cup-2 apart -> cup-1, cup-2 together",
        ),
    ],
)
def test_one_change(old, new, words):
    assert said((old, new)) == [words]


def test_a_dimension_moved_to_another_operation():
    assert said(("op = 20\n  inst", "op = 10\n  inst")) == [
        "cup.bore: limits Ø8 H7 (8.000..8.015 mm) after op 20 -> "
        "Ø8 H7 (8.000..8.015 mm) after op 10"
    ]


def test_limits_before_a_finish_are_added():
    (words,) = said(
        ('"Ø8 H7"\n  op = 20', '"Ø8 H7"\n  op = 20\n  before = { op = 10, callout = "Ø8 H8" }')
    )
    assert words == (
        "cup.bore: limits Ø8 H7 (8.000..8.015 mm) after op 20 -> "
        "Ø8 H8 (8.000..8.022 mm) after op 10, then Ø8 H7 (8.000..8.015 mm) after op 20"
    )


def test_another_general_class_changes_what_takes_it():
    assert said(("ISO 2768-m", "ISO 2768-f")) == [
        "build: general tolerance ISO 2768-m -> ISO 2768-f",
        "cup.height: limits 30 (29.8..30.2 mm) by ISO 2768-1 m after op 10 -> "
        "30 (29.9..30.1 mm) by ISO 2768-1 f after op 10",
    ]


def test_things_added_and_removed():
    more = OLD + '[[part]]\nid = "stem"\nneeded = 2\n[[part.op]]\nnumber = 1\nname = "x"\n'
    before, after = load_text(OLD, Path()), load_text(more, Path())
    assert [str(c) for c in changes(before, after)] == [
        "stem: part added: stem, 2 needed and 0 spare"
    ]
    assert [str(c) for c in changes(after, before)] == [
        "stem: part removed: stem, 2 needed and 0 spare"
    ]
    assert said(
        ("[[part.dim]]\n  id = \"bore\"", "[[part.op]]\n  number = 30\n  name = \"polish\"\n"
         "  [[part.dim]]\n  id = \"finish\"\n  callout = \"Ra 0.8\"\n  op = 30\n"
         "  [[part.dim]]\n  id = \"bore\""),
    ) == [
        "cup op 30: operation added: polish",
        "cup.finish: dimension added: Ra 0.8 (0.8 µm max) after op 30",
        "cup.bore: number on the drawing 1 -> 2",
        "cup.pin: number on the drawing 2 -> 3",
        "cup.height: number on the drawing 3 -> 4",
    ]  # fmt: skip
