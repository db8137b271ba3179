"""Every kind of mistake in build.toml: its line, its words, and what would be accepted.

Each case changes a sound build at one place; the line that must be named ends in the mark #!.
"""

import random
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import check, load_text
from qlog.drawing.build_file.mistakes import Mistake, PlanError

SOUND = """\
title = "t"
general = "ISO 2768-m"
[material.brass]
expansion = 20.5
[instrument.caliper]
step = 0.01
[[part]]
id = "cup"
material = "brass"
needed = 8
spare = 2
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
  id = "runout"
  callout = "runout 0.02"
  op = 20
[[joint]]
id = "fit"
inside = "cup.bore"
outside = "cup.pin"
fit = "H7/p6"
[[stack]]
id = "sum"
add = ["cup.pin"]
callout = "8 ±0.2"
[[item]]
id = "set"
count = 8
takes = { cup = 1 }
only = { cup = [1, 2, 3, 4, 5, 6, 7, 8] }
[[keep]]
apart = ["cup-1", "cup-2"]
[[credit]]
who = "w"
what = "w"
"""


def mistakes(text: str) -> tuple[Mistake, ...]:
    with pytest.raises(PlanError) as error:
        load_text(text, Path())
    return error.value.mistakes


def test_the_sound_build_is_sound():
    assert load_text(SOUND, Path()).title == "t"


