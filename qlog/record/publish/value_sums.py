"""The sum of a value: no two values that differ anywhere in them have the same.

It is the SHA-256 of the value as pickle writes it, of a frozen value its class and its fields. A
value that is equal and built of other objects may have another sum. Whatever may hold more than
its fields say has none.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable
from dataclasses import fields
from decimal import Decimal
from enum import Enum
from hashlib import sha256
from operator import attrgetter
from typing import Any

from qlog.words.catalogue import Texts

#: How a value is written: what makes it again, and from what.
_Written = tuple[Callable[..., Any], tuple[Any, ...]]


#: Values whose sums are known at a time: what hangs on them stays in memory as long.
_MOST = 1_000


class ValueSums:
    """Sums of values; one that several pages are handed after each other is summed once."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[object, bytes]] = {}

    def of(self, value: object) -> bytes:
        """Its SHA-256. Raises TypeError where something in it may hold more than it says."""
        known = self._known.get(id(value))
        if known is None:
            written = sha256()
            pickler = pickle.Pickler(_Into(written.update), protocol=5)
            pickler.dispatch_table = _WAYS
            try:
                pickler.dump(value)
            except (pickle.PicklingError, AttributeError) as error:  # a function without a name
                raise TypeError(str(error)) from error
            if len(self._known) >= _MOST:
                self._known.clear()
            known = self._known[id(value)] = (value, written.digest())
        return known[1]


class _Into:
    """A file that is only summed."""

    def __init__(self, write: Callable[[Any], None]) -> None:
        self.write = write


class _Ways(dict[type, Callable[[Any], _Written]]):
    """How a value of each class is written; found when the first one is."""

    def __missing__(self, kind: type) -> Callable[[Any], _Written]:
        name = f"{kind.__module__}.{kind.__qualname__}"
        if kind is Decimal:
            way = _made_of(name, lambda value: (str(value),))
        elif issubclass(kind, Enum):
            way = _made_of(name, lambda value: (value.name,))
        elif kind is Texts:  # a catalogue is code: a key that it has is the same text
            way = _made_of(name, lambda value: (value.package,))
        else:
            way = _made_of(name, _fields_of(kind))
        self[kind] = way
        return way


def _made_of(name: str, parts: Callable[[Any], tuple[Any, ...]]) -> Callable[[Any], _Written]:
    return lambda value: (_made, (name, *parts(value)))


def _fields_of(kind: type) -> Callable[[Any], tuple[Any, ...]]:
    """What gives the fields of a frozen class. Raises TypeError for any other class."""
    own = vars(kind)
    if "_frozen_defaults" in own:
        names = own["__match_args__"]
    elif "__dataclass_params__" in own and own["__dataclass_params__"].frozen:
        names = tuple(field.name for field in fields(kind))
    else:
        raise TypeError(f"{kind} may hold more than its fields")
    if len(names) > 1:
        return attrgetter(*names)
    return lambda value: tuple(getattr(value, name) for name in names)


def _made(*_: Any) -> None:
    """Stands for the class of a value; nothing is ever read back."""


_WAYS = _Ways()
