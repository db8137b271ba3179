"""Marks all the way: what is typed, printed, exported, handed over calls pieces by their mark."""

import csv
import io
import json
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.intake.photos.names import place_by_name
from qlog.intake.photos.proposals import routes_of
from qlog.intake.typed.places import piece_and_value
from qlog.logbook.facts import Assembly, Disposition, Reading
from qlog.logbook.store import Logbook, create
from tests.conftest import Ran, run_qlog

PLAN = """\
title = "A chime of bells"
{head}

[instrument.caliper]
name = "caliper"
kind = "caliper"
step = 0.01
error = 0.03

[[part]]
id = "bell"
name = "Bell"
needed = 3
spare = 1
marks = ["Nora", "T", "S", "No.4"]
  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"
  [[part.dim]]
  id = "mouth"
  name = "mouth"
  callout = "Ø40 ±0.2"
  op = 10
  instrument = "caliper"

[[part]]
id = "arm"
name = "Arm"
needed = 3
spare = 0
marks = "2..4"
  [[part.op]]
  number = 10
  name = "mill"
  kind = "milling"
  [[part.dim]]
  id = "length"
  name = "length"
  callout = "60 ±0.2"
  op = 10
  instrument = "caliper"

[[item]]
id = "chime"
name = "Chime"
count = 3
takes = {{ bell = 1, arm = 1 }}
marks = "No. 1..No. 3"
mark-place = "inside the rim"
"""


