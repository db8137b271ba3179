"""The plan as JSON: numbers as text, so that no reader rounds a limit."""

from __future__ import annotations

from collections.abc import Sequence

from qlog.cli.terminal.text import number
from qlog.drawing.plan import Build, Dimension, Part


def plan_json(build: Build, parts: Sequence[Part]) -> dict[str, object]:
    """The plan's parts with routes, dimensions and limits."""
    return {
        "title": build.title,
        "revision": build.revision,
        "units": build.unit.value,
        "rule": build.decision.rule.value,
        "instruments": [
            {
                "id": i.id,
                "name": i.name,
                "unit": i.unit.value,
                "step": None if i.step is None else number(i.step),
                "error": None if i.error is None else number(i.error),
            }
            for i in build.instruments
        ],
        "parts": [_part(part) for part in parts],
    }


def _part(part: Part) -> dict[str, object]:
    return {
        "id": part.id,
        "name": part.name,
        "material": part.material,
        "needed": part.needed,
        "spare": part.spare,
        "route": [
            {"op": o.number, "name": o.name, "kind": o.kind, "sent_out": o.sent_out or None}
            for o in part.operations
        ],
        "dimensions": [_dimension(d) for d in part.dimensions],
    }


def _dimension(dimension: Dimension) -> dict[str, object]:
    return {
        "number": dimension.number,
        "id": dimension.id,
        "name": dimension.name,
        "instrument": dimension.instrument,
        "computed": None
        if dimension.derived is None
        else {
            "rule": dimension.derived.rule,
            "from": {
                i.name: i.dimension or f"{i.value} {i.unit.value}" for i in dimension.derived.inputs
            },
        },
        "requirements": [
            {
                "op": r.op,
                "callout": r.callout.text,
                "kind": r.callout.kind.value,
                "unit": r.callout.unit.value,
                "lower": None if r.callout.limits.lower is None else number(r.callout.limits.lower),
                "upper": None if r.callout.limits.upper is None else number(r.callout.limits.upper),
                "width": None if r.callout.limits.width is None else number(r.callout.limits.width),
                "source": r.callout.source,
            }
            for r in dimension.requirements
        ],
    }
