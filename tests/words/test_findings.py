"""Every kind of finding has its words in every language: held by types, not by a list of names."""

from collections.abc import Iterator

import pytest

from qlog.review.findings import kinds
from qlog.review.findings.kinds import Finding, OfItem, OfReading, OfSeries, OfStock, Together
from qlog.words.catalogue import Words, languages, load
from qlog.words.findings import facts_of, kind_key, say

#: Classes that only share fields; nothing is made of them.
SHARED = {Finding, OfItem, OfReading, OfSeries, OfStock}


def subclasses(of: type[Finding]) -> Iterator[type[Finding]]:
    for kind in of.__subclasses__():
        yield kind
        yield from subclasses(kind)


#: A class with slots is made twice; the one that its module holds is the kind.
KINDS = sorted(
    {k for k in vars(kinds).values() if isinstance(k, type) and issubclass(k, Finding)} - SHARED,
    key=lambda kind: kind.__name__,
)


def test_every_finding_of_the_program_is_one_of_the_kinds() -> None:
    assert len(KINDS) > 15
    known = {(kind.__module__, kind.__name__) for kind in {*KINDS, *SHARED}}
    assert {(kind.__module__, kind.__name__) for kind in subclasses(Finding)} <= known


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_has_facts_that_its_texts_may_name(kind: type[Finding]) -> None:
    assert facts_of.dispatch(kind) is not facts_of.dispatch(Finding)


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("kind", [k for k in KINDS if k is not Together])
def test_a_kind_has_its_name_its_sentence_and_what_to_do(
    kind: type[Finding], language: str
) -> None:
    words, key = load(language), kind_key(kind)
    assert words.has(f"kind.{key}")
    assert said(words, f"finding.{key}")
    assert said(words, f"remedy.{key}")
    if kind.told_together:
        assert words.has(f"finding.{key}.together")


def said(words: Words, key: str) -> bool:
    return words.has(key) or (words.has(f"{key}.one") and words.has(f"{key}.many"))


def test_a_kind_without_words_is_found() -> None:
    class Unheard(Finding):
        pass

    words = load("en")
    assert facts_of.dispatch(Unheard) is facts_of.dispatch(Finding)
    assert not said(words, f"finding.{kind_key(Unheard)}")
    with pytest.raises(NotImplementedError, match="Unheard"):
        say(Unheard.__new__(Unheard), words)
