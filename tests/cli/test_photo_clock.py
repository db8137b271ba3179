"""A camera's clock put right by a photo of the clock, and the page and terminal that show it."""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image, ImageOps

from qlog.intake.photos import slate
from qlog.intake.photos.slate import Slate, clock_codes
from tests.conftest import Ran
from tests.photo_scenes import code, photo

Run = Callable[..., Ran]


def shown(text: str) -> str:
    """The text of a clock code for that time on 14 February 2026, UTC."""
    return slate.payload(Slate(shown=datetime.fromisoformat(f"2026-02-14T{text}+00:00")))


def taken(run: Run) -> dict[str, str]:
    return {
        r["name"]: r["taken"][11:] for r in json.loads(run("photo", "list", "--json").out)["photos"]
    }


def test_the_correction_holds_from_the_clock_s_photo_on(tmp_path: Path, run: Run) -> None:
    # The camera, at +01:00, says 10:00:00 where the clock shows 10:03:12 there.
    clock = photo(tmp_path / "clock.jpg", "10:00", 1, shows=shown("09:03:12"))
    for name, when in (("before", "09:30"), ("after", "10:30")):
        photo(tmp_path / "d" / f"{name}.jpg", when, len(name))
    photo(tmp_path / "d" / "other.jpg", "10:30", 9, camera="Phone 2")
    run("photo", "add", str(tmp_path / "d"))
    assert taken(run) == {
        "before.jpg": "09:30:00",
        "after.jpg": "10:30:00",
        "other.jpg": "10:30:00",
    }
    ran = run("photo", "clock", str(clock))
    assert (ran.status, ran.err) == (0, "")
    assert "Workshop Phone 1: its clock is 3 min 12 s slow" in ran.out
    assert "its photos from this one on are read as so much later" in ran.out
    assert taken(run) == {
        "before.jpg": "09:30:00",
        "clock.jpg": "10:03:12",
        "other.jpg": "10:30:00",
        "after.jpg": "10:33:12",
    }
    rows = {r["name"]: r for r in json.loads(run("photo", "list", "--json").out)["photos"]}
    assert (rows["clock.jpg"]["audience"], rows["clock.jpg"]["how"]) == ("nobody", "clock code")
    assert "not been placed yet" in run("status").out
    # The camera is set right in between: the next photo of the clock ends the correction.
    again = photo(tmp_path / "clock2.jpg", "12:00", 2, shows=shown("11:00:00"))
    assert "right to the second" in run("photo", "clock", str(again)).out
    run("photo", "add", str(photo(tmp_path / "last.jpg", "12:10", 3)))
    assert (taken(run)["last.jpg"], taken(run)["after.jpg"]) == ("12:10:00", "10:33:12")


def test_the_same_photo_of_the_clock_twice_is_one_correction(
    tmp_path: Path, build_dir: Path, run: Run
) -> None:
    clock = photo(tmp_path / "clock.jpg", "10:00", 1, shows=shown("08:59:59"))
    assert "1 s fast" in run("photo", "clock", str(clock)).out
    before = (build_dir / "logbook.db").read_bytes()
    ran = run("photo", "clock", str(clock))
    assert ran.out.endswith("(known already)\n")
    assert (build_dir / "logbook.db").read_bytes() == before


def test_a_wrong_clock_put_right_moves_the_proposals(tmp_path: Path, run: Run) -> None:
    # The camera is a day behind; by its own time nothing was worked on.
    run("done", "cup", "10", "--made", "2026-02-15T10:30+01:00")
    run("photo", "add", str(photo(tmp_path / "a.jpg", "10:10", 1)))
    assert json.loads(run("photo", "unplaced", "--json").out)["photos"][0]["proposal"] is None
    text = slate.payload(Slate(shown=datetime(2026, 2, 15, 9, 0, tzinfo=UTC)))
    ran = run("photo", "clock", str(photo(tmp_path / "clock.jpg", "10:00", 2, shows=text)))
    assert "1 day 0 h slow" in ran.out
    (row,) = json.loads(run("photo", "unplaced", "--json").out)["photos"]
    assert (row["proposal"]["part"], row["taken"]) == ("cup", "2026-02-15T10:10:00")


def test_add_says_that_a_photo_shows_a_clock(tmp_path: Path, run: Run) -> None:
    clock = photo(tmp_path / "clock.jpg", "10:00", 1, shows=shown("09:00:05"))
    ran = run("photo", "add", str(clock))
    assert "shows a clock" in ran.out
    assert "qlog photo clock" in ran.out
    assert "5 s slow" in run("photo", "clock", str(clock)).out


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda p: photo(p, "10:00", 1), "no clock code was found"),
        (lambda p: photo(p, None, 1, shows=shown("09:00:00")), "no capture time"),
        (lambda p: p, "is not there"),
        (lambda p: p.write_text("no picture") and p, "is no picture"),
    ],
)
def test_what_is_no_photo_of_a_clock_says_so(
    tmp_path: Path, run: Run, make: Callable[[Path], Path], said: str
) -> None:
    ran = run("photo", "clock", str(make(tmp_path / "x.jpg")))
    assert ran.status == 2
    assert said in ran.err
    assert json.loads(run("photo", "list", "--json").out)["photos"] == []


