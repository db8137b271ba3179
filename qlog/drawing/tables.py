"""The published tables that ship with the package, each row with its source; read when needed."""

from __future__ import annotations

import csv
import io
from functools import cache
from importlib.resources import files


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of one CSV table of `qlog/drawing/tables/`, header names as keys."""
    text = files("qlog.drawing").joinpath("tables", f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(io.StringIO(text)))
