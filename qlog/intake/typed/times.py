"""Times of making as people type them."""

from __future__ import annotations

from datetime import datetime

from qlog.problem import Problem


def checked_time(text: str) -> str:
    """A typed time as ISO 8601 with offset; one without an offset is the computer's local time.

    Raises Problem when it is no time.
    """
    try:
        time = datetime.fromisoformat(text.strip())
    except ValueError:
        raise Problem(
            f"{text!r} is no time; write for example 2026-04-18T19:30 or 2026-04-18 19:30+02:00"
        ) from None
    return (time if time.tzinfo else time.astimezone()).isoformat()
