"""Frozen classes behave like the standard library's frozen dataclasses with slots."""

import copy
import dataclasses
import pickle
from dataclasses import dataclass, field
from typing import Any, ClassVar, Generic, TypeVar

import pytest

from qlog.frozen import frozen, replace

T = TypeVar("T")


@frozen
class Base:
    TABLE: ClassVar[str] = "base"

    name: str
    size: int = 3


@frozen
class Wider(Base):
    TABLE: ClassVar[str] = "wider"

    note: str = ""
    extra: tuple[str, ...] = ()


@frozen
class Box(Generic[T]):
    content: T


@frozen
class Marked(Box[T]):
    new: bool = True


@frozen
class Ordered:
    low: int
    high: int

    def __post_init__(self) -> None:
        if self.low > self.high:
            raise ValueError("reversed")


@dataclass(frozen=True, slots=True)
class StandardBase:
    TABLE: ClassVar[str] = "base"

    name: str
    size: int = 3


@dataclass(frozen=True, slots=True)
class StandardWider(StandardBase):
    TABLE: ClassVar[str] = "wider"

    note: str = ""
    extra: tuple[str, ...] = ()


#: How often one is made before the test looks: the first by the way shared by all classes, many
#: by the class's own.
@pytest.mark.parametrize("before", [0, 100])
@pytest.mark.parametrize(
    ("args", "named"),
    [
        (("a",), {}),
        (("a", 4), {}),
        (("a",), {"note": "n"}),
        (("a", 4, "n", ("x",)), {}),
        ((), {"size": 5, "name": "b"}),
        ((), {}),
        (("a",), {"name": "b"}),
        (("a",), {"colour": 1}),
        (("a", 1, "", (), 9), {}),
    ],
)
def test_making_one_goes_as_with_the_standard_library(
    args: tuple[Any, ...], named: dict[str, Any], before: int
) -> None:
    for number in range(before):
        Wider(str(number))
    try:
        standard = StandardWider(*args, **named)
    except TypeError:
        with pytest.raises(TypeError):
            Wider(*args, **named)
        return
    mine = Wider(*args, **named)
    assert dataclasses.astuple(mine) == dataclasses.astuple(standard)
    assert dataclasses.asdict(mine) == dataclasses.asdict(standard)
    assert repr(mine) == repr(standard).replace("Standard", "")
    for changed in (dataclasses.replace(mine, note="other"), replace(mine, note="other")):
        assert (type(changed), changed.note, changed.name) == (Wider, "other", mine.name)
        assert dataclasses.astuple(mine) == dataclasses.astuple(standard)


def test_fields_and_match_are_those_of_the_standard_library() -> None:
    def of(cls: Any) -> list[tuple[Any, ...]]:
        return [(f.name, f.type, f.default) for f in dataclasses.fields(cls)]

    assert of(Wider) == of(StandardWider)
    assert of(Base) == of(StandardBase)
    assert dataclasses.is_dataclass(Wider)
    assert Wider.__match_args__ == StandardWider.__match_args__
    assert (Base.TABLE, Wider.TABLE) == ("base", "wider")


def test_what_is_made_many_times_is_checked_as_the_first() -> None:
    for low in range(200):
        assert Ordered(low, high=low + 1) == Ordered(low, low + 1)
        with pytest.raises(ValueError, match="reversed"):
            Ordered(low + 1, low)


@pytest.mark.parametrize("default", [{}, [], set(), field(default_factory=dict)])
def test_a_default_that_could_change_is_refused(default: Any) -> None:
    with pytest.raises(TypeError, match=r"Wrong\.extra"):

        @frozen
        class Wrong:
            extra: Any = default


def test_what_is_no_field_is_not_replaced() -> None:
    with pytest.raises(TypeError, match="colour"):
        replace(Base("a"), colour=1)


@frozen
class Many:
    a: int
    b: int
    c: int
    d: int
    e: int
    f: int = 6


class Below(Many):
    pass


class BelowAlike(Many):
    __slots__ = ()


def test_a_plain_class_below_stays_itself_however_many_are_made() -> None:
    for number in range(200):
        made = [kind(number, 2, 3, 4, e=5) for kind in (Many, Below, BelowAlike)]
        assert [type(one) for one in made] == [Many, Below, BelowAlike]
        assert [(one.a, one.e, one.f) for one in made] == [(number, 5, 6)] * 3


def test_equal_by_fields_and_class() -> None:
    assert Base("a") == Base("a", 3)
    assert Base("a") != Base("a", 4)
    assert Base("a") != StandardBase("a")
    assert hash(Base("a")) == hash(Base("a", 3))
    assert len({Base("a"), Base("a"), Base("b")}) == 2
    assert Box(1) != Marked(1)
    with pytest.raises(TypeError):
        hash(Box({}))  # a dict in it cannot be hashed


def test_nothing_changes_after_making() -> None:
    one: Any = Base("a")
    with pytest.raises(dataclasses.FrozenInstanceError):
        one.name = "b"
    with pytest.raises(dataclasses.FrozenInstanceError):
        del one.name
    with pytest.raises(AttributeError):
        one.other = 1
    assert not hasattr(one, "__dict__")
    assert not hasattr(Wider("a"), "__dict__")


@dataclasses.dataclass(frozen=True, slots=True)
class Plain:
    here: int


@frozen
class OnPlain(Plain):
    there: int


def test_a_plain_dataclass_may_be_the_base() -> None:
    one = dataclasses.replace(OnPlain(1, 2), there=3)
    assert (one.here, one.there) == (1, 3)


def test_copies_and_pickles() -> None:
    one = Wider("a", 4, "n", ("x",))
    assert copy.copy(one) == copy.deepcopy(one) == pickle.loads(pickle.dumps(one)) == one


def test_generic_and_checked_ones() -> None:
    assert (Marked(5).content, Marked(5).new, Marked(5, new=False).new) == (5, True, False)
    assert isinstance(Marked(5), Box)
    with pytest.raises(ValueError, match="reversed"):
        Ordered(2, 1)
    for of in (dataclasses.replace, replace):
        with pytest.raises(ValueError, match="reversed"):
            of(Ordered(1, 2), low=3)


def test_defaults_come_last() -> None:
    with pytest.raises(TypeError, match="without a default"):

        @frozen
        class Wrong(Base):
            later: str


def test_one_on_a_plain_dataclass_is_replaced_with_the_fields_of_both() -> None:
    @dataclass(frozen=True, slots=True)
    class Below:
        name: str

    @frozen
    class Above(Below):
        size: int

    one = Above("cup", 3)
    assert [f.name for f in dataclasses.fields(Above)] == ["name", "size"]
    assert dataclasses.replace(one, size=4) == Above("cup", 4)
