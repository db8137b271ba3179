"""Warnings before anything is cut: what can be read but should be looked at."""

import pytest

from qlog.drawing.build_file.load import check, load
from qlog.drawing.build_file.mistakes import PlanError

BUILD = """\
title = "t"
general = "ISO 2768-m"
[instrument.caliper]
name = "caliper"
step = 0.01
error = 0.03
[instrument.inch-caliper]
unit = "inch"
error = 0.001
[instrument.protractor]
unit = "deg"
error = 0.1
[[part]]
id = "cup"
needed = 8
  [[part.op]]
  number = 10
  name = "turn"
  [[part.op]]
  number = 20
  name = "bore"
  [[part.dim]]
  id = "size"
  callout = "CALLOUT"
  op = 20
  EXTRA
  [[part.dim]]
  id = "bore"
  callout = "Ø8 H7"
  op = 20
  [[part.dim]]
  id = "pin"
  callout = "Ø8 p6"
  op = 10
[[joint]]
id = "press"
inside = "cup.bore"
outside = "cup.pin"
JOINT
[[stack]]
id = "sum"
add = ["cup.bore", "cup.pin"]
subtract = ["cup.pin"]
callout = "STACK"
"""


def warnings(tmp_path, callout="30", extra="", joint='fit = "H7/p6"', stack="7.9..8.1"):
    text = (
        BUILD.replace("CALLOUT", callout)
        .replace("EXTRA", extra)
        .replace("JOINT", joint)
        .replace("STACK", stack)
    )
    (tmp_path / "build.toml").write_text(text, encoding="utf-8")
    found = check(tmp_path)
    assert all(m.severity == "warning" for m in found), [str(m) for m in found]
    load(tmp_path)  # a warning does not keep the build from being used
    return found


def test_a_sound_build_has_none(tmp_path):
    assert warnings(tmp_path) == ()


@pytest.mark.parametrize(
    "callout", ["10 ±1", "Ø10 +1/-0.1", "depth 10 +2/0", "45° ±5°", "R5 ±2.5", "5 x 45° ±2"]
)
def test_a_tolerance_wider_than_a_tenth_of_the_size(tmp_path, callout):
    (mistake,) = warnings(tmp_path, callout)
    assert "% of the size" in mistake.what
    assert mistake.line == 24
    assert str(mistake).startswith("build.toml:24: warning: size ")


@pytest.mark.parametrize(
    "callout",
    [
        "10 ±0.5",  # exactly a tenth
        "1",  # the general tolerance is not a slip of the pen
        "R0.5 ±0.2",  # edges are left that free
        "0.5 x 45° ±0.2",
        "9.5..10.5",  # no nominal to compare with
        "Ra 0.8",
        "runout 0.02",
        "count 3..5",
        "M6-6H",
    ],
)
def test_tolerances_that_are_as_they_should_be(tmp_path, callout):
    assert warnings(tmp_path, callout) == ()


def test_finer_than_the_instrument_can_judge(tmp_path):
    (mistake,) = warnings(tmp_path, "30 ±0.05", 'instrument = "caliper"')
    assert mistake.line == 26
    assert mistake.text == "caliper"
    assert "error of ±0.03 mm is too coarse for a tolerance of 0.1 mm" in mistake.what
    assert mistake.accepted == "an instrument good to ±0.02 mm or better"


def test_just_fine_enough(tmp_path):
    assert warnings(tmp_path, "30 ±0.075", 'instrument = "caliper"') == ()  # 0.03 = 0.15 / 5
    assert len(warnings(tmp_path, "30 ±0.074", 'instrument = "caliper"')) == 1


def test_one_sided_limits_have_no_tolerance_to_compare(tmp_path):
    assert warnings(tmp_path, "30 max", 'instrument = "caliper"') == ()


def test_an_inch_instrument_on_a_millimetre_dimension(tmp_path):
    (mistake,) = warnings(tmp_path, "30 ±0.05", 'instrument = "inch-caliper"')
    assert "±0.0254 mm" in mistake.what
    assert warnings(tmp_path, "30 ±0.07", 'instrument = "inch-caliper"') == ()


def test_an_instrument_that_reads_something_else(tmp_path):
    (mistake,) = warnings(tmp_path, "30 ±0.5", 'instrument = "protractor"')
    assert mistake.what == "size is in mm, but protractor reads °"
    (mistake,) = warnings(tmp_path, "45° ±20'", 'instrument = "caliper"')
    assert "size is in °" in mistake.what
    assert warnings(tmp_path, "45° ±15'", 'instrument = "protractor"') == ()  # 0.1 = 0.5 / 5
    (mistake,) = warnings(tmp_path, "45° ±14'", 'instrument = "protractor"')
    assert "too coarse for a tolerance of 28'" in mistake.what
    assert mistake.accepted == "an instrument good to ±5'36\" or better"


def test_both_sets_of_limits_are_looked_at(tmp_path):
    (mistake,) = warnings(
        tmp_path, "30 ±0.2", 'before = { op = 10, callout = "30 ±3" }\n  instrument = "caliper"'
    )
    assert (mistake.line, mistake.text) == (26, "30 ±3")


