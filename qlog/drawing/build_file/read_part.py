"""Reading [[part]]: its route, its dimensions, and what a dimension measures."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from qlog.drawing.build_file.definitions import Definitions
from qlog.drawing.build_file.entry import PlanTable
from qlog.drawing.build_file.mistakes import one_of
from qlog.drawing.build_file.read_marks import marks_of
from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.derived import RULES, Derived, Input, Takes, known_size
from qlog.drawing.gift_files import outside
from qlog.drawing.plan import Dimension, Earlier, Learnt, Operation, Part, Requirement
from qlog.drawing.units import Unit

PICTURES = (".png", ".jpg", ".jpeg", ".svg")
MEASURES = ("outside", "inside", "length", "depth")

_PIECE_LIKE = r".*-[0-9]+\Z"


class PartReader:
    """Reads the parts in the order of the file."""

    def __init__(self, known: Definitions) -> None:
        self.known = known
        #: Whether the operations of the part at hand could all be read.
        self.route_is_sure = True
        #: How dimensions of the part at hand are computed, as written.
        self._computed: dict[str, PlanTable] = {}

    def parts(self, top: PlanTable) -> tuple[Part, ...]:
        """All [[part]] tables."""
        entries = top.entries("part")
        if not entries:
            self.known.notes.error((), "there is no part", "[[part]] with id, needed, operations")
        parts = [self._part(entry) for entry in entries]
        return tuple(parts)

    def _part(self, entry: PlanTable) -> Part:
        again = str(entry.data.get("id")) in self.known.parts
        id = self.known.id(entry, "part", self.known.parts)
        if re.match(_PIECE_LIKE, id):
            entry.error(
                "id",
                f'part id "{id}" ends like a piece number',
                "an id that does not end in -number, because pieces are called foot-3",
            )
        self.known.parts.setdefault(id, None)
        material = entry.text("material") or None
        if material is not None and material not in self.known.materials:
            entry.error(
                "material",
                f'material "{material}" is not known',
                one_of(material, self.known.materials),
            )
        noted = len(self.known.notes)
        needed = entry.whole("needed", 1, required=True)
        spare = entry.whole("spare", 0)
        counted = len(self.known.notes) == noted
        general = self.known.general_class(entry, self.known.general)
        operations = self._operations(entry, needed + spare if counted else None)
        numbers = [o.number for o in operations]
        known: dict[str, Dimension | None] = {}
        self.known.dimensions.setdefault(id, known)
        dimensions: list[Dimension] = []
        self._computed = {}
        for index, dim in enumerate(entry.entries("dim")):
            dimension = self._dimension(dim, index + 1, numbers, general, known)
            if dimension is not None:
                dimensions.append(dimension)
        part = Part(
            id=id,
            name=entry.text("name", id),
            material=material,
            needed=needed,
            spare=spare,
            operations=operations,
            dimensions=tuple(
                replace(
                    d,
                    derived=derived_of(
                        self.known, self._computed[d.id], d, dimensions, self._computed
                    ),
                )
                if d.id in self._computed
                else d
                for d in dimensions
            ),
            drawing=entry.text("drawing"),
            image=self._image(entry, any(d.at for d in dimensions)),
            story=entry.text("story"),
            finish=self.known.finish_of(entry),
            handled=entry.flag("handled"),
            again=entry.text("again"),
            general=general,
            line=self.known.line_of(entry.place),
            marks=marks_of(entry, needed + spare if counted else None, typed_in_lists=True),
            mark_place=entry.text("mark-place"),
        )
        _unused_readings(entry, part)
        entry.close()
        if counted and not again:
            self.known.parts[id] = part  # else nothing is said about how many pieces there are
        return part

    def _image(self, entry: PlanTable, positions: bool) -> str:
        image = entry.text("image")
        if not image:
            if positions:
                what = "dimensions have a position, but the part has no drawing picture"
                entry.notes.warn(entry.place, what, 'image = "drawings/part.svg"')
            return ""
        path = Path(image)
        if outside(image):
            entry.error("image", f"{image} does not lie in the build's folder",
                        'a path from build.toml on, with /: "drawings/cup.svg"')  # fmt: skip
        elif path.suffix.lower() not in PICTURES:
            entry.error("image", f"{image} is no picture that can be shown", "PNG, JPEG or SVG")
        elif not (self.known.folder / path).is_file():
            entry.notes.warn(
                entry.at("image"), f"the drawing picture {image} is not there",
                f"a file {self.known.folder / path}", image,
            )  # fmt: skip
        return image

    def _operations(self, part: PlanTable, count: int | None) -> tuple[Operation, ...]:
        entries = part.entries("op")
        if not entries:
            part.notes.error(
                part.place, "the part has no operation", "[[part.op]] with number and name"
            )
        operations: list[Operation] = []
        for entry in entries:
            written = entry.get("number") is not None
            number = entry.whole("number", required=True)
            if written and number:
                if any(o.number == number for o in operations):
                    entry.error(
                        "number",
                        f"operation number {number} is used twice in this part",
                        f"a number of its own, such as {max(o.number for o in operations) + 10}",
                    )
                elif operations and number < max(o.number for o in operations):
                    entry.error(
                        "number",
                        f"operation {number} stands behind operation {operations[-1].number}",
                        "operations in the order in which they are done, numbers rising",
                    )
            name = entry.text("name", required=True)
            layer = None
            if entry.get("layer") is not None:
                layer = self.known.limits(entry, "layer")
            operations.append(
                Operation(
                    number=number,
                    name=name,
                    kind=entry.text("kind"),
                    machine=entry.text("machine"),
                    tool=entry.text("tool"),
                    photos=entry.whole("photos"),
                    photos_each=entry.whole("photos-each"),
                    sent_out=entry.text("sent-out"),
                    irreversible=entry.flag("irreversible"),
                    story=entry.text("story"),
                    title=entry.text("title"),
                    layer=layer,
                    only=_only(entry, count),
                    line=self.known.line_of(entry.place),
                )
            )
            entry.close()
        return tuple(operations)

    def _dimension(
        self,
        entry: PlanTable,
        number: int,
        route: list[int],
        general: str,
        known: dict[str, Dimension | None],
    ) -> Dimension | None:
        id = self.known.id(entry, "dimension", known)
        known.setdefault(id, None)
        callout = self.known.callout(entry, "callout", general)
        op = self._op(entry, "op", route)
        if op is None and entry.data.get("op") is None:
            entry.error("op", f'dimension "{id}" is tied to no operation',
                        f"op = {route[-1] if route else 10}, after which it is read")  # fmt: skip
        instrument = entry.text("instrument") or None
        if instrument is not None and instrument not in self.known.instruments:
            entry.error(
                "instrument",
                f'instrument "{instrument}" is not known',
                one_of(instrument, self.known.instruments),
            )
        requirements: list[Requirement] = []
        before = entry.entry("before")
        if before is not None:
            earlier = self.known.callout(before, "callout", general)
            earlier_op = self._op(before, "op", route)
            if before.data.get("op") is None:
                before.error("op", "the limits before the finish have no operation",
                             "before = { op = 20, callout = ... }")  # fmt: skip
            if op is not None and earlier_op is not None and earlier_op >= op:
                before.error(
                    "op",
                    f"the limits before the finish are read after operation {earlier_op}, "
                    f"not before {op}",
                    "an operation before the finish, and op = the finish",
                )
            before.close()
            if earlier is not None and earlier_op is not None:
                requirements.append(Requirement(earlier_op, earlier))
                if callout is not None and earlier.unit is not callout.unit:
                    before.error(
                        "callout",
                        f"{earlier.text} and {callout.text} are not in the same unit",
                        "both sets of limits in one unit",
                    )
        unreachable = self._unreachable(entry, route, op)
        first = self._earlier(entry, general, callout)
        self._computed |= _computed_from(entry, id)
        scatter = self._scatter(entry, route, op)
        name, note = entry.text("name", id), entry.text("note")
        at, visible = _at(entry), entry.flag("visible")
        measures = entry.choice("measures", "", ("", *MEASURES))
        every = entry.whole("every", 1)
        entry.close()
        if callout is None or op is None:
            return None
        requirements.append(Requirement(op, callout))
        dimension = Dimension(
            id=id,
            name=name,
            requirements=tuple(requirements),
            instrument=instrument,
            number=number,
            at=at,
            visible=visible,
            unreachable_after=unreachable,
            measures=measures or _measures(callout),
            note=note,
            earlier=first,
            scatter=scatter,
            line=self.known.line_of(entry.place),
            every=every,
        )
        known[id] = dimension
        return dimension

    def _unreachable(self, entry: PlanTable, route: list[int], op: int | None) -> int | None:
        last = self._op(entry, "unreachable-after", route)
        if last is not None and op is not None and last < op:
            entry.error(
                "unreachable-after",
                f"after operation {last} it cannot be reached, but it is read after {op}",
                f"op = {last} or earlier",
            )
        return last

    def _earlier(
        self, entry: PlanTable, general: str, callout: Callout | None
    ) -> tuple[Earlier, ...]:
        """What holds for the first pieces, where a revision of the drawing begins with a later."""
        found: list[Earlier] = []
        for until in entry.entries("until"):
            piece = until.whole("piece", required=True)
            asked = self.known.callout(until, "callout", general)
            until.close()
            if asked is None or callout is None:
                continue
            if asked.unit is not callout.unit or asked.attribute != callout.attribute:
                until.error("callout", f"{asked.text} and {callout.text} are not of one kind",
                            "limits of the same kind, in the same unit")  # fmt: skip
            elif found and piece <= found[-1].piece:
                until.error("piece", f"piece {piece} stands behind piece {found[-1].piece}",
                            "numbers rising")  # fmt: skip
            else:
                found.append(Earlier(piece, asked))
        return tuple(found)

    def _scatter(self, entry: PlanTable, route: list[int], op: int | None) -> tuple[Learnt, ...]:
        """What an earlier build showed of the scatter, once for an operation at most."""
        found: dict[int, Learnt] = {}
        for one in entry.entries("scatter"):
            after = self._op(one, "op", route) or op
            s, df = one.number("s"), one.whole("df", required=True)
            source = one.text("from")
            one.close()
            if one.data.get("s") is None:
                one.error("s", "the standard deviation is missing", "s = 0.003")
            if after in found:
                one.error("op", f"operation {after} has its scatter already", "one an operation")
            elif after is not None and s is not None and df:
                found[after] = Learnt(after, s, df, source)
        return tuple(found.values())

    def _op(self, entry: PlanTable, key: str, route: list[int]) -> int | None:
        if entry.get(key) is None:
            return None
        number = entry.whole(key)
        if number not in route:
            if not self.route_is_sure:
                return None  # a mistake in the route is told already
            if isinstance(entry.data[key], (int, str)) and number:
                listed = ", ".join(str(n) for n in dict.fromkeys(route)) or "none"
                entry.error(key, f"the part has no operation {number}", f"one of its own: {listed}")
            elif entry.data[key] == 0:
                entry.error(key, "the part has no operation 0", "a number of its route")
            return None
        return number


def _only(entry: PlanTable, count: int | None) -> tuple[int, ...]:
    """The pieces that get an operation, where it is not for all of them.

    `count` is None when the number of pieces is a mistake by itself.
    """
    numbers = entry.list("only")
    wrong = [n for n in numbers if type(n) is not int or n < 1 or (count is not None and n > count)]
    if wrong or len(set(map(str, numbers))) != len(numbers):
        entry.error(
            "only",
            f"{wrong[0]} is no piece of this part" if wrong else "a piece is named twice",
            f"numbers from 1 to {count or 'the last piece'}, each once",
        )
        return ()
    return tuple(numbers)


def _at(entry: PlanTable) -> tuple[float, float] | None:
    if entry.get("at") is None:
        return None
    values = entry.list("at")
    if len(values) == 2 and all(_is_fraction(v) for v in values):
        return float(values[0]), float(values[1])
    entry.error(
        "at", "at is no place on the drawing",
        "at = [0.4, 0.2]: from left and from top, as fractions from 0 to 1",
    )  # fmt: skip
    return None


def _computed_from(entry: PlanTable, id: str) -> dict[str, PlanTable]:
    """How a dimension is computed, as written, by its id; empty where it is read."""
    computed = entry.entry("from")
    if computed is None:
        return {}
    for key in ("instrument", "before", "unreachable-after"):
        if entry.data.get(key) is not None:
            entry.error(key, f"{key} at a dimension that is computed", f"{key} at what is read")
    return {id: computed}


def derived_of(
    known: Definitions,
    entry: PlanTable,
    dimension: Dimension,
    others: list[Dimension],
    computed: Collection[str],
) -> Derived | None:
    """How a dimension is computed; None, and noted, where it cannot be."""
    name = entry.text("rule", required=True)
    rule = RULES.get(name)
    if rule is None:
        if name:
            entry.error("rule", f'rule "{name}" is not known', one_of(name, RULES))
        return None
    if dimension.callout.kind not in rule.gives or dimension.callout.attribute:
        entry.error("rule", f"{name} computes no {dimension.callout.text}",
                    f"a {' or '.join(k.value for k in rule.gives)} with limits")  # fmt: skip
    inputs = [_input(known, entry, takes, dimension, others, computed) for takes in rule.takes]
    entry.close()
    if None in inputs:
        return None
    found = Derived(name, tuple(i for i in inputs if i is not None))
    if not found.read:
        entry.error("rule", "nothing is read for it", "at least one dimension of the part")
    return found


def _input(
    known: Definitions,
    entry: PlanTable,
    takes: Takes,
    dimension: Dimension,
    others: list[Dimension],
    computed: Collection[str],
) -> Input | None:
    """What one name of a rule stands for: a dimension of the part, or a known size."""
    value = entry.get(takes.name)
    text = str(value) if type(value) in (int, Decimal) else entry.text(takes.name, takes.default)
    if not text:
        entry.error(takes.name, f"{takes.name} is missing", f"{takes.name} = ... ({takes.what})")
        return None
    read = next((d for d in others if d.id == text), None)
    if read is None:
        size = known_size(text, Unit.DEGREE if takes.angle else known.unit)
        if size is None or (size[2] is Unit.DEGREE) is not takes.angle or not size[0]:
            accepted = '"60°"' if takes.angle else '"0.895 ±0.0005"'
            accepted = f"{one_of(text, [d.id for d in others])}, or a size such as {accepted}"
            what = f'"{text}" is neither a dimension of the part nor a size'
            entry.error(takes.name, what, accepted)
            return None
        return Input(takes.name, None, *size)
    callout = read.callout
    if callout.attribute or (callout.unit is Unit.DEGREE) is not takes.angle:
        entry.error(takes.name, f"{text} is no {'angle' if takes.angle else 'length'}",
                    f"{takes.what}")  # fmt: skip
    elif not takes.angle and callout.unit not in (Unit.MM, Unit.INCH):
        entry.error(takes.name, f"{text} is no length", takes.what)
    elif read is dimension or read.id in computed:
        entry.error(takes.name, f"{text} is computed itself", "a dimension that is read")
    elif read.op > dimension.op:
        entry.error(takes.name, f"{text} is read after operation {read.op}, and this one after "
                    f"{dimension.op}", f"op = {read.op} or later for what is computed")  # fmt: skip
    else:
        return Input(takes.name, text)
    return None


def _unused_readings(entry: PlanTable, part: Part) -> None:
    used = {id for d in part.dimensions if d.derived is not None for id in d.derived.read}
    for dimension in part.dimensions:
        if dimension.callout.raw and dimension.id not in used:
            entry.notes.warn(
                entry.place,
                f"nothing is computed from {dimension.id}, and it has no limits",
                f'a dimension with from = {{ rule = "...", ... = "{dimension.id}" }}',
            )


def _is_fraction(value: object) -> bool:
    if isinstance(value, bool) or not isinstance(value, (int, Decimal)):
        return False
    return Decimal(value).is_finite() and 0 <= value <= 1


def _measures(callout: Callout) -> str:
    """What a dimension measures when the file does not say: by its class and its kind.

    A capital class is a hole; a diameter without one is taken for an outside diameter.
    """
    if callout.fit_class:
        return "inside" if callout.fit_class[0].isupper() else "outside"
    return {Kind.DIAMETER: "outside", Kind.LENGTH: "length", Kind.DEPTH: "depth"}.get(
        callout.kind, ""
    )
