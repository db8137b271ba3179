"""The catalogue of one language: texts by key, and how the language writes numbers and dates.

A second language is one more folder beside `en`. Its modules are read when a text of theirs is
asked for, the bench's first: a single reading needs no other.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from importlib import import_module
from pathlib import Path

from qlog.drawing.limits import without_zero
from qlog.drawing.plan import Build, ItemGroup, Part
from qlog.frozen import frozen

DEFAULT = "en"

#: Modules of a language in the order in which a text is looked for.
MODULES = (
    "one_reading", "sitting", "findings", "screen", "commands", "fits", "photos", "maker",
    "cautions", "keepsake", "phone", "plan", "lookup", "problems",
)  # fmt: skip

#: How the keys of the module "problems" begin: of our own errors, and of what the reader of the
#: command line, the system and the database refuse.
_REFUSED = ("error.", "usage.", "os.", "sqlite.")


class WordsError(LookupError):
    """A language without a catalogue, a key that it lacks, or a text that lacks a value."""


class Texts(dict[str, str]):
    """Texts by key; modules of the language are loaded until one has the key that is asked for."""

    def __init__(self, package: str) -> None:
        super().__init__()
        self.package = package
        self._left = list(MODULES)

    def __missing__(self, key: str) -> str:
        if key.startswith(_REFUSED) and "problems" in self._left:  # no other has one of these
            self._left.remove("problems")
            self._load("problems")
            return self[key]
        while self._left:
            self._load(self._left.pop(0))
            if key in self:
                return self[key]
        raise KeyError(key)

    def whole(self) -> Texts:
        """The same texts with every module loaded."""
        while self._left:
            self._load(self._left.pop(0))
        return self

    def _load(self, module: str) -> None:
        name = f"{self.package}.{module}"
        import_module(name)
        self.update(sys.modules[name].TEXTS)


@frozen
class Words:
    """The catalogue of one language; call it with a key and the values that its text names."""

    language: str
    texts: dict[str, str]
    parts: tuple[Part, ...] = ()  # those whose pieces have marks
    groups: tuple[ItemGroup, ...] = ()  # those whose items have marks
    part: str = ""  # the part that is spoken of

    def __call__(self, key: str, /, **values: object) -> str:
        """The text of that key. Raises WordsError when the key or a value is not there."""
        try:
            return self.texts[key].format(**values) if values else self.texts[key]
        except KeyError as error:
            raise WordsError(
                f"the {self.language} catalogue has no text {key!r} with {sorted(values)}: "
                f"{error} is missing"
            ) from error

    def within(self, name: str) -> str:
        """A name of the plan in the middle of a sentence: "foot"; German nouns stay as they are."""
        small = self.texts["format.names"] == "small"
        return name[:1].lower() + name[1:] if small and name[1:2].islower() else name

    def count(self, key: str, n: int, /, **values: object) -> str:
        """The text `key.one` for 1 and `key.many` for any other number, with `n` in it."""
        return self(f"{key}.{'one' if n == 1 else 'many'}", n=n, **values)

    def called(self, part: str, piece: int) -> str:
        """What a piece is called among its kind: its mark, else its number."""
        return next((p.called(piece) for p in self.parts if p.id == part), str(piece))

    def about(self, part: str) -> Words:
        """The same catalogue, speaking of the pieces of one part."""
        return Words(self.language, self.texts, self.parts, self.groups, part)

    def own(self, piece: int | None) -> str:
        """What a piece of the part that is spoken of is called; "" for none."""
        return "" if piece is None else self.called(self.part, piece)

    def piece(self, part: str, piece: int) -> str:
        """The whole name of a piece: `cup-3`, or `cup-C` by its mark."""
        return f"{part}-{self.called(part, piece)}"

    def item(self, id: str) -> str:
        """What an item is called at the bench: its mark, else its id, `tall-1`."""
        group_id, _, number = id.rpartition("-")
        group = next((g for g in self.groups if g.id == group_id), None)
        return id if group is None or not number.isdecimal() else group.mark(int(number)) or id

    def kept(self, name: str) -> str:
        """What a piece is called now that was logged by its number: `cup-3`."""
        part, _, number = name.rpartition("-")
        if any(group.id == part for group in self.groups):
            return self.item(name)
        return self.piece(part, int(number)) if number.isdecimal() else name

    def runs(self, part: str, pieces: Iterable[int]) -> str:
        """Pieces of one part with runs drawn together: `1-3, 5`, `A-C, E`."""
        from qlog.counting import runs

        return runs(pieces, lambda piece: self.called(part, piece))

    def pieces(self, part: str, pieces: Iterable[int]) -> str:
        """Pieces of a part as they are typed: `foot-3`, or `foot 1-3, 5`."""
        listed = sorted(set(pieces))
        if len(listed) == 1:
            return self.piece(part, listed[0])
        return f"{part} {self.runs(part, listed)}"

    def has(self, key: str) -> bool:
        """Whether the catalogue has a text of that key."""
        try:
            self.texts[key]
        except KeyError:
            return False
        return True

    def maybe(self, key: str, otherwise: str, **values: object) -> str:
        """The text of that key, or `otherwise`: for words that a build may add to."""
        return self(key, **values) if self.has(key) else otherwise

    def number(self, text: str | int | Decimal, unit: str = "") -> str:
        """A number as this language writes it: its decimal mark, and a true minus sign.

        In the unit "in" no zero stands before the point; `values.with_unit` sees to it where the
        unit stands behind the number.
        """
        written = f"{text:f}" if isinstance(text, Decimal) else str(text)
        if unit == "in":
            written = without_zero(written)
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
        if start == end:
            return start
        begun, ended = datetime.fromisoformat(first), datetime.fromisoformat(last)
        if begun.year != ended.year:
            return self("format.period", first=start, last=end)
        if begun.month == ended.month and begun.day < ended.day:
            return self("format.days", first=begun.day, last=end)
        month = self(f"format.month.{begun.month}")
        start = self("format.day_month", day=begun.day, month=month)
        return self("format.period", first=start, last=end)

    def list(self, things: tuple[str, ...] | list[str]) -> str:
        """Several things in one phrase: "foot, stem and cup"."""
        if len(things) < 2:
            return "".join(things)
        return self("format.list", head=", ".join(things[:-1]), tail=things[-1])


def languages() -> tuple[str, ...]:
    """The languages that have a catalogue."""
    here = Path(__file__).parent
    return tuple(sorted(f.parent.name for f in here.glob("*/one_reading.py")))


@lru_cache
def load(language: str) -> Words:
    """The catalogue of a language, by its two letters. Raises WordsError when there is none."""
    short = (language or DEFAULT).lower().replace("_", "-").split("-")[0]
    if not (Path(__file__).parent / short / "one_reading.py").is_file():
        raise WordsError(
            f"there are no words in {language!r}; language may be "
            f"{' or '.join(languages())} in build.toml"
        )
    return Words(short, Texts(f"{__package__}.{short}"))


def words_of(build: Build) -> Words:
    """The catalogue of a build's language with what pieces and items are called.

    English where it names a language that has none.
    """
    try:
        words = load(build.language)
    except WordsError:
        words = load(DEFAULT)
    parts = tuple(part for part in build.parts if part.marks)
    groups = tuple(group for group in build.groups if group.marks)
    return Words(words.language, words.texts, parts, groups) if parts or groups else words
