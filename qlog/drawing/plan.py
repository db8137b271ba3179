"""The plan: build.toml as frozen typed values, in the order of the drawing."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from functools import cached_property
from pathlib import Path

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.decision import DecisionRule
from qlog.drawing.derived import Derived
from qlog.drawing.gift import Gift
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.frozen import Remembering, frozen

#: Languages that the words of screen, paper and record exist in; a test holds them against the
#: catalogues. The first is taken where a plan names none.
LANGUAGES = ("en", "de")

#: Papers that sheets and the record are laid out for, as CSS names them.
PAPERS = {"a4": "A4", "letter": "letter"}


@frozen
class Material:
    """A material of the build; expansion in 1e-6 per kelvin."""

    id: str
    name: str
    expansion: Decimal | None
    care: str = ""


#: Expansion of an instrument of which none is given, 1e-6/K: steel gauges (GUM H.1).
STEEL = Decimal("11.5")


@frozen
class Instrument:
    """What takes readings: display step and maximum permissible error in its own unit."""

    id: str
    name: str
    kind: str  # caliper, micrometer, bore gauge, depth rod, plug gauge, eye ...
    unit: Unit
    step: Decimal | None
    error: Decimal | None
    expansion: Decimal | None = None
    note: str = ""


@frozen
class Operation:
    """A numbered step of a part's route."""

    number: int
    name: str
    kind: str  # turning, boring, milling, polishing, blackening ... (cautions hang on it)
    machine: str = ""
    tool: str = ""
    photos: int = 0  # photos required of the batch, at least
    photos_each: int = 0  # photos required of every piece, at least
    sent_out: str = ""  # to whom; empty when done in the workshop
    irreversible: bool = False
    story: str = ""  # a sentence for the recipient
    title: str = ""  # what the story calls it, for people; "" = its name
    layer: Limits | None = None  # ordered layer thickness or removal of a sent-out finish
    only: tuple[int, ...] = ()  # the pieces that get this operation; empty = all of them
    line: int = 0


@frozen
class Requirement:
    """One set of limits of a dimension, read after one operation."""

    op: int
    callout: Callout


@frozen
class Earlier:
    """The limits of the finished size that hold for the pieces up to one, by an earlier drawing."""

    piece: int
    callout: Callout


@frozen
class Learnt:
    """Scatter of a dimension after one operation, as an earlier build showed it.

    `s` is a standard deviation in the unit of the callout, with `df` degrees of freedom.
    """

    op: int
    s: Decimal
    df: int
    source: str  # which build, as its maker calls it


@frozen
class Dimension:
    """One thing the drawing asks for; `requirements` holds one set of limits, or two with a finish.

    The last requirement is the one of the finished piece.
    """

    id: str
    name: str
    requirements: tuple[Requirement, ...]
    instrument: str | None
    number: int  # on the drawing picture, counted in the order of the file
    at: tuple[float, float] | None = None
    visible: bool = False  # seen by the recipient: items should match in it
    unreachable_after: int | None = None  # operation after which it cannot be measured
    measures: str = ""  # "outside", "inside", "length", "depth" or "" when not a plain size
    note: str = ""
    earlier: tuple[Earlier, ...] = ()  # what holds for the first pieces, fewest pieces first
    derived: Derived | None = None  # computed from readings of other dimensions, not read itself
    scatter: tuple[Learnt, ...] = ()  # at most one for each operation
    every: int = 1  # it is read on the first piece of a setup and on every so-manieth behind it

    def learnt_at(self, op: int) -> Learnt | None:
        """The scatter that an earlier build showed after that operation."""
        return next((learnt for learnt in self.scatter if learnt.op == op), None)

    @property
    def callout(self) -> Callout:
        """The callout of the finished piece."""
        return self.requirements[-1].callout

    @property
    def op(self) -> int:
        """The operation after which the finished size is read."""
        return self.requirements[-1].op

    def requirement_at(self, op: int) -> Requirement | None:
        """The requirement in force for a reading taken after `op`.

        That is the last one whose own operation is not later than `op`; before the first of
        them there is none.
        """
        found = None
        for requirement in self.requirements:
            if requirement.op <= op:
                found = requirement
        return found

    def asked_of(self, piece: int, op: int) -> Callout | None:
        """What is asked of one piece after `op`: that of the revision that holds for it.

        None before the first operation that makes the dimension.
        """
        found = self.requirement_at(op)
        if found is not self.requirements[-1]:
            return None if found is None else found.callout
        for earlier in self.earlier:
            if 0 < piece <= earlier.piece:
                return earlier.callout
        return found.callout


def marks_alike(text: str) -> str:
    """A mark as it is compared with another: in any case, with single blanks."""
    return " ".join(text.casefold().split())


