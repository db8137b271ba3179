"""Times as the logbook keeps them, put in order: ISO 8601 with any offset."""

from __future__ import annotations

from datetime import UTC, datetime


def moment(text: str) -> datetime:
    """A logbook time as an aware datetime; one without an offset is taken as UTC."""
    time = datetime.fromisoformat(text)
    return time if time.tzinfo else time.replace(tzinfo=UTC)
