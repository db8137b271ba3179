"""The chart across dimensions that one machine cut alike and one instrument read."""

import html
import json
from decimal import Decimal
from functools import partial
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Reading
from qlog.logbook.store import Logbook, create
from qlog.record.pages.compare import compare_leaves
from qlog.review.part.charts.deviations import ToolDrift
from qlog.review.whole import picture_from
from qlog.words.catalogue import load as load_words
from qlog.words.trend import machine_text
from tests.conftest import run_qlog

PLAN = """\
title = "Two plugs"
units = "mm"
rule = "simple"
[instrument.mic]
name = "micrometer"
kind = "micrometer"
step = 0.001
error = 0.002
"""

PART = """
[[part]]
id = "{id}"
name = "{id}"
needed = 3
  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"
  machine = "{machine}"
  [[part.dim]]
  id = "size"
  name = "size"
  callout = "{callout}"
  op = 10
  instrument = "mic"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    parts = [("a", "lathe", "Ø10 +0.02/0"), ("b", "lathe", "Ø20 ±0.01"), ("c", "mill", "5 ±0.1")]
    text = PLAN + "".join(PART.format(id=i, machine=m, callout=c) for i, m, c in parts)
    (tmp_path / "build.toml").write_text(text, encoding="utf-8")
    create(tmp_path / "logbook.db")
    return tmp_path


def test_only_what_shares_machine_cut_and_instrument_shares_a_chart(folder: Path) -> None:
    build = load(folder)
    with Logbook(folder / "logbook.db") as log:
        for part, values in {
            "b": ("20.003", "20.001", "20.002"),
            "a": ("10.011", "10.013", "10.012"),
            "c": ("5.01", "5.02", "5.03"),
        }.items():
            for piece, value in enumerate(values, start=1):
                log.append(Reading(part, 10, "size", piece, value, value, "mm", "mic"))
        (view,) = picture_from(build, log).deviations
    assert (view.machine, view.cut, view.instrument) == ("lathe", "turning", "mic")
    # In the order of making, each against the middle of its limits: 20.000 and 10.010.
    assert [s.id for s in view.series] == ["b-size", "a-size"]
    assert view.pieces == ((1, 2, 3), (1, 2, 3))
    assert [Decimal(repr(v)).quantize(Decimal("0.001")) for v in view.chart.chart.values] == [
        Decimal(v) for v in ("0.003", "0.001", "0.002", "0.001", "0.003", "0.002")
    ]
    assert view.chart.comparable
    # No moving range across the two: |0.001 - 0.003|, |0.002 - 0.001| and the same again.
    assert view.chart.chart.ranges[3] is None


def test_the_order_of_making_is_that_of_the_moments_whatever_their_offset(folder: Path) -> None:
    build = load(folder)
    # b at 00:00 UTC, a at 02:00 UTC, although its clock showed less.
    with Logbook(folder / "logbook.db") as log:
        for part, made in (("a", "2026-03-01T01:00:00-01:00"), ("b", "2026-03-01T02:00:00+02:00")):
            for piece in (1, 2, 3):
                value = {"a": f"10.01{piece}", "b": f"20.00{piece}"}[part]
                log.append(Reading(part, 10, "size", piece, value, value, "mm", "mic"), made=made)
        (view,) = picture_from(build, log).deviations
    assert [s.id for s in view.series] == ["b-size", "a-size"]


AGAIN = """
  [[part.op]]
  number = 20
  name = "turn the end"
  kind = "turning"
  machine = "lathe"
"""


def test_a_size_read_again_after_a_later_cut_is_compared_with_its_first_readings(
    folder: Path,
) -> None:
    own = PART.format(id="d", machine="lathe", callout="Ø10 +0.02/0")
    head, dim, tail = own.partition("  [[part.dim]]")
    (folder / "build.toml").write_text(PLAN + head + AGAIN + dim + tail, encoding="utf-8")
    readings = {10: ("10.011", "10.013", "10.012"), 20: ("10.009", "10.010")}  # one is not read
    with Logbook(folder / "logbook.db") as log:
        for op, values in readings.items():
            for piece, value in enumerate(values, start=1):
                log.append(Reading("d", op, "size", piece, value, value, "mm", "mic"))
        picture = picture_from(load(folder), log)
    ((_, (section,)),) = compare_leaves(picture, load_words("en"))
    assert [(m.href, m.count, m.picture.dots.count("M")) for m in section.members] == [
        ("dimensions/d-size-op10.html", "3 readings", 3),
        ("dimensions/d-size-op20.html", "2 readings", 2),
    ]


def drifting(folder: Path, deviations: list[int], tool: str = "insert") -> tuple[ToolDrift, str]:
    """Four parts of three pieces, one after the other; deviations in thousandths."""
    sizes = {"a": 10, "b": 20, "c": 30, "d": 40}
    text = PLAN + "".join(
        PART.format(id=i, machine="lathe", callout=f"Ø{s} ±0.02").replace(
            '  machine = "lathe"\n', f'  machine = "lathe"\n  tool = "{tool}"\n'
        )
        for i, s in sizes.items()
    )
    (folder / "build.toml").write_text(text, encoding="utf-8")
    build = load(folder)
    with Logbook(folder / "logbook.db") as log:
        for number, deviation in enumerate(deviations):
            part, piece = "abcd"[number // 3], number % 3 + 1
            value = str(sizes[part] + Decimal(deviation) / 1000)
            made = f"2026-03-01T10:{number:02}:00+00:00"
            log.append(Reading(part, 10, "size", piece, value, value, "mm", "mic"), made=made)
        (view,) = picture_from(build, log).deviations
    (found,) = view.drifts
    return found, machine_text(view, found, load_words("en"))


def test_batches_of_three_show_together_that_the_machine_drifts(folder: Path) -> None:
    found, text = drifting(folder, [-9, -8, -7, -4, -4, -1, 0, 3, 4, 5, 8, 9])
    assert found.found.speaks
    run = partial(run_qlog, "--build", str(folder))
    assert run("status").status == run("drift").status == 1
    (told,) = [
        f for f in json.loads(run("status", "--json").out)["findings"] if "machine" in f["kind"]
    ]
    assert text.replace("\u202f", " ") == told["text"]
    (row,) = json.loads(run("drift", "--json").out)["machines"]
    assert (row["sentence"], row["drifting"], row["shape"]) == (told["text"], True, "creep")
    assert told["text"] in run("drift").out
    assert run("record").status == 0
    for page, where in (
        ("index", 'href="compare.html#across-1"'),
        ("compare", 'id="across-1"'),
    ):
        shown = (folder / "record" / "maker" / f"{page}.html").read_text("utf-8")
        assert text in html.unescape(shown)
        assert where in shown
    assert (found.parts, found.pieces) == (("a", "b", "c", "d"), 12)
    assert text.startswith("lathe, insert: over 12 pieces of a, b, c, d")
    assert "growing by about 0.0017\u202fmm a piece" in text


def test_a_part_aimed_elsewhere_is_no_drift_of_the_machine(folder: Path) -> None:
    found, text = drifting(folder, [0, 1, -1, 1, 0, -1, 12, 13, 11, 12, 13, 12])
    assert found.found.drift.speaks
    assert found.found.aimed
    assert "may be how the part was aimed" in text
    assert not found.found.speaks


def test_steady_batches_say_nothing(folder: Path) -> None:
    found, text = drifting(folder, [0, 1, -1, 1, 0, -1, 1, 0, 1, -1, 0, 1])
    assert not found.found.drift.speaks
    assert "no drift was found over 12 pieces" in text
    assert "machine drift" not in run_qlog("--build", str(folder), "status", "--json").out
