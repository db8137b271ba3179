"""A part, dimension, instrument, item ... called otherwise, wherever the plan names it."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from qlog.drawing.editing.plan_file import EditError, PlanFile
from qlog.drawing.plan import Build, Dimension, Part, Requirement
from qlog.frozen import replace
from qlog.problem import ToSay


def rename_part(plan: PlanFile, old: str, new: str) -> None:
    """Another id for a part: its pieces are called NEW-1, NEW-2 ..."""

    def how(document: Any) -> None:
        for part in document["part"]:
            _swap(part, "id", old, new)
        _features(document, lambda name: _part_of_feature(name, old, new))
        for keep in document.get("keep", ()):
            for key in ("together", "apart"):
                _each(keep, key, lambda name: _piece(name, old, new))
        for item in document.get("item", ()):
            for key in ("takes", "only"):
                if old in item.get(key, ()):
                    _rename_key(item, key, old, new)

    plan.change(how)


def rename_op(plan: PlanFile, part: str, old: int, new: int) -> None:
    """Another number for an operation of a part."""

    def how(document: Any) -> None:
        owner = _part(document, part)
        for op in owner["op"]:
            _swap(op, "number", old, new)
        for dim in owner.get("dim", ()):
            _swap(dim, "op", old, new)
            _swap(dim, "unreachable-after", old, new)
            if "before" in dim:
                _swap(dim["before"], "op", old, new)

    plan.change(how)


def rename_dim(plan: PlanFile, part: str, old: str, new: str) -> None:
    """Another id for a dimension of a part."""

    def how(document: Any) -> None:
        for dim in _part(document, part)["dim"]:
            _swap(dim, "id", old, new)
        _features(document, lambda name: f"{part}.{new}" if name == f"{part}.{old}" else name)

    plan.change(how)


def rename_instrument(plan: PlanFile, old: str, new: str) -> None:
    """Another id for an instrument."""
    header = re.compile(rf"(?m)^(\s*\[\s*instrument\s*\.\s*[\"']?){re.escape(old)}([\"']?\s*\])")
    text, count = header.subn(rf"\g<1>{new}\g<2>", plan.text)
    if count != 1:
        raise EditError(ToSay("error.line_instrument_nothing", old=old, path=plan.path))

    def how(document: Any) -> None:
        for part in document["part"]:
            for dim in part.get("dim", ()):
                _swap(dim, "instrument", old, new)

    plan.change(how, text)


def rename_item(plan: PlanFile, old: str, new: str) -> None:
    """Another id for items that are alike: they are called NEW-1, NEW-2 ..."""
    _rename_in(plan, "item", old, new)


def rename_stack(plan: PlanFile, old: str, new: str) -> None:
    """Another id for an overall size."""
    _rename_in(plan, "stack", old, new)


def _rename_in(plan: PlanFile, kind: str, old: str, new: str) -> None:
    def how(document: Any) -> None:
        for table in document.get(kind, ()):
            _swap(table, "id", old, new)

    plan.change(how)


def with_name(build: Build, what: str, part: str | None, old: str, new: str) -> Build:
    """An earlier plan under a newer name, as far as readings are judged by it: parts, instruments.

    A plan that has the new name already, or has not the old one, stays as it is. No reading is
    judged by an item or a stack.
    """
    if what in ("item", "stack"):
        return build
    if what == "part":
        if any(p.id == new for p in build.parts):
            return build
        return replace(
            build, parts=tuple(replace(p, id=new) if p.id == old else p for p in build.parts)
        )
    if what == "instrument":
        if any(i.id == new for i in build.instruments):
            return build
        named = tuple(replace(i, id=new) if i.id == old else i for i in build.instruments)
        parts = tuple(_with_instrument(p, old, new) for p in build.parts)
        return replace(build, instruments=named, parts=parts)
    within = _with_op if what == "op" else _with_dim
    return replace(
        build, parts=tuple(within(p, old, new) if p.id == part else p for p in build.parts)
    )


def _with_instrument(part: Part, old: str, new: str) -> Part:
    return replace(part, dimensions=tuple(
        replace(d, instrument=new) if d.instrument == old else d for d in part.dimensions
    ))  # fmt: skip


def _with_dim(part: Part, old: str, new: str) -> Part:
    if any(d.id == new for d in part.dimensions):
        return part
    return replace(part, dimensions=tuple(
        replace(d, id=new) if d.id == old else d for d in part.dimensions
    ))  # fmt: skip


def _with_op(part: Part, old: str, new: str) -> Part:
    was, now = int(old), int(new)
    if any(o.number == now for o in part.operations):
        return part

    def number(op: int) -> int:
        return now if op == was else op

    def read(dimension: Dimension) -> Dimension:
        last = dimension.unreachable_after
        return replace(
            dimension,
            requirements=tuple(
                Requirement(number(r.op), r.callout) for r in dimension.requirements
            ),
            unreachable_after=None if last is None else number(last),
        )

    return replace(
        part,
        operations=tuple(replace(o, number=number(o.number)) for o in part.operations),
        dimensions=tuple(read(d) for d in part.dimensions),
    )


def _part(document: Any, id: str) -> Any:
    return next(p for p in document["part"] if p["id"] == id)


def _swap(table: Any, key: str, old: object, new: object) -> None:
    if table.get(key) == old:
        table[key] = new


def _each(table: Any, key: str, named: Callable[[str], str]) -> None:
    """Rename within a list, entry by entry, so that its layout and remarks stay."""
    for index, name in enumerate(table.get(key, ())):
        if named(name) != name:
            table[key][index] = named(name)


def _features(document: Any, named: Callable[[str], str]) -> None:
    """Rename wherever `part.dimension` stands."""
    for joint in document.get("joint", ()):
        for key in ("inside", "outside"):
            if key in joint and named(joint[key]) != joint[key]:
                joint[key] = named(joint[key])
    for stack in document.get("stack", ()):
        for key in ("add", "subtract"):
            _each(stack, key, named)


def _part_of_feature(name: str, old: str, new: str) -> str:
    part, point, dimension = name.partition(".")
    return f"{new}{point}{dimension}" if part == old else name


def _piece(name: str, old: str, new: str) -> str:
    part, dash, number = name.rpartition("-")
    return f"{new}{dash}{number}" if part == old else name


def _rename_key(item: Any, key: str, old: str, new: str) -> None:
    """Another key in a table, in the old one's place."""
    import tomlkit

    table = tomlkit.inline_table()
    for name, value in item[key].items():
        table[new if name == old else name] = value.unwrap() if hasattr(value, "unwrap") else value
    item[key] = table
