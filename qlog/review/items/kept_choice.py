"""Choices of pieces kept from earlier commands: the same question has the same answer.

A choice is a pure function of whole numbers and takes up to seconds; a record after one reading
elsewhere asks the same again. What is kept is numbers, found by the sum of the whole question and
of the very code and solver that answer it (`worked_out`).
"""

from __future__ import annotations

import marshal
from collections.abc import Iterator
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from qlog.study.matching import chains
from qlog.study.matching.chains.chain_model import ChainQuestion, Choice, Reach
from qlog.worked_out import WorkedOut


@cache
def _choices() -> WorkedOut:
    """The code that answers: the chains, and the solver by what says its version."""
    origins = [found.origin for name in ("numpy", "scipy") if (found := find_spec(name))]
    versions = [Path(origin).with_name("version.py") for origin in origins if origin]
    return WorkedOut("choice", (Path(chains.__file__).parent, *versions), 32, 1_000_000)


def choose(problem: ChainQuestion, *, steps: int, gap: float, grain: int) -> Choice:
    """What `chains.choose` answers, kept from earlier or worked out now. Raises as it does."""
    place = _choices().place([b"".join(_told((problem, steps, gap, grain)))])
    body = None if place is None else _choices().kept(place)
    if body is not None:
        picked, cost, bound, within, spreads = marshal.loads(body)
        reaches = tuple(Reach(*spread) for spread in spreads)
        return Choice(picked, cost, bound, within, reaches)
    from qlog.study.matching.chains.choose import choose as work_out

    found = work_out(problem, steps=steps, gap=gap, grain=grain)
    if place is not None:
        plain = (
            tuple(tuple(tuple(map(int, chain)) for chain in one) for one in found.chains),
            int(found.cost),
            int(found.cost_bound),
            bool(found.kept_within),
            tuple((int(spread.reached), int(spread.bound)) for spread in found.spreads),
        )
        _choices().keep(place, marshal.dumps(plain))
    return found


def _told(value: Any) -> Iterator[bytes]:
    """A question in bytes: another question, other bytes."""
    if hasattr(value, "__match_args__"):
        yield f"{type(value).__name__}(".encode()
        for name in value.__match_args__:
            yield from _told(getattr(value, name))
        yield b")"
    elif isinstance(value, tuple):
        yield f"{len(value)}(".encode()
        for one in value:
            yield from _told(one)
    elif hasattr(value, "tobytes"):
        numbers = memoryview(value)
        yield f"{numbers.format}{numbers.shape}:".encode()
        yield numbers.tobytes()
    else:
        yield f"{value!r};".encode()
