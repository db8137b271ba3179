"""Nearly the same photos, different ones, and the sharpest."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageEnhance, ImageFilter
from scipy.fft import dctn

from qlog.intake.photos.likeness import Look, grey, look_at
from qlog.study.alike import ALIKE, apart, groups
from tests.odd_photos import DATA


def look(path: Path) -> Look:
    return look_at(grey(path, 640))


def view(seed: int, size: tuple[int, int] = (800, 600)) -> Image.Image:
    rng = np.random.default_rng(seed)
    base = Image.fromarray(rng.integers(0, 255, (9, 12), dtype=np.uint8))
    fine = rng.normal(0, 12, size[::-1])
    big = np.asarray(base.resize(size, Image.Resampling.BICUBIC), dtype=float) + fine
    return Image.fromarray(np.clip(big, 0, 255).astype(np.uint8))


def changed(image: Image.Image) -> dict[str, Image.Image]:
    width, height = image.size
    return {
        "smaller": image.resize((width // 2, height // 2)),
        "lighter": ImageEnhance.Brightness(image).enhance(1.25),
        "duller": ImageEnhance.Contrast(image).enhance(0.7),
        "softer": image.filter(ImageFilter.GaussianBlur(3)),
        "moved": image.crop((8, 6, width, height)),
    }


@pytest.mark.parametrize("how", ["smaller", "lighter", "duller", "softer", "moved"])
def test_the_same_view_stays_alike(how: str) -> None:
    for seed in range(12):
        image = view(seed)
        assert apart(look_at(image).hash, look_at(changed(image)[how]).hash) <= ALIKE


def test_real_views_stay_alike_through_compression_and_light(tmp_path: Path) -> None:
    for name in ("view_church.jpg", "view_2.jpg", "heather.webp"):
        with Image.open(DATA / name) as opened:
            image = opened.convert("RGB")
        for how, other in changed(image).items():
            other.save(tmp_path / "b.jpg", quality=60)
            assert apart(look(DATA / name).hash, look(tmp_path / "b.jpg").hash) <= ALIKE, how


def test_different_views_are_apart() -> None:
    hashes = [look_at(view(seed)).hash for seed in range(60)]
    distances = [apart(a, b) for a, b in combinations(hashes, 2)]
    assert min(distances) > ALIKE
    # Even bits: half of 63 on average (the first says nothing), 4 to one standard deviation.
    assert 29 < np.mean(distances) < 34
    real = [look(DATA / n).hash for n in ("view_church.jpg", "view_2.jpg", "heather.webp")]
    assert min(apart(a, b) for a, b in combinations(real, 2)) > ALIKE


def test_the_transform_is_the_cosine_transform_of_scipy() -> None:
    small = np.asarray(view(3, (32, 32)), dtype=float)
    low = dctn(small - small.mean(), type=2)[:8, :8].ravel()
    bits = low > np.median(low[1:])
    bits[0] = False
    expected = int("".join("1" if bit else "0" for bit in bits), 2)
    assert look_at(view(3, (32, 32))).hash == expected


def test_groups() -> None:
    assert groups([]) == ()
    assert groups([0b0, 0b111, 2**40 - 1, 0b1]) == ((0, 1, 3),)
    # A creeping series: each is near the one before, the last is far from the first.
    creeping = [2**n - 1 for n in range(0, 21, 5)]
    assert groups(creeping) == ((0, 1), (2, 3))


def test_the_sharpest_of_a_series() -> None:
    image = view(5)
    series = {
        "shaken": image.filter(ImageFilter.GaussianBlur(4)),
        "sharp": image,
        "soft": image.filter(ImageFilter.GaussianBlur(1)),
    }
    order = [look_at(series[name]).sharpness for name in ("shaken", "soft", "sharp")]
    assert order == sorted(order)
    # Exposure alone does not decide.
    dim = ImageEnhance.Brightness(image).enhance(0.6)
    assert look_at(dim).sharpness == pytest.approx(look_at(image).sharpness, rel=0.1)


def test_plain_and_tiny_pictures() -> None:
    for size in ((1, 1), (2, 500), (300, 200)):
        plain = look_at(Image.new("L", size, 90))
        assert (plain.hash, plain.sharpness) == (0, 0.0)
