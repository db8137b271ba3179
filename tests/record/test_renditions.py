"""Renditions: sizes, turns, colours, odd pictures, names by content, and files cut off."""

from __future__ import annotations

import hashlib
import io
import platform
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import segno
from PIL import Image, ImageFile

from qlog.logbook.photos.codes import beside, codes_in
from qlog.logbook.photos.pixels import load
from qlog.record.photos import renditions
from qlog.record.photos.renditions import PhotoError, RenditionJob, render, render_many
from tests.odd_photos import (
    DATA,
    corner_colours,
    corners,
    cut,
    display_p3,
    exif,
    jpeg,
    odd_modes,
    png_bomb,
)

UPRIGHT = ["red", "green", "blue", "grey"]


def sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def test_three_sizes_on_the_longest_side(tmp_path: Path) -> None:
    for size in ((2600, 1733), (1733, 2600)):
        path = tmp_path / f"{size[0]}.jpg"
        corners(*size).save(path)
        rendered = render(path, sha256(path), tmp_path / "out")
        assert [max(file.width, file.height) for file in rendered.sizes] == [320, 960, 1920]
        for file in rendered.sizes:
            assert file.format == "jpeg"
            assert file.bytes == file.path.stat().st_size
            with Image.open(file.path) as image:
                assert (image.format, image.size) == ("JPEG", (file.width, file.height))
                assert corner_colours(image) == UPRIGHT
            # In proportion, to half a pixel and the odd row that an average of two leaves off.
            assert file.width / file.height == pytest.approx(size[0] / size[1], rel=1.5 / 213)


@pytest.mark.parametrize(
    ("size", "made"),
    [
        ((200, 100), [200]),
        ((320, 10), [320]),
        ((321, 200), [320, 321]),
        ((700, 20), [320, 700]),
        ((1919, 4), [320, 960, 1919]),
        ((4000, 1), [320, 960, 1920, 4000]),
        ((1, 1), [1]),
    ],
)
def test_never_enlarged(tmp_path: Path, size: tuple[int, int], made: list[int]) -> None:
    path = tmp_path / "a.png"
    corners(*size).save(path)
    rendered = render(path, sha256(path), tmp_path / "out")
    assert [file.width for file in rendered.sizes] == made


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("suffix", ["jpg", "png", "webp", "avif", "tif"])
def test_every_turn_comes_out_upright(tmp_path: Path, orientation: int, suffix: str) -> None:
    # The turn that was made at the camera, by the table of EXIF 2.32 (tag 0x0112): what row 0
    # and column 0 of the stored picture show.
    stored = {
        1: None,
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }[orientation]
    image = corners() if stored is None else corners().transpose(stored)
    path = tmp_path / f"a.{suffix}"
    image.save(path, exif=exif(orientation=orientation))
    (file,) = render(path, sha256(path), tmp_path / "out").sizes
    assert (file.width, file.height) == (120, 80)
    with Image.open(file.path) as shown:
        assert corner_colours(shown) == UPRIGHT


def test_a_heif_is_turned_once_and_colour_managed(tmp_path: Path) -> None:
    path = DATA / "phone_turned.heic"
    (file,) = render(path, sha256(path), tmp_path).sizes
    assert (file.width, file.height) == (80, 120)
    with Image.open(file.path) as shown:
        assert corner_colours(shown) == ["blue", "red", "grey", "green"]


