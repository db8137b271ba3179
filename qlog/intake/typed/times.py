"""Times of making as people type and lists write them, in the plan's zone without an offset."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from decimal import Decimal

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


MONTHS = {
    name: number
    for number, names in enumerate(
        (
            ("jan", "january", "januar", "jän", "jänner"), ("feb", "february", "februar"),
            ("mar", "march", "mär", "märz", "mrz"), ("apr", "april"), ("may", "mai"),
            ("jun", "june", "juni"), ("jul", "july", "juli"), ("aug", "august"),
            ("sep", "sept", "september"), ("oct", "october", "okt", "oktober"),
            ("nov", "november"), ("dec", "december", "dez", "dezember"),
        ),
        start=1,
    )
    for name in names
}  # fmt: skip
_TIME = r"(?:[ T,]+(?P<time>\d{1,2}:\d{2}.*))?"
_DAY_MONTH = r"(?P<day>\d{1,2})[. -]+(?P<month>[a-zä]+)[. -]+(?P<year>\d{4})" + _TIME
_MONTH_DAY = r"(?P<month>[a-zä]+)\.? +(?P<day>\d{1,2}),? +(?P<year>\d{4})" + _TIME
_SLASHED = r"(\d{1,2})/(\d{1,2})/(\d{4})" + _TIME

#: Days that a sheet may count a measurement by: 1982 to 2064. Fewer is a number in a wrong column.
_FIRST_DAY, _LAST_DAY = 30_000, 60_000
_DAY_ZERO = datetime(1899, 12, 30)  # noqa: DTZ001 - a day without a zone


def month_named(text: str) -> str | None:
    """A date with its month in words as ISO 8601: `13 April 2026`, `Apr 13, 2026, 19:30`."""
    for pattern in (_DAY_MONTH, _MONTH_DAY):
        match = re.fullmatch(pattern, text.strip(), re.IGNORECASE)
        month = MONTHS.get(match["month"].casefold()) if match else None
        if match and month:
            return _iso(match["year"], month, int(match["day"]), match["time"])
    return None


def slashed(text: str) -> tuple[int, int] | None:
    """The two numbers in front of the year of a date with slashes; None for any other text."""
    match = re.fullmatch(_SLASHED, text.strip())
    return (int(match[1]), int(match[2])) if match else None


def slashed_iso(text: str, *, day_first: bool) -> str:
    """A date with slashes as ISO 8601; `text` is one."""
    match = re.fullmatch(_SLASHED, text.strip())
    assert match is not None
    day, month = (match[1], match[2]) if day_first else (match[2], match[1])
    return _iso(match[3], int(month), int(day), match["time"])


def order_of(texts: Iterable[str]) -> bool | None:
    """Whether the dates with slashes of one column put the day first; None when it is open.

    Open it is as well where some of them can only be read one way and others only the other.
    """
    pairs = [pair for text in texts if (pair := slashed(text)) is not None]
    day = any(first > 12 for first, _ in pairs)
    month = any(second > 12 for _, second in pairs)
    return day if day != month else None


def day_number(text: str) -> str | None:
    """A spreadsheet's count of days since 1899-12-30 as ISO 8601 to the second; else None."""
    if not re.fullmatch(r"\d{5}(?:[.,]\d+)?", text.strip()):
        return None
    days = Decimal(text.strip().replace(",", "."))
    if not _FIRST_DAY <= days <= _LAST_DAY:
        return None
    found = _DAY_ZERO + timedelta(seconds=int((days * 86_400).to_integral_value()))
    return found.isoformat() if days % 1 else found.date().isoformat()


def _iso(year: str, month: int, day: int, time: str | None) -> str:
    return f"{year}-{month:02}-{day:02}" + (f"T{time:0>5}" if time else "")
