"""Plans kept as they were read, so that the next command need not read the same file again.

A reading at the bench spent a third of its time on a build.toml that had not changed. Found by the
SHA-256 of the file's bytes and of the very code that reads plans (`worked_out`). It is data, and
nothing in it can be run.
"""

from __future__ import annotations

import marshal
from collections.abc import Callable, Iterable
from decimal import Decimal
from enum import StrEnum
from pathlib import Path
from typing import Any

from qlog.drawing import decision, derived, gift, limits, plan, units
from qlog.drawing.callouts import callout
from qlog.drawing.plan import Build
from qlog.worked_out import WorkedOut

FILE_NAME = "build.toml"

#: Plans kept at most; the oldest go.
KEPT = 16

#: Bytes of a kept plan at most: one as large as that is read from its build.toml.
LARGEST = 4_000_000

_PLANS = WorkedOut("plan", (Path(__file__).parents[1],), KEPT, LARGEST)

#: What a plan is made of, by name: values of several fields, and names of which one is meant.
_CLASSES: dict[str, Any] = {
    name: kind
    for module in (plan, gift, callout, decision, derived, limits, units)
    for name, kind in vars(module).items()
    if isinstance(kind, type) and kind.__module__ == module.__name__
}
_NAMES: dict[str, Any] = {
    name: kind.__members__ for name, kind in _CLASSES.items() if issubclass(kind, StrEnum)
}


def load(path: Path) -> Build:
    """The plan of a build.toml, or of the build.toml of a folder, kept from earlier or read now.

    The same as `load.load` answers. Raises PlanError with every mistake of the file.
    """
    if path.is_dir():
        path = path / FILE_NAME

    def read() -> Build:
        from qlog.drawing.build_file.load import load

        return load(path)

    try:
        if not path.is_file():
            return read()
        raw = path.read_bytes()
    except OSError:  # `load.load` says what it is
        return read()
    return _kept_or_read(raw, path.parent, read)


def load_text(text: str, folder: Path) -> Build:
    """The plan of the text of a build.toml that belongs to `folder`. Raises as `load`."""

    def read() -> Build:
        from qlog.drawing.build_file.load import load_text

        return load_text(text, folder)

    try:
        raw = text.encode()
    except UnicodeEncodeError:
        return read()
    return _kept_or_read(raw, folder, read)


def _kept_or_read(raw: bytes, folder: Path, read: Callable[[], Build]) -> Build:
    place = _PLANS.place([raw])
    if place is not None and (found := _kept(place, raw, folder)) is not None:
        return found
    build = read()
    if place is not None and not build.code_page:
        _keep(place, build)
    return build


def _kept(place: Path, raw: bytes, folder: Path) -> Build | None:
    """The plan that lies there, or None."""
    body = _PLANS.kept(place)
    try:
        text = raw.removeprefix(b"\xef\xbb\xbf").decode("utf-8")  # of another page: never kept
        build = body and _named(marshal.loads(body), {"folder": folder, "source": text})
    except (LookupError, TypeError, ValueError, EOFError):
        return None
    return build if isinstance(build, Build) else None


def _keep(place: Path, build: Build) -> None:
    """Keep a plan; where that cannot be done, nothing is kept."""
    try:
        body = marshal.dumps(_plain(build))
    except TypeError:  # something new in a plan, which `_CLASSES` does not know; a test finds it
        return
    _PLANS.keep(place, body)


def _plain(value: Any) -> Any:
    """A plan in what `marshal` knows: a decimal as bytes, a tuple as a list, others by name."""
    if value is None or isinstance(value, bool | int | float) or type(value) is str:
        return value
    if isinstance(value, Decimal):
        return str(value).encode()
    if isinstance(value, tuple):
        return [_plain(v) for v in value]
    kind = type(value)
    if _CLASSES.get(kind.__name__) is not kind:
        raise TypeError(f"{kind} is no part of a plan")
    if isinstance(value, StrEnum):
        return (kind.__name__, value.name)
    without = ("folder", "source") if kind is Build else ()
    return (
        kind.__name__,
        *(None if n in without else _plain(getattr(value, n)) for n in kind.__match_args__),
    )


def _made(values: Iterable[Any], known: dict[str, Any]) -> list[Any]:
    """What `_plain` wrote down; `known` are the fields of the build that are not kept."""
    made = []
    for value in values:
        kind = type(value)
        if kind is tuple:
            made.append(_named(value, known))
        elif kind is list:
            made.append(tuple(_made(value, known)) if value else ())
        else:
            made.append(Decimal(value.decode()) if kind is bytes else value)
    return made


def _named(value: tuple[Any, ...], known: dict[str, Any]) -> Any:
    name = value[0]
    if (names := _NAMES.get(name)) is not None:
        return names[value[1]]
    kind, fields = _CLASSES[name], _made(value[1:], known)
    if kind is Build:
        return Build(**dict(zip(Build.__match_args__, fields, strict=True)) | known)
    return kind(*fields)
