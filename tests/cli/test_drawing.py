"""`qlog drawing`: a picture for a part, a page to click on, and the places in the plan."""

import os
from pathlib import Path

import pytest
from PIL import Image

from qlog.drawing.build_file.load import load
from tests.cli.test_rename import qlog


def sketch(folder: Path) -> Path:
    path = folder / "sketch.png"
    Image.new("RGB", (200, 100), "white").save(path)
    return path


def test_a_picture_is_taken_in_and_a_page_written_that_loads_nothing(
    build_dir: Path, tmp_path: Path
) -> None:
    qlog(build_dir, "drawing", "cup", str(sketch(tmp_path)))
    assert load(build_dir).part("cup").image == "drawings/cup.png"
    page = (build_dir / "drawings" / "cup-places.html").read_text(encoding="utf-8")
    assert "default-src 'none'" in page and "http://" not in page and "https://" not in page
    assert 'data-id="bore"' in page


def test_the_line_of_the_page_writes_the_places(build_dir: Path, tmp_path: Path) -> None:
    qlog(build_dir, "drawing", "cup", str(sketch(tmp_path)))
    before = (build_dir / "build.toml").read_text(encoding="utf-8").splitlines()
    qlog(build_dir, "drawing", "cup", "--at", "bore=0.412,0.2", "--at", "height=0.8,0.5")
    cup = load(build_dir).part("cup")
    assert (cup.dimension("bore").at, cup.dimension("height").at) == ((0.412, 0.2), (0.8, 0.5))
    after = (build_dir / "build.toml").read_text(encoding="utf-8").splitlines()
    kept = [line for line in after if not line.strip().startswith("at = ")]
    assert kept == (before)


def test_what_is_no_picture_makes_nothing(build_dir: Path, tmp_path: Path) -> None:
    before = (build_dir / "build.toml").read_bytes()
    for name in ("sketch.jpg", "sketch.png", "sketch.svg", "sketch.txt"):
        (tmp_path / name).write_text("no picture", encoding="utf-8")
        assert (
            "is no picture" in qlog(build_dir, "drawing", "cup", str(tmp_path / name), status=2).err
        )
    assert not (build_dir / "drawings").exists()
    assert (build_dir / "build.toml").read_bytes() == before


@pytest.mark.skipif(os.name == "nt", reason="there are no pipes of that kind")
def test_a_pipe_is_no_picture_and_is_not_waited_for(build_dir: Path, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.png")
    ran = qlog(build_dir, "drawing", "cup", str(tmp_path / "pipe.png"), status=2)
    assert "is no picture" in ran.err


def test_another_picture_of_that_name_is_not_written_over(build_dir: Path, tmp_path: Path) -> None:
    qlog(build_dir, "drawing", "cup", str(sketch(tmp_path)))
    Image.new("RGB", (20, 10), "black").save(tmp_path / "sketch.png")
    refused = qlog(build_dir, "drawing", "cup", str(tmp_path / "sketch.png"), status=2)
    assert "is another picture" in refused.err


def test_what_is_no_place_changes_nothing(build_dir: Path) -> None:
    before = (build_dir / "build.toml").read_bytes()
    assert (
        "outside the picture"
        in qlog(build_dir, "drawing", "cup", "--at", "bore=1.2,0", status=2).err
    )
    assert "no dimension" in qlog(build_dir, "drawing", "cup", "--at", "x=0.2,0", status=2).err
    assert (build_dir / "build.toml").read_bytes() == before


def test_the_page_speaks_the_language_of_the_build(build_dir: Path, tmp_path: Path) -> None:
    plan = build_dir / "build.toml"
    text = plan.read_text(encoding="utf-8")
    plan.write_text(text.replace('units = "mm"', 'units = "mm"\nlanguage = "de"'), encoding="utf-8")
    qlog(build_dir, "drawing", "cup", str(sketch(tmp_path)))
    page = (build_dir / "drawings" / "cup-places.html").read_text(encoding="utf-8")
    assert '<html lang="de">' in page and "anklicken, wo jedes Maß" in page
    assert "keine Stelle" in qlog(build_dir, "drawing", "cup", "--at", "bore=x", status=2).err
