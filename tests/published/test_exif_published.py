"""Real camera files, read by us and by others: ExifTool 12.57 (in the table) and Pillow."""

from __future__ import annotations

import csv
import hashlib
from pathlib import Path

import pytest
from PIL import Image

from qlog.intake.photos.photo_file import read
from tests.odd_photos import DATA

TABLE = Path(__file__).parent / "data" / "exif_read_elsewhere.csv"


def _rows() -> list[dict[str, str]]:
    lines = TABLE.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def _iso(text: str) -> str:
    day, _, time = text.partition(" ")
    return f"{day.replace(':', '-')}T{time}"


@pytest.mark.parametrize("row", _rows(), ids=lambda row: row["file"])
def test_agrees_with_another_reader(row: dict[str, str]) -> None:
    facts = read(DATA / row["file"])
    said = [
        (row[field], field)
        for field in ("original", "digitized", "changed")
        if row[field] and not row[field].startswith("0000")
    ]
    source = {"original": "original", "digitized": "digitized", "changed": "datetime"}
    if said:
        assert facts.taken == _iso(said[0][0])
        assert facts.taken_source == source[said[0][1]]
        if facts.taken_source == "original":
            assert facts.subsec == row["subsec"]
            assert facts.offset == (row["offset"] or None)
    else:
        assert facts.taken_source in ("file", "")
    if facts.format != "HEIF":  # turned by its decoder
        assert facts.orientation == int(row["orientation"] or 1)
    assert facts.has_location == bool(row["latitude"])
    endings = {facts.camera[at:] for at in range(len(facts.camera) + 1)}
    sums = {hashlib.sha256(e.encode("utf-8")).hexdigest()[:16] for e in endings}
    assert not row["model_sum"] or row["model_sum"] in sums


@pytest.mark.parametrize("row", _rows(), ids=lambda row: row["file"])
def test_agrees_with_pillow(row: dict[str, str]) -> None:
    facts = read(DATA / row["file"])
    with Image.open(DATA / row["file"]) as image:
        block = image.getexif()
        assert (facts.width, facts.height) == image.size
        original = block.get_ifd(0x8769).get(0x9003)
        if original:
            assert facts.taken == _iso(str(original))
        assert facts.has_location == (2 in block.get_ifd(0x8825))


def test_the_table_covers_the_files() -> None:
    photos = {p.name for p in DATA.iterdir() if p.suffix in (".jpg", ".mpo", ".webp", ".heic")}
    assert {row["file"] for row in _rows()} == photos
