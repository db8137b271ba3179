"""Frozen value classes that cost next to nothing to import.

`dataclass(frozen=True, slots=True)` writes and compiles six methods for every class when its
module is imported. For the classes that a single reading loads that was a third of its time, and
most of them are never used in it. `frozen` makes classes that behave alike - slots, no change
after making, equality, hash and order of fields, `dataclasses.fields`, `replace` and `asdict` -
with methods shared by all of them and nothing to compile.

The first objects of a class are made by a method shared by all classes; a class of which many are
made gets one of its own, compiled then (`_MANY`).
"""

from __future__ import annotations

from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field
from typing import Any, TypeVar, dataclass_transform

T = TypeVar("T")


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def frozen(cls: type[T]) -> type[T]:
    """Make a frozen, slotted value class of a class that lists its fields as annotations.

    Fields may have defaults, by `field(default_factory=...)` as well; `ClassVar` marks what is
    none. Fields of a base class come first. `__post_init__` is called when there is one.
    """
    own = tuple(
        name
        for name, kind in cls.__annotations__.items()
        if not str(kind).startswith(("ClassVar", "typing.ClassVar"))
    )
    body = {k: v for k, v in cls.__dict__.items() if k not in ("__dict__", "__weakref__")}
    defaults: dict[str, Any] = dict(getattr(cls, "_frozen_defaults", {}))
    for name in own:
        defaults.pop(name, None)
        if name in body:
            defaults[name] = body.pop(name)
    inherited: tuple[str, ...] = getattr(cls, "__match_args__", ())
    names = inherited + tuple(name for name in own if name not in inherited)
    required = [name for name in names if name not in defaults]
    if list(names[: len(required)]) != required:
        raise TypeError(f"{cls.__name__}: a field without a default follows one with a default")
    body |= {
        "__slots__": tuple(name for name in own if name not in inherited),
        "__match_args__": names,
        "_frozen_defaults": defaults,
        "__dataclass_fields__": _Fields(cls.__annotations__, defaults),
    }
    for name, method in _METHODS.items():
        body.setdefault(name, method)
    kind: Any = type(cls)
    made: type[T] = kind(cls.__name__, cls.__bases__, body)
    made.__qualname__ = cls.__qualname__
    setters = tuple(getattr(made, name).__set__ for name in names)
    type.__setattr__(made, "_frozen_setters", setters)
    return made


class _Fields:
    """`__dataclass_fields__`, worked out by `dataclass` itself when somebody asks for it."""

    def __init__(self, kinds: dict[str, Any], defaults: dict[str, Any]) -> None:
        self._kinds = kinds
        self._defaults = defaults
        self._found: dict[str, Field[Any]] | None = None

    def __get__(self, instance: object, owner: type) -> dict[str, Field[Any]]:
        if self._found is None:
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


def _init(self: Any, *args: Any, **named: Any) -> None:
    cls = type(self)
    names, defaults = cls.__match_args__, cls._frozen_defaults
    if cls.__dict__.get("__init__") is _init:
        _made[cls] = count = _made.get(cls, 0) + 1
        if count > _MANY:
            _compile(cls)
            self.__init__(*args, **named)
            return
    if len(args) > len(names):
        raise TypeError(f"{cls.__name__} takes {len(names)} values, not {len(args)}")
    put = object.__setattr__
    for name, value in zip(names, args, strict=False):
        if name in named:
            raise TypeError(f"{cls.__name__} got two values for {name!r}")
        put(self, name, value)
    taken = 0
    for name in names[len(args) :]:
        if name in named:
            put(self, name, named[name])
            taken += 1
            continue
        try:
            default = defaults[name]
        except KeyError:
            raise TypeError(f"{cls.__name__} needs a value for {name!r}") from None
        if isinstance(default, Field):
            default = _default_of(default, cls, name)
        put(self, name, default)
    if taken != len(named):
        unknown = ", ".join(repr(name) for name in named if name not in names)
        raise TypeError(f"{cls.__name__} has no field {unknown}")
    if hasattr(cls, "__post_init__"):
        self.__post_init__()


#: Fields from which on it is quicker to open an object and to put its values in as into any other.
_WIDE = 6


def _compile(cls: Any) -> None:
    """Give a class its own `__init__`; it takes a fifth of the time that the shared one takes.

    While its values are put in, an object of many fields is one of a twin class that can be
    written to: half the time that their setters would take.
    """
    known: dict[str, Any] = {"_cls": cls, "_default_of": _default_of, "_absent": MISSING}
    wide = len(cls.__match_args__) >= _WIDE
    takes, given, put = ["self"], [], []
    if wide:
        known |= {"_twin": _twin(cls), "_turn": object.__setattr__}
        put.append("_turn(self, '__class__', _twin)")
    for number, (name, setter) in enumerate(
        zip(cls.__match_args__, cls._frozen_setters, strict=True)
    ):
        known[f"_set{number}"] = setter
        default = cls._frozen_defaults.get(name, MISSING)
        if isinstance(default, Field):
            known[f"_is{number}"] = default
            takes.append(f"{name}=_absent")
            given.append(f"if {name} is _absent: {name} = _default_of(_is{number}, _cls, {name!r})")
        elif name in cls._frozen_defaults:
            known[f"_is{number}"] = default
            takes.append(f"{name}=_is{number}")
        else:
            takes.append(name)
        put.append(f"self.{name} = {name}" if wide else f"_set{number}(self, {name})")
    if wide:
        put.append("self.__class__ = _cls")
    if hasattr(cls, "__post_init__"):
        put.append("self.__post_init__()")
    body = "\n ".join((*given, *put)) or "pass"
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


def _default_of(described: Field[Any], cls: type, name: str) -> Any:
    if described.default_factory is not MISSING:
        return described.default_factory()
    if described.default is MISSING:
        raise TypeError(f"{cls.__name__} needs a value for {name!r}")
    return described.default


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
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _delattr(_: Any, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _reduce(self: Any) -> tuple[type, tuple[Any, ...]]:
    return type(self), _values(self)


_METHODS = {
    "__init__": _init,
    "__eq__": _eq,
    "__hash__": _hash,
    "__repr__": _repr,
    "__setattr__": _setattr,
    "__delattr__": _delattr,
    "__reduce__": _reduce,
}