@pytest.mark.parametrize(
    ("joint", "words"),
    [
        # 8 H7 on 8 p6: -0.024 to 0.000
        ('clearance = "0.01..0.05"', "no two pieces inside their limits can fit"),
        ('clearance = "-0.02..0"', "may not fit and will have to be matched"),
        ('clearance = "-0.03..-0.01"', "may not fit"),
    ],
)
def test_callouts_that_contradict_their_joint(tmp_path, joint, words):
    (mistake,) = warnings(tmp_path, joint=joint)
    assert mistake.line == 39
    assert words in mistake.what
    assert "-0.024..0.000 mm" in mistake.what


def test_a_joint_that_any_two_pieces_fit(tmp_path):
    assert warnings(tmp_path, joint='clearance = "-0.024..0"') == ()
    assert warnings(tmp_path, joint='clearance = "0.01 max"') == ()


def test_limits_in_place_of_the_class_of_a_fit(tmp_path):
    text = BUILD.replace("CALLOUT", "30").replace("EXTRA", "").replace("JOINT", 'fit = "H7/p6"')
    text = text.replace("STACK", "7.9..8.1").replace('"Ø8 p6"', '"Ø8 +0.03/+0.01"')
    (tmp_path / "build.toml").write_text(text, encoding="utf-8")
    found = check(tmp_path)
    assert [m.severity for m in found] == ["warning"] * 2
    assert found[0].what == (
        "the fit H7/p6 asks for Ø8 p6, that is 8.015..8.024 mm, but cup.pin is Ø8 +0.03/+0.01"
    )


@pytest.mark.parametrize(
    ("stack", "words"),
    [
        ("9 ±0.2", "no set of pieces inside their limits can come out right"),
        ("8 ±0.01", "may not come out right"),
    ],
)
def test_a_stack_that_cannot_come_out(tmp_path, stack, words):
    (mistake,) = warnings(tmp_path, stack=stack)
    assert mistake.line == 44
    assert words in mistake.what
    # 8.000..8.015 plus and minus 8.015..8.024
    assert "7.991..8.024 mm" in mistake.what


def test_pictures(tmp_path):
    (tmp_path / "cup.svg").write_text("<svg/>", encoding="utf-8")

    def with_part(line, extra=""):
        text = BUILD.replace("needed = 8", f"needed = 8\n{line}")
        text = text.replace("CALLOUT", "30").replace("EXTRA", extra)
        text = text.replace("JOINT", 'fit = "H7/p6"').replace("STACK", "7.9..8.1")
        (tmp_path / "build.toml").write_text(text, encoding="utf-8")
        return check(tmp_path)

    assert with_part('image = "cup.svg"', "at = [0.5, 0.5]") == ()
    (mistake,) = with_part('image = "cap.svg"')
    assert (mistake.line, mistake.severity) == (16, "warning")
    assert "cap.svg is not there" in mistake.what
    (mistake,) = with_part("", "at = [0.5, 0.5]")
    assert "no drawing picture" in mistake.what


def test_form_and_position_of_iso_2768_2(tmp_path):
    text = BUILD.replace("2768-m", "2768-mK").replace("CALLOUT", "30").replace("EXTRA", "")
    text = text.replace("JOINT", 'fit = "H7/p6"').replace("STACK", "7.9..8.1")
    (tmp_path / "build.toml").write_text(text, encoding="utf-8")
    (mistake,) = check(tmp_path)
    assert "K of ISO 2768-2" in mistake.what
    assert load(tmp_path).general == "m"


def test_warnings_come_along_with_mistakes(tmp_path):
    """All in one run: a mistake elsewhere does not hide a warning."""
    text = BUILD.replace("CALLOUT", "10 ±3").replace("EXTRA", "colour = 1")
    text = text.replace("JOINT", 'clearance = "1..2"').replace("STACK", "9 ±0.2")
    text = text.replace('"Ø8 p6"', '"Ø8 p66"')
    (tmp_path / "build.toml").write_text(text, encoding="utf-8")
    found = check(tmp_path)
    assert [m.severity for m in found] == ["warning", "error", "error"]
    with pytest.raises(PlanError):
        load(tmp_path)


EDGE = """\
title = "t"
HEAD
[material.aluminium]
expansion = 23
[instrument.caliper]
step = 0.01
[[part]]
id = "edge"
material = "aluminium"
needed = 2
  [[part.op]]
  number = 10
  name = "mill"
  [[part.dim]]
  id = "length"
  callout = "400 ±0.02"
  op = 10
  instrument = "caliper"
  [[part.dim]]
  id = "half"
  callout = "200 ±0.02"
  op = 10
  [[part.dim]]
  id = "short"
  callout = "20 ±0.02"
  op = 10
"""


def test_a_length_that_a_usual_room_moves_asks_for_the_rooms_range(tmp_path):
    """By hand: (23 - 11.5)e-6/K x 400 mm x 3 K = 0.0138 mm; a tenth of the tolerance is 0.004."""
    file = tmp_path / "build.toml"
    file.write_text(EDGE.replace("HEAD", ""), encoding="utf-8")
    (told,) = check(file)
    assert (told.severity, told.line) == ("warning", 1)
    assert "edge length 400 ±0.02 reads 0.014 mm off" in told.what
    assert "and 1 more like it" in told.what  # 200 mm: 0.0069; 20 mm: 0.0007
    assert 'temperature = "20 ±3"' in told.accepted
    file.write_text(EDGE.replace("HEAD", 'temperature = "20 ±5"'), encoding="utf-8")
    assert check(file) == ()
