"""Other limits, numbers of pieces and scatter learnt, put into build.toml where they are kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from qlog.drawing.editing.plan_file import EditError, PlanFile
from qlog.drawing.plan import Learnt
from qlog.problem import ToSay


def revise(plan: PlanFile, part: str, dimension: str, callout: str, first: int | None) -> None:
    """Give a dimension another callout, from piece `first` on where one is named.

    The old limits go on to hold for the pieces before. Going back to them takes the change back.
    """
    found = plan.build.part(part).dimension(dimension)
    old = found.callout.text
    if old == callout:
        raise EditError(
            ToSay("error.asks_already_nothing", part=part, dimension=dimension, callout=callout)
        )
    if first is not None and found.earlier and first <= found.earlier[-1].piece + 1:
        raise EditError(ToSay("error.from_piece_holds", piece=found.earlier[-1].piece + 1, old=old))
    if first is not None and first < 2:
        raise EditError(ToSay("error.from_first_piece"))
    back = bool(found.earlier) and found.earlier[-1].callout.text == callout and first is None

    def how(document: Any) -> None:
        import tomlkit

        owner = next(p for p in document["part"] if p["id"] == part)
        dim = next(d for d in owner["dim"] if d["id"] == dimension)
        dim["callout"] = callout
        until = [{"piece": e.piece, "callout": e.callout.text} for e in found.earlier]
        if back:
            until.pop()
        if first is not None:
            until.append({"piece": first - 1, "callout": old})
        if not until:
            dim.pop("until", None)
            return
        listed = tomlkit.array()
        for one in until:
            table = tomlkit.inline_table()
            table.update(one)
            listed.append(table)
        dim["until"] = listed

    plan.change(how)


def number_of_pieces(plan: PlanFile, part: str, counts: Mapping[str, int]) -> None:
    """Another number of pieces of a part: `needed`, `spare`, or both. Raises EditError."""
    owner = plan.build.part(part)
    if all(getattr(owner, name) == count for name, count in counts.items()):
        raise EditError(
            ToSay("error.needed_spare_already", part=part, needed=owner.needed, spare=owner.spare)
        )

    def how(document: Any) -> None:
        table = next(p for p in document["part"] if p["id"] == part)
        for name, count in counts.items():
            if name in table or count:
                table[name] = count

    plan.change(how)


def put_scatter(plan: PlanFile, learnt: Mapping[tuple[str, str], Sequence[Learnt]]) -> None:
    """Give dimensions, by part and id, the scatter of an earlier build; an empty one takes it out.

    What an operation had learnt before is replaced; `save` of the plan writes it.
    """

    def how(document: Any) -> None:
        import tomlkit

        for (part, dimension), own in learnt.items():
            owner = next(p for p in document["part"] if p["id"] == part)
            dim = next(d for d in owner["dim"] if d["id"] == dimension)
            known = plan.build.part(part).dimension(dimension)
            merged = {x.op: x for x in (*known.scatter, *own)} if own else {}
            if not merged:
                dim.pop("scatter", None)
                continue
            listed = tomlkit.array()
            for one in merged.values():
                table = tomlkit.inline_table()
                if len(known.requirements) > 1:
                    table["op"] = one.op
                table["s"] = float(one.s)
                table["df"] = one.df
                if one.source:
                    table["from"] = one.source
                listed.append(table)
            dim["scatter"] = listed

    plan.change(how)
