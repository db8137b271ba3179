"""Photos as they stand: order and time, the unplaced, near-duplicates, covers."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.drawing.plan import Build
from qlog.logbook.facts import Clock, Entry, Fact, Photo, Placement
from qlog.review.photo_views import CLOSE, covers_of, photo_views
from qlog.review.views import PhotoView


@pytest.fixture
def build(build_dir: Path) -> Build:
    text = (build_dir / "build.toml").read_text("utf-8")
    (build_dir / "build.toml").write_text('timezone = "Europe/Zurich"\n' + text, encoding="utf-8")
    return load(build_dir / "build.toml")


def shot(
    name: str, taken: str | None, *, likeness: int = 0, sharp: float = 1, **more: object
) -> Photo:
    return replace(
        Photo(
            sha256=name.ljust(64, "0"),
            name=name,
            size=1,
            format="JPEG",
            width=4,
            height=3,
            camera_key="a",
            taken=taken,
            basis="original" if taken else "",
            likeness=f"{likeness:016x}",
            sharpness=str(sharp),
        ),
        **more,  # type: ignore[arg-type]
    )


def entries(*facts: Fact) -> list[Entry[Fact]]:
    return [Entry(n, fact, "", "", None, None, "") for n, fact in enumerate(facts, start=1)]


def views(
    build: Build,
    photos: list[Photo],
    placements: list[Placement] | None = None,
    clocks: list[Clock] | None = None,
) -> dict[str, PhotoView]:
    found = photo_views(
        build, entries(*photos), entries(*(placements or [])), entries(*(clocks or []))
    )
    return {view.photo.name: view for view in found}


def on(photo: Photo, part: str | None = "cup", op: int | None = 10, **more: object) -> Placement:
    return replace(Placement(photo.sha256, part, op), **more)  # type: ignore[arg-type]


def test_photos_come_in_the_order_of_the_moment_not_of_the_wall_clock(build: Build) -> None:
    # An hour that the clock shows twice, told apart by offsets; and one camera far away.
    photos = [
        shot("none", None),
        shot("second", "2026-10-25T02:10:00", offset="+01:00"),
        shot("first", "2026-10-25T02:40:00", offset="+02:00"),
        shot("west", "2026-10-24T20:50:00", offset="-04:00"),  # 00:50 UTC
    ]
    found = views(build, photos)
    assert list(found) == ["first", "west", "second", "none"]
    assert [found[n].number for n in ("none", "second", "first", "west")] == [1, 2, 3, 4]
    assert found["none"].taken is None


def test_without_an_offset_the_build_s_time_zone_holds_and_doubt_is_marked(build: Build) -> None:
    found = views(
        build,
        [
            shot("summer", "2026-07-01T12:00:00.250"),
            shot("twice", "2026-10-25T02:30:00"),
            shot("file", "2026-07-01T10:00:00", offset="+00:00", basis="file"),
        ],
    )
    assert (found["summer"].taken, found["summer"].basis) == ("2026-07-01T12:00:00", "zone")
    assert found["summer"].taken_certain
    assert not found["twice"].taken_certain
    assert (found["file"].taken, found["file"].taken_certain) == ("2026-07-01T12:00:00", False)


def test_a_correction_is_added_for_looking_and_the_raw_time_stays(build: Build) -> None:
    clock = shot("clock", "2026-07-01T12:00:00")
    photos = [
        clock,
        shot("early", "2026-07-01T11:59:59"),
        shot("late", "2026-07-02T23:59:30"),
        shot("other", "2026-07-01T13:00:00", camera_key="b"),
        shot("nameless", "2026-07-01T13:00:00", camera_key=""),
    ]
    found = views(build, photos, clocks=[Clock("A", "a", 90, clock.sha256)])
    assert found["clock"].taken == "2026-07-01T12:01:30"
    assert found["early"].taken == "2026-07-01T11:59:59"
    assert found["late"].taken == "2026-07-03T00:01:00"
    assert found["late"].photo.taken == "2026-07-02T23:59:30"
    assert found["other"].taken == found["nameless"].taken == "2026-07-01T13:00:00"


def test_a_proposed_place_is_no_place(build: Build) -> None:
    a = shot("a", "2026-07-01T12:00:00")
    view = views(build, [a], [on(a, piece=2, proposed=1, how="time")])["a"]
    assert (view.part, view.op, view.piece) == (None, None, None)
    assert view.placement is not None
    assert view.placement.part == "cup"


VIEW = 0x5A5A_5A5A_5A5A_5A5A


def burst(seconds: float, *, differs: int = 0, second: str = "b", **more: object) -> list[Photo]:
    """Two photos so many seconds apart, whose hashes differ in so many bits; the later is sharp."""
    minutes, rest = divmod(seconds, 60)
    return [
        shot("a", "2026-07-01T12:00:00", likeness=VIEW, sharp=0.5, **more),
        shot(
            second,
            f"2026-07-01T12:{minutes:02.0f}:{rest:02.0f}",
            likeness=VIEW ^ ((1 << differs) - 1),
            sharp=0.9,
            **more,
        ),
    ]


def hidden(found: dict[str, PhotoView]) -> dict[str, int | None]:
    return {name: view.better for name, view in found.items() if not view.shown}


@pytest.mark.parametrize(
    ("seconds", "differs", "expected"),
    [
        (20, 0, {"a": 2}),
        (20, 8, {"a": 2}),
        (20, 9, {}),
        (CLOSE.total_seconds(), 0, {"a": 2}),
        (CLOSE.total_seconds() + 1, 0, {}),
    ],
)
def test_alike_and_close_in_time_the_sharpest_is_shown(
    build: Build, seconds: float, differs: int, expected: dict[str, int]
) -> None:
    photos = burst(seconds, differs=differs)
    assert hidden(views(build, photos, [on(p) for p in photos])) == expected


def test_what_keeps_two_photos_apart(build: Build) -> None:
    a, b = burst(5)
    apart = {
        "another piece": [on(a, piece=1), on(b, piece=2)],
        "another op": [on(a), on(b, op=20)],
        "one not placed": [on(a)],
        "one proposed": [on(a), on(b, proposed=1)],
        "one kept out": [on(a), on(b, audience="nobody")],
        "one the maker's": [on(a), on(b, audience="maker")],
    }
    for why, placements in apart.items():
        assert hidden(views(build, [a, b], placements)) == {}, why
    plain = [replace(p, likeness="0" * 16) for p in (a, b)]
    assert hidden(views(build, plain, [on(p) for p in plain])) == {}
    guessed = [replace(p, basis="file", offset="+00:00") for p in (a, b)]
    assert hidden(views(build, guessed, [on(p) for p in guessed])) == {}


def test_chosen_before_cover_before_caption_before_sharpness(build: Build) -> None:
    a, b = burst(5)
    assert hidden(views(build, [a, b], [on(a, best=1), on(b)])) == {"b": 1}
    assert hidden(views(build, [a, b], [on(a, cover="part"), on(b)])) == {"b": 1}
    assert hidden(views(build, [a, b], [on(a, caption="the burr"), on(b)])) == {"b": 1}
    # With words of its own a photo is shown in any case.
    both = [on(a, caption="before"), on(b, caption="after")]
    assert hidden(views(build, [a, b], both)) == {}


def test_a_small_copy_never_stands_in_for_its_original(build: Build) -> None:
    a, b = burst(5)
    small = replace(b, width=a.width // 2, height=a.height // 2)  # and sharper for its size
    for said in ({}, {"caption": "sent by a friend"}, {"cover": "part"}):
        found = views(build, [a, small], [on(a), on(small, **said)])
        assert "a" not in hidden(found), said
    assert hidden(views(build, [a, small], [on(a), on(small, best=1)])) == {"a": 2}


def test_near_duplicates_told_apart_by_hand_are_both_shown(build: Build) -> None:
    a, b = burst(5)
    assert hidden(views(build, [a, b], [on(a, best=1), on(b, best=1)])) == {}


def test_photos_of_the_same_second_come_by_their_numbers(build: Build) -> None:
    names = ["IMG_9", "IMG_10", "IMG_100"]
    photos = [shot(name, "2026-07-01T12:00:00") for name in reversed(names)]
    assert list(views(build, photos)) == names


def test_a_long_burst_is_cut_where_it_grows_too_long(build: Build) -> None:
    photos = [shot(f"p{n}", f"2026-07-01T12:0{n}:00", likeness=VIEW, sharp=n) for n in range(6)]
    found = views(build, photos, [on(p) for p in photos])
    # From 12:00 to 12:02 and from 12:03 to 12:05, the last being the sharpest of each.
    assert hidden(found) == {"p0": 3, "p1": 3, "p3": 6, "p4": 6}


def test_covers_the_chosen_one_first(build: Build) -> None:
    a, b = burst(300)
    found = views(
        build, [a, b], [on(a, None, None, cover="build"), on(b, None, None, cover="build", best=1)]
    )
    assert [v.photo.name for v in covers_of(found.values(), "build")] == ["b", "a"]
    assert covers_of(found.values(), "part") == ()
