"""The templates: where they lie, in the wheel as in the checkout, and how they are read."""

from __future__ import annotations

import marshal
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from qlog.problem import ToSay
from qlog.words import catalogue
from qlog.words.catalogue import Words
from qlog.words.entries import own_text
from qlog.worked_out import WorkedOut

if TYPE_CHECKING:
    from types import CodeType

    from jinja2 import BytecodeCache, Environment
    from jinja2.bccache import Bucket

FOLDER = "site_templates"

#: What a time in HTML must not have: more than three digits of a second (its standard, 2.3.5).
_FINER = re.compile(r"(?<=\.\d{3})\d+")


def folder() -> Path:
    """The folder of the templates: inside the installed package, else beside it.

    Raises FileNotFoundError when it is in neither place.
    """
    package = Path(__file__).parents[2]
    for place in (package / FOLDER, package.parent / FOLDER):
        if place.is_dir():
            return place
    raise FileNotFoundError(ToSay("error.there_install_qlog", package=package / FOLDER))


#: Compiled templates of a language by their file's name and the sum of their text. By language,
#: since a filter on a constant is worked out when a template is compiled.
_COMPILED: dict[str, dict[tuple[str, str], CodeType]] = {}
#: How many of them are kept already.
_KEPT: dict[str, int] = {}

#: Compiled by the library and by the words and filters that are here (`worked_out`).
_TEMPLATES = WorkedOut(
    "templates", (Path(__file__), Path(catalogue.__file__).parent), most=6, largest=16_000_000
)


def _place(language: str) -> Path | None:
    import jinja2

    return _TEMPLATES.place([language.encode(), jinja2.__version__.encode(), sys.version.encode()])


def _compiled(language: str) -> BytecodeCache:
    """Templates that were compiled before, in this process or an earlier one, are not compiled."""
    from jinja2 import BytecodeCache

    if language not in _COMPILED:
        place = _place(language)
        body = None if place is None else _TEMPLATES.kept(place)
        _COMPILED[language] = {} if body is None else marshal.loads(body)
        _KEPT[language] = len(_COMPILED[language])
    known = _COMPILED[language]

    class Compiled(BytecodeCache):
        def load_bytecode(self, bucket: Bucket) -> None:
            bucket.code = known.get((bucket.key, bucket.checksum))

        def dump_bytecode(self, bucket: Bucket) -> None:
            if bucket.code is not None:
                known[bucket.key, bucket.checksum] = bucket.code

    return Compiled()


def keep_compiled(words: Words) -> None:
    """Keep what was compiled in this process for the next one."""
    language = words.language
    known = _COMPILED.get(language, {})
    if len(known) > _KEPT.get(language, 0) and (place := _place(language)) is not None:
        _TEMPLATES.keep(place, marshal.dumps(known))
        _KEPT[language] = len(known)


def environment(words: Words) -> Environment:
    """A strict environment: an unknown name is an error, and every text is escaped."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
    from markupsafe import Markup

    def timed(said: Callable[[str | None], str]) -> Callable[[str | None], str]:
        """A time in words for people, and as HTML writes it for programs, to sort by."""
        return lambda iso: (
            Markup('<time datetime="{}">{}</time>').format(_FINER.sub("", iso), said(iso))
            if iso
            else ""
        )

    made = Environment(
        loader=FileSystemLoader(folder(), encoding="utf-8"),
        bytecode_cache=_compiled(words.language),
        undefined=StrictUndefined,
        autoescape=select_autoescape(disabled_extensions=("txt",), default=True),
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.globals["t"] = words
    made.filters.update(
        num=words.number,
        date=words.date,
        month=words.month,
        moment=words.moment,
        day_cell=timed(words.date),
        moment_cell=timed(words.moment),
        listed=words.list,
        own=lambda text: own_text(text, words),
    )
    return made
