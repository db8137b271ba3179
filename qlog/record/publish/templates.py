"""The templates: where they lie, in the wheel as in the checkout, and how they are read."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from qlog.problem import ToSay
from qlog.words.catalogue import Words
from qlog.words.entries import own_text

if TYPE_CHECKING:
    from types import CodeType

    from jinja2 import BytecodeCache, Environment
    from jinja2.bccache import Bucket

FOLDER = "site_templates"


def folder() -> Path:
    """The folder of the templates: inside the installed package, else beside it.

    Raises FileNotFoundError when it is in neither place.
    """
    package = Path(str(files("qlog")))
    for place in (package / FOLDER, package.parent / FOLDER):
        if place.is_dir():
            return place
    raise FileNotFoundError(ToSay("error.there_install_qlog", package=package / FOLDER))


#: Compiled templates by language, name and the sum of their text. By language, since a filter on a
#: constant is worked out when a template is compiled.
_COMPILED: dict[tuple[str, str, str], CodeType] = {}


def _compiled(language: str) -> BytecodeCache:
    """Templates that were compiled in this process need not be compiled again."""
    from jinja2 import BytecodeCache

    class Compiled(BytecodeCache):
        def load_bytecode(self, bucket: Bucket) -> None:
            bucket.code = _COMPILED.get((language, bucket.key, bucket.checksum))

        def dump_bytecode(self, bucket: Bucket) -> None:
            if bucket.code is not None:
                _COMPILED[language, bucket.key, bucket.checksum] = bucket.code

    return Compiled()


def environment(words: Words) -> Environment:
    """A strict environment: an unknown name is an error, and every text is escaped."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
    from markupsafe import Markup

    def timed(said: Callable[[str | None], str]) -> Callable[[str | None], str]:
        """A time in words for people, and as it is written for programs, to sort by."""
        return lambda iso: (
            Markup('<time datetime="{}">{}</time>').format(iso, said(iso)) if iso else ""
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