def mark_address(mark: str) -> str:
    """A mark as a page address: `No. 5` as `no-5`; "" when it has no letter and no digit."""
    import unicodedata

    plain = unicodedata.normalize("NFKD", mark).casefold()
    spelled = "".join(s if s.isalnum() else "-" for s in plain if not unicodedata.combining(s))
    return "-".join(filter(None, spelled.split("-")))


@frozen
class Part:
    """One drawing, made `needed` + `spare` times, pieces numbered in the order of making."""

    id: str
    name: str
    material: str | None
    needed: int
    spare: int
    operations: tuple[Operation, ...]
    dimensions: tuple[Dimension, ...]
    drawing: str = ""  # drawing number, as the maker calls it
    image: str = ""  # drawing picture, path relative to build.toml
    story: str = ""
    finish: str = ""  # id of the surface that it ends in
    handled: bool = False  # it is made to be touched: a knob, a handle
    again: str = ""  # what somebody needs to know who makes one more
    general: str = ""  # ISO 2768-1 class in force for this part, "" when none is
    marks: tuple[str, ...] = ()  # what is punched or written on the pieces, from piece 1 on
    mark_place: str = ""  # where it stands on them

    def mark(self, piece: int) -> str:
        """What is punched or written on the piece of that number; "" when it has no mark."""
        return self.marks[piece - 1] if 0 < piece <= len(self.marks) else ""

    def called(self, piece: int) -> str:
        """What a piece of that number is called at the bench: its mark, else its number."""
        return self.mark(piece) or str(piece)

    def named(self, piece: int) -> str:
        """The whole name of a piece: `cup-3`, or `cup-C` by its mark."""
        return f"{self.id}-{self.called(piece)}"

    def listed(self, pieces: Iterable[int]) -> str:
        """Several pieces as they are typed: `cup-3`, or `cup 1-3, 5`."""
        from qlog.counting import runs

        numbers = sorted(set(pieces))
        if len(numbers) == 1:
            return self.named(numbers[0])
        return f"{self.id} {runs(numbers, self.called)}"

    def numbered(self, text: str) -> int | None:
        """The number of the piece that is called so: by its mark, else by its number.

        Where marks are numbers, a piece that has one is called by nothing else: its place in the
        order would be the mark of another. None when nothing is called so.
        """
        wanted = marks_alike(text)
        for number, mark in enumerate(self.marks, 1):
            if marks_alike(mark) == wanted:
                return number
        if not (wanted.isascii() and wanted.isdecimal() and len(wanted) < 13):
            return None
        number = int(wanted)
        hidden = number <= len(self.marks) and any(mark.isdecimal() for mark in self.marks)
        return None if hidden else number

    @property
    def pieces(self) -> range:
        """Numbers of all pieces planned, spares included."""
        return range(1, self.needed + self.spare + 1)

    def operation(self, number: int) -> Operation:
        """The operation of that number. Raises KeyError when the route has none."""
        for operation in self.operations:
            if operation.number == number:
                return operation
        raise KeyError(number)

    def dimension(self, id: str) -> Dimension:
        """The dimension of that id. Raises KeyError when the drawing has none."""
        for dimension in self.dimensions:
            if dimension.id == id:
                return dimension
        raise KeyError(id)

    def takes(self, op: int, piece: int) -> bool:
        """Whether that piece gets that operation at all."""
        only = self.operation(op).only
        return not only or piece in only

    def sealed_by(self, dimension: Dimension, piece: int | None = None) -> int | None:
        """The operation after which a dimension is out of reach; None when it stays in reach.

        `unreachable_after` is the last operation after which it can be measured: the next one
        seals it, for a given piece the next one that this piece gets.
        """
        last = dimension.unreachable_after
        if last is None:
            return None
        for operation in self.operations:
            number = operation.number
            if number > last and (piece is None or self.takes(number, piece)):
                return number
        return None

    def read_after(self, op: int) -> tuple[Dimension, ...]:
        """The dimensions that are to be read after operation `op`, in drawing order.

        What is computed is not among them, but what it is computed from.
        """
        return tuple(
            d
            for d in self.dimensions
            if d.derived is None and any(r.op == op for r in d.requirements)
        )

    def read_for(self, dimension: Dimension) -> tuple[Dimension, ...]:
        """What is read for a dimension: itself, or what it is computed from."""
        if dimension.derived is None:
            return (dimension,)
        return tuple(self.dimension(id) for id in dimension.derived.read)

    def computed_with(self, dimension: Dimension) -> tuple[Dimension, ...]:
        """The dimensions that are computed from readings of this one."""
        return tuple(
            d for d in self.dimensions if d.derived is not None and dimension.id in d.derived.read
        )


@frozen
class Feature:
    """A dimension of a part, as joints and stacks name it: `cup.bore`."""

    part: str
    dimension: str


