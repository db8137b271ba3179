"""A size computed from readings: planned, read, judged, corrected, exported, shown."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.drawing.build_file.mistakes import PlanError
from qlog.logbook.facts import Reading
from qlog.logbook.store import Logbook
from qlog.phone.guard import Keys
from tests.conftest import Ran, run_qlog
from tests.phone.conftest import HOST, Phone, make_app

Run = Callable[..., Ran]

WIRES = """
  [[part.dim]]
  id = "over"
  name = "over three wires"
  callout = "reading 9.2"
  op = 20
  instrument = "micrometer"

  [[part.dim]]
  id = "pitch"
  name = "pitch diameter"
  callout = "M8-6g pitch"
  op = 20
  from = { rule = "wires", over = "over", wire = "0.724 ±0.0005", pitch = 1.25 }
"""


@pytest.fixture
def threaded(build_dir: Path) -> Path:
    """The cup has a thread that is measured over wires."""
    write(build_dir, WIRES)
    return build_dir


def write(folder: Path, more: str) -> None:
    plan = folder / "build.toml"
    text = plan.read_text("utf-8")
    plan.write_text(
        text.replace('\n[[part]]\nid = "ring"', f'{more}\n[[part]]\nid = "ring"'), "utf-8"
    )


def test_the_raw_reading_is_kept_and_the_size_judged(threaded: Path, run: Run) -> None:
    assert "wires(over, 0.724, 1.25, 60)" in run("plan", "cup").out
    ran = run("read", "cup", "20", "over", "1", "8,190")
    assert "cup-1 over  8.190 mm\n  cup-1 pitch = 7.1005 mm  good" in ran.out
    out = run("read", "cup", "20", "over", "2", "8.27")
    assert (out.status, "out high" in out.out, "0.0205 beyond 7.160" in out.out) == (1, True, True)
    with Logbook(threaded / "logbook.db") as log:
        assert [(e.fact.dimension, e.fact.typed) for e in log.live(Reading)] == [
            ("over", "8,190"), ("over", "8.27"),
        ]  # fmt: skip
    assert "pitch op 20" in run("spread", "cup").out
    assert "over op 20" not in run("spread", "cup").out
    budget = run("gauge", "budget", "cup", "pitch").out
    # (0.0005 / sqrt(3)) x 3 = 0.00087 from the wires, 0.002 / sqrt(3) and a step from the reading
    assert "times -3" in budget
    assert "0.00087" in budget
    assert "combined u = 0.0015 mm" in budget


def test_a_wrong_reading_corrected_or_taken_back_takes_the_size_along(
    threaded: Path, run: Run
) -> None:
    run("read", "cup", "20", "over", "1", "8.27")
    assert "7.181 mm, out high" in run("status").out.replace("7.1805", "7.181")
    ran = run("correct", "cup", "20", "over", "1", "8.19", "--why", "misread")
    assert "pitch = 7.1005 mm  good" in ran.out
    assert "out high" not in run("status").out
    told = run("cup-1").out
    assert "pitch diameter 7.1005, computed from over 8.19 mm" in told
    assert "over three wires 8.19" in told
    with Logbook(threaded / "logbook.db") as log:
        number = log.live(Reading)[0].id
    run("undo", str(number), "--why", "another piece")
    assert "7.1005" not in run("cup-1").out
    run("done", "cup", "10")
    run("done", "cup", "20", "1")
    assert "pitch diameter: no reading of piece 1" in run("status").out


def test_what_is_computed_is_not_typed(threaded: Path, run: Run) -> None:
    ran = run("read", "cup", "20", "pitch", "1", "7.1")
    assert (ran.status, "computed from over; read that" in ran.err) == (2, True)
    table = threaded / "in.csv"
    table.write_text("piece,pitch\n1,7.1\n", "utf-8")
    ran = run("read", "cup", "--csv", str(table))
    assert (ran.status, "pitch is computed from over" in ran.err) == (2, True)
    ran = run("read", "cup", "20", "pitch", stdin="8.19\n8.2\n")
    assert ran.out.count("pitch = 7.1") == 2, "asked for the size, its readings are asked for"
    assert "decimal" in run("read", "cup", "20", "over", "4", "81.9").err


def test_the_export_has_both_and_reads_in_again(threaded: Path, run: Run, tmp_path: Path) -> None:
    run("read", "cup", "20", "over", "1", "8.19")
    rows = [json.loads(line) for line in run("export", "--json-lines").out.splitlines()]
    assert [(r["dimension"], r["typed"], r["size"], r["verdict"]) for r in rows] == [
        ("over", "8.19", None, None), ("pitch", None, "7.1005", "good"),
    ]  # fmt: skip
    assert rows[1]["computed"].startswith("over=8.19 mm; wire=0.724 mm")
    assert rows[1]["standard_uncertainty"] == "0.0015"
    out = tmp_path / "out.csv"
    run("export", "-o", str(out))
    again = run("read", "--csv", str(out), "--yes")
    assert again.status == 0, again.err
    with Logbook(threaded / "logbook.db") as log:
        assert len(log.live(Reading)) == 1


def test_sheet_and_page_ask_for_the_reading_and_show_what_it_gives(
    threaded: Path, run: Run
) -> None:
    run("read", "cup", "20", "over", "1", "8.19")
    run("sheet", "cup", "20")
    sheet = (threaded / "sheet-cup-op20.html").read_text("utf-8")
    assert "over three wires" in sheet
    assert "pitch diameter" not in sheet
    run("record")
    pages = threaded / "record" / "maker" / "dimensions"
    page = (pages / "cup-pitch.html").read_text("utf-8")
    assert "Computed from over 8.19\N{NARROW NO-BREAK SPACE}mm" in page
    assert "M - w (1 + 1/sin(a/2)) + (p/2) cot(a/2)" in page
    assert "ASME B1.2" in page
    assert "wire 0.724 ±0.0005\N{NARROW NO-BREAK SPACE}mm" in page
    assert not list(pages.glob("cup-over*"))
    assert run("verify").status == 0
    recipient = [f.read_text("utf-8") for f in (threaded / "record" / "recipient").rglob("*.html")]
    assert not any("three wires" in text for text in recipient)


def test_the_phone_answers_with_the_size(threaded: Path) -> None:
    keys = Keys()
    app = make_app(threaded / "build.toml", keys, HOST)
    phone = Phone(app.test_client(), threaded, keys).come_in()
    run_qlog("--build", str(threaded), "done", "cup", "10")
    answer = phone.read(1, "8.27", "over")
    assert answer["reading"]["word"] == ""
    [said] = answer["computed"]
    assert (said["shape"], said["out"]) == ("high", True)
    assert "pitch diameter 7.1805" in said["text"]
    page = phone.get("/operation/cup/20").get_json()
    assert [d["id"] for d in page["dimensions"]] == ["bore", "look", "over"]


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ('rule = "wire", over = "over"', 'rule "wire" is not known'),
        ('rule = "wires", over = "over", pitch = "1.25"', "wire is missing"),
        ('rule = "wires", over = "ovr", wire = "0.7", pitch = "1.25"', "neither a dimension"),
        ('rule = "wires", over = "look", wire = "0.7", pitch = "1.25"', "look is no length"),
        ('rule = "wires", over = "pitch", wire = "0.7", pitch = "1.25"', "computed itself"),
        ('rule = "wires", over = "9.2", wire = "0.7", pitch = "1.25"', "nothing is read for it"),
        ('rule = "sine-bar", height = "over", length = "100"', "computes no M8-6g pitch"),
        ('rule = "wires", over = "over", wire = "0.7", pitch = "1.25", angle = "30 mm"', "neither"),
        ('rule = "wires", over = "over", wire = "0.7", pitch = "1.25", x = 1', "not known here"),
    ],
)
def test_what_cannot_be_computed_is_named_with_its_line(
    build_dir: Path, written: str, said: str
) -> None:
    good = 'rule = "wires", over = "over", wire = "0.724 ±0.0005", pitch = 1.25'
    write(build_dir, WIRES.replace(good, written))
    with pytest.raises(PlanError) as raised:
        load(build_dir / "build.toml")
    assert any(said in str(m) for m in raised.value.mistakes), raised.value.mistakes
