"""The key reference against the readers: every key is there, every example and default holds."""

import re
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.build_file import bounds
from qlog.drawing.build_file.entry import PlanTable
from qlog.drawing.build_file.keys import TABLES, Key, KeyTable, bound, markdown
from qlog.drawing.build_file.load import PlanError, load_text
from qlog.drawing.plan import LANGUAGES, Build
from qlog.words.catalogue import languages
from tests.drawing.test_load import FULL

#: A build in which each table stands once, ready to take one more key.
FRAME = {
    "": 'title = "t"',
    "object": "[object]",
    "credit": '[[credit]]\nwho = "w"\nwhat = "w"',
    "material": "[material.brass]",
    "letter": '[letter]\ntext = "l.txt"',
    "voice": '[voice]\nfile = "v.mp3"',
    "chapter": '[[chapter]]\ntitle = "c"',
    "memory": '[[memory]]\nline = "m"',
    "accepted": '[[accepted]]\npiece = "cup-1"\nwhy = "w"',
    "finish": "[finish.nickel]",
    "instrument": "[instrument.bore-gauge]",
    "part": '[[part]]\nid = "cup"\nneeded = 8\nspare = 2',
    "part.op": '[[part.op]]\nnumber = 10\nname = "turn"\n[[part.op]]\nnumber = 20\nname = "bore"',
    "part.dim": (
        '[[part.dim]]\nid = "pin"\ncallout = "Ø22 mm g6"\nop = 10\n'
        '[[part.dim]]\nid = "height"\ncallout = "30 mm ±0.1"\nop = 10\n'
        '[[part.dim]]\nid = "bore"\ncallout = "Ø22 mm H7"\nop = 20\n'
        '[[part.dim]]\nid = "rim"\ncallout = "Ø40 mm ±0.1"\nop = 20'
    ),
    "joint": '[[joint]]\nid = "fit"\ninside = "cup.bore"\noutside = "cup.pin"\nfit = "H7/g6"',
    "stack": '[[stack]]\nid = "sum"\nadd = ["cup.height"]\ncallout = "30 mm ±0.4"',
    "item": '[[item]]\nid = "set"\ncount = 4\ntakes = { cup = 1 }',
    "keep": '[[keep]]\napart = ["cup-1", "cup-2"]',
}
KEYS = [(table, key) for table in TABLES for key in table.keys]


def text_with(table: KeyTable, key: Key, value: str) -> str:
    """The frame with one key set in the last table of its kind, in place of what stands there."""
    pieces = dict(FRAME)
    if "." in table.path and table.path not in pieces:  # takes, only, before: inline tables
        return text_with_inline(table, key, value)
    lines = pieces[table.path].split("\n")
    name = '"Marks"' if key.name == "*" else key.name
    start = max((i for i, line in enumerate(lines) if line.startswith("[")), default=0)
    others = {"clearance": "fit", "together": "apart"}.get(key.name)
    kept = [line for line in lines[start:] if line.split(" = ")[0] not in (key.name, others)]
    pieces[table.path] = "\n".join([*lines[:start], *kept, f"{name} = {value}"])
    return "\n".join(pieces.values())


def text_with_inline(table: KeyTable, key: Key, value: str) -> str:
    owner, _, name = table.path.rpartition(".")
    inner = {
        "takes": f"{{ cup = {value} }}",
        "only": f"{{ cup = {value} }}",
        "before": (
            f"{{ op = {value}, callout = 'Ø21.9 ±0.1' }}"
            if key.name == "op"
            else f"{{ op = 10, callout = {value} }}"
        ),
        "until": (
            f"[{{ piece = {value}, callout = 'Ø21.9 ±0.1' }}]"
            if key.name == "piece"
            else f"[{{ piece = 1, callout = {value} }}]"
        ),
        "from": (
            f'{{ rule = {value}, outside = "pin", inside = "bore" }}'
            if key.name == "rule"
            else f'{{ rule = "wall", outside = {value}, inside = "bore" }}'
        ),
        "scatter": "[{ "
        + ", ".join(f"{n} = {v}" for n, v in {"s": "0.003", "df": "18", key.name: value}.items())
        + " }]",
    }[name]
    whole = next(t for t in TABLES if t.path == owner)
    return text_with(whole, next(k for k in whole.keys if k.name == name), inner)


