"""Sent out and back: counted, flagged before they leave, and the layer read from what came back."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran

Run = Callable[..., Ran]

#: Invented: a pin that is chemically blackened elsewhere, 10 to 20 µm a surface.
PIN = """
title = "Pins"
rule = "simple"
[instrument.micrometer]
name = "micrometer"
kind = "micrometer"
step = 0.001
error = 0.002
[instrument.other]
name = "other micrometer"
kind = "micrometer"
step = 0.001
error = 0.004
[[part]]
id = "pin"
name = "Pin"
needed = 4
spare = 1
  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"
  [[part.op]]
  number = 20
  name = "plate"
  kind = "plating"
  sent-out = "the plater"
  irreversible = true
  layer = "0.010..0.020"
  [[part.dim]]
  id = "outside"
  name = "outside"
  callout = "Ø12 ±0.03"
  op = 20
  before = { op = 10, callout = "Ø11.97 ±0.03" }
  instrument = "micrometer"
  measures = "outside"
"""


@pytest.fixture
def turned(build_dir: Path, run: Run) -> Path:
    (build_dir / "build.toml").write_text(PIN, encoding="utf-8")
    assert run("done", "pin", "10").status == 0
    sizes = ("11.970", "11.972", "11.968", "11.995", "11.971")
    assert run("read", "pin", "10", stdin="\n".join(sizes) + "\n").status == 0
    return build_dir


def test_what_the_layer_would_push_out_is_flagged_before_it_leaves(turned: Path, run: Run) -> None:
    ran = run("send", "pin", "20", "--ask")
    assert ran.status == 1
    # 11.995 grows by twice 10 to 20 µm: 12.015 to 12.035, limit 12.03.
    assert "look  pin-4 outside 11.995 mm may be out after the layer: 12.015 to 12.035" in ran.out
    assert "pin-1 " not in ran.out
    assert "cannot be undone; 1 pin to spare" in ran.out
    assert run("back", "pin", "20").status == 2  # nothing was sent by asking


def test_pieces_out_are_pieces_back_and_the_layer_is_the_paired_change(
    turned: Path, run: Run
) -> None:
    ran = run("send", "pin", "20", "1-3,5")
    assert (ran.status, "pin-op20-1: 4 out to the plater: pin 1-3, 5" in ran.out) == (0, True)
    assert "sent out and not back" in run("status").out
    ran = run("send", "pin", "20", "2")
    assert ran.status == 2
    assert "pin-2: away already" in ran.err
    ran = run("back", "pin", "20", "1,2")
    assert ran.status == 1
    assert "pin 3, 5 still away" in ran.out
    ran = run("back", "pin", "20")
    assert (ran.status, "all back" in ran.out) == (0, True)
    assert "now read them: qlog read pin 20" in ran.out
    # 28, 30, 32 and 30 µm larger: the layer is half of the mean of 30.
    assert run("read", "pin", "20", stdin="11.998\n12.002\n12.000\n\n12.001\n").status == 0
    ran = run("back", "pin", "20", "--sizes")
    assert "changed by +0.0300 mm on 4 pieces" in ran.out
    assert "layer of 0.0150 mm a surface" in ran.out
    # s = 1.633 µm of the four differences, t(3, 97.5 %) = 3.182: 30 ± 2.6 µm.
    assert "(95 %: +0.0274 to +0.0326)" in ran.out


def test_another_instrument_afterwards_brings_its_error_into_the_layer(
    turned: Path, run: Run
) -> None:
    run("send", "pin", "20", "1-3,5")
    run("back", "pin", "20")
    read = ("read", "pin", "20", "-i", "other")
    assert run(*read, stdin="11.998\n12.002\n12.000\n\n12.001\n").status == 0
    out = run("back", "pin", "20", "--sizes").out
    # The errors of 2 and 4 µm no longer cancel: u = sqrt(2²/3 + 4²/3) = 2.58 µm beside the 0.8 of
    # the mean; 1.96 of both is 5.3 µm, where one instrument leaves 2.6.
    assert "layer of 0.0150 mm a surface" in out
    assert "(95 %: +0.0247 to +0.0353)" in out


def test_what_cannot_go(turned: Path, run: Run) -> None:
    run("piece", "pin-5", "scrap", "--why", "dropped")
    assert "pin-5: scrapped; nothing was sent" in run("send", "pin", "20", "5").err
    ran = run("send", "pin", "10", "1")
    assert (ran.status, "names nobody" in ran.err) == (2, True)
    assert run("back", "pin", "20", "1").status == 2
    ran = run("send", "pin", "20", "--ask")
    assert "no spare pin" in ran.out


def test_blanks_that_were_never_begun_stay_here(build_dir: Path, run: Run) -> None:
    (build_dir / "build.toml").write_text(PIN, encoding="utf-8")
    run("done", "pin", "10", "1-4")
    run("read", "pin", "10", stdin="11.970\n11.972\n11.968\n11.971\n")
    ran = run("send", "pin", "20")
    assert ran.status == 0
    assert "pin-5: an earlier operation is open, and they stay here" in ran.out
    assert "4 out to the plater: pin 1-4" in ran.out
    ran = run("send", "pin", "20")
    assert (ran.status, "pin-5: an earlier operation is open" in ran.err) == (2, True)


def test_a_delivery_note_and_a_receiving_sheet_go_along(turned: Path, run: Run) -> None:
    sheet = turned / "parcel.html"
    words = ("send", "pin", "20", "1-3", "--sheet", str(sheet), "--mask", "the centre hole")
    assert run(*words, "--note", "hang it by the hole", "--made", "2026-04-18").status == 0
    page = sheet.read_text(encoding="utf-8").replace("\N{NARROW NO-BREAK SPACE}", " ")
    for text in ("Delivery note", "the plater", "18 April 2026", "Operation 20: plate", "3 pieces",
                 "the centre hole", "hang it by the hole", "0.010 to 0.020", "11.970",
                 "Receiving sheet", "11.97 to 12.03"):  # fmt: skip
        assert text in page, text
    assert page.count("pin-1<") == 2
    assert "pin-4" not in page and "<script" not in page


def test_a_sheet_that_cannot_be_written_sends_nothing(turned: Path, run: Run) -> None:
    other = turned / "parcel.html"
    other.write_text("mine", encoding="utf-8")
    ran = run("send", "pin", "20", "1", "--sheet", str(other))
    assert (ran.status, other.read_text(encoding="utf-8")) == (2, "mine")
    assert "1 out to" in run("send", "pin", "20", "1").out
    assert run("send", "pin", "20", "2", "--mask", "the hole").status == 2
