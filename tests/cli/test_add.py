"""`qlog add`: written where a person would have, every other line as it was, or nothing at all."""

from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from tests.conftest import SMALL_PLAN, run_qlog


def lines_of(folder: Path) -> list[str]:
    return (folder / "build.toml").read_text(encoding="utf-8").splitlines()


def kept(before: list[str], after: list[str]) -> bool:
    """Whether all lines of before stand in after, in their order."""
    rest = iter(after)
    return all(line in rest for line in before)


def add(folder: Path, *words: str) -> str:
    ran = run_qlog("--build", str(folder), "add", *words)
    assert ran.status == 0, ran.err
    return ran.out


@pytest.fixture
def example(tmp_path: Path) -> Path:
    folder = tmp_path / "b"
    assert run_qlog("new", str(folder), "--example").status == 0
    return folder


def test_a_dimension_shows_its_limits_and_leaves_every_remark(example: Path) -> None:
    before = lines_of(example)
    said = add(example, "dim", "cup", "mouth", "Ø23 +0.05/0", "--after", "20", "--with", "caliper")
    assert "23.00 to 23.05 mm" in said
    after = lines_of(example)
    assert kept(before, after) and len(after) == len(before) + 6
    cup = load(example).part("cup")
    assert [d.id for d in cup.dimensions][-1] == "mouth"  # no number on the drawing moves
    assert cup.dimension("mouth").op == 20


@pytest.mark.parametrize(
    "words",
    [
        ("op", "cup", "ream", "--after", "10", "--kind", "reaming"),
        ("op", "cup", "clean"),
        ("part", "foot", "--needed", "8", "--op", "turn"),
        ("instrument", "depth-rod", "--step", "0.01", "--error", "0.02"),
        ("item", "low", "--count", "1", "--takes", "foot"),
        ("joint", "cup.bore", "stem.spigot", "--clearance", "0.01..0.05", "--id", "second"),
    ],
)
def test_whatever_is_added_every_other_line_stays(example: Path, words: tuple[str, ...]) -> None:
    if words[0] == "item":
        add(example, "part", "foot", "--needed", "8", "--op", "turn")
    before = lines_of(example)
    add(example, *words)
    assert kept(before, lines_of(example))
    load(example)


def test_an_operation_between_two_gets_a_number_between_them(example: Path) -> None:
    add(example, "op", "cup", "ream", "--after", "10")
    assert [o.number for o in load(example).part("cup").operations] == [10, 15, 20, 30]


def test_pieces_past_a_new_operation_are_named(build_dir: Path) -> None:
    run_qlog("--build", str(build_dir), "done", "cup", "10")
    run_qlog("--build", str(build_dir), "done", "cup", "20", "1-2")
    said = add(build_dir, "op", "cup", "ream", "--after", "10")
    assert "cup 1, 2 went past op 15" in said and "`qlog done cup 15 1, 2`" in said


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("dim", "cup", "bore", "Ø5"), "cup.bore is there already"),
        (("dim", "cup", "x", "about 5"), "about 5"),
        (("dim", "cup", "x", "5 ±0.1", "--with", "rule"), "no instrument 'rule'"),
        (("joint", "cup.nothing", "stem.spigot", "--fit", "H7/g6"), "nothing"),
        (("part", "cup", "--needed", "1", "--op", "x"), "cup is there already"),
        (("op", "cup", "x", "--number", "10"), "has an op 10 already"),
        (("dim", "cup", "x"), "say CALLOUT"),
    ],
)
def test_what_would_leave_no_plan_is_not_written(
    example: Path, words: tuple[str, ...], why: str
) -> None:
    before = lines_of(example)
    ran = run_qlog("--build", str(example), "add", *words)
    assert ran.status == 2 and why in ran.err
    assert lines_of(example) == before


def test_a_part_comes_from_another_build_with_what_it_needs(example: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    (other / "build.toml").write_text(
        SMALL_PLAN.replace('id = "cup"', 'id = "pan"').replace(
            "[instrument.micrometer]\n", "[instrument.micrometer-2]  # the good one\n"
        ).replace('"micrometer"\n  measures', '"micrometer-2"\n  measures').replace(
            'op = 10\n  instrument = "micrometer"', "op = 10"
        ),
        encoding="utf-8",
    )  # fmt: skip
    before = lines_of(example)
    said = add(example, "part", "pan", "--from", str(other))
    assert "instrument micrometer-2, part pan" in said
    after = lines_of(example)
    assert kept(before, after)
    assert "[instrument.micrometer-2]  # the good one" in after
    assert load(example).part("pan").dimension("bore").instrument == "micrometer-2"


def test_a_file_of_another_system_keeps_its_line_ends(build_dir: Path) -> None:
    path = build_dir / "build.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL_PLAN.replace("\n", "\r\n").encode())
    add(build_dir, "op", "ring", "deburr")
    raw = path.read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf") and raw.count(b"\n") == raw.count(b"\r\n")


def test_what_passes_or_fails_is_not_said_to_lack_an_instrument(example: Path) -> None:
    assert "(passes or fails)" in add(example, "dim", "cup", "thread", "8-32", "--after", "10")
    said = add(example, "dim", "cup", "step", "5 ±0.1", "--after", "10")
    assert "no instrument named: verdicts by the limits alone, the uncertainty unknown" in said
