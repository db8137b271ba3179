"""Mats: one photo of the batch is cut into its pieces, each right or left out.

The photos are made up by a pinhole camera (tests/mat_scenes.py); what stands on a place is told by
its colour, which no two places share.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from qlog.intake.photos.mats.mat_places import CODE, MARGIN, MOST, MatLayout
from qlog.intake.photos.mats.rectify import CutUp, _view, cut_up
from qlog.intake.photos.photo_file import Oddity
from qlog.intake.photos.slate import Mat, Slate, parse, payload
from qlog.logbook.facts import Photo, Placement
from qlog.logbook.store import Logbook
from tests.conftest import run_qlog
from tests.mat_scenes import Seen, colour, drawn, photo_of

OWN = "B7K2"
CUP = Slate("cup", 20, build=OWN)
SIZE = (1200, 1600)


@pytest.fixture(scope="module")
def mat() -> Any:
    return drawn(CUP, 1, 10, "a4", empty=(7,))


def cut(folder: Path, mat: Any, seen: Seen, size: tuple[int, int] = SIZE) -> CutUp | None:
    (folder / "mat.jpg").write_bytes(photo_of(mat, seen, size))
    return cut_up(folder / "mat.jpg", OWN, {"cup": 10})


def shown(data: bytes) -> Any:
    """The colour in the middle of a picture, its strip with the scale left off."""
    picture = np.asarray(Image.open(io.BytesIO(data)).convert("RGB"), dtype=float)
    middle = picture.shape[0] * 45 // 100, picture.shape[1] // 2
    return picture[middle[0] - 4 : middle[0] + 4, middle[1] - 4 : middle[1] + 4].mean(axis=(0, 1))


@pytest.mark.parametrize(
    "seen",
    [
        Seen(tilt=40, axis=225, turn=180, light=0.5, covered=(1,)),
        Seen(tilt=20, axis=90, slope=0.5, tint=(1.0, 0.8, 0.55)),
    ],
    ids=str,
)
def test_every_piece_is_on_its_own_picture(tmp_path: Path, mat: Any, seen: Seen) -> None:
    """Tilted, half the light, a corner covered: more of them in tests/benchmarks/photo_mats.py."""
    done = cut(tmp_path, mat, seen)
    assert done is not None
    assert (done.why, done.empty) == (None, (7,))
    assert [c.piece for c in done.cuts] == [1, 2, 3, 4, 5, 6, 8, 9, 10]
    for one in done.cuts:
        # Bare paper becomes 235: so much darker is everything printed, in whatever light.
        off = np.abs(shown(one.data) - np.array(colour(one.piece)) * 235 / 255)
        assert off.max() < 12, (one.piece, off)


@pytest.mark.parametrize(
    ("seen", "why"),
    [(Seen(covered=(0, 1)), Oddity.MAT_CORNERS), (Seen(tilt=75), Oddity.MAT_CORNERS)],
    ids=str,
)
def test_what_cannot_be_told_is_left_whole(
    tmp_path: Path, mat: Any, seen: Seen, why: Oddity
) -> None:
    done = cut(tmp_path, mat, seen)
    assert done is None or (done.why is why and done.cuts == ())


def test_a_sheet_that_does_not_lie_flat_is_not_cut() -> None:
    layout = MatLayout("a4", 10)
    box = {n: layout.corner(n) for n in range(4)}
    corners = {
        n: [(left, top), (right, top), (right, bottom), (left, bottom)]
        for n, (left, top, right, bottom) in box.items()
    }
    assert np.allclose(_view(layout, corners), np.eye(3), atol=1e-6)
    corners[2] = [(x + 16, y - 10) for x, y in corners[2]]
    assert _view(layout, corners) is None
    mirrored = {n: [(-x, y) for x, y in points] for n, points in corners.items() if n != 2}
    assert _view(layout, mirrored) is None


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_places_lie_side_by_side_and_clear_of_the_codes(paper: str) -> None:
    for count in range(1, MOST + 1):
        layout = MatLayout(paper, count)
        width, height = layout.size
        cells = [layout.cell(i) for i in range(count)]
        assert len({cell[:2] for cell in cells}) == count
        for left, top, right, bottom in cells:
            assert MARGIN <= left < right <= width - MARGIN + 1e-9
            assert MARGIN + CODE < top < bottom < height - MARGIN - CODE
            assert min(right - left, bottom - top) >= 34  # the smallest place holds a fist of work


def test_a_corner_s_code_reads_as_it_was_written() -> None:
    for corner in range(4):
        for part, op in (("cup", 0), ("tall-stem", 20)):
            slate = Slate(part, op, build=OWN, mat=Mat(1, 24, "letter", corner))
            assert parse(payload(slate)) == slate
    assert parse(payload(Slate("cup", 20, mat=Mat(1, 2, "a4", 0))).replace("A0", "A7")) is None


def test_a_photo_of_a_mat_is_cut_placed_and_kept_whole(build_dir: Path, tmp_path: Path) -> None:
    def run(*words: str) -> str:
        ran = run_qlog("--build", str(build_dir), *words)
        assert ran.status == 0, ran.err
        return ran.out

    page = build_dir / "mat-cup.html"
    assert "4 places on 1 sheet" in run("card", "--mat", "cup", "20")
    assert page.read_text("utf-8").count('aria-label="Cup, op 20 bore, pieces 1 to 4"') == 1
    from qlog.intake.photos.slate import build_id

    own = Slate("cup", 20, build=build_id("Two small parts"))
    data = photo_of(drawn(own, 1, 4, "a4", empty=(3,)), Seen(tilt=20), SIZE)
    (tmp_path / "IMG_0412.jpg").write_bytes(data)
    said = run("photo", "add", str(tmp_path / "IMG_0412.jpg"))
    assert "cut into cup 1, 2, 4, nothing on 3" in said
    for _ in range(2):  # the same photo twice is one, and is not cut twice
        run("photo", "add", str(tmp_path / "IMG_0412.jpg"))
    with Logbook(build_dir / "logbook.db") as log:
        photos = {e.fact.sha256: e.fact.name for e in log.live(Photo)}
        placed = {photos[e.fact.sha256]: e.fact for e in log.live(Placement)}
    assert sorted(photos.values()) == [
        "IMG_0412 cup-1.jpg", "IMG_0412 cup-2.jpg", "IMG_0412 cup-4.jpg", "IMG_0412.jpg",
    ]  # fmt: skip
    where = {n: (p.part, p.op, p.piece, p.proposed) for n, p in placed.items()}
    assert where == {  # the mat's word alone proposes; the log of the work would make it certain
        "IMG_0412.jpg": ("cup", 20, None, 1),
        "IMG_0412 cup-1.jpg": ("cup", 20, 1, 1),
        "IMG_0412 cup-2.jpg": ("cup", 20, 2, 1),
        "IMG_0412 cup-4.jpg": ("cup", 20, 4, 1),
    }
    run("verify")


def test_a_mat_named_outright_places_its_pieces_by_hand(build_dir: Path, tmp_path: Path) -> None:
    from qlog.intake.photos.slate import build_id

    whole = Slate("cup", 0, build=build_id("Two small parts"))  # a mat for no operation
    (tmp_path / "m.jpg").write_bytes(photo_of(drawn(whole, 1, 4, "a4"), Seen(), SIZE))
    ran = run_qlog(
        "--build", str(build_dir), "photo", "add", str(tmp_path / "m.jpg"), "-p", "cup", "-o", "10"
    )
    assert ran.status == 0, ran.err
    with Logbook(build_dir / "logbook.db") as log:
        placed = [(e.fact.op, e.fact.piece, e.fact.how) for e in log.live(Placement)]
    assert placed == [(10, n, "by hand") for n in (None, 1, 2, 3, 4)]


@pytest.mark.parametrize(
    ("words", "why"),
    [(["--mat"], "name the part"), (["--mat", "cup", "20", "1,3"], "follow one another")],
)
def test_a_mat_needs_a_part_and_pieces_in_a_row(
    build_dir: Path, words: list[str], why: str
) -> None:
    ran = run_qlog("--build", str(build_dir), "card", *words)
    assert ran.status == 2
    assert why in ran.err
