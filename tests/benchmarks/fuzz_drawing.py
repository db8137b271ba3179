"""Random callouts and build files: read, or refused with our own error, and never for long.

    python tests/benchmarks/fuzz_drawing.py [--callouts 20000] [--files 2000] [--seed 1]

Ends with status 1 when anything else was raised, or one input took longer than five seconds.
"""

import argparse
import csv
import random
import sys
import time
from pathlib import Path

from qlog.drawing.build_file.load import PlanError, load_text
from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.callouts.reading import parse, parse_fit, parse_limits
from qlog.drawing.units import Unit

TOP = Path(__file__).parents[2]
SIGNS = "0123456789.,+-±/ xXØR°'\"HhgMmUNCindegtomaxRzµ()[]{}=#:ß↗⌖\t\n\u00a0−×½\x00□Ⓔ"
LONGEST = 5.0


def mixed(chance: random.Random, text: str) -> str:
    """A text with a few of its signs exchanged, doubled or dropped."""
    letters = list(text)
    for _ in range(chance.randint(1, 2)):
        place = chance.randrange(len(letters) + 1)
        letters[place : place + chance.randint(0, 1)] = chance.choice(SIGNS) * chance.choice(
            (0, 1, 1, 1, 2, 40)
        )
    return "".join(letters)


def main() -> int:
    """Run both and print what was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--callouts", type=int, default=20_000)
    parser.add_argument("--files", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    chance = random.Random(given.seed)
    with (TOP / "tests/drawing/data/callouts.csv").open(encoding="utf-8", newline="") as file:
        examples = [row["callout"] for row in csv.DictReader(file)]
    starter = (TOP / "qlog/drawing/starter.toml").read_text(encoding="utf-8")
    found = {"read": 0, "refused": 0, "else": 0}
    slowest = 0.0

    def tried(what: str, read, allowed: type[Exception]) -> None:
        nonlocal slowest
        start = time.perf_counter()
        try:
            read()
            found["read"] += 1
        except allowed:
            found["refused"] += 1
        except Exception as error:
            found["else"] += 1
            print(f"{type(error).__name__}: {error}: {what[:200]!r}")
        slowest = max(slowest, time.perf_counter() - start)

    for _ in range(given.callouts):
        text = mixed(chance, chance.choice(examples))
        unit = chance.choice((Unit.MM, Unit.INCH))
        read = chance.choice(
            (
                lambda t=text, u=unit: parse(t, unit=u, general="m"),
                lambda t=text, u=unit: parse(t, unit=u, general=".XX ±.01"),
                lambda t=text: parse_fit(t),
                lambda t=text, u=unit: parse_limits(t, unit=u),
            )
        )
        tried(text, read, CalloutError)
    for _ in range(given.files):
        text = mixed(chance, starter)
        tried(text, lambda t=text: load_text(t, Path()), PlanError)
    print(f"{found['read']} read, {found['refused']} refused, {found['else']} else; "
          f"slowest {slowest:.3f} s")  # fmt: skip
    return 1 if found["else"] or slowest > LONGEST else 0


if __name__ == "__main__":
    sys.exit(main())
