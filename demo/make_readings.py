"""Makes the demo's readings: invented numbers, always the same ones.

    python demo/make_readings.py

Writes demo/readings/*.csv. The story in them: a boring tool that wears across the cups, a
re-sharpened tool on the stems, one collar bored too large, a blackening that adds a few
micrometres, and one file as a spreadsheet with decimal commas writes it.
"""

from __future__ import annotations

import csv
import random
from datetime import datetime, timedelta
from pathlib import Path

HERE = Path(__file__).parent / "readings"
PIECES = range(1, 11)
BLACKENED = (6, 7, 8, 9)

Rows = list[tuple[str, int, str, int, str, str, str]]


def times(start: str, step_minutes: int = 4) -> list[str]:
    """One time for each piece."""
    first = datetime.fromisoformat(start)
    return [(first + timedelta(minutes=step_minutes * i)).isoformat() for i in range(len(PIECES))]


def steady(
    rng: random.Random,
    middle: float,
    s: float,
    digits: int,
    pieces: range | tuple[int, ...] = PIECES,
) -> dict[int, str]:
    return {p: f"{rng.gauss(middle, s):.{digits}f}" for p in pieces}


def long_rows(
    part: str, op: int, start: str, columns: dict[str, dict[int, str]], note: str = ""
) -> Rows:
    rows: Rows = []
    minute = datetime.fromisoformat(start)
    for dimension, values in columns.items():
        for piece, value in values.items():
            rows.append((part, op, dimension, piece, value, minute.isoformat(), note))
            minute += timedelta(minutes=1)
    return rows


def write_long(name: str, rows: Rows) -> None:
    with (HERE / name).open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("part", "op", "dimension", "piece", "value", "made", "note"))
        writer.writerows(rows)


def main() -> None:
    HERE.mkdir(exist_ok=True)
    rng = random.Random(50)

    # Feet: quiet work with the bore gauge and the micrometer.
    bore = steady(rng, 12.009, 0.0024, 3)
    # Foot 9 came out a hair too tall and was used as is; foot 3 was read on a burr at first.
    tall = steady(rng, 18.004, 0.012, 3)
    tall[9], tall[3] = "18.058", "18.047"
    write_long("foot-op10.csv", long_rows("foot", 10, "2026-02-15T17:10+01:00", {"bore": bore}))
    write_long(
        "foot-op20.csv",
        long_rows(
            "foot",
            20,
            "2026-02-28T17:20+01:00",
            {
                "height": tall,
                "rim": steady(rng, 60.02, 0.03, 2),
                "runout": {p: f"{2 * round(rng.uniform(5, 16)) / 1000:.3f}" for p in PIECES},
            },
        ),
    )
    write_long(
        "foot-op30.csv",
        long_rows("foot", 30, "2026-03-07T13:30+01:00", {"thread": dict.fromkeys(PIECES, "go")}),
    )
    write_long(
        "foot-op40.csv",
        long_rows(
            "foot",
            40,
            "2026-03-14T19:00+01:00",
            {
                "finish": {p: ("0.4" if rng.random() < 0.8 else "0.2") for p in PIECES},
                "look": dict.fromkeys(PIECES, "ok"),
            },
        ),
    )

    # Collars: six was bored too large when the tool dug in.
    write_long(
        "collar-op10.csv",
        long_rows(
            "collar",
            10,
            "2026-03-21T13:00+01:00",
            {"outside": steady(rng, 24.002, 0.004, 3), "thickness": steady(rng, 6.003, 0.005, 3)},
        ),
    )
    ring = steady(rng, 8.038, 0.003, 3)
    ring[6] = "8.114"
    write_long("collar-op20.csv", long_rows("collar", 20, "2026-03-28T15:30+01:00", {"bore": ring}))

    # Stems: the waist steps when the tool comes back from the stone after the fifth.
    write_long(
        "stem-op10.csv",
        long_rows("stem", 10, "2026-04-12T12:00+02:00", {"length": steady(rng, 120.01, 0.03, 2)}),
    )
    waist = steady(rng, 14.05, 0.015, 2, range(1, 6)) | steady(rng, 13.96, 0.015, 2, range(6, 11))
    write_long("stem-op20.csv", long_rows("stem", 20, "2026-05-10T17:40+02:00", {"waist": waist}))
    tip = steady(rng, 7.977, 0.0015, 3)
    write_long(
        "stem-op30.csv",
        long_rows(
            "stem",
            30,
            "2026-05-17T18:10+02:00",
            {"spigot": steady(rng, 12.0235, 0.0012, 3), "tip": tip},
        ),
    )
    black_tip = {p: f"{float(tip[p]) + rng.gauss(0.003, 0.0006):.3f}" for p in BLACKENED}
    write_long("stem-op50.csv", long_rows("stem", 50, "2026-07-24T19:00+02:00", {"tip": black_tip}))

    # Cups: outside sizes by caliper, typed into a spreadsheet that writes decimal commas.
    height, rim = steady(rng, 32.01, 0.03, 2), steady(rng, 40.03, 0.05, 2)
    with (HERE / "cup-op10.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, delimiter=";", lineterminator="\r\n")
        writer.writerow(("part", "cup"))
        writer.writerow(("op", "10"))
        writer.writerow(("piece", "height", "rim", "made"))
        writer.writerow(("nominal", "32", "40", ""))
        for piece, made in zip(PIECES, times("2026-05-25T17:45+02:00"), strict=True):
            row = (height[piece].replace(".", ","), rim[piece].replace(".", ","), made)
            writer.writerow((f"cup-{piece}", *row))
    # The bore shrinks by some four micrometres a piece: the boring tool wears.
    socket = {p: f"{22.0455 - 0.0042 * (p - 1) + rng.gauss(0, 0.0012):.3f}" for p in PIECES}
    with (HERE / "cup-op20-typed.txt").open("w", encoding="utf-8", newline="\n") as file:
        file.writelines(f"{socket[p]}\n" for p in PIECES)
    write_long(
        "cup-op30.csv",
        long_rows("cup", 30, "2026-06-13T16:00+02:00", {"hole": steady(rng, 8.0075, 0.0018, 3)}),
    )


if __name__ == "__main__":
    main()
