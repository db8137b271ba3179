"""When a photo was taken: from what its file says to a moment, with the grounds for it.

The file's own words stay as they are; a camera's clock error is applied here and nowhere else.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone, tzinfo
from typing import Protocol
from zoneinfo import ZoneInfo

from qlog.frozen import frozen
from qlog.logbook.facts import Photo
from qlog.problem import ToSay

#: Offsets from UTC come in quarters of an hour.
_QUARTER = timedelta(minutes=15)
#: How far a camera's clock and the satellites may be apart for the offset to be read off.
_REST = timedelta(minutes=2)
_LARGEST = timedelta(hours=14)


class TimeWords(Protocol):
    """What a photo file says about its time, as `qlog.intake.photos.photo_file` reads it."""

    @property
    def taken(self) -> str | None:
        """Local ISO time without offset."""

    @property
    def subsec(self) -> str:
        """Digits behind its decimal point."""

    @property
    def offset(self) -> str | None:
        """Its offset from UTC, "+02:00"."""

    @property
    def taken_source(self) -> str:
        """The field that it stands in; "gps" and "file" are no camera's clock."""

    @property
    def gps_utc(self) -> str | None:
        """The satellites' time."""


@frozen
class KeptTime:
    """The same words as the logbook kept them."""

    taken: str | None
    offset: str | None
    taken_source: str
    gps_utc: str | None
    subsec: str = ""  # stands in `taken` already


def kept_words(photo: Photo) -> KeptTime:
    """What the logbook kept of a photo's time."""
    return KeptTime(photo.taken, photo.offset, photo.basis, photo.gps_utc)


@frozen
class CaptureTime:
    """The moment of a photo; `utc` is aware, `local` is the wall clock there, without zone.

    `basis` says where the offset comes from: "offset" (the file's own), "satellites" (the
    camera's time against the satellites', or the satellites' alone), "zone" (the build's time
    zone), "clock change" (the zone, within an hour that the clock shows twice or never) or
    "file date" (the file's date, a guess). `certain` is False for the last two. `correction`
    is the camera's clock error that was added; without it the file's own time comes back.
    """

    utc: datetime
    local: datetime
    offset: timedelta
    basis: str
    certain: bool
    correction: timedelta = timedelta(0)


def zone_named(name: str) -> tzinfo | None:
    """The time zone of an IANA name; None, the computer's own, for "".

    Raises ValueError for a name that is not in the time zone database.
    """
    if not name:
        return None
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError) as error:
        raise ValueError(ToSay("error.time_zone_give", name=name)) from error


def capture_time(
    facts: TimeWords, zone: tzinfo | None, correction: timedelta = timedelta(0)
) -> CaptureTime | None:
    """When the photo was taken, or None when nothing tells.

    `zone` is the build's time zone, None for the computer's. `correction` is added to the
    camera's own time; it is what `clock_correction` gives. It is not added to a time that does
    not come from the camera's clock.
    """
    if facts.taken is None:
        return None
    said = datetime.fromisoformat(facts.taken)
    if facts.subsec:
        said += timedelta(microseconds=int(facts.subsec[:6].ljust(6, "0")))
    if facts.taken_source in ("gps", "file"):
        utc = said.replace(tzinfo=UTC)
        local = utc.astimezone(zone)
        guess = facts.taken_source == "file"
        return CaptureTime(
            utc,
            local.replace(tzinfo=None),
            local.utcoffset() or timedelta(0),
            "file date" if guess else "satellites",
            not guess,
        )
    offset, basis = _own_offset(facts.offset), "offset"
    if offset is None:
        offset, basis = _offset_by_satellites(said, facts.gps_utc), "satellites"
    certain = True
    if offset is None:
        offset, certain = _offset_in_zone(said, zone)
        basis = "zone" if certain else "clock change"
    utc = (said - offset).replace(tzinfo=UTC) + correction
    if basis in ("zone", "clock change") and correction:
        # The corrected moment may lie on the other side of a clock change.
        offset = utc.astimezone(zone).utcoffset() or timedelta(0)
    local = utc.astimezone(timezone(offset)).replace(tzinfo=None)
    return CaptureTime(utc, local, offset, basis, certain, correction)


def clock_correction(facts: TimeWords, shown: datetime, zone: tzinfo | None) -> timedelta:
    """What to add to this camera's times, from its photo of a clock that showed `shown`.

    `shown` is aware. Raises ValueError when the photo carries no time of the camera's clock.
    """
    found = capture_time(facts, zone)
    if found is None or facts.taken_source in ("gps", "file"):
        raise ValueError(ToSay("error.photo_clock_carries"))
    return shown.astimezone(UTC) - found.utc


def _own_offset(text: str | None) -> timedelta | None:
    if not text:
        return None
    size = timedelta(hours=int(text[1:3]), minutes=int(text[4:6]))
    return -size if text[0] == "-" else size


def _offset_by_satellites(said: datetime, gps_utc: str | None) -> timedelta | None:
    """The quarter-hour between the camera's time and the satellites', if it is that clear.

    Phones write the time of the last fix, cameras with a clock that is wrong write anything:
    more than 2 minutes from a quarter hour, or 14 hours and more, say nothing.
    """
    if gps_utc is None:
        return None
    apart = said - datetime.fromisoformat(gps_utc.removesuffix("Z"))
    offset = round(apart / _QUARTER) * _QUARTER
    if abs(apart - offset) < _REST and abs(offset) < _LARGEST:
        return offset
    return None


def _offset_in_zone(said: datetime, zone: tzinfo | None) -> tuple[timedelta, bool]:
    """The zone's offset at this wall clock time, and whether that time is there just once."""
    first, second = (
        said.replace(fold=fold, tzinfo=zone).astimezone(UTC)
        if zone is not None
        else said.replace(fold=fold).astimezone(UTC)
        for fold in (0, 1)
    )
    return said - first.replace(tzinfo=None), first == second
