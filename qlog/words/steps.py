"""What to do next, said with the command to type."""

from __future__ import annotations

from qlog.counting import runs
from qlog.review.views import Next
from qlog.words.catalogue import Words


def next_text(step: Next, words: Words) -> str:
    """One step of one part in a line, with the command that logs it."""
    operation = step.operation
    values = {
        "part": step.part,
        "op": operation.number,
        "name": operation.name,
        "pieces": pieces_text(step.part, step.pieces),
        "piece": step.pieces[0],
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


def pieces_text(part: str, numbers: tuple[int, ...]) -> str:
    """Pieces of a part as they are typed: `foot-3`, or `foot 1-3, 5`."""
    return f"{part}-{numbers[0]}" if len(numbers) == 1 else f"{part} {runs(numbers)}"
