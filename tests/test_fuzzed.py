"""Random input of every kind: answered or refused in our own words, the same cases in every run."""

from pathlib import Path

import pytest

from tests.fuzzing import SHARES, fuzz


@pytest.mark.parametrize("seed", [1, 2])
def test_random_input_ends_in_an_answer_or_in_a_word(tmp_path: Path, seed: int) -> None:
    found = fuzz(tmp_path, cases=400, seed=seed)
    assert found.finds == []
    assert set(found.cases) == set(SHARES)
    assert 0 < found.refused < 400
