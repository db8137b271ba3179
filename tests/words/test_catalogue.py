"""The catalogue: every language has every text, and every text is used with what it names."""

import ast
import re
import string
from importlib import import_module
from pathlib import Path

import pytest

from qlog.words.catalogue import MODULES, Texts, Words, WordsError, languages, load

ROOT = Path(__file__).parents[2]
ENGLISH = load("en")


def whole(words: Words) -> dict[str, str]:
    """Every text of a language, its modules loaded."""
    assert isinstance(words.texts, Texts)
    return words.texts.whole()


def named_values(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


def test_german_is_there_besides_english() -> None:
    assert {"de", "en"} <= set(languages())


@pytest.mark.parametrize("language", languages())
def test_every_language_has_the_same_texts_with_the_same_values(language: str) -> None:
    words = load(language)
    assert set(whole(words)) == set(whole(ENGLISH))
    for key, text in whole(words).items():
        assert named_values(text) == named_values(ENGLISH.texts[key]), key
        assert text.strip() == text and (text or key.startswith("story.")), key


def test_every_literal_key_is_in_the_catalogue() -> None:
    known = set(whole(ENGLISH))
    used = set()
    for folder in ("maker", "recipient", "shared"):
        for path in (ROOT / "site_templates" / folder).iterdir():
            text = path.read_text(encoding="utf-8")
            used |= set(re.findall(r"\bt\(\s*[\"']([\w.]+)[\"']\s*[,)]", text))
            used |= {f"{k}.one" for k in re.findall(r"\bt\.count\(\s*[\"']([\w.]+)[\"']", text)}
    for path in (ROOT / "qlog" / "record").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            name = ast.unparse(node.func)
            key = node.args[0]
            if not isinstance(key, ast.Constant) or not isinstance(key.value, str):
                continue
            if name == "words":
                used.add(key.value)
            elif name == "words.count":
                used.add(f"{key.value}.one")
    assert len(used) > 150
    assert used <= known, sorted(used - known)


def test_numbers_and_dates_follow_the_language() -> None:
    english, german = load("en"), load("de-AT")
    assert english.number("-8.015") == "\N{MINUS SIGN}8.015"
    assert german.number("-8.015") == "\N{MINUS SIGN}8,015"
    assert english.date("2026-03-04T21:07:00+01:00") == "4 March 2026"
    assert german.date("2026-03-04T21:07:00+01:00") == "4. März 2026"
    assert german.moment("2026-03-04T21:07:00+01:00") == "4. März 2026, 21:07"
    assert english.period("2026-03-04", "2026-03-04") == "4 March 2026"
    assert english.list(["foot", "stem", "cup"]) == "foot, stem and cup"
    assert german.list(["Fuß", "Schaft"]) == "Fuß und Schaft"
    assert english.list([]) == ""


def test_counts_choose_one_or_many() -> None:
    assert ENGLISH.count("n.good_pieces", 1) == "1 good piece"
    assert ENGLISH.count("n.good_pieces", 0) == "0 good pieces"


def test_an_unknown_language_says_which_there_are() -> None:
    with pytest.raises(WordsError, match=r"'fr'.*de or en"):
        load("fr")


def test_an_unknown_key_and_a_missing_value_are_errors() -> None:
    words = Words("xx", {"greeting": "Hello {name}"})
    assert words("greeting", name="A") == "Hello A"
    with pytest.raises(WordsError, match="greeting"):
        words("greeting", wrong="A")
    with pytest.raises(WordsError, match="nothing"):
        words("nothing")


@pytest.mark.parametrize("language", languages())
def test_no_text_stands_in_two_modules(language: str) -> None:
    """Modules are read as they are needed: which of two texts is found would hang on the order."""
    modules = [import_module(f"qlog.words.{language}.{name}") for name in MODULES]
    keys = [key for module in modules for key in module.TEXTS]
    assert sorted(keys) == sorted(set(keys))
