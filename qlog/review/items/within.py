"""Which items go together into the larger ones that hold them, before that is done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from qlog.drawing.plan import Build, ItemGroup, Stack
from qlog.review.items.item_views import ItemView
from qlog.study.matching.model import Matching
from qlog.study.matching.together import AlikeItems, together


@dataclass(frozen=True, slots=True)
class Within:
    """Items proposed for one larger item, or already in it."""

    item: str
    holds: tuple[str, ...]
    stack: Stack | None = None  # in which they are most alike; None where there is no size
    spread: Decimal | None = None
    done: bool = False


def within(build: Build, found: Matching, items: Sequence[ItemView]) -> tuple[Within, ...]:
    """What goes into every item that holds others: by size where there is one, else in order."""
    views = {view.id: view for view in items}
    told: list[Within] = []
    for group in build.groups:
        if not group.holds:
            continue
        open_ = []
        for number in range(1, group.count + 1):
            view = views[f"{group.id}-{number}"]
            if view.holds:
                told.append(Within(view.id, view.holds, done=True))
            else:
                open_.append(view.id)
        told += _proposed(build, found, group, open_, views)
    return tuple(told)


def _proposed(
    build: Build, found: Matching, group: ItemGroup, open_: Sequence[str],
    views: dict[str, ItemView],
) -> list[Within]:  # fmt: skip
    lots: list[tuple[Stack | None, Sequence[AlikeItems | tuple[str, ...]]]] = []
    for of, each in group.holds:
        free = [v.id for v in views.values() if v.group == of and not v.inside]
        stack, sizes = _sized(build, found, free)
        if each > 1 and stack is not None:
            lots.append((stack, together(sizes, each, len(open_))))
        else:
            lots.append((None, [tuple(free[i : i + each]) for i in range(0, len(free), each)]))
    proposed = []
    for at, item in enumerate(open_):
        own = [(stack, lot[at]) for stack, lot in lots if at < len(lot)]
        names = tuple(n for _, g in own for n in (g.items if isinstance(g, AlikeItems) else g))
        alike = next(((s, g.spread) for s, g in own if isinstance(g, AlikeItems)), (None, None))
        if len(own) == len(lots) and len(names) == sum(n for _, n in group.holds):
            proposed.append(Within(item, names, *alike))
    return proposed


def _sized(
    build: Build, found: Matching, names: Sequence[str]
) -> tuple[Stack | None, list[tuple[str, Decimal]]]:
    """The first overall size that all of these items have, with the sizes."""
    known = {
        (f"{i.group}-{i.number}", s.stack): s.size for i in found.items for s in i.sizes
    }  # fmt: skip
    for stack in build.stacks:
        sizes = [(n, known[n, stack.id]) for n in names if (n, stack.id) in known]
        if names and len(sizes) == len(names):
            return stack, sizes
    return None, []
