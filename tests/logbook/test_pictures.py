"""Opening pictures: kinds by content, limits by kind, large ones one after the other."""

from __future__ import annotations

import threading
import warnings
from pathlib import Path

import pytest
from PIL import Image

from qlog.logbook.photos import pictures
from qlog.logbook.photos.pictures import PhotoError, decoding, open_picture, quiet, sniff
from tests.odd_photos import DATA, corners, odd_modes


def ftyp(brand: bytes, *compatible: bytes) -> bytes:
    body = b"ftyp" + brand + bytes(4) + b"".join(compatible)
    return (len(body) + 4).to_bytes(4, "big") + body


@pytest.mark.parametrize(
    ("head", "kind"),
    [
        (ftyp(b"heic", b"mif1", b"heic"), "HEIF"),
        (ftyp(b"mif1", b"heic", b"mif1"), "HEIF"),
        (ftyp(b"mif1", b"avif", b"heic"), "AVIF"),
        (ftyp(b"avif", b"mif1"), "AVIF"),
        (ftyp(b"mif1"), ""),
        (ftyp(b"qt  "), ""),
        (ftyp(b"isom", b"avc1", b"mp42"), ""),
        (b"\0\0\0\x18ftyp", ""),
        (b"\xff\xd8\xff\xe1", "JPEG"),
        (b"\xff\xd8 ", ""),
        (b"BM\x9a\0\0\0\0\0\0\0\x36\0\0\0\x28\0\0\0", "BMP"),
        (b"BM and then text", ""),
        (b"%PDF-1.7", ""),
        (b"", ""),
    ],
)
def test_kinds_by_their_first_bytes(head: bytes, kind: str) -> None:
    assert sniff(head) == kind


def test_every_kind_opens(tmp_path: Path) -> None:
    for name, data in odd_modes().items():
        path = tmp_path / f"{name}.none"
        path.write_bytes(data)
        with open_picture(path) as image:
            assert image.size == (120, 80)
    with open_picture(DATA / "phone_turned.heic") as image:
        assert image.format == "HEIF"


def test_a_document_is_never_given_to_an_interpreter(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n")
    with (
        pytest.raises(PhotoError, match="is no picture of a kind that is known here"),
        open_picture(path),
    ):
        pass


@pytest.mark.parametrize(
    ("name", "options", "kind"),
    [("a.jpg", {"progressive": True}, "progressive JPEG"), ("a.avif", {}, "AVIF")],
)
def test_kinds_that_take_more_memory_have_a_tighter_limit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, options: dict[str, bool], kind: str
) -> None:
    monkeypatch.setitem(pictures._TIGHTER_LIMITS, kind, 9_000)
    corners().save(tmp_path / name, **options)  # 9,600 pixels
    with (
        pytest.raises(PhotoError, match=f"as {kind}; save it smaller"),
        open_picture(tmp_path / name),
    ):
        pass
    corners().save(tmp_path / "plain.jpg")
    with open_picture(tmp_path / "plain.jpg"):
        pass


def test_two_large_pictures_wait_for_each_other(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pictures, "_ALONE_PIXELS", 100)
    large = Image.new("L", (20, 20))
    small = Image.new("L", (5, 5))
    inside, most = [0], [0]
    meet = threading.Barrier(2)

    def decode(image: Image.Image) -> None:
        meet.wait(5)
        with decoding(image):
            inside[0] += 1
            most[0] = max(most[0], inside[0])
            threading.Event().wait(0.05)
            inside[0] -= 1

    def both(image: Image.Image) -> int:
        most[0] = 0
        threads = [threading.Thread(target=decode, args=(image,)) for _ in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(5)
        return most[0]

    assert both(large) == 1
    assert both(small) == 2


def test_warnings_of_decoders_are_kept_quiet_and_others_are_not() -> None:
    with quiet():
        warnings.warn("a decoder repairs something", stacklevel=1)
    with pytest.warns(UserWarning, match="ours"):
        warnings.warn("ours", UserWarning, stacklevel=1)


def test_a_progressive_jpeg_of_thousands_of_scans_is_refused_by_its_header(tmp_path: Path) -> None:
    path = tmp_path / "many.jpg"
    Image.new("RGB", (64, 64), "red").save(path, progressive=True)
    with open_picture(path) as image:
        assert image.size == (64, 64)
    data = path.read_bytes()
    at = data.rindex(b"\xff\xda")
    path.write_bytes(data[:at] + data[at:-2] * 5000 + data[-2:])
    with pytest.raises(PhotoError, match="scans, more than 200") as refused, open_picture(path):
        pass
    assert refused.value.kind == "too large"


def test_a_phone_s_200_megapixels_are_taken_from_a_plain_jpeg_alone(tmp_path: Path) -> None:
    path = tmp_path / "large.jpg"
    Image.new("L", (64, 64)).save(path)
    data = bytearray(path.read_bytes())
    frame = data.index(b"\xff\xc0") + 5
    for width, height, fine in ((16320, 12240, True), (16320, 16320, False)):
        data[frame : frame + 4] = height.to_bytes(2, "big") + width.to_bytes(2, "big")
        path.write_bytes(data)
        if fine:
            with open_picture(path) as image:
                assert image.size == (width, height)
        else:
            with (
                pytest.raises(PhotoError, match="266 megapixels, more than 260"),
                open_picture(path),
            ):
                pass
