"""Scatter of an earlier build put into build.toml, where it is seen, kept and taken back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from qlog.drawing.editing.plan_file import PlanFile
from qlog.drawing.plan import Learnt


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