def drawn(path: str, side: int) -> Image.Image:
    """The squares of an SVG path of unit squares, with the quiet zone."""
    image = Image.new("L", (side + 8, side + 8), 255)
    for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", path):
        image.putpixel((int(x) + 4, int(y) + 4), 0)
    return image.resize((image.width * 6, image.height * 6), Image.Resampling.NEAREST)


def test_every_code_of_a_run_reads_as_its_own_second() -> None:
    start = datetime(2026, 12, 31, 23, 59, 30, tzinfo=UTC)
    codes = clock_codes(start + timedelta(microseconds=5), 60)
    assert len(codes.bits) == 60
    for second in (0, 1, 29, 30, 59):
        (found,) = slate.find_in(drawn(codes.path(second), codes.side))
        assert found.shown == start + timedelta(seconds=second)


def test_the_page_shows_the_time_that_its_code_holds(build_dir: Path, run: Run) -> None:
    before = datetime.now(UTC).replace(microsecond=0)
    ran = run("photo", "clock", "--show")
    after = datetime.now(UTC)
    assert ran.status == 0
    assert str(build_dir / "clock.html") in ran.out
    page = (build_dir / "clock.html").read_text(encoding="utf-8")
    path = re.search(r'id="squares" d="([^"]*)"', page)
    side = re.search(r'viewBox="-4 -4 (\d+)', page)
    said = re.search(r'id="utc">([^<]*)<', page)
    assert path and side and said
    (found,) = slate.find_in(drawn(path[1], int(side[1]) - 8))
    assert found.shown is not None
    assert before <= found.shown <= after
    assert said[1] == f"{found.shown:%Y-%m-%dT%H:%M:%SZ}"
    # Without scripts it says what it is; with them it has a code for every second to come.
    assert "the time at which the page was made" in page
    bits = re.search(r'const codes = "([^"]*)"', page)
    assert bits
    assert len(bits[1].split()) == 600
    assert all(len(base64.b64decode(one)) == 106 for one in bits[1].split())
    assert "://" not in page


def test_the_terminal_shows_the_present_time_once_when_piped(run: Run) -> None:
    before = datetime.now(UTC).replace(microsecond=0)
    out = run("photo", "clock").out
    *rows, said = out.splitlines()
    # Light squares are drawn, as a dark terminal shows them.
    cells = {"█": (1, 1), "▀": (1, 0), "▄": (0, 1), " ": (0, 0)}
    image = Image.new("L", (len(rows[0]), 2 * len(rows)))
    for y, row in enumerate(rows):
        for x, char in enumerate(row):
            for half in (0, 1):
                image.putpixel((x, 2 * y + half), 255 * cells[char][half])
    (found,) = slate.find_in(image.resize((image.width * 5, image.height * 5), 0))
    assert found.shown is not None
    assert before <= found.shown <= datetime.now(UTC)
    assert said == f"{found.shown:%Y-%m-%dT%H:%M:%SZ}"


def test_a_code_made_for_the_tests_is_found_at_a_twelfth_of_the_width() -> None:
    wide = Image.new("RGB", (1600, 1200), (90, 90, 90))
    wide.paste(code(shown("09:00:00"), 134), (700, 500))
    assert [s.is_clock for s in slate.find_in(wide.convert("L"))] == [True]


def test_a_clock_on_a_terminal_of_light_colour_is_read_as_well() -> None:
    """There the code stands light on dark."""
    wide = Image.new("RGB", (1600, 1200), (90, 90, 90))
    wide.paste(ImageOps.invert(code(shown("09:00:00"), 420)), (500, 300))
    assert [s.is_clock for s in slate.find_in(wide.convert("L"))] == [True]


def test_earlier_photos_are_put_right_on_request_back_to_the_clock_before(
    tmp_path: Path, run: Run
) -> None:
    first = photo(tmp_path / "first.jpg", "08:00", 1, shows=shown("07:00:00"))
    second = photo(tmp_path / "second.jpg", "10:00", 2, shows=shown("09:03:12"))
    for name, when in (("dawn", "07:00"), ("before", "09:30"), ("after", "10:30")):
        photo(tmp_path / "d" / f"{name}.jpg", when, len(name) + 5)
    run("photo", "add", str(tmp_path / "d"))
    run("photo", "clock", str(first))
    assert "with --earlier" in run("photo", "clock", str(second)).out
    assert taken(run)["before.jpg"] == "09:30:00"
    ran = run("photo", "clock", str(second), "--earlier")
    assert "all its photos up to the next clock are read as so much later" in ran.out
    found = taken(run)
    assert (found["before.jpg"], found["after.jpg"]) == ("09:33:12", "10:33:12")
    assert found["dawn.jpg"] == "07:00:00"
    assert "(known already)" in run("photo", "clock", str(second), "--earlier").out
    assert run("verify").status == 0
    assert run("photo", "clock", "--earlier").status == 2
