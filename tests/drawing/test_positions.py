"""Lines of build.toml for every way that TOML can be written."""

import pytest

from qlog.drawing.build_file.positions import LineNumbers, broken_lines

TEXT = '''\
title = "t"
"quoted key" = 1
a.b.c = 2
inline = { x = 1, y = { z = 2 } }
list = [
  1,
  { q = 1 },  # remark
  3,
]
long = """
[not.a.table]
key = 1
"""
[table]
x = 1
[table.sub]
y = 1
[[part]]
id = "a"
[[part.op]]
n = 1
[[part.op]]
n = 2
[part.extra]
e = 1
[[part]]
id = "b"
[[part.op]]
n = 3
'''


@pytest.mark.parametrize(
    ("place", "line"),
    [
        (("title",), 1),
        (("quoted key",), 2),
        (("a", "b", "c"), 3),
        (("a",), 3),
        (("inline", "y", "z"), 4),
        (("list",), 5),
        (("list", 0), 6),
        (("list", 1, "q"), 7),
        (("list", 2), 8),
        (("long",), 10),
        (("table",), 14),
        (("table", "x"), 15),
        (("table", "sub", "y"), 17),
        (("part", 0), 18),
        (("part", 0, "id"), 19),
        (("part", 0, "op", 0), 20),
        (("part", 0, "op", 0, "n"), 21),
        (("part", 0, "op", 1, "n"), 23),
        (("part", 0, "extra", "e"), 25),
        (("part", 1), 26),
        (("part", 1, "op", 0, "n"), 29),
        (("part", 1, "missing"), 26),
        (("part", 0, "op", 1, "missing"), 22),
        (("missing",), 1),
        ((), 1),
    ],
)
def test_line_of(place, line):
    assert LineNumbers(TEXT).of(place) == line


def test_broken_lines():
    text = 'a = 1\nb = Ø\nc = 3\n[t]\nd = "x\ne = 5\n'
    assert broken_lines(text, 2) == (2, 5)


def test_sound_lines_beside_broken_ones_are_not_named():
    assert broken_lines("a =\nb = 2\nc = 3\n", 1) == (1,)
