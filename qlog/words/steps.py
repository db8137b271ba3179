"""What to do next, said with the command to type."""

from __future__ import annotations

from qlog.review.views import Next
from qlog.words.catalogue import Words


def next_text(step: Next, words: Words) -> str:
    """One step of one part in a line, with the command that logs it."""
    operation = step.operation
    values = {
        "part": step.part,
        "op": operation.number,
        "name": operation.name,
        "pieces": words.pieces(step.part, step.pieces),
        "named": words.piece(step.part, step.pieces[0]),
        "piece": words.called(step.part, step.pieces[0]),
        "who": operation.sent_out,
        "dimensions": words.list([d.name for d in step.dimensions]),
        "dimension": step.dimensions[0].id if step.dimensions else "",
        "cause": step.cause,
        "count": words.count("n.pieces", len(step.pieces)),
    }
    if not step.some:
        values["which"] = values["count"]
    else:
        values["which"] = values["pieces"]
    return words(f"next.{step.step.name.lower()}", **values)
