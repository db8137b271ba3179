"""Words of the pages: every interface text in one catalogue a language, and how it writes numbers.

A second language is one more file beside `en.toml`. Nothing of the user's own text lives here.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from importlib.resources import files

DEFAULT = "en"


class WordsError(LookupError):
    """A language without a catalogue, a key that it lacks, or a text that lacks a value."""


@dataclass(frozen=True, slots=True)
class Words:
    """The catalogue of one language; call it with a key and the values that its text names."""

    language: str
    texts: Mapping[str, str]

    def __call__(self, key: str, /, **values: object) -> str:
        """The text of that key. Raises WordsError when the key or a value is not there."""
        try:
            return self.texts[key].format(**values) if values else self.texts[key]
        except KeyError as error:
            raise WordsError(
                f"the {self.language} catalogue has no text {key!r} with {sorted(values)}: "
                f"{error} is missing"
            ) from error

    def count(self, key: str, n: int, /, **values: object) -> str:
        """The text `key.one` for 1 and `key.many` for any other number, with `n` in it."""
        return self(f"{key}.{'one' if n == 1 else 'many'}", n=n, **values)

    def has(self, key: str) -> bool:
        """Whether the catalogue has a text of that key."""
        return key in self.texts

    def maybe(self, key: str, otherwise: str, **values: object) -> str:
        """The text of that key, or `otherwise`: for words that a build may add to."""
        return self(key, **values) if key in self.texts else otherwise

    def number(self, text: str | int | Decimal) -> str:
        """A number as this language writes it: its decimal mark, and a true minus sign."""
        written = f"{text:f}" if isinstance(text, Decimal) else str(text)
        written = written.replace(".", self.texts["format.decimal_mark"])
        return f"\N{MINUS SIGN}{written[1:]}" if written.startswith("-") else written

    def date(self, iso: str | None) -> str:
        """The day of an ISO 8601 time in words; empty when there is none."""
        if not iso:
            return ""
        when = datetime.fromisoformat(iso)
        return self(
            "format.date", day=when.day, month=self(f"format.month.{when.month}"), year=when.year
        )

    def month(self, iso: str | None) -> str:
        """Month and year of an ISO 8601 time in words; empty when there is none."""
        if not iso:
            return ""
        when = datetime.fromisoformat(iso)
        return self("format.month_year", month=self(f"format.month.{when.month}"), year=when.year)

    def moment(self, iso: str | None) -> str:
        """Day and minute of an ISO 8601 time; empty when there is none."""
        if not iso:
            return ""
        when = datetime.fromisoformat(iso)
        return self("format.moment", date=self.date(iso), time=f"{when:%H:%M}")

    def period(self, first: str | None, last: str | None) -> str:
        """From one day to another in words; one day alone when they are the same."""
        if not first or not last:
            return self.date(first or last)
        start, end = self.date(first), self.date(last)
        return start if start == end else self("format.period", first=start, last=end)

    def list(self, things: tuple[str, ...] | list[str]) -> str:
        """Several things in one phrase: "foot, stem and cup"."""
        if len(things) < 2:
            return "".join(things)
        return self("format.list", head=", ".join(things[:-1]), tail=things[-1])


def languages() -> tuple[str, ...]:
    """The languages that have a catalogue."""
    folder = files(__name__)
    return tuple(sorted(f.name[:-5] for f in folder.iterdir() if f.name.endswith(".toml")))


@lru_cache
def load(language: str) -> Words:
    """The catalogue of a language, by its two letters. Raises WordsError when there is none."""
    short = (language or DEFAULT).lower().replace("_", "-").split("-")[0]
    if short not in languages():
        raise WordsError(
            f"the record has no words in {language!r}; language may be "
            f"{' or '.join(languages())} in build.toml"
        )
    text = (files(__name__) / f"{short}.toml").read_text(encoding="utf-8")
    return Words(short, _flat(tomllib.loads(text)))


def _flat(table: Mapping[str, object], prefix: str = "") -> dict[str, str]:
    flat: dict[str, str] = {}
    for key, value in table.items():
        if isinstance(value, Mapping):
            flat |= _flat(value, f"{prefix}{key}.")
        else:
            flat[f"{prefix}{key}"] = str(value)
    return flat
