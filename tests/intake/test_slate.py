"""Slates: their text, and codes found in photographs of cards."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageFilter

from qlog.intake.photos.likeness import grey
from qlog.intake.photos.slate import (
    Slate,
    cards,
    find,
    find_in,
    make_svg,
    parse,
    payload,
    terminal_code,
)
from qlog.logbook.photos.pictures import PhotoError
from tests.odd_photos import DATA, cut, odd_modes
from tests.photo_scenes import code, view

CUP = Slate("cup", 20, 3)
CLOCK = Slate(shown=datetime(2025, 3, 14, 18, 2, 9, tzinfo=UTC))


def test_the_text() -> None:
    assert payload(CUP).startswith("QLOG1 P CUP 20 3 ")
    assert payload(Slate("cup", 20)).startswith("QLOG1 P CUP 20 ")
    assert payload(Slate("Säule", 20)).startswith("qlog1 P Säule 20 ")
    assert payload(CLOCK).startswith("QLOG1 T 2025-03-14T18:02:09Z ")
    there = Slate(shown=datetime(2025, 3, 14, 19, 2, 9, tzinfo=timezone(timedelta(hours=1))))
    assert payload(there) == payload(CLOCK)
    assert CLOCK.is_clock
    assert not CUP.is_clock


@given(
    st.text(st.characters(blacklist_categories=("Cs", "Z", "Cc")), min_size=1, max_size=12),
    st.integers(0, 9999),
    st.none() | st.integers(1, 99),
)
def test_what_is_written_reads_back(part: str, op: int, piece: int | None) -> None:
    if part.split() == [part]:
        slate = Slate(part, op, piece)
        assert parse(payload(slate)) == slate


def test_a_part_id_with_a_blank_is_refused() -> None:
    for part in ("", "cup ring", " cup"):
        with pytest.raises(ValueError, match="needs one word"):
            payload(Slate(part, 20))


def test_every_single_misread_character_is_refused() -> None:
    for slate in (CUP, CLOCK, Slate("Säule", 5)):
        text = payload(slate)
        for at in range(len(text)):
            for other in "A0Z 9":
                if text[at] != other:
                    assert parse(text[:at] + other + text[at + 1 :]) is None


@pytest.mark.parametrize(
    "text", ["", "QLOG1", "QLOG1 P CUP 20 3", "https://example.org", "QLOG2 P CUP 20 AAAA"]
)
def test_other_codes_are_none_of_ours(text: str) -> None:
    assert parse(text) is None


def matrix(text: str) -> np.ndarray:
    """The squares of a code, dark ones 0, quiet zone included, read off its SVG."""
    root = ElementTree.fromstring(make_svg(text, title="a < b"))
    side = int(root.attrib["viewBox"].split()[2])
    squares = np.full((side, side), 255, np.uint8)
    (path,) = [e for e in root.iter() if "stroke" in e.attrib]
    x = y = 0
    for kind, first, second in re.findall(
        r"([Mmh])(-?[\d.]+)(?:[ ,]?(-?[\d.]+))?", path.get("d", "")
    ):
        if kind == "h":
            squares[y, x : x + int(first)] = 0
            x += int(first)
        else:
            start = (0, 0) if kind == "M" else (x, y)
            x, y = start[0] + int(float(first)), start[1] + int(float(second))
    return squares


def test_the_svg_is_a_code_of_few_squares() -> None:
    svg = make_svg(payload(CUP), title="cup, op 20, piece 3")
    assert ElementTree.fromstring(svg).find("title") is not None
    assert matrix(payload(CUP)).shape == (37, 37)  # version 3 and a quiet zone of 4 (ISO/IEC 18004)
    assert matrix(payload(CLOCK)).shape == (37, 37)
    image = Image.fromarray(matrix(payload(CUP))).resize((370, 370), Image.Resampling.NEAREST)
    assert find_in(image) == (CUP,)
    long = Slate("a-collar-with-a-very-long-name-indeed", 120, 14)
    image = Image.fromarray(matrix(payload(long)))
    assert find_in(image.resize((600, 600), Image.Resampling.NEAREST)) == (long,)


def test_the_terminal_shows_the_same_code() -> None:
    rows = terminal_code(payload(CLOCK)).splitlines()
    light = {"█": (1, 1), "▀": (1, 0), "▄": (0, 1), " ": (0, 0)}
    squares = np.array([[light[c][half] for c in row] for row in rows for half in (0, 1)], np.uint8)
    assert np.array_equal(squares[:37] * 255, matrix(payload(CLOCK)))


def test_cards_for_a_sheet() -> None:
    (card,) = cards([(CUP, ("cup", "op 20: bore", "piece 3"))])
    assert card.words[1] == "op 20: bore"
    assert "cup op 20: bore piece 3" in card.svg


@cache
def bench(seed: int, width: int = 2400, height: int = 1800) -> Image.Image:
    """A made-up bench: clouds of several sizes, streaks of light, noise."""
    rng = np.random.default_rng(seed)
    total = np.zeros((height, width), np.float32)
    for cell, strength in ((400, 45), (80, 25), (20, 15)):
        small = rng.normal(0, strength, (height // cell + 2, width // cell + 2))
        cloud = Image.fromarray(small.astype(np.float32))
        total += np.asarray(cloud.resize((width, height), Image.Resampling.BICUBIC))
    total += rng.normal(0, 4, (height, width)) + 120
    return Image.fromarray(np.clip(total, 0, 255).astype(np.uint8))


def photograph(
    scene: Image.Image,
    texts: dict[tuple[float, float], str],
    *,
    share: float,
    turn: float,
    tilt: float,
    blur: float = 0,
    dark: int = 25,
    light: int = 225,
) -> Image.Image:
    """Cards lying in the scene: each code `share` of the picture's width, turned and tilted.

    A pinhole camera with a focal length of one picture width; angles in degrees, blur in pixels.
    """
    out = scene.copy()
    width, height = scene.size
    for (x, y), text in texts.items():
        card = Image.fromarray(np.where(matrix(text) == 0, dark, light).astype(np.uint8))
        squares = card.width
        card = card.resize((squares * 16, squares * 16), Image.Resampling.NEAREST)
        side = share * width * squares / (squares - 8)
        flat = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]]) * side
        t, r = np.radians(tilt), np.radians(turn)
        depth = width + flat[:, 0] * np.sin(t)
        seen = np.c_[flat[:, 0] * np.cos(t), flat[:, 1]] * (width / depth)[:, None]
        seen = seen @ np.array([[np.cos(r), np.sin(r)], [-np.sin(r), np.cos(r)]])
        seen += [x * width, y * height]
        rows, values = [], []
        corners = [(0, 0), (card.width, 0), (card.width, card.width), (0, card.width)]
        for (px, py), (u, v) in zip(seen, corners, strict=True):
            rows += [[px, py, 1, 0, 0, 0, -u * px, -u * py], [0, 0, 0, px, py, 1, -v * px, -v * py]]
            values += [u, v]
        lens = np.linalg.solve(np.array(rows), np.array(values, float))
        soft = card.filter(ImageFilter.GaussianBlur(0.4 * card.width / side))
        way = Image.Transform.PERSPECTIVE
        placed = soft.transform(scene.size, way, lens.tolist(), Image.Resampling.BICUBIC)
        mask = Image.new("L", card.size, 255).transform(scene.size, way, lens.tolist())
        out.paste(placed, (0, 0), mask)
    return out.filter(ImageFilter.GaussianBlur(blur)) if blur else out


@pytest.mark.parametrize("turn", [0, 33, 90, 190])
@pytest.mark.parametrize("tilt", [0, 25, 40])
def test_found_at_a_twelfth_of_the_width_tilted_and_a_little_blurred(
    tmp_path: Path, turn: float, tilt: float
) -> None:
    """The blur is 1.5 pixels of 2400 (2.5 of 4000), as of a hand not quite still."""
    slate = CLOCK if tilt == 25 else CUP
    scene = photograph(
        bench(1), {(0.4, 0.6): payload(slate)}, share=1 / 12, turn=turn, tilt=tilt, blur=1.5
    )
    path = tmp_path / "a.jpg"
    scene.save(path, quality=88)
    assert find(path) == (slate,)


@pytest.mark.parametrize(("dark", "light"), [(10, 60), (150, 250), (90, 140)])
def test_found_dark_glaring_and_dull(dark: int, light: int) -> None:
    scene = photograph(
        bench(2), {(0.5, 0.5): payload(CUP)}, share=1 / 8, turn=20, tilt=20, dark=dark, light=light
    )
    assert find_in(scene.reduce(1)) == (CUP,)


def test_two_cards_are_found_from_left_to_right() -> None:
    scene = photograph(
        bench(3),
        {(0.7, 0.3): payload(CUP), (0.2, 0.6): payload(CLOCK)},
        share=1 / 8,
        turn=10,
        tilt=0,
    )
    assert find_in(scene) == (CLOCK, CUP)


def test_no_false_code_on_real_photos(tmp_path: Path) -> None:
    for path in DATA.iterdir():
        if path.suffix != ".md":
            assert find(path) == ()
    for name, data in odd_modes().items():
        (tmp_path / name).write_bytes(data)
        assert find(tmp_path / name) == ()
    assert find_in(bench(4)) == ()


def test_another_makers_code_is_none_of_ours() -> None:
    scene = photograph(bench(5), {(0.5, 0.5): "HELLO BENCH 12345"}, share=1 / 6, turn=0, tilt=0)
    assert find_in(scene) == ()


def test_odd_files(tmp_path: Path) -> None:
    whole = tmp_path / "a.png"
    bench(6, 400, 300).save(whole)
    with pytest.raises(PhotoError, match="cannot be decoded"):
        find(cut(whole, tmp_path / "b.png", 0.5))
    deep = tmp_path / "deep.png"
    Image.fromarray(np.asarray(bench(6, 3600, 30)).astype(np.uint16) * 200).save(deep)
    small = grey(deep, 1600)
    assert (small.mode, small.size) == ("L", (1800, 15))
    assert np.asarray(small).std() > 20


def test_the_code_in_the_corner_of_a_card_stands_for_the_whole_card(tmp_path: Path) -> None:
    assert parse(payload(CUP, corner=True)) == CUP
    side = 1200
    for text, share, large in (
        (payload(CUP), 0.15, False),
        (payload(CUP, corner=True), 0.15, True),  # its card's own code is three times as wide
        (payload(CUP, corner=True), 0.06, False),
        (payload(CUP), 0.3, True),
    ):
        picture = view(3, (1600, side)).copy()
        # The code is drawn with a quiet zone of 4 of its 37 squares on each side.
        picture.paste(code(text, round(side * share * 37 / 29)), (100, 100))
        (found,) = find_in(picture.convert("L"))
        assert (found, found.is_large) == (CUP, large)
