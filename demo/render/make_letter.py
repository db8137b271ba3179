"""Make the demo's letter scan and its recording. Both are invented; the voice is synthesised.

    python demo/render/make_letter.py --font PATH/TO/A/HANDWRITING/FONT.ttf

Needs Pillow, and the programs espeak-ng and lame for the recording. Writes demo/letter/letter.jpg
and demo/letter/voice.mp3 from the texts that lie beside them.
"""

from __future__ import annotations

import argparse
import subprocess
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFilter, ImageFont

HERE = Path(__file__).resolve().parent
LETTER = HERE.parent / "letter"
SIZE = (1240, 1754)  # A5 at 213 dpi
INK = (38, 44, 84)


def wrapped(
    draw: ImageDraw.ImageDraw, text: str, font: ImageFont.FreeTypeFont, width: int
) -> list[str]:
    """The text in lines that fit."""
    lines: list[str] = []
    for paragraph in text.strip().split("\n"):
        line = ""
        for word in paragraph.split():
            longer = f"{line} {word}".strip()
            if draw.textlength(longer, font=font) > width and line:
                lines.append(line)
                line = word
            else:
                line = longer
        lines.append(line)
    return lines


def scan(font_path: Path) -> None:
    """The letter as if written by hand and scanned."""
    luck = np.random.default_rng(5)
    page = Image.new("RGB", SIZE, (246, 241, 228))
    draw = ImageDraw.Draw(page)
    font = ImageFont.truetype(str(font_path), 46)
    y = 120.0
    text = (LETTER / "letter.txt").read_text(encoding="utf-8")
    for line in wrapped(draw, text, font, SIZE[0] - 220):
        draw.text((110 + luck.uniform(-4, 4), y), line, font=font, fill=INK)
        y += 56 if line else 34
    data = np.asarray(page.filter(ImageFilter.GaussianBlur(0.5)), dtype=np.float32)
    grain = Image.fromarray(luck.normal(128, 30, (SIZE[1] // 8, SIZE[0] // 8)).astype(np.uint8))
    soft = (
        np.asarray(grain.resize(SIZE, Image.Resampling.BICUBIC), dtype=np.float32)[..., None] - 128
    )
    made = Image.fromarray(np.clip(data + soft * 0.06, 0, 255).astype(np.uint8))
    made.rotate(0.4, Image.Resampling.BICUBIC, fillcolor=(226, 220, 206)).save(
        LETTER / "letter.jpg", "JPEG", quality=80, optimize=True
    )


def recording() -> None:
    """The transcript spoken by a synthesiser."""
    with tempfile.TemporaryDirectory() as folder:
        wave = Path(folder) / "voice.wav"
        subprocess.run(
            ["espeak-ng", "-v", "en-gb", "-s", "140", "-p", "38", "-w", str(wave),
             "-f", str(LETTER / "voice.txt")],
            check=True,
        )  # fmt: skip
        subprocess.run(
            ["lame", "--quiet", "-m", "m", "-b", "40", "--noreplaygain", str(wave),
             str(LETTER / "voice.mp3")],
            check=True,
        )  # fmt: skip


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Make the demo's letter scan and recording.")
    parser.add_argument("--font", type=Path, required=True)
    scan(parser.parse_args().font)
    recording()
