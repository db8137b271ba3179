"""Another name for something that is logged already: what follows, and what stands in the way."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from qlog.frozen import frozen, replace
from qlog.logbook import facts
from qlog.logbook.facts import Entry
from qlog.logbook.own_words import Own
from qlog.logbook.store import Logbook
from qlog.problem import Problem, ToSay

_FIELD = {
    "part": "part", "op": "op", "dim": "dimension", "instrument": "instrument", "item": "item",
    "stack": "stack",
}  # fmt: skip


@frozen
class Name:
    """Something of the plan by its kind and name; `part` is whose operation or dimension."""

    what: str  # "part", "op", "dim", "instrument", "item", "stack"
    part: str | None
    name: str

    def __str__(self) -> str:
        within = f"{self.part}." if self.part else ""
        return f"{within}{self.name}"

    def of(self, fact: Any) -> bool:
        """Whether a fact names it."""
        said = getattr(fact, _FIELD[self.what], None)
        if self.what == "item":  # entries name one of its items, `tall-1`
            return said is not None and str(said).rpartition("-")[0] == self.name
        return (
            said is not None
            and str(said) == self.name
            and (self.part is None or getattr(fact, "part", None) == self.part)
        )


def named_by(logbook: Logbook, name: Name) -> list[Entry[Any]]:
    """The live entries that name something, in order of entry."""
    found = [e for kind in facts.NAMES_THE_PLAN for e in logbook.live(kind) if name.of(e.fact)]
    return sorted(found, key=lambda e: e.id)


def check_free(logbook: Logbook, old: Name, new: str, *, planned: bool) -> None:
    """Whether what is logged under the old name may go under the new one. Raises Problem.

    `planned` says that the plan has the new name already: then entries under both are one thing,
    unless one place has two of them. Else whatever was logged under the new name was another
    thing.
    """
    other = Name(old.what, old.part, new)
    there = named_by(logbook, other)
    if there and not planned:
        raise Problem(ToSay("error.entries_name_another", n=len(there), other=other))
    following = named_by(logbook, old)
    taken = {_place(e.fact, old): e for e in there if e.fact.KEY}
    twice = [(e, taken[p]) for e in following if e.fact.KEY and (p := _place(e.fact, old)) in taken]
    if twice:
        said = ", ".join(f"{a.id}/{b.id}" for a, b in twice[:5])
        raise Problem(ToSay("error.both_names_were", said=said))


def _place(fact: Any, old: Name) -> tuple[object, ...]:
    field = _FIELD[old.what]
    which = str(getattr(fact, "item", "")).rpartition("-")[2] if old.what == "item" else ""
    return (type(fact), which, *(getattr(fact, n) for n in fact.KEY if n != field))


def enter(logbook: Logbook, old: Name, new: str, why: str) -> Entry[facts.Renamed]:
    """Enter that it is called otherwise from here on."""
    return logbook.append(facts.Renamed(old.what, old.part, old.name, new, why.strip()))


def enter_anew(logbook: Logbook, old: Name, new: str, why: str) -> None:
    """Enter what is logged of an item or an overall size under its new id, with the reason.

    Each entry takes the place of the one before, which stays; so does a kept choice of pieces.
    """
    reason = why.strip() or Own.RENAMED

    def other(id: str) -> str:
        kind, _, number = id.rpartition("-")
        return f"{new}-{number}" if old.what == "item" and kind == old.name else id

    with logbook.together():
        for entry in named_by(logbook, old):
            said = {"stack": new} if old.what == "stack" else {"item": other(entry.fact.item)}
            logbook.append(
                replace(entry.fact, **said), made=entry.made, supersedes=entry.id, reason=reason
            )
        for kept in logbook.live(facts.KeptMatch) if old.what == "item" else ():
            lines = [line.partition(":") for line in kept.fact.items.splitlines()]
            items = "\n".join(f"{other(item)}:{pieces}" for item, _, pieces in lines)
            if items != kept.fact.items:
                fact = replace(kept.fact, items=items)
                logbook.append(fact, made=kept.made, supersedes=kept.id, reason=reason)


@frozen
class Renaming:
    """One renaming that is logged: the day, what was called otherwise, and why."""

    day: str  # ISO 8601
    what: str
    old: str
    new: str
    why: str


def all_renames(logbook: Logbook) -> list[Renaming]:
    """What was renamed, oldest first; items and overall sizes by the entries that followed."""
    found = [(e.entered, _said(e, e.fact)) for e in logbook.live(facts.Renamed)]
    plans = {sha: _ids(source) for sha, _, source in logbook.revisions()}
    for kind in (facts.Assembly, facts.ItemSize, facts.Placement):
        entries = {e.id: e for e in logbook.history(kind)}
        for entry in entries.values():
            before = entries.get(entry.supersedes or 0)
            for what, old, new in () if before is None else _anew(before.fact, entry.fact):
                if old not in plans.get(entry.revision or "", {old}):  # else it was moved
                    own = (Own.RENAMED, f"{old} is {new} now")  # the second in older logs
                    why = "" if entry.reason in own else entry.reason
                    said = Renaming(entry.entered[:10], what, old, new, why)
                    found.append((entry.entered, said))
    return list(dict.fromkeys(said for _, said in sorted(found, key=lambda one: one[0])))


def _said(entry: Entry[facts.Renamed], fact: facts.Renamed) -> Renaming:
    within = f"{fact.part}." if fact.part else ""
    return Renaming(entry.entered[:10], fact.what, f"{within}{fact.old}", fact.new, fact.why)


def _anew(before: Any, after: Any) -> Iterator[tuple[str, str, str]]:
    """Kind, old and new id of what the second of two facts calls otherwise."""
    for what in ("item", "stack"):
        old, new = (str(getattr(fact, what, None) or "") for fact in (before, after))
        if what == "item":
            old, new = old.rpartition("-")[0], new.rpartition("-")[0]
        if old and new and old != new:
            yield what, old, new


def _ids(source: str) -> set[str]:
    """The ids of items and overall sizes in a build.toml; none where it cannot be read."""
    import tomllib

    try:
        plan = tomllib.loads(source)
    except tomllib.TOMLDecodeError:
        return set()
    return {str(one.get("id")) for key in ("item", "stack") for one in plan.get(key, ())}
