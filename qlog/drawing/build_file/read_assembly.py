"""Reading how parts come together: joints, stacks, items, and pieces kept together or apart."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from qlog.drawing.build_file.definitions import Definitions
from qlog.drawing.build_file.entry import PlanTable
from qlog.drawing.build_file.mistakes import Place, one_of
from qlog.drawing.build_file.read_marks import marked_apart, marks_of
from qlog.drawing.callouts.callout import CalloutError, Kind
from qlog.drawing.callouts.reading import parse_fit
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Ban, Dimension, Feature, ItemGroup, Joint, Stack
from qlog.drawing.units import Unit
from qlog.problem import ToSay

_PIECE = r"(?P<part>.+)-(?P<number>[1-9][0-9]{0,3})\Z"
_SIZES = (Kind.LENGTH, Kind.DIAMETER, Kind.RADIUS, Kind.DEPTH)


class AssemblyReader:
    """Reads what refers to the parts, after they were read."""

    def __init__(self, known: Definitions) -> None:
        self.known = known
        self._items: list[str] = []

    def joints(self, top: PlanTable) -> tuple[Joint, ...]:
        """All [[joint]] tables."""
        return self._named_list(top, "joint", self._joint)

    def stacks(self, top: PlanTable) -> tuple[Stack, ...]:
        """All [[stack]] tables."""
        return self._named_list(top, "stack", self._stack)

    def groups(self, top: PlanTable) -> tuple[ItemGroup, ...]:
        """All [[item]] tables; together they take no more pieces than there are."""
        self._items = [str(e.data.get("id", "")) for e in top.entries("item")]
        groups = self._named_list(top, "item", self._group)
        self._enough(groups)
        items_in_items(groups, self.known)
        marked_apart(groups, self.known)
        return groups

    def bans(self, top: PlanTable) -> tuple[Ban, ...]:
        """All [[keep]] tables."""
        return tuple(b for e in top.entries("keep") if (b := _ban(self.known, e)) is not None)

    def _named_list(
        self, top: PlanTable, key: str, read: Callable[[PlanTable, str], Any]
    ) -> tuple[Any, ...]:
        found: dict[str, Any] = {}
        results = []
        for entry in top.entries(key):
            id = self.known.id(entry, key, found)
            found[id] = None
            self.known.places[key, id] = entry.place
            result = read(entry, id)
            entry.close()
            if result is not None:
                results.append(result)
        return tuple(results)

    def _joint(self, entry: PlanTable, id: str) -> Joint | None:
        name, apart = entry.text("name", id), entry.text("apart")
        inside, inner = self._feature(entry, "inside")
        outside, outer = self._feature(entry, "outside")
        for key, dimension in (("inside", inner), ("outside", outer)):
            if dimension is not None and dimension.measures != key:
                written = entry.data[key]
                entry.error(
                    key,
                    ToSay(
                        "error.joint_measures",
                        written=written,
                        side=key,
                        measures=f'"{dimension.measures}"'
                        if dimension.measures
                        else ToSay("error.plain_size"),
                    ),
                    ToSay("error.dimension_measures", side=key),
                )
        clearance, fit = entry.text("clearance"), entry.text("fit")
        self.known.places["joint", id] = entry.at("fit" if fit else "clearance")
        limits: Limits | None = None
        if bool(clearance) == bool(fit):
            entry.error(
                "clearance" if clearance else "inside",
                ToSay("error.joint_both_clearance")
                if clearance
                else ToSay("error.joint_neither_clearance"),
                ToSay("error.clearance_fit"),
            )
        elif clearance:
            limits = self.known.limits(entry, "clearance")
        else:
            limits = self._fit(entry, fit, inner, outer)
        if inside is None or outside is None or limits is None:
            return None
        text = clearance or fit
        return Joint(id, name, inside, outside, limits, text, apart)

    def _fit(
        self, entry: PlanTable, text: str, inner: Dimension | None, outer: Dimension | None
    ) -> Limits | None:
        if inner is None or outer is None:
            return None
        nominal = inner.callout.nominal
        if nominal is None or inner.callout.unit is not Unit.MM:
            what = ToSay("error.fit_needs_nominal", text=text, callout=inner.callout.text)
            entry.error("fit", what, 'clearance = "0.01..0.05"')
            return None
        try:
            fit = parse_fit(text, nominal)
        except CalloutError as error:
            entry.error("fit", ToSay("error.fit_wrong", text=text, what=error.what), error.accepted)
            return None
        for key, side, dimension in (("inside", fit.hole, inner), ("outside", fit.shaft, outer)):
            own, written = dimension.callout, entry.data[key]
            classed = own.fit_class and own.fit_class != side.fit_class
            if own.nominal == side.nominal and own.limits == side.limits and not classed:
                continue
            from qlog.drawing.callouts.spelling import format_callout

            wanted = format_callout(side)
            if own.nominal != side.nominal or classed:
                entry.error(
                    "fit",
                    ToSay(
                        "error.fit_class_differs",
                        text=text,
                        wanted=wanted,
                        written=written,
                        callout=own.text,
                    ),
                    ToSay("error.there_fit_meant", wanted=wanted),
                )
            else:
                entry.notes.warn(
                    entry.at("fit"),
                    ToSay(
                        "error.fit_limits_differ",
                        text=text,
                        wanted=wanted,
                        limits=side.limits,
                        written=written,
                        callout=own.text,
                    ),
                    ToSay("error.there_clearance_meant", wanted=wanted),
                    text,
                )
        return fit.clearance

    def _stack(self, entry: PlanTable, id: str) -> Stack | None:
        name = entry.text("name", id)
        terms: list[tuple[int, Feature]] = []
        for key, sign in (("add", 1), ("subtract", -1)):
            for index, written in enumerate(entry.list(key)):
                feature, _ = self._named_feature((*entry.at(key), index), written)
                if feature is not None:
                    terms.append((sign, feature))
        if not entry.data.get("add"):
            entry.error(
                "add", ToSay("error.stack_adds_nothing"), 'add = ["foot.height", "stem.length"]'
            )
        for part in {feature.part for _, feature in terms}:
            counts = {t: terms.count(t) for t in terms if t[1].part == part}
            if len(set(counts.values())) > 1:
                most = max(counts, key=lambda t: counts[t])
                named = f"{part}.{most[1].dimension}"
                what = ToSay("error.named_unlike", named=named, n=counts[most], part=part)
                entry.error("add", what, ToSay("error.name_equally_often", part=part))
        callout = self.known.callout(entry, "callout", None)
        if callout is not None and callout.kind not in _SIZES:
            entry.error(
                "callout", ToSay("error.term_no_size", text=callout.text), 'callout = "180 ±0.2"'
            )
        if callout is None or not terms:
            return None
        return Stack(id, name, tuple(terms), callout)

    def _feature(self, entry: PlanTable, key: str) -> tuple[Feature | None, Dimension | None]:
        written = entry.text(key, required=True)
        return self._named_feature(entry.at(key), written) if written else (None, None)

    def _named_feature(
        self, place: Place, written: object
    ) -> tuple[Feature | None, Dimension | None]:
        """A dimension named as part.dimension; it must be a size."""
        if not isinstance(written, str) or written.count(".") != 1:
            self.known.notes.error(
                place, ToSay("error.no_such_size", written=written), '"part.dimension"', written
            )
            return None, None
        part, _, id = written.partition(".")
        if part not in self.known.parts:
            self.known.notes.error(
                place, ToSay("error.part_known", part=part), one_of(part, self.known.parts), written
            )
            return None, None
        known = self.known.dimensions[part]
        if id not in known:
            what = ToSay("error.part_has_no_dimension", part=part, id=id)
            self.known.notes.error(place, what, one_of(id, known), written)
            return None, None
        dimension = known[id]
        if dimension is not None and dimension.callout.kind not in _SIZES:
            what = ToSay("error.which_size", written=written, text=dimension.callout.text)
            self.known.notes.error(place, what, ToSay("error.length_diameter_radius"), written)
            return None, None
        return Feature(part, id), dimension

    def _group(self, entry: PlanTable, id: str) -> ItemGroup | None:
        name = entry.text("name", id)
        count = entry.whole("count", 1, required=True)
        takes: list[tuple[str, int]] = []
        holds: list[tuple[str, int]] = []
        table = entry.entry("takes")
        if table is None or not table.data:
            if entry.data.get("takes") is None or table is not None:
                entry.error(
                    "takes", ToSay("error.item_takes_part"), "takes = { foot = 1, stem = 1 }"
                )
        else:
            for part in table.data:
                number = table.whole(part)
                if part not in self.known.parts and part in self._items:
                    holds.append((part, number))
                elif part not in self.known.parts:
                    known = [*self.known.parts, *self._items]
                    table.error(part, ToSay("error.part_known", part=part), one_of(part, known))
                elif number:
                    takes.append((part, number))
        only = self._reserved(entry, count, dict(takes))
        return ItemGroup(
            id, name, count, tuple(takes), only,
            marks_of(entry, count or None, typed_in_lists=False), entry.text("mark-place"),
            tuple(h for h in holds if h[1]),
        )  # fmt: skip

    def _reserved(
        self, entry: PlanTable, count: int, takes: dict[str, int]
    ) -> tuple[tuple[str, tuple[int, ...]], ...]:
        table = entry.entry("only")
        if table is None:
            return ()
        found: list[tuple[str, tuple[int, ...]]] = []
        for part in table.data:
            numbers = table.list(part)
            known = self.known.parts.get(part)
            if part not in takes:
                if part not in self.known.parts or takes:
                    table.error(
                        part, ToSay("error.item_takes_none", part=part), one_of(part, takes)
                    )
                continue
            if known is None:
                continue
            wrong = [n for n in numbers if type(n) is not int or n not in known.pieces]
            if wrong or len(set(map(str, numbers))) != len(numbers):
                table.error(
                    part,
                    ToSay("error.no_piece_of_part", wrong=wrong[0], part=part)
                    if wrong
                    else ToSay("error.piece_named_twice"),
                    ToSay("error.numbers_each_once", most=known.pieces[-1]),
                )
                continue
            if len(numbers) < count * takes[part]:
                table.error(
                    part,
                    ToSay(
                        "error.pieces_are_reserved",
                        n=len(numbers),
                        part=part,
                        count=count * takes[part],
                    ),
                    ToSay("error.least_many_pieces"),
                )
            found.append((part, tuple(numbers)))
        return tuple(found)

    def _enough(self, groups: tuple[ItemGroup, ...]) -> None:
        """Whether the items together take no more of a part than are needed, and share no piece."""
        for id, part in self.known.parts.items():
            taken, reserved = 0, {}  # type: int, dict[int, str]
            for group in groups:
                own = dict(group.takes).get(id, 0) * group.count
                taken += own
                if part is not None and own and taken > part.needed:
                    self.known.notes.error(
                        (*self.known.places["item", group.id], "takes", id),
                        ToSay("error.items_take_but", taken=taken, id=id, needed=part.needed),
                        ToSay("error.needed_fewer_items", taken=taken, id=id),
                        taken,
                    )
                for number in dict(group.only).get(id, ()):
                    other = reserved.setdefault(number, group.id)
                    if other != group.id:
                        self.known.notes.error(
                            (*self.known.places["item", group.id], "only", id),
                            ToSay("error.reserved_already", id=id, number=number, other=other),
                            ToSay("error.each_piece_one"),
                            number,
                        )


def _ban(known: Definitions, entry: PlanTable) -> Ban | None:
    together, apart = entry.texts("together"), entry.texts("apart")
    entry.close()
    if bool(together) == bool(apart):
        what = ToSay("error.pieces_keep_together")
        entry.error("together", what, ToSay("error.together_foot_stem"))
        return None
    key, names = ("together", together) if together else ("apart", apart)
    if len(names) < 2:
        entry.error(key, ToSay("error.one_piece_alone"), ToSay("error.two_pieces_more"))
    pieces = []
    for index, name in enumerate(names):
        part, called = _split(name, known.parts)
        owner = known.parts.get(part)
        number = None if owner is None else owner.numbered(called)
        if not called or part not in known.parts:
            known.notes.error(
                (*entry.at(key), index), ToSay("error.names_no_piece", written=name),
                ToSay("error.part_and_number", parts=one_of(part, known.parts)), name,
            )  # fmt: skip
        elif owner is not None and number not in owner.pieces:
            known.notes.error(
                (*entry.at(key), index),
                ToSay("error.part_has_no_piece", part=part, called=called),
                ToSay("error.write_mark_of", names=", ".join(owner.marks))
                if owner.marks
                else ToSay("error.number_from_one", most=owner.pieces[-1]),
                name,
            )
        elif number is not None:
            pieces.append((part, number))
    return Ban(tuple(pieces), bool(together))


def _split(name: str, parts: Iterable[str]) -> tuple[str, str]:
    """A piece's name as its part and what it is called there: by the longest id that fits."""
    fits = [id for id in parts if name.startswith(f"{id}-")]
    if fits:
        id = max(fits, key=len)
        return id, name[len(id) + 1 :]
    match = re.match(_PIECE, name)
    return (match["part"], match["number"]) if match else (name, "")


def items_in_items(groups: Sequence[ItemGroup], known: Definitions) -> None:
    """Note items that hold themselves at any remove, and more items held than there are."""
    holds = {g.id: dict(g.holds) for g in groups}
    for group in groups:
        place = (*known.places["item", group.id], "takes")
        if group.id in _all_within(group.id, holds):
            what = ToSay("error.holds_itself", group=group.id)
            known.notes.error(place, what, ToSay("error.items_hold_parts"), group.id)
        wanted = sum(dict(g.holds).get(group.id, 0) * g.count for g in groups)
        if wanted > group.count:
            holder = next(g for g in groups if group.id in dict(g.holds))
            known.notes.error(
                (*known.places["item", holder.id], "takes", group.id),
                ToSay("error.items_take_there", wanted=wanted, group=group.id, count=group.count),
                ToSay("error.count_fewer_items", wanted=wanted, group=group.id),
            )


def _all_within(id: str, holds: dict[str, dict[str, int]]) -> set[str]:
    """The groups whose items lie in those of a group, at any remove."""
    found: set[str] = set()
    left = list(holds.get(id, ()))
    while left:
        one = left.pop()
        if one not in found:
            found.add(one)
            left += holds.get(one, ())
    return found
