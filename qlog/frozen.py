"""Frozen value classes that cost next to nothing to import.

`dataclass(frozen=True, slots=True)` writes and compiles six methods for every class when its
module is imported. For the classes that a single reading loads that was a third of its time, and
most of them are never used in it. `frozen` makes classes that behave alike - slots, no change
after making, equality, hash and order of fields, `dataclasses.fields`, `replace` and `asdict` -
with methods shared by all of them and nothing to compile. The standard library's module is loaded
only by who asks for such fields; `replace` is here too, without it.

The first objects of a class are made by a method shared by all classes; a class of which many are
made gets one of its own, compiled then (`_MANY`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar, dataclass_transform

if TYPE_CHECKING:
    from dataclasses import Field

T = TypeVar("T")


@dataclass_transform(frozen_default=True)
def frozen(cls: type[T]) -> type[T]:
    """Make a frozen, slotted value class of a class that lists its fields as annotations.

    Fields may have defaults, values that do not change themselves; `ClassVar` marks what is no
    field. Fields of a base class come first. `__post_init__` is called when there is one.
    """
    kinds = cls.__annotations__
    body = dict(cls.__dict__)
    own = [n for n, k in kinds.items() if not str(k).startswith(("ClassVar", "typing.ClassVar"))]
    defaults: dict[str, Any] = dict(getattr(cls, "_frozen_defaults", ()))
    for name in own:
        defaults.pop(name, None)
        if name in body:
            defaults[name] = default = body.pop(name)
            if type(default).__hash__ is None or type(default).__module__ == "dataclasses":
                raise TypeError(f"{cls.__name__}.{name}: one default for all of them would change")
    inherited: tuple[str, ...] = getattr(cls, "__match_args__", ())
    names = (*inherited, *[name for name in own if name not in inherited])
    required = len(names) - len(defaults)
    if not defaults.keys().isdisjoint(names[:required]):
        raise TypeError(f"{cls.__name__}: a field without a default follows one with a default")
    for made_anew in ("__dict__", "__weakref__"):
        body.pop(made_anew, None)
    body = _METHODS | body
    body["__slots__"] = names[len(inherited) :]
    body["__match_args__"] = names
    body["_frozen_defaults"] = defaults
    body["__dataclass_fields__"] = _Fields(kinds, defaults)
    kind: Any = type(cls)
    made: type[T] = kind(cls.__name__, cls.__bases__, body)
    made.__qualname__ = cls.__qualname__
    return made


def replace(one: T, **changed: object) -> T:
    """One like this, with other values in some fields. Raises TypeError for what is no field."""
    kind: Any = type(one)
    values = [
        changed.pop(name) if name in changed else getattr(one, name) for name in kind.__match_args__
    ]
    made: T = kind(*values, **changed)
    return made


class _Fields:
    """`__dataclass_fields__`, worked out by `dataclass` itself when somebody asks for it."""

    def __init__(self, kinds: dict[str, Any], defaults: dict[str, Any]) -> None:
        self._kinds = kinds
        self._defaults = defaults
        self._found: dict[str, Field[Any]] | None = None

    def __get__(self, instance: object, owner: type) -> dict[str, Field[Any]]:
        if self._found is None:
            from dataclasses import dataclass

            kinds: dict[str, Any] = {}
            for base in reversed(owner.__mro__):
                fields = base.__dict__.get("__dataclass_fields__")
                if isinstance(fields, _Fields):
                    kinds |= fields._kinds
                elif isinstance(fields, dict):  # a plain dataclass below
                    kinds |= {name: field.type for name, field in fields.items()}
            defaults = {k: v for k, v in self._defaults.items() if k in kinds}
            body = {"__annotations__": kinds, "__module__": owner.__module__, **defaults}
            made: Any = dataclass(type(owner.__name__, (), body))
            self._found = made.__dataclass_fields__
        return self._found


#: Objects of one class after which it gets an `__init__` of its own. Compiling it costs as much as
#: some fifty objects made without it.
_MANY = 50

_made: dict[type, int] = {}


class Remembering:
    """Base of a frozen class whose objects keep what a `cached_property` has worked out."""

    def forget(self) -> None:
        """Keep nothing of it any longer; it is worked out again when it is asked for."""
        self.__dict__.clear()


def _init(self: Any, *args: Any, **named: Any) -> None:
    cls = type(self)
    _made[cls] = count = _made.get(cls, 0) + 1
    if count > _MANY and cls.__dict__.get("__init__") is _init:
        _compile(cls)
        self.__init__(*args, **named)
        return
    names = cls.__match_args__
    put = object.__setattr__
    for name, value in zip(names, args, strict=False):
        put(self, name, value)
    if named or len(args) != len(names):
        _init_rest(self, len(args), named)
    if hasattr(cls, "__post_init__"):
        self.__post_init__()


def _init_rest(self: Any, given: int, named: dict[str, Any]) -> None:
    """Put the fields behind those that were given in order: by their names, or as by default."""
    cls = type(self)
    names, defaults = cls.__match_args__, cls._frozen_defaults
    if given > len(names):
        raise TypeError(f"{cls.__name__} takes {len(names)} values, not {given}")
    if unknown := named.keys() - names[given:]:
        listed = ", ".join(map(repr, sorted(unknown)))
        raise TypeError(f"{cls.__name__} has no field {listed}, or two values for it")
    for name in names[given:]:
        if name not in named and name not in defaults:
            raise TypeError(f"{cls.__name__} needs a value for {name!r}")
        object.__setattr__(self, name, named[name] if name in named else defaults[name])


#: Fields from which on it is quicker to open an object and to put its values in as into any other.
_WIDE = 6


def _compile(cls: Any) -> None:
    """Give a class its own `__init__`; it takes a fifth of the time that the shared one takes.

    While its values are put in, an object of many fields is one of a twin class that can be
    written to: half the time that their setters would take.
    """
    known: dict[str, Any] = {"_cls": cls}
    wide = len(cls.__match_args__) >= _WIDE
    takes, lines = ["self"], []
    if wide:
        known |= {"_twin": _twin(cls), "_turn": object.__setattr__, "_init": _init}
        lines += [
            # A plain class below this one has no twin, and may be laid out otherwise.
            f"if self.__class__ is not _cls: return _init(self, {', '.join(cls.__match_args__)})",
            "_turn(self, '__class__', _twin)",
        ]
    for number, name in enumerate(cls.__match_args__):
        if name in cls._frozen_defaults:
            known[f"_is{number}"] = cls._frozen_defaults[name]
            takes.append(f"{name}=_is{number}")
        else:
            takes.append(name)
        if wide:
            lines.append(f"self.{name} = {name}")
        else:
            known[f"_set{number}"] = getattr(cls, name).__set__
            lines.append(f"_set{number}(self, {name})")
    if wide:
        lines.append("self.__class__ = _cls")
    if hasattr(cls, "__post_init__"):
        lines.append("self.__post_init__()")
    body = "\n ".join(lines) or "pass"
    exec(f"def __init__({', '.join(takes)}):\n {body}", known)
    type.__setattr__(cls, "__init__", known["__init__"])


def _twin(cls: Any) -> type:
    """A class with the very fields of this one that may be written to."""
    body = {"__slots__": cls.__dict__["__slots__"], "__setattr__": object.__setattr__}
    if "__orig_bases__" in cls.__dict__:
        body["__orig_bases__"] = cls.__orig_bases__
    kind: Any = type(cls)
    made: type = kind(cls.__name__, cls.__bases__, body)
    return made


def _values(self: Any) -> tuple[Any, ...]:
    return tuple([getattr(self, name) for name in self.__match_args__])


def _eq(self: Any, other: object) -> Any:
    return _values(self) == _values(other) if type(other) is type(self) else NotImplemented


def _hash(self: Any) -> int:
    return hash(_values(self))


def _repr(self: Any) -> str:
    said = ", ".join(f"{name}={getattr(self, name)!r}" for name in self.__match_args__)
    return f"{type(self).__qualname__}({said})"


def _setattr(_: Any, name: str, value: object) -> None:  # noqa: ARG001 - the protocol's
    from dataclasses import FrozenInstanceError

    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _delattr(_: Any, name: str) -> None:
    from dataclasses import FrozenInstanceError

    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _reduce(self: Any) -> tuple[type, tuple[Any, ...]]:
    return type(self), _values(self)


_METHODS: dict[str, Any] = {
    "__init__": _init,
    "__eq__": _eq,
    "__hash__": _hash,
    "__repr__": _repr,
    "__setattr__": _setattr,
    "__delattr__": _delattr,
    "__reduce__": _reduce,
}
