"""The published tables that ship with the package, each row with its source; read when needed."""

from __future__ import annotations

import csv
import io
from functools import cache
from pathlib import Path

#: Beside this module, in the wheel too. Reading it plainly and not through importlib.resources
#: saves a bench command 5 ms of imports (tests/benchmarks/drawing_load.py).
_FOLDER = Path(__file__).with_name("tables")


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of one CSV table of `qlog/drawing/tables/`, header names as keys."""
    text = (_FOLDER / f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(io.StringIO(text)))
