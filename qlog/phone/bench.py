"""What the page shows: what is next, and everything about one operation that an entry needs."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from qlog.drawing.plan import Build, Instrument, Part
from qlog.drawing.units import Unit, convert
from qlog.intake.bench.readings import unit_of_entry
from qlog.intake.bench.stream import Ask, Stream
from qlog.logbook.facts import SETTINGS
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Logbook
from qlog.phone.shown import required_text, shown_column
from qlog.review.cautions.recognise import cautions_of
from qlog.review.part.batch import Batch
from qlog.review.part.settings import set_views
from qlog.review.whole import picture_from
from qlog.words.catalogue import Words
from qlog.words.ready import caution_texts
from qlog.words.settings import set_value_text, setting_name


def start_page(build: Build, logbook: Logbook, words: Words) -> dict[str, Any]:
    """What is next, and every part with its operations and what waits there."""
    picture = picture_from(build, logbook, studied=False)

    def ops(view: Batch) -> list[dict[str, Any]]:
        part, log = view.part, PartLog.read(logbook, view.part)
        return [
            {
                "number": (op := o.operation.number),
                "name": o.operation.name,
                "waits": sum(log.waits(d, op, p) for d in part.read_after(op) for p in part.pieces),
                "open": o.open,
            }
            for o in view.ops
        ]

    parts = [{"id": v.part.id, "name": v.part.name, "ops": ops(v)} for v in picture.parts]
    return {
        "title": build.title,
        "next": [
            {
                "part": step.part,
                "op": step.op,
                "text": words(
                    f"phone.next.{step.step.name.lower()}",
                    part=build.part(step.part).name,
                    op=step.op,
                    name=step.operation.name,
                    pieces=words.runs(step.part, step.pieces),
                    dimensions=words.list([d.name for d in step.dimensions]),
                    who=step.operation.sent_out,
                ),
            }
            for step in picture.next
        ],
        "parts": parts,
        "items": [{"id": id, "name": name} for id, name, _ in build.items],
    }


def operation_page(
    build: Build, logbook: Logbook, part: Part, op: int, words: Words
) -> dict[str, Any]:
    """Cautions, dimensions, pieces, what was read and the places that wait, in their order."""
    stream = Stream(build, logbook, part, op)
    log = stream.log
    operation = part.operation(op)
    day = stream.other_day()
    waiting = stream.places()
    return {
        "part": {
            "id": part.id,
            "name": part.name,
            "marks": {str(p): part.called(p) for p in part.pieces if part.marks},
        },
        "op": {
            "number": op,
            "name": operation.name,
            "tool": ", ".join(w for w in (operation.machine, operation.tool) if w),
        },
        "entry": logbook.last_entry(),
        "cautions": caution_texts(cautions_of(build, part, operation), words),
        "set": _settings(log, op, words),
        "started": any(e.fact.op == op for e in log.starts),
        "new_day": None if day is None else words.date(day.isoformat()),
        "pieces": [p for p in part.pieces if part.takes(op, p)],
        "scrapped": sorted(log.scrapped),
        "left": left_text(part, log, words),
        "to_mark": [
            p
            for p in part.pieces
            if p not in log.scrapped and (op, p) not in log.done and part.takes(op, p)
        ],
        "dimensions": [
            _dimension(stream.place(d, part.pieces[0]), stream, words) for d in part.read_after(op)
        ],
        "places": [[ask.dimension.id, ask.piece] for ask in waiting],
    }


def _settings(log: PartLog, op: int, words: Words) -> list[dict[str, Any]]:
    """What the next piece is made with, thing by thing; empty where nothing is set."""
    last = {s.what: s for s in set_views(log, op) if s.last}
    return [
        {
            "what": what,
            "name": setting_name(what, words),
            "value": set_value_text(last[what].value, last[what].unit, words)
            if what in last
            else "",
        }
        for what in (*SETTINGS, *(w for w in last if w not in SETTINGS))
    ]


def _dimension(ask: Ask, stream: Stream, words: Words) -> dict[str, Any]:
    dimension, callout, log = ask.dimension, ask.callout, stream.log
    column = shown_column(stream.build, stream.logbook, log, stream.op, dimension, callout, words)
    return {
        "id": dimension.id,
        "number": dimension.number,
        "name": dimension.name,
        "callout": callout.text,
        "required": required_text(callout, words),
        "unit": ask.unit,
        "instrument": "" if ask.instrument is None else ask.instrument.name,
        "instruments": [_choice(ask, other) for other in _may_read(stream.build, ask)],
        "go": callout.attribute,
        "fraction": _in_inches(ask),
        "read": {str(piece): shown for piece, shown in column.items()},
        "gaps": {
            str(p): words(f"phone.gap.{e.fact.kind}")
            for (d, o, p), e in log.gaps.items()
            if (d, o) == (dimension.id, stream.op)
        },
    }


def _in_inches(ask: Ask) -> bool:
    return not ask.callout.attribute and unit_of_entry(ask.callout, ask.instrument) is Unit.INCH


def _choice(ask: Ask, other: Instrument) -> dict[str, Any]:
    """Another instrument for a place, with the unit in which it shows its number."""
    with_it = Ask(ask.dimension, ask.piece, ask.callout, other)
    return {
        "id": other.id, "name": other.name, "unit": with_it.unit, "fraction": _in_inches(with_it),
    }  # fmt: skip


def _may_read(build: Build, ask: Ask) -> list[Instrument]:
    """Instruments of the plan that show a quantity of this kind, the planned one left out."""
    if ask.callout.attribute:
        return []
    found = []
    for other in build.instruments:
        try:
            convert(Decimal(1), other.unit, ask.callout.unit)
        except ValueError:  # it shows another kind of quantity
            continue
        if other != ask.instrument:
            found.append(other)
    return found


def left_text(part: Part, log: PartLog, words: Words) -> str:
    """How many pieces are left, and whether that is enough."""
    live = len(part.pieces) - len(log.scrapped)
    spare = live - part.needed
    key = "spare" if spare > 0 else "none" if spare == 0 else "few"
    return words(f"phone.left.{key}", live=live, needed=part.needed, spare=spare)
