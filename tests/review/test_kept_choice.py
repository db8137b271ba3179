"""A choice of pieces kept from an earlier command is the one that would be worked out, or none."""

from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pytest

from qlog.review.items import kept_choice
from qlog.study.matching.chains import choose as choosing
from qlog.study.matching.chains.chain_model import ChainQuestion, Choice, Edge, ItemClass


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("QLOG_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


def question(last: int = 3) -> ChainQuestion:
    """Two pins into two of three holes: the cheapest pairs are 0 with 3 and 1 with 2."""
    cost = np.zeros((5, 5), dtype=np.int64)
    cost[0, 2:], cost[1, 2:] = (2, 0, 5), (0, last, 4)
    cost[2:, :2] = cost[:2, 2:].T
    pair = ItemClass(2, (0, 1), ((0, 1), (2, 3, 4)), (Edge(0, 1, cost),))
    return ChainQuestion(5, (pair,), ())


def asked(problem: ChainQuestion) -> tuple[Choice, bool]:
    """The answer, and whether it was worked out."""
    with patch.object(choosing, "choose", wraps=choosing.choose) as worked:
        found = kept_choice.choose(problem, steps=600, gap=0.01, grain=0)
    return found, worked.called


def test_it_is_worked_out_once_and_the_same_again(cache: Path) -> None:
    first, worked = asked(question())
    assert worked
    assert first.chains == (((0, 3), (1, 2)),)
    again, worked = asked(question())
    assert not worked
    assert again == first == choosing.choose(question(), steps=600, gap=0.01, grain=0)


@pytest.mark.parametrize(
    "other", [question(last=4), replace(question(), apart=((0, 3),))], ids=["cost", "apart"]
)
def test_another_question_is_worked_out(cache: Path, other: ChainQuestion) -> None:
    asked(question())
    found, worked = asked(other)
    assert worked
    assert found == choosing.choose(other, steps=600, gap=0.01, grain=0)


def test_another_allowance_of_work_is_another_question(cache: Path) -> None:
    asked(question())
    with patch.object(choosing, "choose", wraps=choosing.choose) as worked:
        kept_choice.choose(question(), steps=599, gap=0.01, grain=0)
    assert worked.called


def test_a_kept_choice_that_was_altered_is_not_believed(cache: Path) -> None:
    first, _ = asked(question())
    (path,) = cache.glob("*.choice")
    sound = path.read_bytes()
    for place in range(len(sound)):
        spoilt = bytearray(sound)
        spoilt[place] ^= 1
        path.write_bytes(spoilt)
        assert asked(question()) == (first, True)
    assert asked(question()) == (first, False)


def test_other_code_works_it_out_anew(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked(question())
    monkeypatch.setattr("qlog.worked_out.__version__", "another")
    assert asked(question())[1]


def test_without_a_place_it_is_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("QLOG_CACHE", "")
    assert asked(question())[1]
    assert asked(question())[1]
