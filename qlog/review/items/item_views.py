"""Items: the finished things of the set and the pieces that went into them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.logbook.facts import Assembly, Entry
from qlog.review.items.overall import OverallSize
from qlog.review.moments import moment
from qlog.review.part.batch import Batch
from qlog.review.views import PhotoView, PieceView, Standing


@frozen
class ItemView:
    """One finished thing of the set."""

    id: str  # "tall-1"
    name: str
    group: str
    pieces: tuple[PieceView, ...]
    sizes: tuple[OverallSize, ...]
    photos: tuple[PhotoView, ...]
    assembled: str | None  # time
    notes: tuple[str, ...]
    assembly: tuple[Entry[Assembly], ...]
    single: bool  # made of one piece: there is nothing to put together
    complete: bool  # every piece and whole item that it takes is there
    mark: str = ""  # what stands on it: "No. 5"; its title then
    holds: tuple[str, ...] = ()  # ids of the items in it
    inside: str = ""  # id of the item that it is in


def item_views(
    build: Build,
    parts: Sequence[Batch],
    assembly: Sequence[Entry[Assembly]],
    sizes: Sequence[OverallSize],
    photos: Sequence[PhotoView],
) -> tuple[ItemView, ...]:
    """Every item of the plan, assembled or not."""
    pieces: dict[tuple[str, int], PieceView] = {
        (view.part.id, piece.number): piece for view in parts for piece in view.pieces
    }
    views: list[ItemView] = []
    alone = _pieces_alone(build, parts, assembly)
    inner = _held(build, assembly)
    known = {group.id: group for group in build.groups}
    groups = {id: known[group] for id, _, group in build.items}
    entries: dict[str, list[Entry[Assembly]]] = {id: [] for id in groups}
    for e in assembly:
        piece = pieces.get((e.fact.part, e.fact.piece))
        # A scrapped piece leaves its place open until another takes it.
        if e.fact.item in entries and piece and piece.standing is not Standing.SCRAP:
            entries[e.fact.item].append(e)

    def whole(id: str) -> bool:
        """Whether it has all its pieces and all the items that it holds, each of them whole."""
        taken = Counter(e.fact.part for e in entries[id])
        holds = [_name(e) for e in inner.get(id, ())]
        kinds = Counter(groups[one].id for one in holds)
        return (
            (id in alone or all(taken[part] >= n for part, n in groups[id].takes))
            and all(kinds[kind] >= n for kind, n in groups[id].holds)
            and all(map(whole, holds))
        )

    for id, name, group in build.items:
        own, held = entries[id], inner.get(id, ())
        times = sorted((e.made for e in (*own, *held)), key=moment)
        views.append(
            ItemView(
                id=id,
                name=name,
                group=group,
                pieces=tuple(pieces[e.fact.part, e.fact.piece] for e in own)
                or tuple(pieces[key] for key in alone.get(id, ())),
                sizes=tuple(e for e in sizes if e.fact.item == id),
                photos=tuple(p for p in photos if p.item == id),
                assembled=times[-1] if times else None,
                notes=tuple(dict.fromkeys(e.fact.note for e in (*own, *held) if e.fact.note)),
                assembly=tuple(own),
                single=sum(n for _, n in groups[id].takes) == 1 and not groups[id].holds,
                complete=whole(id),
                mark=groups[id].mark(int(id.rpartition("-")[2])),
                holds=tuple(_name(e) for e in held),
                inside=next((i for i, es in inner.items() if id in map(_name, es)), ""),
            )
        )
    return tuple(views)


def _name(entry: Entry[Assembly]) -> str:
    return f"{entry.fact.part}-{entry.fact.piece}"


def _held(
    build: Build, assembly: Sequence[Entry[Assembly]]
) -> dict[str, tuple[Entry[Assembly], ...]]:
    """The entries that put an item into another, by the item that holds it."""
    known = {id for id, _, _ in build.items}
    parts = {part.id for part in build.parts}
    found: dict[str, tuple[Entry[Assembly], ...]] = {}
    for entry in assembly:
        if entry.fact.part not in parts and _name(entry) in known:
            found[entry.fact.item] = (*found.get(entry.fact.item, ()), entry)
    return found


def _pieces_alone(
    build: Build, parts: Sequence[Batch], assembly: Sequence[Entry[Assembly]]
) -> dict[str, tuple[tuple[str, int], ...]]:
    """Items of one piece that nobody assembled -> the finished piece that is it.

    The piece of the item's own number where it is good, else the next good one that no other item
    has; an assembly that was entered comes first.
    """
    taken = {(e.fact.part, e.fact.piece) for e in assembly}
    given = {e.fact.item for e in assembly}
    found: dict[str, tuple[tuple[str, int], ...]] = {}
    for group in build.groups:
        if [count for _, count in group.takes] != [1]:
            continue
        part = group.takes[0][0]
        batch = next(b for b in parts if b.part.id == part)
        reserved = dict(group.only).get(part)
        free = [
            n
            for n in batch.finished_pieces
            if (reserved is None or n in reserved) and (part, n) not in taken
        ]
        waits = [n for n in range(1, group.count + 1) if f"{group.id}-{n}" not in given]
        own = {n: n for n in waits if n in free}
        rest = [n for n in free if n not in own]
        for number in waits:
            piece = own.get(number) or (rest.pop(0) if rest else None)
            if piece is not None:
                found[f"{group.id}-{number}"] = ((part, piece),)
                taken.add((part, piece))
    return found
