"""Nothing but pixels: everything private is planted, and nothing of it may come through."""

from __future__ import annotations

import hashlib
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image, PngImagePlugin

from qlog.record.photos import renditions
from qlog.record.photos.bare import PrivacyError, assert_bare
from qlog.record.photos.renditions import render
from tests.odd_photos import DATA, corners, display_p3, exif

SECRET = b"hidden-words-4711"
XMP = b'<x:xmpmeta xmlns:x="adobe:ns:meta/">' + SECRET + b"</x:xmpmeta>"


def planted(suffix: str) -> bytes:
    """A photo with everything in it that a format can carry."""
    block = exif(serial=SECRET.decode(), position=True, maker_note=SECRET, orientation=6)
    block[0x013B] = SECRET.decode()  # artist
    buffer = BytesIO()
    image = corners(400, 300)
    profile = display_p3()
    if suffix == "jpg":
        image.save(buffer, "JPEG", exif=block, icc_profile=profile, comment=SECRET, xmp=XMP)
        data = buffer.getvalue()
        iptc = b"Photoshop 3.0\0" + b"8BIM\x04\x04\0\0\0\0\0\x11" + SECRET
        segment = b"\xff\xed" + (len(iptc) + 2).to_bytes(2, "big") + iptc
        return data[:2] + segment + data[2:] + SECRET
    if suffix == "png":
        text = PngImagePlugin.PngInfo()
        text.add_text("Comment", SECRET.decode())
        text.add_itxt("XML:com.adobe.xmp", XMP.decode())
        image.save(buffer, "PNG", exif=block, icc_profile=profile, pnginfo=text)
    elif suffix == "tif":
        image.save(
            buffer,
            "TIFF",
            icc_profile=profile,
            tiffinfo={270: SECRET.decode(), 315: SECRET.decode(), 700: XMP, 33723: SECRET},
        )
    elif suffix == "gif":
        image.save(buffer, "GIF", comment=SECRET)
    else:
        image.save(buffer, suffix.upper(), exif=block, icc_profile=profile, xmp=XMP)
    return buffer.getvalue()


@pytest.mark.parametrize("suffix", ["jpg", "png", "tif", "gif", "webp", "avif"])
def test_nothing_private_comes_through(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"a.{suffix}"
    path.write_bytes(planted(suffix))
    assert SECRET in path.read_bytes()
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    rendered = render(path, digest, tmp_path / "out", formats=("webp", "avif"))
    assert len(rendered.sizes) == 6
    for file in rendered.sizes:
        data = file.path.read_bytes()
        for trace in (SECRET, b"Exif", b"http", b"xmp", b"ICC_PROFILE", b"8BIM", b"Testmake"):
            assert trace not in data, trace
        with Image.open(file.path) as image:
            assert not image.getexif()
            for key in ("exif", "xmp", "icc_profile", "comment", "photoshop"):
                assert not image.info.get(key)


@pytest.mark.parametrize("name", sorted(p.name for p in DATA.iterdir() if p.suffix != ".md"))
def test_real_files_come_out_bare(tmp_path: Path, name: str) -> None:
    digest = hashlib.sha256((DATA / name).read_bytes()).hexdigest()
    for file in render(DATA / name, digest, tmp_path, formats=("webp", "avif")).sizes:
        assert_bare(file.path)


@pytest.mark.parametrize(
    ("suffix", "options", "found"),
    [
        ("jpg", {"exif": exif()}, "APP1 segment (Exif)"),
        ("jpg", {"xmp": XMP}, "APP1 segment (http"),
        ("jpg", {"icc_profile": display_p3()}, "APP2 segment (ICC_PROFIL"),
        ("jpg", {"comment": b"hello"}, "a comment"),
        ("webp", {"exif": exif()}, "VP8X chunk"),
        ("webp", {"xmp": XMP}, "VP8X chunk"),
        ("webp", {"icc_profile": display_p3()}, "VP8X chunk"),
        ("avif", {"exif": exif()}, "an item that is no picture|iref box"),
        ("avif", {"xmp": XMP}, "an item that is no picture|iref box"),
        ("avif", {"icc_profile": display_p3()}, "a colour profile"),
        ("png", {}, "an unknown structure"),
        ("tif", {}, "an unknown structure"),
    ],
)
def test_the_proof_fails_on_each_kind_of_metadata(
    tmp_path: Path, suffix: str, options: dict[str, object], found: str
) -> None:
    path = tmp_path / f"a.{suffix}"
    corners().save(path, **options)
    with pytest.raises(PrivacyError) as caught:
        assert_bare(path)
    assert any(words in caught.value.found for words in found.split("|"))
    assert str(path) in str(caught.value)


def test_the_proof_passes_plain_files_and_fails_on_what_is_hung_on(tmp_path: Path) -> None:
    for suffix in ("jpg", "webp", "avif"):
        path = tmp_path / f"a.{suffix}"
        corners().save(path)
        assert_bare(path)
        path.write_bytes(path.read_bytes() + SECRET)
        with pytest.raises(PrivacyError):
            assert_bare(path)
    corners().save(tmp_path / "p.jpg", progressive=True)
    assert_bare(tmp_path / "p.jpg")


def test_a_thumbnail_in_the_jpeg_header_is_found(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    corners().save(path)
    data = path.read_bytes()
    assert data[2:4] == b"\xff\xe0"
    with_thumbnail = data[:4] + b"\0\x13" + data[6:18] + b"\1\1abc" + data[20:]
    path.write_bytes(with_thumbnail)
    with pytest.raises(PrivacyError, match="no bare JFIF header"):
        assert_bare(path)
    extension = b"\xff\xe0\0\x0aJFXX\0\x10ab"
    path.write_bytes(data[:20] + extension + data[20:])
    with pytest.raises(PrivacyError, match="no bare JFIF header"):
        assert_bare(path)


def test_a_file_that_is_not_bare_is_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(renditions._OPTIONS, "jpeg", {"quality": 82, "comment": SECRET})
    path = tmp_path / "a.jpg"
    path.write_bytes(planted("jpg"))
    with pytest.raises(PrivacyError, match="a comment"):
        render(path, hashlib.sha256(path.read_bytes()).hexdigest(), tmp_path / "out")
    assert list((tmp_path / "out").iterdir()) == []