@pytest.mark.parametrize("name", sorted(odd_modes()))
def test_odd_pictures_render(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_bytes(odd_modes()[name])
    (file,) = render(path, sha256(path), tmp_path / "out").sizes
    grey = any(word in name for word in ("grey", "float", "bits"))
    with Image.open(file.path) as shown:
        assert shown.size == (120, 80)
        if not grey:
            assert corner_colours(shown) == UPRIGHT
        elif "bits" not in name:
            # Red, green, blue and grey by the weights of ITU-R BT.601, each to a few steps.
            levels = [round(0.299 * r + 0.587 * g + 0.114 * b) for r, g, b in _four()]
            seen = np.asarray(shown.convert("L"))[[20, 20, 60, 60], [30, 90, 30, 90]]
            assert np.abs(seen.astype(int) - levels).max() <= 4


def _four() -> tuple[tuple[int, int, int], ...]:
    from tests.odd_photos import BLUE, GREEN, GREY, RED

    return RED, GREEN, BLUE, GREY


def test_real_odd_files(tmp_path: Path) -> None:
    for name in ("cmyk.jpg", "grey16.tif", "phone_two_pictures.mpo", "camera_1.jpg"):
        rendered = render(DATA / name, sha256(DATA / name), tmp_path)
        assert rendered.sizes
    with Image.open(DATA / "grey16.tif") as image:
        raw = np.asarray(image).astype(float)
    shown = np.asarray(load(DATA / "grey16.tif", 1000)).astype(float)
    # 16 bits, of which the brightest pixel uses no more than 12: scaled by the range of those.
    assert raw.max() <= 4095
    assert np.abs(shown - raw * 255 / 4095).max() <= 0.51
    # CIELAB of the file names, to sRGB by the formulas of CIE 15 and IEC 61966-2-1.
    for name, lab in (("lab_green.tif", (50.2, -100, 0)), ("lab_red.tif", (50.2, 100, 0))):
        seen = load(DATA / name, 1000).getpixel((5, 5))
        assert np.abs(np.array(seen) - _srgb_of_lab(*lab)).max() <= 6


def _srgb_of_lab(lightness: float, a: float, b: float) -> np.ndarray:
    fy = (lightness + 16) / 116
    steps = np.array([fy + a / 500, fy, fy - b / 200])
    d50 = np.where(steps > 6 / 29, steps**3, 3 * (6 / 29) ** 2 * (steps - 4 / 29))
    xyz = d50 * [0.96422, 1.0, 0.82521]
    # D50 to linear sRGB: the Bradford-adapted inverse, as printed by CSS Color 4 (W3C), appendix.
    d50_to_d65 = np.array(
        [
            [0.955473421488075, -0.02309845494876471, 0.06325924320057072],
            [-0.0283697093338637, 1.0099953980813041, 0.021041441191917323],
            [0.012314014864481998, -0.020507649298898964, 1.330365926242124],
        ]
    )
    return 255 * _encoded(np.linalg.inv(_to_xyz(_SRGB)) @ d50_to_d65 @ xyz)


#: Chromaticities of the primaries: IEC 61966-2-1 (sRGB) and SMPTE EG 432-1 (P3), white D65.
_SRGB = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
_P3 = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))


def _to_xyz(primaries: tuple[tuple[float, float], ...]) -> np.ndarray:
    columns = np.array([[x / y, 1, (1 - x - y) / y] for x, y in primaries]).T
    white = np.array([0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290])
    return columns * np.linalg.solve(columns, white)


def _encoded(linear: np.ndarray) -> np.ndarray:
    clipped = np.clip(linear, 0, 1)
    low = clipped * 12.92
    return np.where(clipped <= 0.0031308, low, 1.055 * clipped ** (1 / 2.4) - 0.055)


def _decoded(encoded: np.ndarray) -> np.ndarray:
    low = encoded / 12.92
    return np.where(encoded <= 0.04045, low, ((encoded + 0.055) / 1.055) ** 2.4)


@pytest.mark.parametrize(
    "colour", [(200, 160, 70), (190, 110, 80), (128, 128, 128), (234, 51, 35), (90, 140, 200)]
)
def test_display_p3_looks_the_same_in_srgb(tmp_path: Path, colour: tuple[int, int, int]) -> None:
    """Brass, copper, grey, the red of sRGB, and a blue, by the published primaries."""
    path = tmp_path / "a.png"
    Image.new("RGB", (40, 40), colour).save(path, icc_profile=display_p3())
    seen = np.array(load(path, 320).getpixel((20, 20)))
    linear = np.linalg.inv(_to_xyz(_SRGB)) @ _to_xyz(_P3) @ _decoded(np.array(colour) / 255)
    assert np.abs(seen - 255 * _encoded(linear)).max() <= 1.5
    if colour == (234, 51, 35):
        # CSS Color 4 (W3C): #f00 of sRGB is display-p3 0.9175 0.2003 0.1386.
        assert np.abs(seen - [255, 0, 0]).max() <= 2
    elif colour[0] != colour[1]:
        assert np.abs(seen - colour).max() > 3  # dropping the profile would have shown


def test_an_srgb_profile_and_a_senseless_one_change_nothing(tmp_path: Path) -> None:
    from PIL import ImageCms

    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for profile in (srgb, b"no profile at all", srgb[:200]):
        path = tmp_path / "a.png"
        corners().save(path, icc_profile=profile)
        assert np.array_equal(np.asarray(load(path, 320)), np.asarray(corners()))


