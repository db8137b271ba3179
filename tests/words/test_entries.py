"""Whatever can be taken back is said in every language: held by types."""

from typing import get_type_hints

import pytest

from qlog.intake.bench.take_back import KINDS
from qlog.intake.entry_checks import Check
from qlog.logbook.facts import Fact, Said
from qlog.words.catalogue import languages, load
from qlog.words.entries import entry_text


def made(kind: type[Fact]) -> Fact:
    """A fact of that kind, every column filled with what its type holds."""
    hints = get_type_hints(kind)
    values = {n: 3 if hints[n] in (int, int | None) else "x" for n in kind.columns()}
    decision = "hidden" if kind is Said else "scrap"
    known = {"kind": "cannot", "decision": decision, "direction": "out"}
    return kind(**values | {n: v for n, v in known.items() if n in values})


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("kind", KINDS)
def test_an_entry_that_can_be_taken_back_is_said(kind: type[Fact], language: str) -> None:
    said = entry_text(made(kind), load(language))
    assert said and "{" not in said


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("check", Check)
def test_every_check_has_its_question(check: Check, language: str) -> None:
    texts = load(language)
    texts("question.swap", meant="x")  # the module is loaded
    key = f"question.{check.name.lower()}"
    assert any(k == key or k.startswith(f"{key}.") for k in texts.texts)
