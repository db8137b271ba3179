"""Times of making as people type them, in the plan's zone where they carry no offset."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

from qlog.frozen import frozen
from qlog.intake.typed.parse import Refusal, TypedError
from qlog.problem import ToSay

_AHEAD = timedelta(minutes=5)  # clocks of a workshop differ by as much


@frozen
class Moment:
    """A time of making: ISO 8601 with offset, and whether it has not come yet."""

    iso: str
    ahead: bool


def moment(text: str, zone: str, *, now: datetime | None = None) -> Moment:
    """A typed time; without an offset it is in `zone` (IANA name), or the computer's if empty.

    A date may be written 2026-04-18, with its month in words or, with points, day first. Raises
    TypedError when it is no time, or one that the clocks of that zone leave out in spring.
    """
    plain = text.strip()
    if dotted := re.fullmatch(
        r"(\d{1,2})\.(\d{1,2})\.(\d{4})(?:[ T,]+(\d{1,2}:\d{2}.*))?", plain
    ):  # day first wherever dates are written with points
        day, month, year, time = dotted.groups()
        plain = f"{year}-{int(month):02}-{int(day):02}" + (f"T{time:0>5}" if time else "")
    elif re.search(r"[A-Za-zäÄ]{3}", plain):
        from qlog.intake.typed.dates import month_named  # few times are written in words

        plain = month_named(plain) or plain
    try:
        typed = datetime.fromisoformat(plain)
        placed = typed if typed.tzinfo else _placed(typed, zone)
        present = now or datetime.now(UTC)
        ahead = placed > present + _AHEAD
    except (ValueError, OverflowError, OSError):  # the last two: years no clock can hold
        raise TypedError(
            Refusal.TIME, text, ToSay("error.time_certain"), ToSay("error.write_time")
        ) from None
    if placed.astimezone(UTC).astimezone(placed.tzinfo).replace(tzinfo=None) != typed.replace(
        tzinfo=None
    ):
        raise TypedError(
            Refusal.TIME, text, ToSay("error.clocks_were_put"), ToSay("error.write_hour_before")
        )
    return Moment(placed.isoformat(), ahead)


def _placed(typed: datetime, zone: str) -> datetime:
    if not zone:
        return typed.astimezone()
    from zoneinfo import ZoneInfo  # loads slowly, and few readings carry a time

    return typed.replace(tzinfo=ZoneInfo(zone))


def is_ahead(iso: str) -> bool:
    """Whether a time (ISO 8601 with offset) has not come yet."""
    return datetime.fromisoformat(iso) > datetime.now(UTC) + _AHEAD
