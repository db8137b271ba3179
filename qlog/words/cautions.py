"""Cautions said in the language of the build."""

from __future__ import annotations

from collections.abc import Iterable

from qlog.review.cautions.caution import Caution
from qlog.words.catalogue import Words


def caution_texts(cautions: Iterable[Caution], words: Words) -> tuple[str, ...]:
    """The sentence of each caution, in the order given."""
    return tuple(words(f"caution.{caution.value}") for caution in cautions)
