"""From a file's words to a moment: offsets, satellites, time zones, clock changes, corrections."""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from qlog.intake.photos.photo_file import PhotoFacts, read
from qlog.logbook.photos.capture_time import capture_time, clock_correction, zone_named
from tests.odd_photos import DATA, exif, jpeg

ZURICH = ZoneInfo("Europe/Zurich")
CHICAGO = ZoneInfo("America/Chicago")


@pytest.fixture
def plain(tmp_path: Path) -> PhotoFacts:
    return read(jpeg(tmp_path / "a.jpg", exif(original="2025:03:14 19:02:11")))


def with_words(facts: PhotoFacts, **words: object) -> PhotoFacts:
    return dataclasses.replace(facts, **words)


def test_the_files_own_offset_and_fraction(plain: PhotoFacts) -> None:
    found = capture_time(with_words(plain, offset="-03:30", subsec="25"), ZURICH)
    assert found is not None
    assert found.utc == datetime(2025, 3, 14, 22, 32, 11, 250_000, UTC)
    assert found.local.isoformat() == "2025-03-14T19:02:11.250000"
    assert (found.basis, found.certain) == ("offset", True)


def test_a_real_phone_photo() -> None:
    found = capture_time(read(DATA / "phone_two_pictures.mpo"), ZURICH)
    assert found is not None
    # 14:16:43.472 -04:00 by another reader, tests/published/data/exif_read_elsewhere.csv
    assert found.utc == datetime(2025, 9, 7, 18, 16, 43, 472_000, UTC)


@pytest.mark.parametrize(
    ("gps_utc", "offset"),
    [
        ("2025-03-14T18:02:09Z", timedelta(hours=1)),
        ("2025-03-14T18:04:10Z", timedelta(hours=1)),  # 1 min 59 s apart
        ("2025-03-14T18:04:11Z", None),  # 2 min: not clear any more
        ("2025-03-14T13:17:11Z", timedelta(hours=5, minutes=45)),  # Nepal
        ("2025-03-15T06:02:11Z", timedelta(hours=-11)),
        ("2025-03-15T09:02:11Z", None),  # 14 hours
        ("2025-03-14T18:10:00Z", None),  # the last fix, minutes ago
        ("2024-03-14T18:02:11Z", None),
    ],
)
def test_the_offset_from_the_satellites(
    plain: PhotoFacts, gps_utc: str, offset: timedelta | None
) -> None:
    found = capture_time(with_words(plain, gps_utc=gps_utc), ZURICH)
    assert found is not None
    assert found.local.isoformat() == "2025-03-14T19:02:11"  # never replaced
    if offset is None:
        assert found.basis == "zone"
    else:
        assert (found.offset, found.basis, found.certain) == (offset, "satellites", True)


@pytest.mark.parametrize(
    ("taken", "utc", "basis"),
    [
        # Europe's summer time 2025, Directive 2000/84/EC: 30 March and 26 October, 01:00 UTC.
        ("2025-03-30T01:59:59", datetime(2025, 3, 30, 0, 59, 59, tzinfo=UTC), "zone"),
        ("2025-03-30T03:00:00", datetime(2025, 3, 30, 1, 0, tzinfo=UTC), "zone"),
        ("2025-03-30T02:30:00", None, "clock change"),  # never shown
        ("2025-10-26T01:59:59", datetime(2025, 10, 25, 23, 59, 59, tzinfo=UTC), "zone"),
        ("2025-10-26T02:30:00", datetime(2025, 10, 26, 0, 30, tzinfo=UTC), "clock change"),
        ("2025-10-26T03:00:00", datetime(2025, 10, 26, 2, 0, tzinfo=UTC), "zone"),
    ],
)
def test_the_zone_and_its_clock_changes(
    plain: PhotoFacts, taken: str, utc: datetime | None, basis: str
) -> None:
    found = capture_time(with_words(plain, taken=taken), ZURICH)
    assert found is not None
    assert found.basis == basis
    assert found.certain == (basis == "zone")
    if utc is not None:
        assert found.utc == utc


