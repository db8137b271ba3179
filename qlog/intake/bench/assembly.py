"""Assembly: which pieces became which item, and what was measured on it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from qlog.drawing.plan import Build, ItemGroup, Part, Stack
from qlog.intake.typed.parse import Typed, TypedError, parse_value
from qlog.intake.typed.places import PlaceError, item_of
from qlog.logbook.facts import Assembly, Entry, ItemSize
from qlog.logbook.own_words import Own
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Appended, Logbook
from qlog.problem import Problem, ToSay, said_by

if TYPE_CHECKING:
    from qlog.intake.entry_checks import Question


class AssemblyError(Problem):
    """An item that cannot be assembled as asked."""


def item_held(build: Build, text: str) -> tuple[ItemGroup, int] | None:
    """The item of that name, to go into another; None where no item is called so."""
    try:
        return item_of(build, text)
    except PlaceError:
        return None


def item_group(build: Build, item: str) -> tuple[str, dict[str, int]]:
    """The group of an item, and how many pieces of each part it takes. Raises AssemblyError."""
    try:
        group, number = item_of(build, item)
    except PlaceError as error:
        raise AssemblyError(said_by(error)) from error
    return f"{group.id}-{number}", dict(group.takes)


def assemble_item(
    build: Build,
    logbook: Logbook,
    item: str,
    chosen: Sequence[tuple[Part, int]],
    *,
    note: str = "",
    made: str | None = None,
    why: str = "",
    barred: Mapping[tuple[str, int], str] | None = None,
    despite: str = "",
    items: Sequence[tuple[ItemGroup, int]] = (),
) -> list[Appended[Assembly]]:
    """Enter which pieces became an item; it must get exactly what it takes.

    What was entered for the item before stays in it, unless `why` says why it is replaced. A
    piece that was scrapped since leaves it anyhow. Sizes measured on the item go with them.
    `barred` says for pieces that failed, or are away, what is wrong with them: they go in only
    with a reason, `despite`, which is kept with them. `items` are finished items that go into
    this one: each is entered like a piece of its group.

    Raises AssemblyError for pieces that are scrapped, barred, or in another item already, and for
    an item that gets too many or too few of a part.
    """
    id, takes = item_group(build, item)
    takes |= _holds(build, id)
    named = {(part.id, n) for part, n in chosen} | {(group.id, n) for group, n in items}
    built = logbook.live(Assembly)
    inside = [e for e in built if e.fact.item == id]
    gone = _leaving(build, logbook, inside, named, why.strip())
    there = {(e.fact.part, e.fact.piece) for e in inside if e.id not in gone}
    elsewhere = {(e.fact.part, e.fact.piece): e.fact.item for e in built if e.fact.item != id}
    logs = {part.id: PartLog.read(logbook, part) for part, _ in chosen}
    although: dict[tuple[str, int], str] = {}
    for part, number in chosen:
        name = part.named(number)
        if number in logs[part.id].scrapped:
            raise AssemblyError(ToSay("error.scrapped_nothing_entered", name=name))
        wrong = (barred or {}).get((part.id, number), "")
        if number in logs[part.id].away:
            wrong = wrong or ToSay("error.still_sent_out")
        if wrong and not despite.strip():
            raise AssemblyError(ToSay("error.nothing_entered_decide", name=name, wrong=wrong))
        if wrong:
            although[part.id, number] = f"{name}, {wrong}: {despite.strip()}"
        if other := elsewhere.get((part.id, number)):
            raise AssemblyError(ToSay("error.in_item_already", name=name, item=other))
    for group, number in items:
        if other := elsewhere.get((group.id, number)):
            raise AssemblyError(
                ToSay("error.in_item_already", name=f"{group.id}-{number}", item=other)
            )
    wanted = there | named
    for part_id in {p for p, _ in wanted} | set(takes):
        have = sum(p == part_id for p, _ in wanted)
        if have != takes.get(part_id, 0):
            key = "error.item_takes" if why or not there else "error.item_takes_why"
            needs = takes.get(part_id, 0)
            raise AssemblyError(ToSay(key, id=id, takes=needs, part=part_id, have=have))
    facts = [
        Assembly(
            id,
            part.id,
            number,
            "; ".join(t for t in (note.strip(), although.get((part.id, number), "")) if t),
        )
        for part, number in chosen
    ] + [Assembly(id, group.id, number, note.strip()) for group, number in items]
    with logbook.together():
        for old, reason in gone.items():
            logbook.withdraw(old, reason)
        if gone:
            for size in logbook.live(ItemSize, item=id):
                logbook.withdraw(size.id, Own.OTHER_PIECES)
        return logbook.append_all(facts, made=made)


def _leaving(
    build: Build,
    logbook: Logbook,
    inside: Sequence[Entry[Assembly]],
    named: set[tuple[str, int]],
    why: str,
) -> dict[int, str]:
    """What leaves an item, and why: all that is not named anew, or else what was scrapped."""
    kinds = {entry.fact.part for entry in inside}
    logs = {part.id: PartLog.read(logbook, part) for part in build.parts if part.id in kinds}
    found: dict[int, str] = {}
    for entry in inside:
        of, number = entry.fact.part, entry.fact.piece
        scrap = of in logs and number in logs[of].scrapped
        if (of, number) not in named and (why or scrap):
            found[entry.id] = why or Own.SCRAPPED
    return found


def _holds(build: Build, item: str) -> dict[str, int]:
    """How many items of each other group an item holds."""
    return dict(item_of(build, item)[0].holds)


def _parts_within(build: Build, group: ItemGroup) -> set[str]:
    """The parts of an item, those of the items in it as well."""
    groups = {g.id: g for g in build.groups}
    found = {part for part, _ in group.takes}
    for id, _ in group.holds:
        found |= _parts_within(build, groups[id])
    return found


def size_question(
    build: Build, item: str, stack: str | None, text: str, instrument: str | None = None
) -> Question | None:
    """What there is to ask about an overall size before it is entered. Raises AssemblyError."""
    from qlog.intake.entry_checks import Context, of_the_number

    wanted = _stack(build, item, stack)
    typed = _size(text, wanted)
    used = next((i for i in build.instruments if i.id == instrument), None)
    context = Context(callout=wanted.callout, name=wanted.name, instrument=used)
    asked = of_the_number(typed, typed.to(wanted.callout.unit), context)
    return asked[0] if asked else None


def _stack(build: Build, item: str, id: str | None) -> Stack:
    """The overall size of that id, or the only one that an item's own parts add up to."""
    known = {s.id: s for s in build.stacks}
    takes = _parts_within(build, item_of(build, item)[0])
    own = [s.id for s in build.stacks if {feature.part for _, feature in s.terms} <= takes]
    name = id or (own[0] if len(own) == 1 else "")
    if name not in known:
        listed = ", ".join(own or known) or "-"
        raise AssemblyError(ToSay("error.name_overall_size", listed=listed))
    return known[name]


