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
        return tuple(b for e in top.entries("keep") if (b := self._ban(e)) is not None)

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
                    f"{written} stands {key} in the joint, but measures "
                    + (f'"{dimension.measures}"' if dimension.measures else "no plain size"),
                    f'a dimension with measures = "{key}"',
                )
        clearance, fit = entry.text("clearance"), entry.text("fit")
        self.known.places["joint", id] = entry.at("fit" if fit else "clearance")
        limits: Limits | None = None
        if bool(clearance) == bool(fit):
            entry.error(
                "clearance" if clearance else "inside",
                "the joint has both clearance and fit"
                if clearance
                else "the joint has neither clearance nor fit",
                'clearance = "0.01..0.05" or fit = "H7/g6"',
            )
        elif clearance:
            limits = self.known.limits(entry, "clearance")
        else:
            limits = self._fit(entry, fit, inner, outer)
        if inside is None or outside is None or limits is None:
            return None
        text = clearance or fit
        line = self.known.line_of(entry.place)
        return Joint(id, name, inside, outside, limits, text, apart, line)

    def _fit(
        self, entry: PlanTable, text: str, inner: Dimension | None, outer: Dimension | None
    ) -> Limits | None:
        if inner is None or outer is None:
            return None
        nominal = inner.callout.nominal
        if nominal is None or inner.callout.unit is not Unit.MM:
            entry.error(
                "fit",
                f"the fit {text} needs a nominal size in mm, which {inner.callout.text} has not",
                'clearance = "0.01..0.05"',
            )
            return None
        try:
            fit = parse_fit(text, nominal)
        except CalloutError as error:
            entry.error("fit", f'fit "{text}": {error.what}', error.accepted)
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
                    f"the fit {text} asks for {wanted}, but {written} is {own.text}",
                    f"{wanted} there, or the fit that is meant here",
                )
            else:
                entry.notes.warn(
                    entry.at("fit"),
                    f"the fit {text} asks for {wanted}, that is {side.limits}, "
                    f"but {written} is {own.text}",
                    f"{wanted} there, or the clearance that is meant here",
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
            entry.error("add", "the stack adds nothing", 'add = ["foot.height", "stem.length"]')
        for part in {feature.part for _, feature in terms}:
            counts = {t: terms.count(t) for t in terms if t[1].part == part}
            if len(set(counts.values())) > 1:
                most = max(counts, key=lambda t: counts[t])
                entry.error(
                    "add",
                    f"{part}.{most[1].dimension} is named {counts[most]} times: {counts[most]} "
                    f"pieces of {part}, and other dimensions of it are named otherwise",
                    f"name every dimension of {part} equally often",
                )
        callout = self.known.callout(entry, "callout", None)
        if callout is not None and callout.kind not in _SIZES:
            entry.error("callout", f"{callout.text} is no size", 'callout = "180 ±0.2"')
        if callout is None or not terms:
            return None
        return Stack(id, name, tuple(terms), callout, self.known.line_of(entry.place))

    def _feature(self, entry: PlanTable, key: str) -> tuple[Feature | None, Dimension | None]:
        written = entry.text(key, required=True)
        return self._named_feature(entry.at(key), written) if written else (None, None)

    def _named_feature(
        self, place: Place, written: object
    ) -> tuple[Feature | None, Dimension | None]:
        """A dimension named as part.dimension; it must be a size."""
        if not isinstance(written, str) or written.count(".") != 1:
            self.known.notes.error(place, f"{written} is no dimension", '"part.dimension"', written)
            return None, None
        part, _, id = written.partition(".")
        if part not in self.known.parts:
            self.known.notes.error(
                place, f'part "{part}" is not known', one_of(part, self.known.parts), written
            )
            return None, None
        known = self.known.dimensions[part]
        if id not in known:
            self.known.notes.error(
                place, f'{part} has no dimension "{id}"',
                one_of(id, known), written,
            )  # fmt: skip
            return None, None
        dimension = known[id]
        if dimension is not None and dimension.callout.kind not in _SIZES:
            self.known.notes.error(
                place,
                f"{written} is {dimension.callout.text}, which is no size",
                "a length, diameter, radius or depth",
                written,
            )
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
                entry.error("takes", "the item takes no part", "takes = { foot = 1, stem = 1 }")
        else:
            for part in table.data:
                number = table.whole(part)
                if part not in self.known.parts and part in self._items:
                    holds.append((part, number))
                elif part not in self.known.parts:
                    known = [*self.known.parts, *self._items]
                    table.error(part, f'part "{part}" is not known', one_of(part, known))
                elif number:
                    takes.append((part, number))
        only = self._reserved(entry, count, dict(takes))
        return ItemGroup(
            id, name, count, tuple(takes), only, self.known.line_of(entry.place),
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
                    table.error(part, f'the item takes no "{part}"', one_of(part, takes))
                continue
            if known is None:
                continue
            wrong = [n for n in numbers if type(n) is not int or n not in known.pieces]
            if wrong or len(set(map(str, numbers))) != len(numbers):
                table.error(
                    part,
                    f"{wrong[0]} is no piece of {part}" if wrong else "a piece is named twice",
                    f"numbers from 1 to {known.pieces[-1]}, each once",
                )
                continue
            if len(numbers) < count * takes[part]:
                table.error(
                    part,
                    f"{len(numbers)} pieces of {part} are reserved, "
                    f"but the items take {count * takes[part]}",
                    "at least as many pieces as the items take",
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
                        f"the items take {taken} of {id}, but only {part.needed} are needed",
                        f"needed = {taken} for {id}, or fewer items",
                        taken,
                    )
                for number in dict(group.only).get(id, ()):
                    other = reserved.setdefault(number, group.id)
                    if other != group.id:
                        self.known.notes.error(
                            (*self.known.places["item", group.id], "only", id),
                            f"{id}-{number} is reserved for {other} already",
                            "each piece for one group only",
                            number,
                        )

    def _ban(self, entry: PlanTable) -> Ban | None:
        together, apart = entry.texts("together"), entry.texts("apart")
        entry.close()
        if bool(together) == bool(apart):
            entry.error(
                "together", "pieces to keep together or apart: one of the two",
                'together = ["foot-3", "stem-4"] or apart = [...]',
            )  # fmt: skip
            return None
        key, names = ("together", together) if together else ("apart", apart)
        if len(names) < 2:
            entry.error(key, "one piece alone", "two pieces or more")
        pieces = []
        for index, name in enumerate(names):
            part, called = _split(name, self.known.parts)
            known = self.known.parts.get(part)
            number = None if known is None else known.numbered(called)
            if not called or part not in self.known.parts:
                self.known.notes.error(
                    (*entry.at(key), index), f'"{name}" is no piece',
                    'part and number, such as "foot-3"; ' + one_of(part, self.known.parts), name,
                )  # fmt: skip
            elif known is not None and number not in known.pieces:
                listed = f"a number from 1 to {known.pieces[-1]}"
                self.known.notes.error(
                    (*entry.at(key), index), f"{part} has no piece {called}",
                    f"a mark: {', '.join(known.marks)}" if known.marks else listed, name,
                )  # fmt: skip
            elif number is not None:
                pieces.append((part, number))
        return Ban(tuple(pieces), bool(together), self.known.line_of(entry.place))


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
            known.notes.error(
                place, f"{group.id} holds itself", "items that hold parts, or items that do not "
                "hold them again", group.id,
            )  # fmt: skip
        wanted = sum(dict(g.holds).get(group.id, 0) * g.count for g in groups)
        if wanted > group.count:
            holder = next(g for g in groups if group.id in dict(g.holds))
            known.notes.error(
                (*known.places["item", holder.id], "takes", group.id),
                f"the items take {wanted} of {group.id}, and there are {group.count}",
                f"count = {wanted} for {group.id}, or fewer items that hold them",
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
