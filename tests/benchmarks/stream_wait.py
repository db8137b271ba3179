"""How long the stream works from Enter to the next prompt, on a log of so many readings.

    python -m tests.benchmarks.stream_wait FOLDER READINGS [--typed 40]

Makes a build in FOLDER where there is none, with one more part than `status_growth` fills, and
types readings of that part on a terminal; what was typed is taken back with the log as it was.
Prints the median of the processor's seconds between Enter and the next prompt, then the longest.
The disk's own wait for the commit comes on top. Linux only: the kernel tells what one process used.
"""

from __future__ import annotations

import argparse
import shutil
from pathlib import Path
from statistics import median

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Reading
from qlog.logbook.store import FILE_NAME, Logbook
from tests.benchmarks import status_growth
from tests.terminal import Terminal

#: Readings of the part that are there before anything is typed.
BEFORE = 10
_KEPT = "before.db"


def make(folder: Path, readings: int) -> str:
    """A build with so many readings, the last part hardly begun; the id of that part."""
    each = status_growth.DIMENSIONS * status_growth.PIECES
    filled = (readings - BEFORE) // each
    part = f"p{filled + 1}"
    if folder.exists():
        return part
    status_growth.make(folder, filled * each, deep=False)
    text = status_growth.plan(filled + 1, status_growth.PIECES)
    (folder / "build.toml").write_text(text, encoding="utf-8", newline="\n")
    build = load(folder)
    with Logbook(folder / FILE_NAME, revision=build.revision, source=build.source) as log:
        log.append_all([_reading(part, piece) for piece in range(1, BEFORE + 1)])
    shutil.copyfile(folder / FILE_NAME, folder / _KEPT)
    return part


def _reading(part: str, piece: int) -> Reading:
    value = _typed(piece)
    return Reading(part, 10, "d4", piece, value, value, "mm", "micrometer")


def _typed(n: int, dimension: int = 4) -> str:
    return f"{10 + dimension + (n * 7 % 11 - 5) / 1000:.3f}"


def waits(folder: Path, part: str, typed: int) -> list[float]:
    """Seconds of processor from Enter to the next prompt, reading by reading."""
    shutil.copyfile(folder / _KEPT, folder / FILE_NAME)
    places = [
        (dimension, piece)
        for dimension in range(4, status_growth.DIMENSIONS + 1, 4)
        for piece in range(1 if dimension > 4 else BEFORE + 1, status_growth.PIECES + 1)
    ]
    found = []
    with Terminal("read", part, "10", folder=folder) as terminal:
        terminal.expect("mm> ")
        for dimension, piece in places[:typed]:
            terminal.type(_typed(piece, dimension))
            terminal.settle(0.02)
            begun = terminal.used()
            terminal.answer("\n", "mm> ")
            terminal.settle(0.02)
            found.append(terminal.used() - begun)
        terminal.type("q\n")
        terminal.ended()
    with Logbook(folder / FILE_NAME) as log:
        assert len(log.live(Reading, part=part)) == BEFORE + typed
    return found


def main() -> None:
    """Make, type and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("readings", type=int)
    parser.add_argument("--typed", type=int, default=40)
    asked = parser.parse_args()
    found = waits(asked.folder, make(asked.folder, asked.readings), asked.typed)
    print(f"{median(found):.4f} {max(found):.4f}")


if __name__ == "__main__":
    main()
