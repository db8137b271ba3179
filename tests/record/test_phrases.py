"""Every kind of finding is said in the page's language, and none falls back to the bench's."""

import ast
from pathlib import Path

import pytest

from qlog.record.pages.phrases import _SAYERS
from qlog.words import languages, load

REVIEW = Path(__file__).parent.parent.parent / "qlog" / "review"


def kinds() -> set[str]:
    """The kinds that the review makes findings of, read from its source."""
    found = set()
    for path in REVIEW.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding":
                kind = node.args[1]
                assert isinstance(kind, ast.Constant), path
                found.add(kind.value)
    return found


def test_the_review_makes_findings() -> None:
    assert {"out", "drift", "mixed up", "suspect"} <= kinds()


@pytest.mark.parametrize("language", languages())
def test_every_kind_has_its_word_and_its_sentence(language: str) -> None:
    words = load(language)
    for kind in kinds():
        key = kind.replace(" ", "_")
        assert kind in _SAYERS, kind
        assert words.has(f"kind.{key}"), kind
        assert words.has(f"finding.{key}") or words.has(f"finding.{key}.one"), kind
