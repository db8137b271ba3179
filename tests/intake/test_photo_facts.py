"""What a photo file says about itself, and the clear word for every file that says nothing."""

from __future__ import annotations

import errno
import hashlib
import io
import logging
import os
import struct
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PIL import Image, PngImagePlugin

from qlog.intake.photos.photo_file import Oddity, PhotoError, Remark, read
from tests.odd_photos import DATA, corners, cut, exif, jpeg, png_bomb


def test_sum_size_and_suffix_note(tmp_path: Path) -> None:
    path = jpeg(tmp_path / "a.png")
    facts = read(path)
    assert facts.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert facts.bytes == path.stat().st_size
    assert (facts.format, facts.width, facts.height) == ("JPEG", 120, 80)
    assert facts.remarks == (Remark(Oddity.CALLED, "JPEG", ".png"),)
    assert read(jpeg(tmp_path / "bare")).remarks == (Remark(Oddity.NO_SUFFIX, "JPEG"),)
    assert read(jpeg(tmp_path / "B.JPG")).remarks == ()


@pytest.mark.parametrize("suffix", ["jpg", "png", "webp", "avif"])
def test_every_format_gives_its_exif(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"a.{suffix}"
    corners().save(path, exif=exif(subsec="45", offset="+01:00", orientation=6, position=True))
    facts = read(path)
    assert facts.format == {"jpg": "JPEG"}.get(suffix, suffix.upper())
    assert facts.taken == "2025-03-14T19:02:11"
    assert (facts.subsec, facts.offset, facts.taken_source) == ("45", "+01:00", "original")
    assert facts.orientation == 6
    assert facts.camera == "Testmake One"
    assert facts.has_location


def test_the_heif_reader_is_loaded_by_a_heif_file_only(tmp_path: Path) -> None:
    path = jpeg(tmp_path / "a.jpg")
    script = (
        "import sys; from pathlib import Path; from qlog.intake.photos.photo_file import read\n"
        f"read(Path({str(path)!r})); print('pi_heif' in sys.modules)\n"
        f"print(read(Path({str(DATA / 'phone_turned.heic')!r})).format, 'pi_heif' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == ["False", "HEIF", "True"]


def test_times_fall_back_field_by_field(tmp_path: Path) -> None:
    zeros = "0000:00:00 00:00:00"
    path = jpeg(tmp_path / "a.jpg", exif(original=zeros, digitized="2025:03:14 19:02:12"))
    assert (read(path).taken, read(path).taken_source) == ("2025-03-14T19:02:12", "digitized")
    # The offset and fraction of one field say nothing about another.
    block = exif(original=None, changed="2025:03:14 19:02:13", offset="+01:00", subsec="5")
    facts = read(jpeg(tmp_path / "b.jpg", block))
    assert facts.taken_source == "datetime"
    assert (facts.offset, facts.subsec) == (None, "")


@pytest.mark.parametrize(
    "said",
    [
        "0000:00:00 00:00:00",
        "1970:01:01 00:00:00",
        "1980:01:01 00:00:00",
        "    :  :     :  :  ",
        "",
        "2025:13:14 19:02:11",
        "2025:02:30 19:02:11",
        "2025:03:14 25:02:11",
        "2014:09:259 10:00:00",
        "yesterday evening",
        "\x00\x00\x00",
    ],
)
def test_a_date_that_is_none_is_none(tmp_path: Path, said: str) -> None:
    path = jpeg(tmp_path / "a.jpg", exif(original=said))
    os.utime(path, (1_700_000_000, 1_700_000_000))
    facts = read(path)
    assert facts.taken == datetime.fromtimestamp(1_700_000_000, UTC).isoformat()[:19]
    assert (facts.taken_source, facts.offset) == ("file", "+00:00")
    os.utime(path, (0, 0))  # 1970 on the file too: a card without a clock
    assert (read(path).taken, read(path).taken_source) == (None, "")


def test_satellite_time_stands_in_only_when_the_camera_gives_none(tmp_path: Path) -> None:
    gps = {"gps_day": "2025:03:14", "gps_time": (18.0, 2.0, 9.5)}
    facts = read(jpeg(tmp_path / "a.jpg", exif(**gps)))
    assert (facts.gps_utc, facts.taken_source) == ("2025-03-14T18:02:09Z", "original")
    assert not facts.has_location
    facts = read(jpeg(tmp_path / "b.jpg", exif(original=None, **gps)))
    assert (facts.taken, facts.offset, facts.taken_source) == (
        "2025-03-14T18:02:09",
        "+00:00",
        "gps",
    )
    odd = exif(gps_day="2014:09:259", gps_time=(18.0, 2.0, 9.5))
    assert read(jpeg(tmp_path / "c.jpg", odd)).gps_utc is None


@pytest.mark.parametrize("value", [0, 9, 255])
def test_an_orientation_out_of_range_means_upright(tmp_path: Path, value: int) -> None:
    assert read(jpeg(tmp_path / "a.jpg", exif(orientation=value))).orientation == 1


@pytest.mark.parametrize(
    ("offset", "read_as"),
    [
        ("+01:00", "+01:00"),
        ("-03:30", "-03:30"),
        ("Z", "+00:00"),
        ("+15:00", None),
        ("+01:75", None),
        ("   :  ", None),
    ],
)
def test_offsets(tmp_path: Path, offset: str, read_as: str | None) -> None:
    assert read(jpeg(tmp_path / "a.jpg", exif(offset=offset))).offset == read_as


def test_cameras_are_told_apart_without_keeping_the_serial_number(tmp_path: Path) -> None:
    first = read(jpeg(tmp_path / "a.jpg", exif(serial="30505951")))
    second = read(jpeg(tmp_path / "b.jpg", exif(serial="30505952")))
    again = read(jpeg(tmp_path / "c.jpg", exif(serial="30505951", orientation=3)))
    assert first.camera_key == again.camera_key != second.camera_key
    assert "3050595" not in repr(first)
    assert read(jpeg(tmp_path / "d.jpg")).camera_key == ""


def test_make_is_not_said_twice(tmp_path: Path) -> None:
    block = exif(make="TESTMAKE CORPORATION\0", model="Testmake  D1\t\0")
    assert read(jpeg(tmp_path / "a.jpg", block)).camera == "Testmake D1"
    block = exif(make="Other", model="D1\n\x07")
    assert read(jpeg(tmp_path / "b.jpg", block)).camera == "Other D1"


def test_broken_maker_notes_and_broken_exif_hurt_nothing(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    logging.getLogger().addHandler(handler := logging.StreamHandler(sys.stderr))
    try:
        block = exif(make="A CAMERA MAKER", maker_note=b"Maker\0\2\x10\0\0MM\0*\xff\xff\xff\xff")
        assert read(jpeg(tmp_path / "a.jpg", block)).taken == "2025-03-14T19:02:11"
        whole = exif().tobytes()
        path = tmp_path / "b.jpg"
        for at in range(6, len(whole), 3):  # each place in turn overwritten
            broken = whole[:at] + b"\xff\xff\xff" + whole[at + 3 :]
            corners().save(path, exif=broken)
            facts = read(path)
            assert facts.width == 120
            assert facts.taken is not None
    finally:
        logging.getLogger().removeHandler(handler)
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize("suffix", ["jpg", "png", "webp", "avif"])
def test_a_file_that_is_cut_off_is_refused_and_can_be_salvaged(tmp_path: Path, suffix: str) -> None:
    whole = tmp_path / f"a.{suffix}"
    corners().save(whole, exif=exif())
    for share in (0.9, 0.99):
        path = cut(whole, tmp_path / f"cut.{suffix}", share)
        with pytest.raises(PhotoError, match="is cut off; copy it from the camera again") as caught:
            read(path)
        assert caught.value.kind == "cut off"
    assert not read(whole).cut_off
    most = cut(whole, tmp_path / f"most.{suffix}", 0.99)
    if suffix == "webp":  # its decoder needs the whole file: nothing to salvage, and said so
        with pytest.raises(PhotoError, match="header makes no sense"):
            read(most, salvage=True)
    else:
        assert read(most, salvage=True).cut_off


def test_an_end_marker_in_a_thumbnail_does_not_make_a_cut_file_whole(tmp_path: Path) -> None:
    source = (DATA / "camera_1.jpg").read_bytes()
    assert source.count(b"\xff\xd9") > 1  # the thumbnail's and its own
    path = tmp_path / "a.jpg"
    path.write_bytes(source[:-2])
    with pytest.raises(PhotoError, match="cut off"):
        read(path)


def test_bytes_behind_a_photo_do_not_matter(tmp_path: Path) -> None:
    path = jpeg(tmp_path / "motion.jpg")
    path.write_bytes(path.read_bytes() + b"\0\0\0\x18ftypmp42" + bytes(5000))
    assert not read(path).cut_off


def test_no_photo_at_all(tmp_path: Path) -> None:
    empty = tmp_path / "empty.jpg"
    empty.touch()
    text = tmp_path / "notes.jpg"
    text.write_text("turned the second foot", encoding="utf-8")
    bitmap_text = tmp_path / "BM.bmp"
    bitmap_text.write_text("BM of the bench: see the drawing", encoding="utf-8")
    garbage = tmp_path / "garbage.png"
    garbage.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(range(200)))
    raw = tmp_path / "shot.nef"
    raw.write_bytes(b"II*\0")
    for path, kind in (
        (empty, "empty"),
        (text, "not a picture"),
        (bitmap_text, "not a picture"),
        (tmp_path, "not a file"),
        (tmp_path / "gone.jpg", "missing"),
        (text / "under.jpg", "missing"),
        (raw, "not a picture"),
    ):
        with pytest.raises(PhotoError) as caught:
            read(path)
        assert caught.value.kind == kind
        assert str(path) in str(caught.value)
        assert caught.value.do in str(caught.value)
    with pytest.raises(PhotoError) as caught:
        read(garbage)
    assert caught.value.kind in ("cut off", "damaged")


def test_a_name_of_several_lines_is_shown_on_one(tmp_path: Path) -> None:
    path = tmp_path / "two\nlines\x1b[31m-Säule-柱-עמוד.jpg"
    path.write_bytes(b"")
    with pytest.raises(PhotoError) as caught:
        read(path)
    assert "two\\nlines\\x1b[31m-Säule-柱-עמוד.jpg" in str(caught.value)
    assert "\n" not in str(caught.value)
    assert "\x1b" not in str(caught.value)
    assert read(jpeg(path)).format == "JPEG"


@pytest.mark.skipif(sys.platform == "win32", reason="names are always text there")
def test_a_name_that_is_no_text_is_shown(tmp_path: Path) -> None:
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/caf\xe9.jpg"))
    path.write_bytes(b"")
    with pytest.raises(PhotoError) as caught:
        read(path)
    str(caught.value).encode("utf-8")
    assert "caf\\udce9.jpg" in str(caught.value)


def test_an_unreadable_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = jpeg(tmp_path / "a.jpg")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)  # the tests may run as root, whom no mode stops
    with pytest.raises(PhotoError, match="give yourself permission to read it") as caught:
        read(path)
    assert caught.value.kind == "unreadable"

    def fail(*_: object, **__: object) -> None:
        raise OSError(errno.EIO, "as the system says it")

    monkeypatch.setattr(Path, "open", fail)
    with pytest.raises(
        PhotoError, match=r"the disk could not be read or written.*check the card or disk"
    ):
        read(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    with pytest.raises(PhotoError, match="is no plain file"):
        read(tmp_path / "pipe.jpg")


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on memory to set there")
def test_a_bomb_is_refused_by_its_header_within_little_memory(tmp_path: Path) -> None:
    bomb = png_bomb(tmp_path / "bomb.png")
    assert bomb.stat().st_size < 100_000
    script = (
        "import resource; resource.setrlimit(resource.RLIMIT_AS, (400 << 20, 400 << 20))\n"
        "import qlog.words.problems; from pathlib import Path\n"
        "from qlog.intake.photos.photo_file import PhotoError, read\n"
        "try:\n"
        f"    read(Path({str(bomb)!r}))\n"
        "except PhotoError as error:\n"
        "    print(error.kind, error.what)\n"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "too large has 502 megapixels, more than 179"


def test_exif_that_stands_in_a_png_as_text_is_read(tmp_path: Path) -> None:
    """As older programs wrote it: a name, a length, hexadecimal lines (layout from memory)."""
    block = Image.Exif()
    block.get_ifd(0x8769)[0x9003] = "2025:03:14 18:02:09"
    data = (b"Exif\0\0" + block.tobytes().removeprefix(b"Exif\0\0")).hex()
    lines = "\n".join(data[i : i + 72] for i in range(0, len(data), 72))
    for key, text in (
        ("Raw profile type exif", f"\nexif\n{len(data) // 2:8}\n{lines}\n"),
        ("Raw profile type APP1", f"\ngeneric profile\n{len(data) // 2:8}\n{lines}\n"),
        ("Raw profile type exif", "\nexif\n  3\nno hexadecimal\n"),
    ):
        said = PngImagePlugin.PngInfo()
        said.add_text(key, text, zip=True)
        corners().save(tmp_path / "a.png", pnginfo=said)
        found = read(tmp_path / "a.png")
        assert (found.taken == "2025-03-14T18:02:09") is ("no hexa" not in text)


def test_bitmaps_of_every_header_are_pictures_and_big_tiffs_say_what_they_are(
    tmp_path: Path,
) -> None:
    pixels = corners(4, 4).tobytes()
    core = struct.pack("<IHHHH", 12, 4, 4, 1, 24) + pixels
    (tmp_path / "os2.bmp").write_bytes(b"BM" + struct.pack("<IHHI", 26 + 48, 7, 0, 26) + core)
    assert read(tmp_path / "os2.bmp").format == "BMP"  # with a reserved field that is not zero
    (tmp_path / "big.tif").write_bytes(b"MM\0+" + struct.pack(">HHQQ", 8, 0, 16, 0))
    with pytest.raises(PhotoError, match="BigTIFF"):
        read(tmp_path / "big.tif")


@pytest.mark.skipif(sys.platform == "win32", reason="there the library writes elsewhere")
def test_what_a_picture_library_prints_never_reaches_the_screen(tmp_path: Path) -> None:
    made = io.BytesIO()
    Image.effect_noise((300, 200), 60).convert("1").save(made, "TIFF", compression="group4")
    data = bytearray(made.getvalue())
    data[400:-400:997] = bytes(b ^ 0xFF for b in data[400:-400:997])
    (tmp_path / "spoilt.tif").write_bytes(data)
    program = (
        "import sys; from pathlib import Path; from qlog.intake.photos.likeness import grey\n"
        "try: grey(Path(sys.argv[1]), 100)\nexcept Exception as e: pass\n"
        "print('own words', file=sys.stderr)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path / "spoilt.tif")],
        capture_output=True, text=True, encoding="utf-8", check=True,
    )  # fmt: skip
    assert ran.stderr == "own words\n"
