"""Render the demo's photos. They are pictures of a scene that exists only here, not photographs.

    python -m venv .venv-render
    .venv-render/bin/pip install -r demo/render/requirements.txt      # Python 3.11
    .venv-render/bin/python demo/render/make_photos.py --quality good
    .venv-render/bin/python demo/render/make_photos.py --only IMG_0412.jpg --quality quick

Photos already rendered at the asked quality are skipped; `--again` makes them anew. The raw
renderings stay in `--raw` (default: build/render, which is not kept), so that the finishing step,
grain and EXIF, can be repeated without rendering: `--finish-only`.
"""

from __future__ import annotations

import argparse
import csv
import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

# Samples per pixel and long side in pixels; the finishing step brings every photo to 1600.
QUALITY = {"quick": (5, 400), "good": (2, 1600), "best": (12, 1600)}
FILE_LIMIT = {"quick": 80_000, "good": 232_000, "best": 232_000}  # bytes a photo


def render(shot: object, raw: Path, quality: str) -> None:
    import bpy
    from scenes import Shot

    assert isinstance(shot, Shot)
    samples, side = QUALITY[quality]
    bpy.ops.wm.read_factory_settings(use_empty=True)
    scene = bpy.context.scene
    scene.render.engine = "CYCLES"
    scene.render.threads_mode = "AUTO"
    cycles = scene.cycles
    cycles.device = "CPU"
    cycles.samples = round(samples * shot.samples)
    cycles.use_adaptive_sampling = False
    cycles.use_light_tree = False  # four lights: choosing costs more than it saves
    cycles.use_denoising = True
    cycles.denoiser = "OPENIMAGEDENOISE"
    cycles.denoising_input_passes = "RGB_ALBEDO_NORMAL"
    cycles.denoising_prefilter = "FAST"
    cycles.max_bounces = 4
    cycles.diffuse_bounces = 2
    cycles.glossy_bounces = 4
    cycles.caustics_reflective = False
    cycles.caustics_refractive = False
    cycles.sample_clamp_direct = 8.0  # glints far out of focus would stay as sparks
    cycles.sample_clamp_indirect = 3.0
    cycles.blur_glossy = 0.3
    short = side * 3 // 4
    scene.render.resolution_x, scene.render.resolution_y = (
        (short, side) if shot.portrait else (side, short)
    )
    scene.render.resolution_percentage = 100
    scene.view_settings.view_transform = "AgX"
    scene.view_settings.look = "AgX - Medium High Contrast"
    shot.build()
    scene.view_settings.exposure = shot.exposure
    scene.render.image_settings.file_format = "PNG"
    scene.render.image_settings.color_depth = "8"
    scene.render.filepath = str(raw)
    bpy.ops.render.render(write_still=True)


def main() -> int:
    parser = argparse.ArgumentParser(description="Render the demo's photos.")
    parser.add_argument("--quality", choices=sorted(QUALITY), default="good")
    parser.add_argument("--only", nargs="*", default=[], help="file names to make")
    parser.add_argument("--again", action="store_true", help="render even if already there")
    parser.add_argument(
        "--finish-only", action="store_true", help="no rendering, only grain and EXIF"
    )
    parser.add_argument("--raw", type=Path, default=HERE.parents[1] / "build" / "render")
    parser.add_argument("--out", type=Path, default=HERE.parent / "photos")
    options = parser.parse_args()

    from finish import finish
    from scenes import SHOTS

    named = {shot.file: shot for shot in SHOTS}
    unknown = set(options.only) - set(named)
    if unknown:
        parser.error(f"no such photo: {', '.join(sorted(unknown))}")
    wanted = [named[file] for file in options.only] or list(SHOTS)
    with (HERE.parent / "photos.csv").open("w", encoding="utf-8", newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow(["file", "part", "op", "piece", "taken", "note"])
        for shot in SHOTS:
            table.writerow([shot.file, shot.part, shot.op, shot.piece, shot.taken, shot.note])
    folder = options.raw / options.quality
    folder.mkdir(parents=True, exist_ok=True)
    options.out.mkdir(parents=True, exist_ok=True)
    for shot in wanted:
        raw = folder / (Path(shot.file).stem + ".png")
        if not options.finish_only and (options.again or not raw.exists()):
            began = time.monotonic()
            render(shot, raw, options.quality)
            print(f"{shot.file}: {time.monotonic() - began:.0f} s", file=sys.stderr, flush=True)
        if raw.exists():
            finish(shot, raw, options.out / shot.file, FILE_LIMIT[options.quality])
    return 0


if __name__ == "__main__":
    sys.exit(main())