CASES = [
    # the head
    ('title = "t"', "title = 3 #!", "title is not a text", 'title = "3"'),
    ('title = "t"', 'title = "t"\nmakr = "m" #!', '"makr" is not known', '"maker"'),
    ('title = "t"', 'title = "t"\nunits = "cm" #!', 'units = "cm"', "mm"),
    ('title = "t"', 'title = "t"\nrule = "strict" #!', 'rule = "strict"', "guarded"),
    ('title = "t"', 'title = "t"\nconformance = 1.5 #!', "no probability", "0.95"),
    ('title = "t"', 'title = "t"\nconformance = "x" #!', "not a number", "0.01"),
    ('title = "t"', 'title = "t"\nconformance = nan #!', "not a number", ""),
    ('title = "t"', 'title = "t"\ntimezone = "Berlin" #!', '"Berlin" is not known', "Europe/"),
    ('title = "t"', 'title = "t"\ntimezone = "Europe/Berlim" #!', "Berlim", "Europe/Berlin"),
    ('title = "t"', 'title = "t"\ntimezone = "../x" #!', '"../x" is not known', ""),
    ('title = "t"', 'title = "t"\nphoto-formats = ["gif"] #!', '"gif"', "webp"),
    ('title = "t"', 'title = "t"\nphoto-formats = [1] #!', "1 in photo-formats", '"1"'),
    ('title = "t"', 'title = "t"\nphoto-formats = "webp" #!', "not a list", "[...]"),
    ('title = "t"', 'title = "t"\nobject = "x" #!', "object is not a table", "[object]"),
    ('"ISO 2768-m"', '"ISO 2768-x" #!', "no general tolerance", "ISO 2768-f"),
    # materials and instruments
    ("[material.brass]", "[material.Brass_] #!", "typed safely", '"brass"'),
    ("expansion = 20.5", 'expansion = "warm" #!', "expansion is not a number", ""),
    ("expansion = 20.5", 'kind = "carbon steel 1021" #!', "not in the table", "carbon steel 1020"),
    ("expansion = 20.5", 'kind = "acetal (POM) unfilled" #!', "disagree", "106.5"),
    ("expansion = 20.5", 'expansion = 20.5\ncolour = "y" #!', '"colour" is not known', ""),
    ("step = 0.01", "step = -1 #!", "below 0", "0.000000001 or more"),
    ("step = 0.01", 'step = 0.01\nunit = "cm" #!', 'unit = "cm"', ""),
    # parts
    ('id = "cup"\nm', 'id = "cup-3" #!\nm', "ends like a piece number", "foot-3"),
    ('id = "cup"\nm', 'id = "Cup" #!\nm', "typed safely", '"cup"'),
    ('id = "cup"\nm', 'id = "12" #!\nm', "typed safely", "lowercase"),
    ('material = "brass"', 'material = "bras" #!', '"bras" is not known', '"brass"'),
    ("needed = 8", "needed = 0 #!", "too small", "1 or more"),
    ("needed = 8", "needed = 2.5 #!", "not a whole number", ""),
    ("needed = 8", "needed = true #!", "not a whole number", ""),
    ("spare = 2", "spare = -1 #!", "too small", "0 or more"),
    ("spare = 2", "spares = 2 #!", '"spares" is not known', '"spare"'),
    ("spare = 2", 'spare = 2\nimage = "cup.gif" #!', "no picture", "PNG"),
    ("spare = 2", 'spare = 2\nimage = "../cup.png" #!', "build's folder", "drawings/cup.svg"),
    ("spare = 2", 'spare = 2\nimage = "/cup.png" #!', "build's folder", ""),
    ("spare = 2", "spare = 2\nimage = 'a\\cup.png' #!", "build's folder", ""),
    ("spare = 2", 'spare = 2\nimage = "C:/cup.png" #!', "build's folder", ""),
    # operations
    ("  number = 20", "  number = 10 #!", "used twice", "such as 20"),
    ("  number = 20\n", "  number = 5 #!\n", "behind operation 10", "rising"),
    ("  number = 20\n", '  number = "x" #!\n', "not a whole number", ""),
    ("  number = 10\n", "  number = 0 #!\n", "too small", ""),
    ('  name = "bore"', '  name = "bore"\n  photos_each = 1 #!', "photos_each", '"photos-each"'),
    ('  name = "bore"', '  name = "bore"\n  photos = -1 #!', "too small", ""),
    ('  name = "bore"', '  name = "bore"\n  irreversible = "yes" #!', "neither true", "true"),
    ('  name = "bore"', '  name = "bore"\n  layer = "2..1 um" #!', "reversed", ""),
    ('  name = "bore"', '  name = "bore"\n  only = [1, 11] #!', "11 is no piece", "1 to 10"),
    ('  name = "bore"', '  name = "bore"\n  only = [1, 1] #!', "named twice", "each once"),
    ('  name = "bore"', '  name = "bore"\n  only = 3 #!', "not a list", "[...]"),
    # dimensions
    ('"Ø8 H7"', '"Ø8 H19" #!', "H19 is not in the tables", "H18"),
    ('"Ø8 H7"', '"8.1..8.0" #!', "the limits are reversed", "smaller limit first"),
    ('"Ø8 H7"', '"Runot 0.02" #!', "no callout", "runout"),
    ('"Ø8 H7"', '"" #!', "callout is missing", ""),
    ('"Ø8 H7"', '"Ø8 H7"\n  calout = "x" #!', '"calout" is not known', '"callout"'),
    ("  op = 10", "  op = 15 #!", "no operation 15", "10, 20"),
    ("  op = 10", "  op = 0 #!", "no operation 0", ""),
    ("  op = 10", '  op = "ten" #!', "not a whole number", ""),
    ('instrument = "caliper"', 'instrument = "calliper" #!', '"calliper"', '"caliper"'),
    ('instrument = "caliper"', 'measures = "insid" #!', 'measures = "insid"', '"inside"'),
    ('instrument = "caliper"', "at = [2, 0.5] #!", "no place on the drawing", "[0.4, 0.2]"),
    ('instrument = "caliper"', "at = [0.5] #!", "no place on the drawing", ""),
    ('instrument = "caliper"', "at = 0.5 #!", "not a list", ""),
    ('instrument = "caliper"', "unreachable-after = 10 #!", "cannot be reached", "op = 10"),
    ('instrument = "caliper"', "unreachable-after = 15 #!", "no operation 15", ""),
    ('instrument = "caliper"', 'before = "Ø8 H6" #!', "not a table", "{ ... }"),
    (
        'instrument = "caliper"',
        'before = { op = 20, callout = "Ø8 H6" } #!',
        "not before 20",
        "before the finish",
    ),
    ('instrument = "caliper"', 'before = { callout = "Ø8 H6" } #!', "have no operation", "op = 20"),
    ('instrument = "caliper"', "before = { op = 10 } #!", "callout is missing", ""),
    ('instrument = "caliper"', 'before = { op = 10, callout = "Ø8 H99" } #!', "H99", ""),
    (
        'instrument = "caliper"',
        'before = { op = 10, callout = "Ø0.3 in ±.001" } #!',
        "not in the same unit",
        "one unit",
    ),
    ('id = "pin"', 'id = "bore" #!', 'dimension id "bore" is used twice', "its own"),
    # joints
    ('inside = "cup.bore"', 'inside = "cup.bor" #!', 'no dimension "bor"', '"bore"'),
    ('inside = "cup.bore"', 'inside = "cap.bore" #!', 'part "cap" is not known', '"cup"'),
    ('inside = "cup.bore"', 'inside = "bore" #!', "bore is no dimension", "part.dimension"),
    ('inside = "cup.bore"', 'inside = "cup.runout" #!', "no size", "diameter"),
    ('inside = "cup.bore"', 'inside = "cup.pin" #!', 'measures "outside"', 'measures = "inside"'),
    ('fit = "H7/p6"', 'fit = "H8/p6" #!', "asks for Ø8 H8, but cup.bore is Ø8 H7", "Ø8 H8"),
    ('fit = "H7/p6"', 'fit = "H7/g6" #!', "asks for Ø8 g6, but cup.pin is Ø8 p6", ""),
    ('fit = "H7/p6"', 'fit = "H7" #!', "is no fit", "H7/p6"),
    ('fit = "H7/p6"', 'fit = "p6/H7" #!', "names the shaft first", "H7/p6"),
    ('fit = "H7/p6"', 'clearance = "0.1" #!', "no two limits", "0.01..0.05"),
    ('fit = "H7/p6"', 'fit = "H7/p6"\nclearance = "0..1" #!', "both clearance and fit", "or fit"),
    ('fit = "H7/p6"\n', "", "neither clearance nor fit", 'fit = "H7/g6"'),
    # stacks
    ('add = ["cup.pin"]', 'add = ["cup.pn"] #!', 'no dimension "pn"', '"pin"'),
    ('add = ["cup.pin"]', "add = [1] #!", "1 is no dimension", ""),
    ('add = ["cup.pin"]', "add = [] #!", "adds nothing", ""),
    ('"8 ±0.2"', '"8" #!', "no tolerance is written", '"8 ±0.2"'),
    ('"8 ±0.2"', '"Ra 0.8" #!', "Ra 0.8 is no size", "180 ±0.2"),
    # items
    ("takes = { cup = 1 }", "takes = { cp = 1 } #!", 'part "cp" is not known', '"cup"'),
    ("takes = { cup = 1 }", "takes = {} #!", "takes no part", ""),
    ("takes = { cup = 1 }", "takes = 1 #!", "not a table", ""),
    ("takes = { cup = 1 }", "takes = { cup = 2 } #!", "take 16 of cup, but only 8", "needed = 16"),
    ("takes = { cup = 1 }", "takes = { cup = 0 } #!", "too small", ""),
    # pieces kept together or apart
    ('apart = ["cup-1", "cup-2"]', 'apart = ["cup-1"] #!', "one piece alone", ""),
    ('apart = ["cup-1", "cup-2"]', 'apart = ["cup-1", "cup-11"] #!', "no piece 11", "1 to 10"),
    ('apart = ["cup-1", "cup-2"]', 'apart = ["cup-1", "cap-2"] #!', "no piece", '"cup"'),
    ('apart = ["cup-1", "cup-2"]', 'apart = ["cup-1", "cup"] #!', "no piece", "foot-3"),
    ('who = "w"', 'whom = "w" #!', '"whom" is not known', '"who"'),
]