def test_only_what_is_missing_is_made(tmp_path: Path) -> None:
    path = jpeg(tmp_path / "a.jpg")
    out = tmp_path / "out"
    first = render(path, sha256(path), out)
    assert first.made == 1
    stamp = first.sizes[0].path.stat().st_mtime_ns
    again = render(path, sha256(path), out)
    assert again.made == 0
    assert again.sizes == first.sizes
    more = render(path, sha256(path), out, formats=("webp", "avif", "webp"))
    assert [file.format for file in more.sizes] == ["jpeg", "webp", "avif"]
    assert more.made == 2
    assert first.sizes[0].path.stat().st_mtime_ns == stamp
    first.sizes[0].path.write_bytes(b"\xff\xd8\xff")  # a file that was not finished
    assert render(path, sha256(path), out).made == 1
    assert not list(out.glob(".*"))


def test_names_are_by_content_and_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = jpeg(tmp_path / "a.jpg")
    name = render(path, sha256(path), tmp_path / "out").sizes[0].path.name
    assert name.startswith(sha256(path)[:24])
    monkeypatch.setattr(renditions, "SETTINGS", renditions.SETTINGS + 1)
    assert render(path, sha256(path), tmp_path / "out").sizes[0].path.name != name


def test_the_same_photo_gives_the_same_bytes(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    corners(2000, 1500).save(path)
    formats = ("webp", "avif")
    one = render(path, sha256(path), tmp_path / "one", formats=formats).sizes
    two = render(path, sha256(path), tmp_path / "two", formats=formats).sizes
    assert [f.path.name for f in one] == [f.path.name for f in two]
    assert [f.path.read_bytes() for f in one] == [f.path.read_bytes() for f in two]


def test_an_unknown_format_is_refused(tmp_path: Path) -> None:
    path = jpeg(tmp_path / "a.jpg")
    with pytest.raises(ValueError, match='no picture format "jxl"'):
        render(path, sha256(path), tmp_path / "out", formats=("jxl",))


def test_many_with_bad_ones_among_them(tmp_path: Path) -> None:
    big = tmp_path / "big.jpg"
    corners(1600, 1200).save(big, quality=95)
    sources = [jpeg(tmp_path / f"{i}.jpg", exif(model=str(i))) for i in range(6)]
    sources.insert(2, cut(big, tmp_path / "cut.jpg", 0.5))
    sources.insert(3, png_bomb(tmp_path / "bomb.png"))
    sources.insert(4, tmp_path / "gone.jpg")
    jobs = [RenditionJob(p, sha256(p) if p.exists() else "0" * 64) for p in [*sources, sources[0]]]
    seen: list[tuple[int, int]] = []
    outcomes = render_many(
        jobs, tmp_path / "out", progress=lambda done, all_: seen.append((done, all_))
    )
    assert [outcome.job for outcome in outcomes] == jobs[:-1]  # the doubled one once
    assert seen == [(i, 9) for i in range(1, 10)]
    kinds = [o.error.kind if o.error else "" for o in outcomes]
    assert kinds == ["", "", "", "too large", "missing", "", "", "", ""]
    assert [o.rendered.salvaged for o in outcomes if o.rendered] == [False, False, True] + [
        False
    ] * 4
    salvaged = outcomes[2].rendered
    assert salvaged is not None
    with Image.open(salvaged.sizes[-1].path) as shown:
        assert corner_colours(shown)[:2] == ["red", "green"]
    assert not ImageFile.LOAD_TRUNCATED_IMAGES


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tif", "a.gif", "a.bmp"])
def test_a_cut_off_file_is_never_rendered_as_whole(tmp_path: Path, name: str) -> None:
    whole = tmp_path / name
    image = Image.effect_noise((300, 200), 80).convert("RGB")
    image.save(whole, **({"compression": "tiff_lzw"} if name == "a.tif" else {}))
    path = cut(whole, tmp_path / f"cut_{name}", 0.5)
    with pytest.raises(PhotoError) as caught:
        render(path, sha256(path), tmp_path / "out")
    assert caught.value.kind in ("cut off", "damaged")
    assert not (tmp_path / "out").exists() or not list((tmp_path / "out").iterdir())


def test_garbage_in_the_pixels_ends_in_a_clear_word(tmp_path: Path) -> None:
    whole = tmp_path / "a.png"
    Image.effect_noise((300, 200), 80).save(whole)
    data = bytearray(whole.read_bytes())
    data[2000:2100] = bytes(100)
    whole.write_bytes(data)
    with pytest.raises(PhotoError, match=r"cannot be decoded|is cut off"):
        render(whole, sha256(whole), tmp_path / "out")


def test_likeness_to_the_photo(tmp_path: Path) -> None:
    """The fast path against the slow one: full size, Lanczos, no intermediate."""
    rng = np.random.default_rng(7)
    grey = rng.integers(40, 215, (60, 80, 1))
    base = Image.fromarray((grey + rng.integers(-15, 15, (60, 80, 3))).astype(np.uint8))
    photo = base.resize((2400, 1800), Image.Resampling.BICUBIC)
    path = tmp_path / "a.jpg"
    photo.save(path, quality=95)
    for file in render(path, sha256(path), tmp_path / "out").sizes:
        slow = photo.resize((file.width, file.height), Image.Resampling.LANCZOS)
        with Image.open(file.path) as shown:
            difference = np.asarray(shown, dtype=float) - np.asarray(slow, dtype=float)
        assert 10 * np.log10(255**2 / (difference**2).mean()) > 32  # decibels


def test_a_very_long_picture_is_also_shown_by_its_shorter_side(tmp_path: Path) -> None:
    path = tmp_path / "panorama.jpg"
    Image.new("RGB", (20_000, 1000), (90, 120, 150)).save(path)
    sizes = render(path, sha256(path), tmp_path / "out").sizes
    assert [(f.width, f.height) for f in sizes][-2:] == [(1920, 96), (12_000, 600)]
    assert render(path, sha256(path), tmp_path / "out", size=(20_000, 1000)).made == 0


@pytest.mark.parametrize(("at", "cut"), [((40, 60), True), ((500, 330), False)])
def test_a_code_beside_the_work_is_in_no_rendition(
    tmp_path: Path, at: tuple[int, int], cut: bool
) -> None:
    """By the edge it is cut off with its paper, in the middle of the picture painted over."""
    picture = Image.effect_noise((1600, 1200), 40).convert("RGB").resize((1600, 1200))
    made = io.BytesIO()
    segno.make("QLOG1 P CUP 20 3 AAAA", error="h").save(made, kind="png", scale=6, border=4)
    picture.paste(Image.open(made).convert("RGB"), at)
    path = tmp_path / "work.jpg"
    picture.save(path, quality=92)
    assert codes_in(picture.convert("L"))
    rendered = render(path, sha256(path), tmp_path / "out", codes=True).sizes
    for file in rendered:
        with Image.open(file.path) as shown:
            assert codes_in(shown.convert("L")) == []
    assert (max(rendered[-1].width, rendered[-1].height) < 1600) is cut
    assert render(path, sha256(path), tmp_path / "out", codes=True).made == 0
    assert render(path, sha256(path), tmp_path / "out").made == 3  # another name: both can be asked


def test_which_photos_show_a_code_beside_the_work() -> None:
    assert beside("QLOG1 P CUP 20 3 .B7K2 AAAA @0.071")
    assert beside("? @0.050")
    assert not beside("QLOG1 P CUP 20 3 .B7K2 AAAA @0.450")
    assert not beside("QLOG1 P CUP 20 3 .B7K2 AAAA")
    assert not beside("QLOG1 M CUP 20 1 10 A2 .B7K2 AAAA @0.110")
    assert not beside("QLOG1 S CUP 20 .B7K2 AAAA @0.110")
    assert not beside("")


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="a setting of glibc's")
def test_the_memory_of_one_photo_is_kept_for_the_next(tmp_path: Path) -> None:
    # Mapped anew for every photo, its pages would be counted as faults every time.
    path = tmp_path / "big.jpg"
    corners(4000, 3000).save(path)
    script = f"""
import resource
from pathlib import Path
from qlog.logbook.photos.memory import keep_freed_memory
from qlog.logbook.photos.pixels import load
def faults():
    before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
    load(Path({str(path)!r}), 1920)
    return resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before
load(Path({str(path)!r}), 1920)
print(faults(), keep_freed_memory(), [faults(), faults()][1])
"""
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, encoding="utf-8", check=True
    )
    mapped, kept, then = done.stdout.split()
    assert kept == "True"
    assert int(then) < int(mapped) / 2
