"""A flipped byte that changes data is found; see tests/benchmarks/flipped_logbook.py."""

from pathlib import Path

from tests.demo_record import demo
from tests.flipped import flip_at_random


def test_fifty_flipped_bytes_that_change_data_are_all_found(tmp_path: Path) -> None:
    told = flip_at_random(demo().folder, tmp_path / "flipped", flips=50, seed=22)
    assert (told.found, told.data, told.missed, told.untreated) == (50, 50, [], [])
