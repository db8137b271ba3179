"""The match that was shown and kept: what was laid out on the bench is what is assembled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from qlog.drawing.plan import Build, ItemGroup, Part
from qlog.frozen import frozen
from qlog.intake.bench.assembly import AssemblyError, assemble_item
from qlog.intake.typed.places import part_of
from qlog.logbook.facts import Assembly, Disposition, Entry, KeptMatch, Reading, Shipment
from qlog.logbook.store import Appended, Logbook
from qlog.problem import ToSay

#: An item and the pieces chosen for it, by their names.
Chosen = tuple[str, tuple[str, ...]]

_WHAT = "items"


@frozen
class Kept:
    """The match in force: when it was kept, and which pieces it lays out for each item."""

    entry: Entry[KeptMatch]
    items: tuple[Chosen, ...]

    def pieces(self, item: str) -> tuple[str, ...]:
        """The names of the pieces kept for an item; none where the match left it open."""
        return dict(self.items).get(item, ())


def kept_match(logbook: Logbook) -> Kept | None:
    """The match that was kept last, or None when none is in force."""
    entries = logbook.live(KeptMatch)
    if not entries:
        return None
    lines = [line.partition(":") for line in entries[-1].fact.items.splitlines()]
    return Kept(entries[-1], tuple((item, tuple(names.split())) for item, _, names in lines))


def keep_match(
    logbook: Logbook, items: Sequence[Chosen], *, why: str = "", made: str | None = None
) -> Appended[KeptMatch] | Entry[KeptMatch]:
    """Freeze a match in the log; the same match kept twice is one entry.

    A match with other pieces replaces the one in force and needs `why`. Raises AssemblyError when
    that is missing, or when there is nothing to keep.
    """
    filled = [(item, pieces) for item, pieces in items if pieces]
    if not filled:
        raise AssemblyError(ToSay("error.match_fills_item"))
    fact = KeptMatch(_WHAT, "\n".join(f"{item}: {' '.join(pieces)}" for item, pieces in filled))
    old = logbook.find(fact)
    if old is None or old.fact == fact:
        return logbook.append(fact, made=made)
    if not why.strip():
        raise AssemblyError(ToSay("error.match_other_pieces", made=old.made[:10]))
    return logbook.append(fact, made=made, supersedes=old.id, reason=why)


def _split(
    build: Build, names: Sequence[str]
) -> tuple[list[tuple[Part, int]], list[tuple[ItemGroup, int]]]:
    """What a match keeps by its names, pieces and items apart: each with its number."""
    groups = {group.id: group for group in build.groups}
    pieces: list[tuple[Part, int]] = []
    items: list[tuple[ItemGroup, int]] = []
    for name in names:
        of, _, number = name.rpartition("-")
        if of in groups:
            items.append((groups[of], int(number)))
        else:
            pieces.append((part_of(build, of), int(number)))
    return pieces, items


def entered_since(logbook: Logbook, kept: Kept, items: Sequence[str]) -> tuple[str, ...]:
    """The kept pieces of those items about which something was entered after the match was kept.

    Readings, decisions and shipments count, and entries taken back. Each piece is named once, in
    the order of the match.
    """
    since = logbook.since(kept.entry.id, (Reading, Disposition, Shipment))
    replaced = set(since.superseded)
    readings, decisions = logbook.history(Reading), logbook.history(Disposition)
    entries: list[Entry[Reading] | Entry[Disposition] | Entry[Shipment]] = [
        *readings, *decisions, *logbook.history(Shipment)
    ]  # fmt: skip
    names = {
        f"{e.fact.part}-{e.fact.piece}" for e in entries if e.id > kept.entry.id or e.id in replaced
    }
    return tuple(name for item in items for name in kept.pieces(item) if name in names)


def assemble_kept(
    build: Build,
    logbook: Logbook,
    kept: Kept,
    items: Sequence[str],
    *,
    note: str = "",
    made: str | None = None,
    why: str = "",
    barred: Mapping[tuple[str, int], str] | None = None,
    despite: str = "",
) -> dict[str, list[Appended[Assembly]]]:
    """Enter the kept pieces of the items named, all of them or nothing.

    The other arguments are those of `assemble_item`. Raises AssemblyError as that does, and for an
    item for which no pieces were kept.
    """
    for item in items:
        if not kept.pieces(item):
            raise AssemblyError(
                ToSay("error.match_kept_leaves", made=kept.entry.made[:10], item=item)
            )
    entered: dict[str, list[Appended[Assembly]]] = {}
    with logbook.together():
        for item in items:
            pieces, inner = _split(build, kept.pieces(item))
            entered[item] = assemble_item(
                build, logbook, item, pieces, items=inner,
                note=note, made=made, why=why, barred=barred, despite=despite,
            )  # fmt: skip
    return entered