@pytest.fixture
def computer_in_chicago(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    if not hasattr(time, "tzset"):
        pytest.skip("this system's zone cannot be set by the environment")
    monkeypatch.setenv("TZ", "America/Chicago")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.mark.usefixtures("computer_in_chicago")
@pytest.mark.parametrize("taken", ["2025-07-01T12:00:00", "2025-11-02T01:30:00"])
def test_no_zone_is_the_computers(plain: PhotoFacts, taken: str) -> None:
    facts = with_words(plain, taken=taken)
    assert capture_time(facts, zone_named("")) == capture_time(facts, CHICAGO)


def test_dates_of_files_and_satellites(plain: PhotoFacts) -> None:
    facts = with_words(plain, taken="2025-07-01T12:00:00", offset="+00:00", taken_source="file")
    found = capture_time(facts, ZURICH, timedelta(hours=5))
    assert found is not None
    assert (found.basis, found.certain) == ("file date", False)
    assert found.local.isoformat() == "2025-07-01T14:00:00"  # the camera's error is not added
    found = capture_time(with_words(facts, taken_source="gps"), ZURICH, timedelta(hours=5))
    assert found is not None
    assert (found.basis, found.certain, found.utc.hour) == ("satellites", True, 12)
    assert capture_time(with_words(plain, taken=None, taken_source=""), ZURICH) is None


def test_a_camera_that_is_slow_is_put_right_and_its_words_stay(plain: PhotoFacts) -> None:
    shown = datetime(2025, 3, 14, 18, 9, 11, tzinfo=UTC)
    correction = clock_correction(plain, shown, ZURICH)
    assert correction == timedelta(minutes=7)
    found = capture_time(plain, ZURICH, correction)
    assert found is not None
    assert found.utc == shown
    assert found.local.isoformat() == "2025-03-14T19:09:11"
    assert found.correction == correction
    assert plain.taken == "2025-03-14T19:02:11"


def test_a_camera_on_another_continents_time_is_put_right(plain: PhotoFacts) -> None:
    shown = datetime(2025, 3, 15, 1, 2, 11, tzinfo=UTC)
    found = capture_time(plain, ZURICH, clock_correction(plain, shown, ZURICH))
    assert found is not None
    assert found.utc == shown
    assert found.local == shown.astimezone(ZURICH).replace(tzinfo=None)


def test_a_correction_across_a_clock_change(plain: PhotoFacts) -> None:
    facts = with_words(plain, taken="2025-03-30T01:50:00")
    found = capture_time(facts, ZURICH, timedelta(minutes=20))
    assert found is not None
    assert found.utc == datetime(2025, 3, 30, 1, 10, tzinfo=UTC)
    assert found.local.isoformat() == "2025-03-30T03:10:00"


def test_a_clock_photo_without_a_time_says_so(plain: PhotoFacts) -> None:
    facts = with_words(plain, taken_source="file")
    with pytest.raises(ValueError, match="set the camera's clock"):
        clock_correction(facts, datetime(2025, 3, 14, tzinfo=UTC), ZURICH)


def test_names_of_zones() -> None:
    assert zone_named("Europe/Zurich") == ZURICH
    for name in ("Europe/Atlantis", "../etc/passwd", "CEST?"):
        with pytest.raises(ValueError, match="no time zone"):
            zone_named(name)


def test_every_zone_of_the_computer_reads_back(plain: PhotoFacts) -> None:
    """The moment, put back on the zone's wall clock, is what the camera said."""
    for name in ("Asia/Kathmandu", "Australia/Lord_Howe", "America/St_Johns", "Pacific/Apia"):
        zone = ZoneInfo(name)
        for month in range(1, 13):
            facts = with_words(plain, taken=f"2025-{month:02}-15T12:34:56")
            found = capture_time(facts, zone)
            assert found is not None
            assert found.utc.astimezone(zone).replace(tzinfo=None) == found.local
            assert found.local.isoformat() == facts.taken
