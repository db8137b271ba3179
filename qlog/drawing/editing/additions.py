"""What is added to a plan, each put where a person would have written it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from qlog.drawing.build_file.mistakes import Place
from qlog.drawing.editing.plan_file import EditError, PlanFile
from qlog.drawing.plan import Part
from qlog.problem import ToSay

Values = Mapping[str, Any]


def add_part(plan: PlanFile, values: Values, op: Values) -> None:
    """A part with its first operation, behind the last part."""
    _new(plan.build.parts, values["id"])
    lines = [
        "[[part]]", *_lines(values, ""), "",
        "  [[part.op]]", *_lines(op, "  "),
    ]  # fmt: skip
    plan.put_lines(lines, after=last_of_part(plan, len(plan.build.parts) - 1))


def add_op(plan: PlanFile, part: Part, values: Values) -> None:
    """An operation, in its turn among those of the part."""
    number = values["number"]
    index = plan.build.parts.index(part)
    if any(o.number == number for o in part.operations):
        raise EditError(ToSay("error.op_already_give", part=part.id, number=number))
    place: Place = ("part", index, "op")
    indent = plan.indent((*place, 0))
    later = next((i for i, o in enumerate(part.operations) if o.number > number), None)
    if later is None:
        last = len(part.operations) - 1
        plan.put_table("[[part.op]]", values, after=(*place, last), indent=indent)
    else:
        plan.put_table("[[part.op]]", values, before=(*place, later), indent=indent)


def add_dim(plan: PlanFile, part: Part, values: Values) -> None:
    """A dimension, behind the last one of its part."""
    _new(part.dimensions, values["id"], part.id)
    index = plan.build.parts.index(part)
    if part.dimensions:
        after: Place = ("part", index, "dim", len(part.dimensions) - 1)
    else:
        after = ("part", index, "op", len(part.operations) - 1)
    plan.put_table("[[part.dim]]", values, after=after, indent=plan.indent(after))


def add_instrument(plan: PlanFile, id: str, values: Values) -> None:
    """An instrument, behind the last one, or above the first part."""
    _new(plan.build.instruments, id)
    _put_named(plan, "instrument", [i.id for i in plan.build.instruments], [
        f"[instrument.{id}]", *_lines(values, "")
    ])  # fmt: skip


def add_joint(plan: PlanFile, values: Values) -> None:
    """A joint, behind the last one, or behind the parts."""
    _new(plan.build.joints, values["id"])
    count = len(plan.build.joints)
    after = ("joint", count - 1) if count else last_of_part(plan, len(plan.build.parts) - 1)
    plan.put_table("[[joint]]", values, after=after)


def add_item(plan: PlanFile, values: Values) -> None:
    """Items that are alike, behind the last ones, or at the end."""
    _new(plan.build.groups, values["id"])
    count = len(plan.build.groups)
    plan.put_table("[[item]]", values, after=("item", count - 1) if count else ())


def copy_part(plan: PlanFile, other: PlanFile, id: str) -> list[str]:
    """A part of another build, with the instruments and the material it needs; what was copied."""
    part = _named(other.build.parts, id, other)
    _new(plan.build.parts, id)
    if other.build.unit is not plan.build.unit:
        raise EditError(
            ToSay(
                "error.build_callouts_would",
                path=other.path,
                unit=other.build.unit.value,
                own_unit=plan.build.unit.value,
            )
        )
    copied = []
    wanted = {d.instrument for d in part.dimensions if d.instrument}
    for instrument in other.build.instruments:
        if instrument.id in wanted - {i.id for i in plan.build.instruments}:
            copy_instrument(plan, other, instrument.id)
            copied.append(f"instrument {instrument.id}")
    if part.material and part.material not in {m.id for m in plan.build.materials}:
        _copy_named(plan, other, "material", part.material, [m.id for m in plan.build.materials])
        copied.append(f"material {part.material}")
    index = other.build.parts.index(part)
    lines = other.text.split("\n")
    first, last = other.line(("part", index)) - 1, other.end(last_of_part(other, index))
    plan.put_lines(lines[first:last], after=last_of_part(plan, len(plan.build.parts) - 1))
    return [*copied, f"part {id}"]


def copy_instrument(plan: PlanFile, other: PlanFile, id: str) -> None:
    """An instrument of another build, with its remarks."""
    _named(other.build.instruments, id, other)
    _new(plan.build.instruments, id)
    _copy_named(plan, other, "instrument", id, [i.id for i in plan.build.instruments])


def last_of_part(plan: PlanFile, index: int) -> Place:
    """The last table of a part, in the order of the file."""
    part = plan.build.parts[index]
    places: list[Place] = [("part", index)]
    places += [("part", index, "op", i) for i in range(len(part.operations))]
    places += [("part", index, "dim", i) for i in range(len(part.dimensions))]
    return max(places, key=plan.line)


def _copy_named(plan: PlanFile, other: PlanFile, table: str, id: str, known: list[str]) -> None:
    place = (table, id)
    lines = other.text.split("\n")[other.line(place) - 1 : other.end(place)]
    _put_named(plan, table, known, lines)


def _put_named(plan: PlanFile, table: str, known: list[str], lines: list[str]) -> None:
    if known:
        plan.put_lines(lines, after=max(((table, id) for id in known), key=plan.line))
    else:
        plan.put_lines(lines, before=("part", 0))


def _lines(values: Values, indent: str) -> list[str]:
    from qlog.drawing.editing.plan_file import toml

    return [f"{indent}{name} = {toml(value)}" for name, value in values.items()]


def _new(known: Any, id: str, part: str = "") -> None:
    if any(one.id == id for one in known):
        name = f"{part}.{id}" if part else id
        raise EditError(ToSay("error.there_already_nothing", name=name))


def _named(known: Any, id: str, plan: PlanFile) -> Any:
    found = next((one for one in known if one.id == id), None)
    if found is None:
        names = ", ".join(one.id for one in known) or "-"
        raise EditError(ToSay("error.additions_there", id=id, path=plan.path, names=names))
    return found


def next_number(part: Part, after: int | None) -> int:
    """A free operation number behind `after`, or behind the last one."""
    numbers = [o.number for o in part.operations]
    if after is None:
        return max(numbers) // 10 * 10 + 10
    later = [n for n in numbers if n > after]
    if not later:
        return after // 10 * 10 + 10
    middle = (after + min(later)) // 2
    if middle == after:
        raise EditError(
            ToSay("error.number_free_between", after=after, before=min(later), part=part.id)
        )
    return middle