def plan_of(text: str) -> Build:
    return load_text(text, Path())


def test_the_frame_is_sound() -> None:
    assert plan_of("\n".join(FRAME.values())).title == "t"


@pytest.mark.parametrize(("table", "key"), KEYS, ids=[f"{t.path}.{k.name}" for t, k in KEYS])
def test_every_example_is_read(table: KeyTable, key: Key) -> None:
    assert plan_of(text_with(table, key, key.example))
    assert key.meaning and key.kind


@pytest.mark.parametrize(("table", "key"), KEYS, ids=[f"{t.path}.{k.name}" for t, k in KEYS])
def test_what_is_required_is_missed_and_nothing_else(table: KeyTable, key: Key) -> None:
    inner = ("part.dim.before", "part.dim.until", "part.dim.from", "part.dim.scatter")
    if key.name == "*" or table.path in inner:
        return
    text = text_with(table, key, key.example)
    assert f"{key.name} = {key.example}" in text
    without = text.replace(f"{key.name} = {key.example}", "")
    if key.name in ("clearance", "fit", "together", "apart"):
        return  # one of two: their tables say so
    if key.required:
        with pytest.raises(PlanError) as error:
            plan_of(without)
        assert any(key.name in m.what or key.name in m.accepted for m in error.value.mistakes), str(
            error.value
        )
    else:
        assert plan_of(without)


DEFAULTS = [(t, k) for t, k in KEYS if re.fullmatch(r'".*"|[0-9.]+|\[\]|false', k.default)]


@pytest.mark.parametrize(
    ("table", "key"), DEFAULTS, ids=[f"{t.path}.{k.name}" for t, k in DEFAULTS]
)
def test_the_default_is_what_holds_when_nothing_is_written(table: KeyTable, key: Key) -> None:
    if key.name in ("together", "apart"):
        return
    written = plan_of(text_with(table, key, key.default))
    absent = plan_of(text_with(table, key, key.default).replace(f"{key.name} = {key.default}", ""))

    def what(build: Build) -> list[object]:
        return [
            getattr(build, name)
            for name in type(build).__match_args__  # type: ignore[attr-defined]
            if name not in ("revision", "source")
        ]

    assert what(written) == what(absent)


def test_every_key_that_the_readers_know_is_listed_and_no_other(monkeypatch) -> None:
    asked: set[tuple[str, str]] = set()
    original = PlanTable.get

    def remember(self: PlanTable, key: str) -> object:
        asked.add((self.table, key))
        return original(self, key)

    monkeypatch.setattr(PlanTable, "get", remember)
    for text in (FULL, "\n".join(FRAME.values()), *(text_with(t, k, k.example) for t, k in KEYS)):
        load_text(text, Path())
    names = {t.path for t in TABLES if any(k.name == "*" for k in t.keys)}
    lists = {"object", "credit", "material", "instrument", "part", "joint", "stack", "item", "keep",
             "part.op", "part.dim", "letter", "voice", "chapter", "memory", "accepted",
             "finish"}  # fmt: skip
    listed = {(t.path, k.name) for t, k in KEYS}
    known = {
        (table, key)
        for table, key in asked
        if (table not in names or (table, key) in listed)
        and (f"{table}.{key}".lstrip(".")) not in lists
    }
    assert known == {(t.path, k.name) for t, k in KEYS if k.name != "*"}


def test_the_reference_says_every_key_with_its_bounds() -> None:
    text = markdown()
    assert text.count("\n## ") + 1 == len(TABLES)
    for table, key in KEYS:
        assert f"| `{key.name}` | {key.kind} |" in text
        if key.kind == "whole number" and key.name not in ("op", "unreachable-after"):
            assert re.fullmatch(r"[0-9]+ to [0-9]+", bound(table, key))
    for name in (*bounds.WHOLE, *bounds.NUMBER, *bounds.TEXT):
        table, _, key = name.rpartition(".")
        assert (table, key) in {(t.path, k.name) for t, k in KEYS}, name


