"""Errors: raised as a text's key with facts, and said in the build's language by who shows them."""

import ast
import copy
import pickle
import re
import string
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.callouts.reading import parse
from qlog.drawing.units import Unit
from qlog.logbook.facts import Reading
from qlog.logbook.store import describe
from qlog.problem import Problem, ToSay
from qlog.words.catalogue import Texts, load
from qlog.words.problems import in_words

PACKAGE = Path(__file__).parents[2] / "qlog"
ENGLISH, GERMAN = load("en"), load("de")


def told() -> list[tuple[str, frozenset[str]]]:
    """Key and names of the facts of every text that code has said as an error."""
    found = []
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "ToSay":
                key = node.args[0]
                if isinstance(key, ast.Constant):
                    found.append((key.value, frozenset(k.arg or "" for k in node.keywords)))
    return found


def named(text: str) -> frozenset[str]:
    return frozenset(n for _, n, _, _ in string.Formatter().parse(text) if n is not None)


def test_every_error_has_its_text_with_just_the_facts_that_it_carries() -> None:
    assert len(told()) > 300
    for key, facts in told():
        text = ENGLISH.texts[key]
        assert "" in facts or named(text) == facts, key


def test_every_text_of_an_error_is_used() -> None:
    assert isinstance(ENGLISH.texts, Texts)
    keys = {key for key in ENGLISH.texts.whole() if key.startswith("error.")}
    used: set[str] = set()
    for path in PACKAGE.rglob("*.py"):
        if PACKAGE / "words" not in path.parents:
            used |= set(re.findall(r'"(error\.[\w.]+)"', path.read_text(encoding="utf-8")))
    assert keys == used


def test_an_error_within_another_is_said_in_the_same_language() -> None:
    inner = Problem(ToSay("error.part_build_toml", text="cup"))
    outer = Problem(ToSay("error.change_keep_item", error=inner))
    assert str(outer) == "no part 'cup' in build.toml; change [[keep]] or [[item]] in build.toml"
    assert in_words(GERMAN, outer) == (
        "kein Bauteil 'cup' in build.toml; [[keep]] oder [[item]] in build.toml ändern"
    )


def test_a_number_in_a_german_error_has_a_comma() -> None:
    error = Problem(ToSay("error.allowed_error_size", limit=Decimal("0.5")))
    assert "0,5" in in_words(GERMAN, error)


@pytest.mark.parametrize("again", [copy.deepcopy, lambda e: pickle.loads(pickle.dumps(e))])
def test_a_copy_says_the_same(again) -> None:  # type: ignore[no-untyped-def]
    one = ToSay("error.part_build_toml", text="cup")
    two = again(one)
    assert (two, two.key, two.facts) == (one, one.key, one.facts)


def test_what_another_library_raises_is_said_as_it_says_it() -> None:
    assert in_words(GERMAN, ValueError("no such thing")) == "no such thing"


@pytest.mark.parametrize(
    ("callout", "unit", "general"),
    [
        ("12.5", Unit.MM, ""),
        ("0.4", Unit.MM, "ISO 2768-m"),
        (".5", Unit.INCH, ""),
        (".5", Unit.INCH, "ISO 2768-m"),
        ("1.2345", Unit.INCH, ".XX ±.01, .XXX ±.005"),
        ("Ra 1.5", Unit.INCH, ""),
        ("12.5 H7 (+0.1/0)", Unit.MM, ""),
        ("M8.5-6g major", Unit.MM, ""),
    ],
)
def test_what_a_german_error_offers_can_be_typed_as_it_stands(
    callout: str, unit: Unit, general: str
) -> None:
    with pytest.raises(CalloutError) as refused:
        parse(callout, unit=unit, general=general)
    said = in_words(GERMAN, refused.value.accepted)
    offered = [o for o in re.findall(r'"([^"]+)"|(\([+].*?\))|(M[\d.]+x[\d.,]+)', said)
               if not o[0].startswith((".XX", "ISO"))]  # fmt: skip
    assert offered
    for quoted, behind, thread in offered:
        parse(quoted or (f"12.5 H7 {behind}" if behind else f"{thread}-6g major"), unit=unit)


def test_what_is_listed_within_a_german_error_is_german() -> None:
    with pytest.raises(CalloutError) as refused:
        parse("Ø12 cd8")
    assert in_words(GERMAN, refused.value).endswith("am nächsten liegen c8 oder d8")
    there = Reading("cup", 20, "bore", 1, "22.01", "22.01", "mm", temperature="30")
    assert in_words(GERMAN, describe(there)) == "22.01 mm bei 30 °C"