@pytest.mark.parametrize(("old", "new", "what", "accepted"), CASES, ids=[c[1][:40] for c in CASES])
def test_each_mistake_with_its_line(old, new, what, accepted):
    assert SOUND.count(old) >= 1
    text = SOUND.replace(old, new, 1)
    found = mistakes(text)
    fitting = [m for m in found if what in m.what]
    assert fitting, [str(m) for m in found]
    mistake = fitting[0]
    assert accepted in mistake.accepted
    assert mistake.severity == "error"
    if "#!" in new:
        line = next(i for i, t in enumerate(text.split("\n"), 1) if t.endswith("#!"))
        assert mistake.line == line
        assert str(mistake).startswith(f"build.toml:{line}: ")


@pytest.mark.parametrize(
    ("old", "new", "line", "what"),
    [
        ('title = "t"\n', "", 1, "title is missing"),
        ("needed = 8\n", "", 7, "needed is missing"),
        ("  number = 20\n", "", 15, "number is missing"),
        ('  name = "bore"\n', "", 15, "name is missing"),
        ("  op = 10\n", "", 23, 'dimension "pin" is tied to no operation'),
        ('  callout = "Ø8 p6"\n', "", 23, "callout is missing"),
        ('id = "fit"\n', "", 31, "id is missing"),
        ('inside = "cup.bore"\n', "", 31, "inside is missing"),
        ("takes = { cup = 1 }\n", "", 40, "the item takes no part"),
        ('what = "w"\n', "", 47, "what is missing"),
    ],
)
def test_what_is_missing_is_named_at_its_table(old, new, line, what):
    assert old in SOUND
    found = mistakes(SOUND.replace(old, new, 1))
    assert (line, what) in [(m.line, m.what) for m in found]


