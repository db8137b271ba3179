"""Reading [[part]]: its route, its dimensions, and what a dimension measures."""

from __future__ import annotations

import re
from collections.abc import Collection
from decimal import Decimal
from pathlib import Path

from qlog.drawing.build_file.definitions import Definitions
from qlog.drawing.build_file.entry import PlanTable
from qlog.drawing.build_file.mistakes import one_of
from qlog.drawing.build_file.read_marks import marks_of
from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.derived import Derived, Input, known_size
from qlog.drawing.formulas import RULES, Takes
from qlog.drawing.named_files import ENDINGS, Fault, FileKind, fault, mistake, outside
from qlog.drawing.plan import Dimension, Earlier, Learnt, Operation, Part, Requirement
from qlog.drawing.units import Unit
from qlog.frozen import replace
from qlog.problem import Either, ToSay

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
            self.known.notes.error((), ToSay("error.there_part"), ToSay("error.part_id_needed"))
        return tuple(self._part(entry) for entry in entries)

    def _part(self, entry: PlanTable) -> Part:
        again = str(entry.data.get("id")) in self.known.parts
        id = self.known.id(entry, "part", self.known.parts)
        if re.match(_PIECE_LIKE, id):
            entry.error("id", ToSay("error.part_id_ends", id=id), ToSay("error.id_does_end"))
        self.known.parts.setdefault(id, None)
        material = entry.text("material") or None
        if material is not None and material not in self.known.materials:
            what = ToSay("error.material_known", material=material)
            entry.error("material", what, one_of(material, self.known.materials))
        noted = len(self.known.notes)
        needed = entry.whole("needed", 1, required=True)
        spare = entry.whole("spare", 0)
        counted = len(self.known.notes) == noted
        general = self.known.general_class(entry, self.known.general)
        operations = self._operations(entry, needed + spare if counted else None)
        numbers = [o.number for o in operations]
        known: dict[str, Dimension | None] = {}
        self.known.dimensions.setdefault(id, known)
        self._computed = {}
        read = [
            self._dimension(dim, number, numbers, general, known)
            for number, dim in enumerate(entry.entries("dim"), start=1)
        ]
        dimensions = [d for d in read if d is not None]
        made = self._computed
        part = Part(
            id=id,
            name=entry.text("name", id),
            material=material,
            needed=needed,
            spare=spare,
            operations=operations,
            dimensions=tuple(
                replace(d, derived=derived_of(self.known, made[d.id], d, dimensions, made))
                if d.id in made
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
                what = ToSay("error.position_without_picture")
                entry.notes.warn(entry.place, what, 'image = "drawings/part.svg"')
            return ""
        path = Path(image)
        if outside(image):
            entry.error("image", ToSay("error.lies_outside_build", written=image),
                        ToSay("error.path_from_build_toml"))  # fmt: skip
        elif path.suffix.lower() not in ENDINGS[FileKind.DRAWING]:
            entry.error(
                "image",
                ToSay("error.picture_can_be_shown", image=image),
                ToSay("error.png_jpeg_svg"),
            )
        elif found := fault(self.known.folder, image, FileKind.DRAWING):
            there = ToSay("error.drawing_picture_there", image=image)
            entry.notes.warn(
                entry.at("image"),
                there if found is Fault.MISSING else mistake(image, found, FileKind.DRAWING),
                ToSay("error.file_in_folder", folder=self.known.folder / path), image,
            )  # fmt: skip
        return image

    def _operations(self, part: PlanTable, count: int | None) -> tuple[Operation, ...]:
        entries = part.entries("op")
        if not entries:
            part.notes.error(
                part.place, ToSay("error.part_operation"), ToSay("error.part_op_number")
            )
        operations: list[Operation] = []
        for entry in entries:
            written = entry.get("number") is not None
            number = entry.whole("number", required=True)
            if written and number:
                last = max((o.number for o in operations), default=0)
                if any(o.number == number for o in operations):
                    what = ToSay("error.operation_number_used", number=number)
                    entry.error("number", what, ToSay("error.number_own_such", number=last + 10))
                elif number < last:
                    before = operations[-1].number
                    what = ToSay("error.operation_stands_behind", number=number, before=before)
                    entry.error("number", what, ToSay("error.operations_order_which"))
            operations.append(
                Operation(
                    number=number,
                    name=entry.text("name", required=True),
                    kind=entry.text("kind"),
                    machine=entry.text("machine"),
                    tool=entry.text("tool"),
                    photos=entry.whole("photos"),
                    photos_each=entry.whole("photos-each"),
                    sent_out=entry.text("sent-out"),
                    irreversible=entry.flag("irreversible"),
                    story=entry.text("story"),
                    title=entry.text("title"),
                    layer=None if entry.get("layer") is None else self.known.limits(entry, "layer"),
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
        op = self.op_of(entry, "op", route)
        if op is None and entry.data.get("op") is None:
            what = ToSay("error.dimension_tied_operation", id=id)
            entry.error("op", what, ToSay("error.op_after_which", route=route[-1] if route else 10))
        instrument = entry.text("instrument") or None
        if instrument is not None and instrument not in self.known.instruments:
            what = ToSay("error.instrument_known", instrument=instrument)
            entry.error("instrument", what, one_of(instrument, self.known.instruments))
        requirements: list[Requirement] = []
        before = entry.entry("before")
        if before is not None:
            earlier = self.known.callout(before, "callout", general)
            earlier_op = self.op_of(before, "op", route)
            if before.data.get("op") is None:
                before.error("op", ToSay("error.limits_before_finish"),
                             "before = { op = 20, callout = ... }")  # fmt: skip
            if op is not None and earlier_op is not None and earlier_op >= op:
                what = ToSay("error.limits_before_finish_are", earlier_op=earlier_op, op=op)
                before.error("op", what, ToSay("error.operation_before_finish"))
            before.close()
            if earlier is not None and earlier_op is not None:
                requirements.append(Requirement(earlier_op, earlier))
                if callout is not None and earlier.unit is not callout.unit:
                    what = ToSay("error.are_same_unit", callout=earlier.text, other=callout.text)
                    before.error("callout", what, ToSay("error.both_sets_limits"))
        unreachable = self._unreachable(entry, route, op)
        first = self._earlier(entry, general, callout)
        self._computed |= _computed_from(entry, id)
        scatter = _scatter(self, entry, route, op)
        measures = entry.choice("measures", "", ("", *MEASURES))
        name, note = entry.text("name", id), entry.text("note")
        at, visible = _at(entry), entry.flag("visible")
        every = entry.whole("every", 1)
        entry.close()
        if callout is None or op is None:
            return None
        known[id] = Dimension(
            id=id,
            requirements=(*requirements, Requirement(op, callout)),
            instrument=instrument,
            number=number,
            unreachable_after=unreachable,
            measures=measures or _measures(callout),
            earlier=first,
            scatter=scatter,
            every=every,
            name=name,
            note=note,
            at=at,
            visible=visible,
        )
        return known[id]

    def _unreachable(self, entry: PlanTable, route: list[int], op: int | None) -> int | None:
        last = self.op_of(entry, "unreachable-after", route)
        if last is not None and op is not None and last < op:
            what = ToSay("error.after_operation_cannot", last=last, op=op)
            entry.error("unreachable-after", what, ToSay("error.op_earlier", last=last))
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
                what = ToSay("error.are_one_kind", callout=asked.text, other=callout.text)
                until.error("callout", what, ToSay("error.limits_same_kind"))
            elif found and piece <= found[-1].piece:
                what = ToSay("error.piece_stands_behind", piece=piece, before=found[-1].piece)
                until.error("piece", what, ToSay("error.numbers_rising"))
            else:
                found.append(Earlier(piece, asked))
        return tuple(found)

    def op_of(self, entry: PlanTable, key: str, route: list[int]) -> int | None:
        """The operation at a key; None, and noted, where the route has none of that number."""
        if entry.get(key) is None:
            return None
        number = entry.whole(key)
        if number not in route:
            if not self.route_is_sure:
                return None  # a mistake in the route is told already
            if isinstance(entry.data[key], (int, str)) and number:
                listed = ", ".join(str(n) for n in dict.fromkeys(route)) or "none"
                what = ToSay("error.part_has_no_operation", number=number)
                entry.error(key, what, ToSay("error.one_own", listed=listed))
            elif entry.data[key] == 0:
                entry.error(
                    key, ToSay("error.part_has_no_operation_0"), ToSay("error.number_route")
                )
            return None
        return number


def _scatter(
    reader: PartReader, entry: PlanTable, route: list[int], op: int | None
) -> tuple[Learnt, ...]:
    """What an earlier build showed of the scatter, once for an operation at most."""
    found: dict[int, Learnt] = {}
    for one in entry.entries("scatter"):
        after = reader.op_of(one, "op", route) or op
        s, df = one.number("s"), one.whole("df", required=True)
        source = one.text("from")
        one.close()
        if one.data.get("s") is None:
            one.error("s", ToSay("error.standard_deviation_missing"), "s = 0.003")
        if after in found:
            what = ToSay("error.operation_scatter_already", after=after)
            one.error("op", what, ToSay("error.one_operation"))
        elif after is not None and s is not None and df:
            found[after] = Learnt(after, s, df, source)
    return tuple(found.values())


def _only(entry: PlanTable, count: int | None) -> tuple[int, ...]:
    """The pieces that get an operation, where it is not for all of them.

    `count` is None when the number of pieces is a mistake by itself.
    """
    numbers = entry.list("only")
    wrong = [n for n in numbers if type(n) is not int or n < 1 or (count is not None and n > count)]
    if wrong or len(set(map(str, numbers))) != len(numbers):
        entry.error(
            "only",
            ToSay("error.piece_part", wrong=wrong[0])
            if wrong
            else ToSay("error.piece_named_twice"),
            ToSay("error.numbers_each_once", most=count or ToSay("error.the_last_piece")),
        )
        return ()
    return tuple(numbers)


def _at(entry: PlanTable) -> tuple[float, float] | None:
    if entry.get("at") is None:
        return None
    values = entry.list("at")
    if len(values) == 2 and all(_is_fraction(v) for v in values):
        return float(values[0]), float(values[1])
    what = ToSay("error.place_drawing")
    entry.error("at", what, ToSay("error.from_left_from"))
    return None


def _computed_from(entry: PlanTable, id: str) -> dict[str, PlanTable]:
    """How a dimension is computed, as written, by its id; empty where it is read."""
    computed = entry.entry("from")
    if computed is None:
        return {}
    for key in ("instrument", "before", "unreachable-after"):
        if entry.data.get(key) is not None:
            entry.error(
                key, ToSay("error.dimension_computed", key=key), ToSay("error.what_read", key=key)
            )
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
            entry.error("rule", ToSay("error.rule_known", name=name), one_of(name, RULES))
        return None
    if dimension.callout.kind not in rule.gives or dimension.callout.attribute:
        entry.error("rule", ToSay("error.computes", name=name, text=dimension.callout.text),
                    ToSay("error.gives_with_limits", kinds=Either(rule.gives)))  # fmt: skip
    inputs = [_input(known, entry, takes, dimension, others, computed) for takes in rule.takes]
    entry.close()
    if None in inputs:
        return None
    found = Derived(name, tuple(i for i in inputs if i is not None))
    if not found.read:
        entry.error("rule", ToSay("error.nothing_read"), ToSay("error.least_one_dimension"))
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
        entry.error(
            takes.name,
            ToSay("error.key_missing", key=takes.name),
            ToSay("error.takes_what", name=takes.name, what=takes.what),
        )
        return None
    read = next((d for d in others if d.id == text), None)
    if read is None:
        size = known_size(text, Unit.DEGREE if takes.angle else known.unit)
        if size is None or (size[2] is Unit.DEGREE) is not takes.angle or not size[0]:
            accepted = '"60°"' if takes.angle else '"0.895 ±0.0005"'
            near = one_of(text, [d.id for d in others])
            entry.error(
                takes.name,
                ToSay("error.neither_dimension_nor_size", text=text),
                ToSay("error.or_a_size", near=near, size=accepted),
            )
            return None
        return Input(takes.name, None, *size)
    callout = read.callout
    if callout.attribute or (callout.unit is Unit.DEGREE) is not takes.angle:
        what = "error.no_angle" if takes.angle else "error.no_length"
        entry.error(takes.name, ToSay(what, text=text), takes.what)
    elif not takes.angle and callout.unit not in (Unit.MM, Unit.INCH):
        entry.error(takes.name, ToSay("error.no_length", text=text), takes.what)
    elif read is dimension or read.id in computed:
        entry.error(
            takes.name, ToSay("error.computed_itself", text=text), ToSay("error.dimension_read")
        )
    elif read.op > dimension.op:
        what = ToSay("error.read_after_operation", text=text, op=read.op, own_op=dimension.op)
        entry.error(takes.name, what, ToSay("error.op_later_what", op=read.op))
    else:
        return Input(takes.name, text)
    return None


def _unused_readings(entry: PlanTable, part: Part) -> None:
    used = {id for d in part.dimensions if d.derived is not None for id in d.derived.read}
    for dimension in part.dimensions:
        if dimension.callout.raw and dimension.id not in used:
            entry.notes.warn(
                entry.place,
                ToSay("error.nothing_computed_from", dimension=dimension.id),
                ToSay("error.dimension_from", dimension=dimension.id),
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
