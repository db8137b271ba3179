"""A name that leaves the drawing hides no entry: everything that hangs on it is named."""

from collections.abc import Callable
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Assembly, Disposition, Gap, GaugeCheck, ItemSize, Note, Setup
from qlog.logbook.store import Logbook
from qlog.review.homeless import Gone, Homeless
from qlog.review.whole import picture_from
from tests.conftest import Ran

Run = Callable[..., Ran]


@pytest.fixture
def plan(build_dir: Path, run: Run) -> Callable[..., None]:
    """Two bores and a height are read; then words of build.toml are replaced."""
    run("read", "cup", "20", "bore", "1", "22.010")
    run("read", "cup", "20", "bore", "2", "22.030")
    run("read", "cup", "10", "height", "1", "32.01")

    def changed(*pairs: tuple[str, str]) -> None:
        path = build_dir / "build.toml"
        text = path.read_text("utf-8")
        for old, new in pairs:
            assert old in text
            text = text.replace(old, new)
        path.write_text(text, encoding="utf-8")

    return changed


def lost(build_dir: Path) -> tuple[Homeless, ...]:
    build = load(build_dir)
    with Logbook(build_dir / "logbook.db") as log:
        return picture_from(build, log).homeless


RENAMED = ('id = "bore"', 'id = "socket"')
RENUMBERED = (("number = 20", "number = 25"), ("op = 20", "op = 25"))


def test_nothing_is_without_a_home_while_the_plan_stands(
    plan: Callable[..., None], build_dir: Path, run: Run
) -> None:
    plan()
    assert lost(build_dir) == ()
    assert "all sound" in run("verify").out


def test_a_renamed_dimension_is_named_wherever_one_looks(
    plan: Callable[..., None], build_dir: Path, run: Run
) -> None:
    plan(RENAMED)
    said = run("plan").out
    assert "2 entries name dimension bore of cup" in said and "cup 1, 2" in said
    (found,) = lost(build_dir)
    assert (found.gone, found.part, found.op, found.name) == (Gone.DIMENSION, "cup", 20, "bore")
    assert [e.fact.typed for e in found.readings] == ["22.010", "22.030"]
    status = run("status").out
    assert "without a home" in status and "bore" in status
    assert "`qlog rename dim cup.bore NEW`" in status
    said = "2 entries name what build.toml does not have: `qlog status` says which"
    assert said in run().out and said in run("spread").out and said in run("spread", "cup").out
    piece = run("piece", "cup-1").out
    assert "bore 22.010, a reading without a home" in piece
    verified = run("verify")
    assert verified.status == 1
    assert "2 readings without a home: cup 1, 2" in verified.err
    assert "`qlog rename dim cup.bore NEW`" in verified.err
    assert "without a home" in verified.out


def test_a_renumbered_operation_takes_no_reading_with_it(
    plan: Callable[..., None], build_dir: Path, run: Run
) -> None:
    plan(*RENUMBERED)
    (found,) = lost(build_dir)
    assert (found.gone, found.name, len(found.readings)) == (Gone.OPERATION, "20", 2)
    assert "bore 22.030, a reading without a home" in run("piece", "cup-2").out


def test_a_part_that_is_gone_is_named(plan: Callable[..., None], build_dir: Path, run: Run) -> None:
    plan(('id = "cup"', 'id = "socket"'))
    (found,) = lost(build_dir)
    assert (found.gone, found.name, len(found.entries)) == (Gone.PART, "cup", 3)
    assert run("verify").status == 1
    said = run("piece", "cup-1")
    assert "bore 22.010" in said.out and "height 32.01" in said.out and said.status == 1


def test_fewer_spares_hide_no_piece(plan: Callable[..., None], build_dir: Path, run: Run) -> None:
    run("read", "cup", "20", "bore", "4", "22.040")
    plan(("spare = 1", "spare = 0"))
    assert lost(build_dir) == ()
    assert "22.040" in run("piece", "cup-4").out
    assert '"piece": 4' in run("spread", "cup", "--json").out


def test_every_kind_of_entry_has_a_home_or_is_named(build_dir: Path) -> None:
    build = load(build_dir)
    facts = [
        Gap("cup", 20, "neck", 1, "skipped"), Gap("cup", 10, "bore", 1, "skipped"),
        Setup("cup", 40, 1, "tool"), Disposition("rim", 1, 10, "rework", "x"),
        Note("cup", None, 40, "far beyond the planned ones"), Assembly("nothing-9", "cup", 1),
        ItemSize("nothing-9", "height", "9", "9", "mm"),
        GaugeCheck("comparator", "10", "10", "mm", "0.01", 1),
    ]  # fmt: skip
    with Logbook(build_dir / "logbook.db") as log:
        for fact in facts:
            log.append(fact)
        found = picture_from(build, log).homeless
    assert sum(len(h.entries) for h in found) == len(facts)
    assert {(h.gone, h.name) for h in found} == {
        (Gone.DIMENSION, "neck"), (Gone.DIMENSION, "bore"), (Gone.OPERATION, "40"),
        (Gone.PART, "rim"), (Gone.PIECE, "cup-40"), (Gone.ITEM, "nothing-9"),
        (Gone.INSTRUMENT, "comparator"),
    }  # fmt: skip
