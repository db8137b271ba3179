"""Times and temperatures as typed: one meaning on every road."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from qlog.intake.typed.parse import TypedError
from qlog.intake.typed.temperatures import celsius
from qlog.intake.typed.times import moment

NOW = datetime(2026, 7, 1, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("2026-03-14", "2026-03-14T00:00:00+01:00"),
        ("14.3.2026 9:05", "2026-03-14T09:05:00+01:00"),
        ("2026-06-14 18:20", "2026-06-14T18:20:00+02:00"),
        ("2026-06-14T18:20Z", "2026-06-14T18:20:00+00:00"),
    ],
)
def test_a_time_without_an_offset_is_in_the_zone_of_the_plan(text: str, iso: str) -> None:
    found = moment(text, "Europe/Berlin", now=NOW)
    assert (found.iso, found.ahead) == (iso, False)


def test_an_hour_that_the_clocks_left_out_is_refused() -> None:
    # Directive 2000/84/EC: summer time begins on the last Sunday in March at 01:00 UTC.
    with pytest.raises(TypedError, match="put forward over that time"):
        moment("2026-03-29 02:30", "Europe/Berlin", now=NOW)
    assert moment("2026-03-29 03:30", "Europe/Berlin", now=NOW).iso == "2026-03-29T03:30:00+02:00"


def test_a_time_to_come_is_told_as_such() -> None:
    assert moment("2026-07-01 14:03", "Europe/Berlin", now=NOW).ahead is False  # clocks differ
    assert moment("2026-07-01 14:30", "Europe/Berlin", now=NOW).ahead is True


@pytest.mark.parametrize("text", ["yesterday", "18:20", "2026-02-31", "14/03/2026", "9999-99-99"])
def test_what_is_no_time_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(TypedError, match="write for example 2026-04-18T19:30"):
        moment(text, "", now=NOW)


@pytest.mark.parametrize(
    ("text", "value"),
    [("23.5", "23.5"), ("23,5 C", "23.5"), ("-5 °C", "-5"), ("\N{MINUS SIGN}5", "-5"),
     ("200", "200"), ("-20", "-20"), ("68F", "20"), ("72 °F", "22.22"), ("32f", "0")],
)  # fmt: skip
def test_temperatures(text: str, value: str) -> None:
    assert celsius(text) == Decimal(value)


@pytest.mark.parametrize("text", ["-21", "201", "900", "warm", "", "nan", "700F", "-20F"])
def test_no_temperature_of_a_workshop(text: str) -> None:
    with pytest.raises(TypedError, match="write degrees Celsius from -20 to 200"):
        celsius(text)
