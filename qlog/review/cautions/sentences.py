"""The sentences of the cautions, one file a language."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import lru_cache
from importlib.resources import files

from qlog.review.cautions.caution import Caution

DEFAULT = "en"


def said(cautions: Iterable[Caution], language: str = DEFAULT) -> tuple[str, ...]:
    """The sentences of cautions. A language that has none gets English."""
    texts = _texts(language.lower().replace("_", "-").split("-")[0])
    return tuple(texts[caution.value] for caution in cautions)


def languages() -> tuple[str, ...]:
    """The languages that have sentences."""
    return tuple(sorted(f.name[:-5] for f in files(__package__).iterdir() if _is_file(f.name)))


@lru_cache
def _texts(language: str) -> dict[str, str]:
    code = language if language in languages() else DEFAULT
    written = files(__package__).joinpath(f"{code}.toml").read_text(encoding="utf-8")
    return {key: str(text) for key, text in tomllib.loads(written).items()}


def _is_file(name: str) -> bool:
    return name.endswith(".toml")