def test_more_than_the_needed_pieces():
    found = mistakes(SOUND.replace("count = 8", "count = 9"))
    assert [m.line for m in found] == [43, 44]
    assert found[0].what == "the items take 9 of cup, but only 8 are needed"
    assert found[1].what == "8 pieces of cup are reserved, but the items take 9"


def test_a_wrong_count_is_told_once():
    """Nothing else is said about how many pieces there are."""
    text = SOUND.replace("needed = 8", "needed = 0").replace(
        '  name = "bore"', '  name = "bore"\n  only = [9]'
    )
    (mistake,) = mistakes(text)
    assert mistake.what == "needed = 0 is too small"


def test_reserved_pieces():
    text = SOUND.replace("7, 8] }", "7, 11] }")
    (mistake,) = mistakes(text)
    assert (mistake.line, mistake.what) == (44, "11 is no piece of cup")
    (mistake,) = mistakes(SOUND.replace("7, 8] }", "7, 7] }"))
    assert mistake.what == "a piece is named twice"
    (mistake,) = mistakes(SOUND.replace("only = { cup", "only = { pin"))
    assert mistake.what == 'the item takes no "pin"'
    two = SOUND.replace("count = 8", "count = 4") + (
        '[[item]]\nid = "more"\ncount = 4\ntakes = { cup = 1 }\nonly = { cup = [8, 9, 10, 1] }\n'
    )
    found = mistakes(two)
    assert [m.what for m in found] == [
        "cup-8 is reserved for set already",
        "cup-1 is reserved for set already",
    ]
    assert {m.line for m in found} == {54}


def test_a_fit_of_two_nominal_sizes():
    (mistake,) = mistakes(SOUND.replace('"Ø8 p6"', '"Ø9 p6"').replace('"8 ±0.2"', '"9 ±0.2"'))
    assert mistake.line == 35
    assert mistake.what == "the fit H7/p6 asks for Ø8 p6, but cup.pin is Ø9 p6"


