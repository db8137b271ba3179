"""Times as the logbook keeps them, put in order: ISO 8601 with any offset."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime


def first_and_last(texts: Sequence[str]) -> tuple[str, str] | tuple[None, None]:
    """The earliest and the latest of some times, as they are written; None of none.

    Texts of one length and one offset are in the order of their times.
    """
    if not texts:
        return None, None
    if len({(len(text), text[-6:]) for text in texts}) == 1:
        return min(texts), max(texts)
    return min(texts, key=moment), max(texts, key=moment)


def moment(text: str) -> datetime:
    """A logbook time as an aware datetime; one without an offset is taken as UTC."""
    time = datetime.fromisoformat(text)
    return time if time.tzinfo else time.replace(tzinfo=UTC)


def in_zone_of(text: str, other: str) -> str:
    """The time in the offset of another, to the second: `entered` is UTC, `made` local."""
    return moment(text).astimezone(moment(other).tzinfo).isoformat(timespec="seconds")
