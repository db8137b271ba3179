"""What changed between two revisions of a build's drawing."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from qlog.drawing import plan
from qlog.drawing.general_tolerance import name as general_name
from qlog.frozen import frozen
from qlog.problem import ToSay


@frozen
class Change:
    """One change. `old` is empty for what is new, `new` for what is gone."""

    where: str  # "cup", "cup.bore", "cup op 20", "joint cup-on-stem", "build" ...
    what: str  # "limits", "operation", "needed" ...
    old: str
    new: str

    @property
    def told(self) -> ToSay:
        """The change, to be said in one line."""
        about = {"where": self.where, "what": ToSay(f"change.{self.what}")}
        if not self.old:
            return ToSay("change.added", **about, new=self.new)
        if not self.new:
            return ToSay("change.removed", **about, old=self.old)
        return ToSay("change.changed", **about, old=self.old, new=self.new)

    def __str__(self) -> str:
        return str(self.told)


#: Things to compare: what each is called, and how it is worded.
_Aspects = dict[str, Callable[[Any], object]]

_BUILD: _Aspects = {
    "title": lambda b: b.title,
    "maker": lambda b: b.maker,
    "recipient": lambda b: b.recipient,
    "occasion": lambda b: b.occasion,
    "person": lambda b: b.person,
    "units": lambda b: b.unit.value,
    "general tolerance": lambda b: general_name(b.general),
    "rule": lambda b: b.decision.rule.value,
    "conformance probability": lambda b: f"{b.decision.conformance:f}",
    "room temperature": lambda b: _room(b.temperature),
    "language": lambda b: b.language,
    "time zone": lambda b: b.timezone,
    "photo formats": lambda b: ", ".join(b.photo_formats),
    "credits": lambda b: "; ".join(f"{c.who}: {c.what}" for c in b.credits),
    "object facts": lambda b: "; ".join(f"{k}: {v}" for k, v in b.object_record),
    "pieces kept together or apart": lambda b: "; ".join(map(_ban, b.bans)),
}
_MATERIAL: _Aspects = {
    "name": lambda m: m.name,
    "expansion": lambda m: _plain(m.expansion),
    "care": lambda m: m.care,
}
_INSTRUMENT: _Aspects = {
    "name": lambda i: i.name,
    "kind": lambda i: i.kind,
    "unit": lambda i: i.unit.value,
    "step": lambda i: _plain(i.step),
    "error": lambda i: _plain(i.error),
    "expansion": lambda i: _plain(i.expansion),
    "note": lambda i: i.note,
}
_PART: _Aspects = {
    "name": lambda p: p.name,
    "material": lambda p: p.material or "",
    "needed": lambda p: p.needed,
    "spare": lambda p: p.spare,
    "drawing": lambda p: p.drawing,
    "picture": lambda p: p.image,
    "story": lambda p: p.story,
    "marks": lambda p: ", ".join(p.marks),
    "place of the marks": lambda p: p.mark_place,
}
_OPERATION: _Aspects = {
    "name": lambda o: o.name,
    "kind": lambda o: o.kind,
    "machine": lambda o: o.machine,
    "tool": lambda o: o.tool,
    "photos of the batch": lambda o: o.photos,
    "photos of each piece": lambda o: o.photos_each,
    "sent out to": lambda o: o.sent_out,
    "irreversible": lambda o: _yes(o.irreversible),
    "layer": lambda o: str(o.layer or ""),
    "only for pieces": lambda o: _numbers(o.only),
    "story": lambda o: o.story,
}
_DIMENSION: _Aspects = {
    "name": lambda d: d.name,
    "instrument": lambda d: d.instrument or "",
    "number on the drawing": lambda d: d.number,
    "place on the drawing": lambda d: "" if d.at is None else f"{d.at[0]}, {d.at[1]}",
    "seen by the recipient": lambda d: _yes(d.visible),
    "cannot be reached after operation": lambda d: d.unreachable_after or "",
    "measures": lambda d: d.measures,
    "read on every so-manieth piece": lambda d: d.every,
    "note": lambda d: d.note,
    "scatter learnt": lambda d: ", ".join(f"{x.s:f} ({x.df}) op {x.op}" for x in d.scatter),
}
_JOINT: _Aspects = {
    "name": lambda j: j.name,
    "inside": lambda j: _feature(j.inside),
    "outside": lambda j: _feature(j.outside),
    "clearance": lambda j: f"{j.text} ({j.clearance})",
}
_STACK: _Aspects = {
    "name": lambda s: s.name,
    "sum": lambda s: _terms(s),
    "limits": lambda s: f"{s.callout.text} ({s.callout.limits})",
}
_GROUP: _Aspects = {
    "name": lambda g: g.name,
    "count": lambda g: g.count,
    "takes": lambda g: ", ".join(f"{n} {p}" for p, n in g.takes),
    "reserved": lambda g: "; ".join(f"{p} {_numbers(n)}" for p, n in g.only),
    "marks": lambda g: ", ".join(g.marks),
    "place of the marks": lambda g: g.mark_place,
}


def changes(old: plan.Build, new: plan.Build) -> tuple[Change, ...]:
    """Every change from one revision to the next, from the top of the file to its end."""
    found = list(_aspects("build", old, new, _BUILD))
    found += _listed("material", old.materials, new.materials, _MATERIAL)
    found += _listed("instrument", old.instruments, new.instruments, _INSTRUMENT)
    before = {part.id: part for part in old.parts}
    for part in new.parts:
        earlier = before.pop(part.id, None)
        if earlier is None:
            found.append(Change(part.id, "part", "", _part_text(part)))
        else:
            found += _part(earlier, part)
    found += [Change(id, "part", _part_text(part), "") for id, part in before.items()]
    found += _listed("joint", old.joints, new.joints, _JOINT)
    found += _listed("stack", old.stacks, new.stacks, _STACK)
    found += _listed("item", old.groups, new.groups, _GROUP)
    return tuple(found)


def _part(old: plan.Part, new: plan.Part) -> Iterable[Change]:
    yield from _aspects(new.id, old, new, _PART)
    operations = {o.number: o for o in old.operations}
    for operation in new.operations:
        where = f"{new.id} op {operation.number}"
        earlier = operations.pop(operation.number, None)
        if earlier is None:
            yield Change(where, "operation", "", operation.name)
        else:
            yield from _aspects(where, earlier, operation, _OPERATION)
    for number, gone in operations.items():
        yield Change(f"{new.id} op {number}", "operation", gone.name, "")
    dimensions = {d.id: d for d in old.dimensions}
    for dimension in new.dimensions:
        where = f"{new.id}.{dimension.id}"
        former = dimensions.pop(dimension.id, None)
        if former is None:
            yield Change(where, "dimension", "", _requirements(dimension))
        else:
            yield from _dimension(where, former, dimension)
    for id, lost in dimensions.items():
        yield Change(f"{new.id}.{id}", "dimension", _requirements(lost), "")


def _dimension(where: str, old: plan.Dimension, new: plan.Dimension) -> Iterable[Change]:
    was, now = _requirements(old), _requirements(new)
    if was != now:
        limits = [(r.op, r.callout.limits, r.callout.kind) for r in old.requirements] != [
            (r.op, r.callout.limits, r.callout.kind) for r in new.requirements
        ] or old.earlier != new.earlier
        yield Change(where, "limits" if limits else "callout", was, now)
    yield from _aspects(where, old, new, _DIMENSION)


def _requirements(dimension: plan.Dimension) -> str:
    said = _requirement(dimension.requirements[0])
    for later in dimension.requirements[1:]:
        said = ToSay("change.then", first=said, then=_requirement(later))
    for e in dimension.earlier:
        said = ToSay("change.to_piece", now=said, piece=e.piece, text=e.callout.text)
    return said


def _requirement(requirement: plan.Requirement) -> str:
    callout = requirement.callout
    limits = "" if callout.attribute else f" ({callout.limits})"
    text = f"{callout.text}{limits}"
    if callout.general:
        return ToSay("change.by_general", text=text, source=callout.source, op=requirement.op)
    return ToSay("change.after_op", text=text, op=requirement.op)


def _aspects(where: str, old: object, new: object, table: _Aspects) -> Iterable[Change]:
    for what, word in table.items():
        was, now = (_text(word(one)) for one in (old, new))
        if was != now:
            yield Change(where, what, was, now)


def _listed(
    kind: str, old: tuple[Any, ...], new: tuple[Any, ...], table: _Aspects
) -> Iterable[Change]:
    before = {one.id: one for one in old}
    for one in new:
        earlier = before.pop(one.id, None)
        if earlier is None:
            yield Change(f"{kind} {one.id}", kind, "", one.name)
        else:
            yield from _aspects(f"{kind} {one.id}", earlier, one, table)
    for id, gone in before.items():
        yield Change(f"{kind} {id}", kind, gone.name, "")


def _part_text(part: plan.Part) -> str:
    return ToSay("change.of_part", name=part.name, needed=part.needed, spare=part.spare)


def _feature(feature: plan.Feature) -> str:
    return f"{feature.part}.{feature.dimension}"


def _terms(stack: plan.Stack) -> str:
    signs = "".join(f" {'+' if s > 0 else '-'} {_feature(f)}" for s, f in stack.terms)
    return signs.strip().removeprefix("+ ")


def _room(room: plan.RoomTemperature | None) -> str:
    return "" if room is None else f"{room.middle:f} ±{room.half:f} °C"


def _ban(ban: plan.Ban) -> str:
    pieces = ", ".join(f"{part}-{number}" for part, number in ban.pieces)
    return ToSay("change.together" if ban.together else "change.apart", pieces=pieces)


def _text(value: object) -> str:
    return value if isinstance(value, str) else str(value)


def _yes(holds: bool) -> str:
    return ToSay("change.yes" if holds else "change.no")


def _numbers(numbers: tuple[int, ...]) -> str:
    return ", ".join(str(n) for n in numbers)


def _plain(value: object) -> str:
    return "" if value is None else f"{value:f}"