def test_a_fit_needs_a_nominal_size():
    text = SOUND.replace('"Ø8 H7"', '"Ø8.0..8.015"\n  measures = "inside"')
    (mistake,) = mistakes(text)
    assert "needs a nominal size" in mistake.what
    assert "clearance" in mistake.accepted


def test_brackets_of_one_table_in_place_of_a_list():
    text = SOUND.replace("[[credit]]", "[credit]")
    (mistake,) = mistakes(text)
    assert (mistake.line, mistake.what) == (47, "[credit] has one bracket")
    assert mistake.accepted == "two brackets: [[credit]]"


def test_no_part_at_all():
    (mistake,) = mistakes('title = "t"\n')
    assert mistake.what == "there is no part"


def test_a_part_without_operations_or_twice():
    text = SOUND + '[[part]]\nid = "cup"\nneeded = 1\n'
    found = mistakes(text)
    assert [(m.line, m.what) for m in found] == [
        (50, "the part has no operation"),
        (51, 'part id "cup" is used twice'),
    ]


def test_a_mistake_in_a_callout_is_told_once():
    """The joint and the stack that name the dimension stay silent about it."""
    text = SOUND.replace('"Ø8 p6"', '"Ø8 p66"')
    (mistake,) = mistakes(text)
    assert mistake.line == 25
    assert mistake.text == "Ø8 p66"


def test_all_mistakes_in_one_run_in_the_order_of_the_file():
    text = (
        SOUND.replace('title = "t"', 'titel = "t"')
        .replace("expansion = 20.5", 'expansion = "x"')
        .replace('"Ø8 H7"', '"Ø8 H19"')
        .replace("needed = 8", "needed = -8")
        .replace('fit = "H7/p6"', 'fit = "H7/p6"\nfits = "x"')
        .replace('who = "w"', "")
    )
    found = mistakes(text)
    assert [m.line for m in found] == sorted(m.line for m in found)
    assert len(found) == 7
    with pytest.raises(PlanError) as error:
        load_text(text, Path())
    assert str(error.value).count("\n") == 6


@pytest.mark.parametrize(
    ("line", "what", "accepted"),
    [
        ('maker = "x', "the closing quote is missing", ""),
        ("maker = 'x", "the closing quote is missing", "'"),
        ("maker = Ann", "the text of maker is not in quotes", 'maker = "Ann"'),
        ("maker = Ø8 H7", "the text of maker is not in quotes", 'maker = "Ø8 H7"'),
        ("maker = 0,5", "decimal comma", "0.5"),
        ("maker = 08", "begins with a zero", "maker = 8"),
        ("maker =", "has no value", ""),
        ("maker = .5003", "no zero before the point", 'maker = 0.5003, or in quotes: ".5003"'),
        ("maker: 'x'", "without =", "maker = ..."),
        ('maker "x"', "without =", "maker = ..."),
        ("[material.x", "the brackets do not match", ""),
        ("[[part]", "the brackets do not match", "[[name]]"),
        ('maker = "3/8" +.002"', "inch mark", "maker = '3/8\" +.002'"),
        ('maker = "C:\\dir"', "inside double quotes", "single quotes"),
        ('maker = "C:\\users\\dir"', "inside double quotes", "single quotes"),
        ('maker = "C:\\dir\\"', "inside double quotes", "single quotes"),
        ('maker = "C:\\\\dir" who = 2', "cannot be read", "key = number"),
        ('maker = "a \\"b\\"" who = 2', "cannot be read", "key = number"),
        ('title = "again"', "title is written twice", ""),
        ("maker = 1 who = 2", "cannot be read", "key = number"),
        ('maker = """x', "three quotes", ""),
    ],
)
def test_what_is_not_toml(line, what, accepted):
    text = SOUND.replace('title = "t"', f'title = "t"\n{line}')
    first = mistakes(text)[0]
    assert first.line == 2
    assert what in first.what
    assert accepted in first.accepted
    assert first.text == line.strip()