@frozen
class Joint:
    """Two dimensions that must fit; `clearance` is inside minus outside, interference below 0."""

    id: str
    name: str
    inside: Feature
    outside: Feature
    clearance: Limits
    text: str  # as written: "0.01..0.05" or "H7/p6"
    apart: str = ""  # how it comes apart, for the recipient


@frozen
class Stack:
    """Dimensions that add (+1) and subtract (-1) to an overall size with its own limits."""

    id: str
    name: str
    terms: tuple[tuple[int, Feature], ...]
    callout: Callout

    @property
    def distinct(self) -> tuple[tuple[int, Feature], ...]:
        """Its terms, each once: what is named twice is there twice, on two pieces."""
        return tuple(dict.fromkeys(self.terms))

    @property
    def times(self) -> dict[str, int]:
        """How many pieces of a part it goes over, where that is more than one."""
        counts = {term: self.terms.count(term) for term in self.distinct}
        return {feature.part: n for (_, feature), n in counts.items() if n > 1}


@frozen
class ItemGroup:
    """Items that are alike: eight candlesticks, of which four are tall."""

    id: str
    name: str
    count: int
    takes: tuple[tuple[str, int], ...]  # part id, how many of it go into one item
    only: tuple[tuple[str, tuple[int, ...]], ...] = ()  # part id, pieces reserved for the group
    marks: tuple[str, ...] = ()  # what stands on the items, from the first on: "No. 5"
    mark_place: str = ""  # where it stands on them: "under the foot"
    holds: tuple[tuple[str, int], ...] = ()  # items of other groups that go into one: a pair

    def mark(self, number: int) -> str:
        """What stands on the item of that number; "" when it has no mark."""
        return self.marks[number - 1] if 0 < number <= len(self.marks) else ""

    def called(self, number: int) -> str:
        """The title of the item of that number: its mark, else the group's name and number."""
        return self.mark(number) or f"{self.name} {number}"

    def address(self, number: int) -> str:
        """The item of that number in the address of its page: `no-5`, else `tall-1`."""
        return mark_address(self.mark(number)) or f"{self.id}-{number}"


@frozen
class Ban:
    """Pieces kept together (`together`) or apart by hand when items are matched."""

    pieces: tuple[tuple[str, int], ...]
    together: bool


@frozen
class Credit:
    """Who did what, as the recipient reads it."""

    who: str
    what: str
    portrait: str = ""  # picture of them, path relative to build.toml


@frozen
class RoomTemperature:
    """Where it is measured when no temperature is given: between `middle` -+ `half`, °C."""

    middle: Decimal
    half: Decimal


@frozen
class Build(Remembering):
    """The whole undertaking as build.toml describes it."""

    title: str
    maker: str
    recipient: str
    occasion: str
    unit: Unit
    general: str  # "f", "m", "c", "v" of ISO 2768-1, or "" when none is set
    decision: DecisionRule  # when a reading counts as inside its limits
    language: str
    timezone: str  # IANA name for capture times without an offset; "" = the computer's
    materials: tuple[Material, ...]
    instruments: tuple[Instrument, ...]
    parts: tuple[Part, ...]
    joints: tuple[Joint, ...]
    stacks: tuple[Stack, ...]
    groups: tuple[ItemGroup, ...]
    bans: tuple[Ban, ...]
    credits: tuple[Credit, ...]
    object_record: tuple[tuple[str, str], ...]  # facts for the recipient, label and text
    photo_formats: tuple[str, ...]  # besides JPEG: "webp", "avif"
    folder: Path
    revision: str  # SHA-256 of build.toml as used
    source: str  # the text of build.toml as used
    temperature: RoomTemperature | None = None  # None: not stated, and in no uncertainty
    paper: str = "a4"  # one of PAPERS, for sheets and the printed record
    gift: Gift = Gift()  # what the maker gives along with the set
    person: str = ""  # who enters where nobody else is said
    code_page: str = ""  # what the file was read as where it is no UTF-8

    @property
    def items(self) -> tuple[tuple[str, str, str], ...]:
        """Every finished item: (id, title, group id); `tall-1`, its mark or "Tall stick 1"."""
        return tuple(
            (f"{group.id}-{number}", group.called(number), group.id)
            for group in self.groups
            for number in range(1, group.count + 1)
        )

    def part(self, id: str) -> Part:
        """The part of that id. Raises KeyError when the build has none."""
        return self._parts[id]

    @cached_property
    def _parts(self) -> dict[str, Part]:
        return {part.id: part for part in reversed(self.parts)}

    def instrument(self, id: str) -> Instrument:
        """The instrument of that id. Raises KeyError when none is registered."""
        for instrument in self.instruments:
            if instrument.id == id:
                return instrument
        raise KeyError(id)

    def material(self, id: str) -> Material:
        """The material of that id. Raises KeyError when none is registered."""
        for material in self.materials:
            if material.id == id:
                return material
        raise KeyError(id)
