"""A bore whose sixteen readings move as a test asks for, with a little scatter of their own."""

from collections.abc import Callable
from pathlib import Path

from tests.conftest import Ran

SCATTER = (1, -1, 0, 1, 0, -1, 1, 0, -1, 0, 1, -1, 0, 1, -1, 0)


def read_moved(
    folder: Path,
    run: Callable[..., Ran],
    moved: list[float],
    *,
    needed: int,
    halfway: str = "",
    step: float = 0.001,
) -> None:
    """Read the bore of so many cups in mm; the second half with the instrument `halfway`."""
    plan = folder / "build.toml"
    text = plan.read_text("utf-8").replace("needed = 3", f"needed = {needed}")
    plan.write_text(text.replace("step = 0.01", "step = 0.001"), "utf-8")
    for piece, (value, off) in enumerate(zip(moved, SCATTER, strict=True), start=1):
        used = ("-i", halfway) if halfway and piece > len(moved) // 2 else ()
        run("read", "cup", "20", "bore", str(piece), f"{value + step * off:.3f}", *used)