def test_several_lines_that_are_not_toml():
    text = (
        SOUND.replace('"Ø8 H7"', "Ø8 H7")
        .replace("needed = 8", "needed =")
        .replace('who = "w"', 'who = "w')
    )
    assert [m.line for m in mistakes(text)] == [10, 20, 48]


@pytest.mark.parametrize(
    ("line", "after"),
    [
        ("only = [1, 2", 'maker = "x"'),
        ("only = [", "[[part]]"),
        ("only = [", "[finish]"),
        ('only = """', 'maker = "x"'),
    ],
)
def test_what_has_no_end_is_not_told_as_written_twice(line, after):
    """The line that follows is sound by itself, and stands there once."""
    last = mistakes(f'title = "t"\n{line}\n{after}')[-1]
    assert (last.line, last.text) == (3, after)
    assert last.what == "what begins further up has no end"
    assert last.accepted.startswith("] behind a list")


def test_a_table_where_a_list_was():
    text = SOUND + "[part]\n"
    (mistake,) = mistakes(text)
    assert mistake.line == 50
    assert "[[part]]" in mistake.accepted


def test_check_gives_the_same_and_loads_nothing(tmp_path):
    path = tmp_path / "build.toml"
    path.write_text(SOUND.replace("needed = 8", "needed = -8"), encoding="utf-8")
    (mistake,) = check(path)
    assert mistake.what == "needed = -8 is too small"
    assert str(mistake) == "build.toml:10: needed = -8 is too small; 1 or more"
    assert check(tmp_path) == check(path)
    path.write_text("x =", encoding="utf-8")
    assert [m.severity for m in check(path)] == ["error"]


def test_another_file_name_stands_in_the_message(tmp_path):
    path = tmp_path / "other.toml"
    path.write_text(SOUND.replace("needed = 8", "needed = -8"), encoding="utf-8")
    (mistake,) = check(path)
    assert str(mistake).startswith("other.toml:10: ")


def test_no_file_is_too_broken_to_be_answered():
    """Sound builds with lines, values and signs exchanged: read, or refused with lines; seeded."""
    chance = random.Random(20260102)
    values = ['"x"', "0", "-1", "2.5", "nan", "inf", "true", "[]", "{}", "[[1]]", "1979-05-27",
              "9" * 5000, '"Ø8 H7"', '["cup.pin"]', "{ a = 1 }", "[0.1, nan]", "[true, 1]", "1e400",
              '"cup.pin"', '["cup-1"]', "{ cup = [1] }", "{ cup = 1, op = 10 }"]  # fmt: skip
    signs = "=\"[]{}#\\\n'.,x1é\u0000 "
    refused = 0
    for _ in range(1500):
        lines = SOUND.split("\n")
        for _ in range(chance.randint(1, 3)):
            place = chance.randrange(len(lines))
            way = chance.randrange(4)
            if way == 0:
                del lines[place]
            elif way == 1:
                lines.insert(place, chance.choice(lines))
            elif way == 2 and "=" in lines[place]:
                lines[place] = lines[place].split("=")[0] + "= " + chance.choice(values)
            else:
                at = chance.randrange(len(lines[place]) + 1)
                lines[place] = lines[place][:at] + chance.choice(signs) + lines[place][at:]
        text = "\n".join(lines)
        try:
            load_text(text, Path())
        except PlanError as error:
            refused += 1
            count = text.count("\n") + 1
            assert all(1 <= m.line <= count and m.what for m in error.mistakes)
    assert refused > 1000


@pytest.mark.parametrize("text", ["x = " + "[" * 5000, "x = " + "9" * 5000, "\0", "=", "[", "é"])
def test_hostile_files(text):
    (mistake, *_) = mistakes(text)
    assert mistake.line == 1