@pytest.fixture
def bells(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    head = f'language = "{getattr(request, "param", "en")}"'
    (tmp_path / "build.toml").write_text(PLAN.format(head=head), encoding="utf-8")
    create(tmp_path / "logbook.db")
    return tmp_path


def run(folder: Path, *words: str, stdin: str = "") -> Ran:
    return run_qlog("--build", str(folder), *words, stdin=stdin)


def read_of(folder: Path, part: str) -> dict[int, str]:
    with Logbook(folder / "logbook.db") as log:
        return {e.fact.piece: e.fact.value for e in log.live(Reading, part=part)}


def test_what_is_typed_at_the_bench(bells: Path) -> None:
    # S and T are keys of the sitting as well: with a value behind them they are marks.
    ran = run(bells, "read", "bell", "10", stdin="S 40.05\nnora=40.02\nbell-t 39.9\n40.1\n")
    assert ran.status == 0, ran.err
    assert read_of(bells, "bell") == {3: "40.05", 1: "40.02", 2: "39.9", 4: "40.1"}
    assert "bell-S mouth" in ran.out and "bell-No.4" in ran.out and "bell-3" not in ran.out
    # Numbers that are marks mean marks: arm 2 is the first one.
    assert run(bells, "read", "arm", "10", "length", "2", "60.02").status == 0
    assert run(bells, "arm-3", "length", "60.04").status == 0
    assert run(bells, "read", "arm", "10", stdin="4=60.1\n").status == 0
    assert read_of(bells, "arm") == {1: "60.02", 2: "60.04", 3: "60.1"}
    wrong = run(bells, "read", "arm", "10", "length", "1", "60.02")
    assert wrong.status == 2 and "marks: 2, 3, 4" in wrong.err


@pytest.mark.parametrize("bells", ["en", "de"], indirect=True)
def test_every_command_calls_them_so(bells: Path) -> None:
    run(bells, "read", "bell", "10", stdin="40.02\n40.9\n40.05\n40.1\n")
    run(bells, "read", "arm", "10", stdin="60.02\n60.04\n60.1\n")
    done = run(bells, "done", "bell", "10", "nora,s")
    assert "bell Nora, S" in done.out, done.out
    run(bells, "done", "bell", "10")
    status = run(bells, "status", "bell")
    assert "bell-T" in status.out and "qlog piece bell-T" in status.out
    assert "bell-2" not in status.out
    assert run(bells, "T", "scrap", "--why", "too wide").status == 0
    with Logbook(bells / "logbook.db") as log:
        assert [(e.fact.part, e.fact.piece) for e in log.live(Disposition)] == [("bell", 2)]
    history = run(bells, "bell-nora")
    assert history.status == 0 and "bell-Nora" in history.out
    assert "bell-T" in run(bells, "stock").out
    corrected = run(bells, "correct", "bell", "10", "mouth", "s", "40.06", "--why", "misread")
    assert corrected.status == 0, corrected.err
    assert read_of(bells, "bell")[3] == "40.06"


def test_items_are_assembled_by_mark_and_a_kept_match_means_numbers(bells: Path) -> None:
    run(bells, "read", "bell", "10", stdin="40.02\n40.0\n40.05\n40.1\n")
    run(bells, "read", "arm", "10", stdin="60.02\n60.04\n60.1\n")
    run(bells, "done", "bell", "10")
    run(bells, "done", "arm", "10")
    one = run(bells, "assemble", "no. 2", "bell-t", "arm-4")
    assert one.status == 0 and one.out.strip() == "No. 2: bell-T arm-4", one.err
    kept = run(bells, "match", "--keep")
    assert "No. 1" in kept.out and "chime-1" not in kept.out, kept.out
    all_ = run(bells, "assemble", "--as-matched")
    assert "No. 3: bell-" in all_.out, (all_.out, all_.err)
    with Logbook(bells / "logbook.db") as log:
        assert {e.fact.item for e in log.live(Assembly)} == {"chime-1", "chime-2", "chime-3"}
        assert {e.fact.piece for e in log.live(Assembly, part="arm")} == {1, 2, 3}


def test_csv_in_and_out(bells: Path, tmp_path: Path) -> None:
    file = tmp_path / "r.csv"
    file.write_text("piece,mouth\nNora,40.02\nT,40.03\nbell-S,40.05\n", encoding="utf-8")
    ran = run(bells, "read", "bell", "10", "--csv", str(file), "--yes")
    assert ran.status == 0, ran.err
    run(bells, "read", "arm", "10", "length", "2", "60.02")
    rows = [json.loads(line) for line in run(bells, "export", "--json-lines").out.splitlines()]
    assert [(r["part"], r["piece"], r["mark"]) for r in rows] == [
        ("bell", 1, "Nora"), ("bell", 2, "T"), ("bell", 3, "S"), ("arm", 1, "2"),
    ]  # fmt: skip
    wide = run(bells, "export", "bell", "--wide").out
    assert [row[0] for row in csv.reader(io.StringIO(wide)) if row][-3:] == ["Nora", "T", "S"]
    # Both forms read in again change nothing.
    for name, text in (("w.csv", wide), ("l.csv", run(bells, "export").out)):
        (tmp_path / name).write_text(text, encoding="utf-8")
        words = ("read", "bell", "10") if name == "w.csv" else ("read",)
        again = run(bells, *words, "--csv", str(tmp_path / name), "--yes")
        assert again.status == 0, (name, again.err)
    assert read_of(bells, "arm") == {1: "60.02"} and len(read_of(bells, "bell")) == 3


def test_pages_and_sheets(bells: Path) -> None:
    run(bells, "read", "bell", "10", stdin="40.02\n40.0\n40.05\n40.1\n")
    run(bells, "done", "bell", "10")
    run(bells, "sheet", "bell", "10", "-o", str(bells / "sheet.html"))
    sheet = (bells / "sheet.html").read_text(encoding="utf-8")
    assert "bell-Nora" in sheet and "bell-1" not in sheet
    assert run(bells, "record").status in (0, 1)
    maker = "".join(
        f.read_text(encoding="utf-8") for f in sorted((bells / "record/maker").rglob("*.html"))
    )
    assert "bell-Nora<" in maker and ">bell-1<" not in maker
    assert 'id="bell-1"' in maker and '#bell-1"' in maker  # addresses stay
    recipient = (bells / "record/recipient/items.html").read_text(encoding="utf-8")
    assert "No. 1" in recipient


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("S 40.05", (3, "40.05")), ("bell-nora 40", (1, "40")), ("T=40.1", (2, "40.1")),
        ("No.4 .5", (4, ".5")), ("3 40.05", (3, "40.05")), ("s", None), ("s p why", None),
        ("note 1", None), ("40.05", None),
    ],
)  # fmt: skip
def test_a_value_with_its_mark(bells: Path, text: str, found: tuple[int, str] | None) -> None:
    assert piece_and_value(load(bells).part("bell"), text) == found


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("bell-Nora turn.jpg", ("bell", 10, 1)), ("bell_No.4.jpg", ("bell", 10, 4)),
        ("arm-4.jpg", ("arm", 10, 3)), ("arm piece 2.jpg", ("arm", 10, 1)),
        ("arm-1.jpg", None), ("bell-Toni.jpg", None),
    ],
)  # fmt: skip
def test_names_of_photos_speak_of_marks(
    bells: Path, name: str, found: tuple[str, int, int] | None
) -> None:
    place = place_by_name(Path(name), routes_of(load(bells)))
    assert (None if place is None else (place.part, place.op, place.piece)) == found


def test_the_plan_says_when_a_mark_goes_to_another_piece(bells: Path) -> None:
    run(bells, "read", "bell", "10", stdin="40.02\n")
    plan = bells / "build.toml"
    text = plan.read_text(encoding="utf-8")
    plan.write_text(text.replace('"Nora", "T"', '"T", "Nora"'), encoding="utf-8")
    said = run(bells, "plan")
    assert "the pieces are marked T, Nora, S, No.4" in said.out
    assert "Nora" in said.out + said.err and "bell: marks" in said.out + said.err