WHOLE = [(t, k) for t, k in KEYS if f"{t.path}.{k.name}" in bounds.WHOLE]


@pytest.mark.parametrize(("table", "key"), WHOLE, ids=[f"{t.path}.{k.name}" for t, k in WHOLE])
def test_more_than_the_bound_is_refused_with_the_bound(table: KeyTable, key: Key) -> None:
    most = bounds.whole(table.path, key.name)[1]
    for value in (most + 1, 99999999999, 10**400):
        with pytest.raises(PlanError) as error:
            plan_of(text_with(table, key, str(value)))
        assert any(f"{most} at most" in m.accepted for m in error.value.mistakes)
        assert len(str(error.value)) < 2000


@pytest.mark.parametrize(
    ("old", "new", "what", "accepted"),
    [
        ("[instrument.bore-gauge]", "[instrument.bore-gauge]\nstep = 1e999", "too large", "100"),
        ("[instrument.bore-gauge]", "[instrument.bore-gauge]\nstep = 1e-999", "too small", "0.00"),
        ("[instrument.bore-gauge]", "[instrument.bore-gauge]\nstep = 0", "too small", "0.0000"),
        ("[instrument.bore-gauge]", "[instrument.bore-gauge]\nerror = 1e-99", "more digits", "12"),
        ("[material.brass]", "[material.brass]\nexpansion = 99999", "too large", "1000"),
        ('title = "t"', 'title = "t"\nlanguage = "simple"', "no catalogue", '"en" or "de"'),
        ('title = "t"', 'title = "t"\nconformance = 0.5', "no probability", "above 0.5"),
        ('title = "t"', 'title = "t"\nconformance = 0.9999999', "no probability", "0.999999"),
        ('title = "t"', 'title = "' + "x" * 301 + '"', "301 characters", "300 at most"),
        ('title = "t"', 'title = "\\u001b[2J"', "control character", "letters"),
        ('id = "cup"', 'id = "' + "c" * 41 + '"', "41 characters", "40 at most"),
        ('["cup-1", "cup-2"]', '["cup-1"' + ', "cup-2"' * 1000 + "]", "1001 entries", "1000"),
    ],
)  # fmt: skip
def test_what_is_too_large_too_long_or_unknown(old, new, what, accepted) -> None:
    text = "\n".join(FRAME.values())
    assert old in text
    with pytest.raises(PlanError) as error:
        plan_of(text.replace(old, new, 1))
    found = [m for m in error.value.mistakes if what in m.what]
    assert found and accepted in found[0].accepted, str(error.value)


def test_a_language_with_its_country_is_taken() -> None:
    assert plan_of('language = "de-AT"\n' + "\n".join(FRAME.values())).language == "de-AT"


def test_the_languages_are_those_that_have_a_catalogue() -> None:
    assert sorted(LANGUAGES) == sorted(languages())


@pytest.mark.parametrize(
    "text",
    [
        "a." * 3000 + "b = 1",
        "part." + "a." * 3000 + "b = 1",
        "[" + "a." * 3000 + "b]\nx = 1",
        "object." + "a." * 3000 + "b = 1",
        'title = "t"\nx = ' + "{a = " * 3000 + "1" + "}" * 3000,
        "x = " + "[" * 100 + "]" * 100,
    ],
    ids=["key", "part", "table", "object", "inline", "list"],
)
def test_tables_in_tables_without_end_are_refused_with_their_line(text: str) -> None:
    with pytest.raises(PlanError) as error:
        plan_of(text)
    assert "deep" in error.value.mistakes[0].what
    assert error.value.mistakes[0].line == (2 if text.startswith("title") else 1)


def test_a_number_stays_what_it_is_without_an_exponent() -> None:
    text = "\n".join(FRAME.values()).replace(
        "[instrument.bore-gauge]", "[instrument.bore-gauge]\nstep = 1e-3"
    )
    step = plan_of(text).instrument("bore-gauge").step
    assert step == Decimal("0.001") and str(step) == "0.001"
