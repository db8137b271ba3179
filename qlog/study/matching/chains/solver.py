"""HiGHS, by way of scipy, kept quiet."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, linprog, milp

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def integer(objective: Floats, **rows: Any) -> Any:
    """scipy.optimize.milp with every variable 0 or 1."""
    with _quiet():
        return milp(
            objective,
            integrality=np.ones(len(objective), dtype=np.int64),
            bounds=Bounds(0, 1),
            **rows,
        )


def linear(objective: Floats, **rows: Any) -> Any:
    """scipy.optimize.linprog with variables from 0 up; it takes sparse rows, its stubs do not."""
    solver: Any = linprog
    with _quiet():
        return solver(objective, bounds=(0, None), **rows)


@contextlib.contextmanager
def _quiet() -> Iterator[None]:
    """Keep what the solver's library prints by itself away from the standard output.

    HiGHS has messages that no option silences; they would spoil output that a program reads.
    """
    try:
        sys.stdout.flush()
        saved = os.dup(1)
    except (OSError, ValueError, AttributeError):  # no standard output to keep clean
        yield
        return
    try:
        with Path(os.devnull).open("wb") as sink:
            os.dup2(sink.fileno(), 1)
        yield
    finally:
        os.dup2(saved, 1)
        os.close(saved)