def _size(text: str, stack: Stack) -> Typed:
    try:
        return parse_value(text, stack.callout.unit, stack.callout.nominal)
    except TypedError as error:
        raise AssemblyError(said_by(error)) from error


def measure_item(
    build: Build,
    logbook: Logbook,
    item: str,
    stack: str | None,
    text: str,
    *,
    instrument: str | None = None,
    made: str | None = None,
    why: str = "",
) -> Appended[ItemSize]:
    """Enter a measured overall size of an item. Raises AssemblyError.

    `stack` may be left out where the item's parts have only one; `why` says why a size entered
    before is replaced.
    """
    id, _ = item_group(build, item)
    wanted = _stack(build, id, stack)
    name, typed = wanted.id, _size(text, wanted)
    fact = ItemSize(id, name, typed.text, f"{typed.value:f}", typed.unit.value, instrument)
    old = logbook.find(fact)
    if old is None or (old.fact.value, old.fact.unit) == (fact.value, fact.unit):
        return logbook.append(fact, made=made)
    if not why.strip():
        raise AssemblyError(
            ToSay(
                "error.logged_already_say",
                id=id,
                name=name,
                old=old.fact.value,
                unit=old.fact.unit,
                new=fact.value,
                new_unit=fact.unit,
            )
        )
    return logbook.append(fact, made=made, supersedes=old.id, reason=why)
