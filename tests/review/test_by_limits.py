"""Limits that change, pieces scrapped or reworked, places read twice: each counted as it was."""

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Disposition, Done, Reading
from qlog.logbook.own_words import Own
from qlog.logbook.store import Logbook
from qlog.review.findings.kinds import Out
from qlog.review.part.batch import SeriesView
from qlog.review.picture import Picture
from qlog.review.views import Slot, Standing
from qlog.review.whole import picture_from
from qlog.study.conformity.verdict import Verdict
from tests.conftest import Ran

Run = Callable[..., Ran]


class Bench:
    """A build in which bores are read, and whose drawing changes."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def add(self, *facts: object, **more: object) -> int:
        build = load(self.folder)
        with Logbook(
            self.folder / "logbook.db", revision=build.revision, source=build.source
        ) as log:
            return [log.append(f, **more).id for f in facts][-1]  # type: ignore[arg-type]

    def read(self, piece: int, value: str, instrument: str | None = "micrometer") -> int:
        return self.add(Reading("cup", 20, "bore", piece, value, value, "mm", instrument))

    def change(self, old: str, new: str) -> None:
        plan = self.folder / "build.toml"
        text = plan.read_text("utf-8")
        assert old in text
        plan.write_text(text.replace(old, new), encoding="utf-8")

    def picture(self) -> Picture:
        with Logbook(self.folder / "logbook.db") as log:
            return picture_from(load(self.folder), log)

    @property
    def bore(self) -> SeriesView:
        found = self.picture().part("cup").series
        return next(s for s in found if s.dimension.id == "bore")


@pytest.fixture
def bench(build_dir: Path) -> Bench:
    return Bench(build_dir)


def test_every_reading_is_counted_by_the_limits_that_judged_it(bench: Bench) -> None:
    bench.read(1, "22.010")
    bench.read(2, "22.060")
    bench.change("Ø22 +0.05/0", "Ø22.1 +0.05/0")
    bench.read(3, "22.110")
    bench.read(4, "22.090")
    series = bench.bore
    assert [r.verdict for r in series.readings] == [
        Verdict.GOOD, Verdict.HIGH, Verdict.GOOD, Verdict.LOW,
    ]  # fmt: skip
    old, new = series.by_limits
    assert (old.pieces, old.limits.upper, old.out_low, old.out_high) == (
        (1, 2), Decimal("22.05"), 0, 1,
    )  # fmt: skip
    assert (new.pieces, new.limits.lower, new.out_low, new.out_high) == (
        (3, 4), Decimal("22.1"), 1, 0,
    )  # fmt: skip
    assert old.summary is not None and new.summary is not None
    assert old.summary.mean == Decimal("22.035")
    assert series.summary == new.summary, "the summary in front is that of today's drawing"
    assert [(s.first_piece, s.last_piece) for s in series.steps] == [(1, 2), (3, 4)]


def test_limits_of_the_first_pieces_hold_for_these_alone_when_the_drawing_drops_them(
    bench: Bench,
) -> None:
    first = '\nuntil = [{ piece = 2, callout = "Ø22 +0.02/0" }]'
    bench.change('callout = "Ø22 +0.05/0"', f'callout = "Ø22 +0.05/0"{first}')
    for piece in (1, 2, 3, 4):
        bench.read(piece, "22.030")
    as_drawn = [Verdict.HIGH, Verdict.HIGH, Verdict.GOOD, Verdict.GOOD]
    assert [r.verdict for r in bench.bore.readings] == as_drawn
    bench.change(first, "")
    assert [r.verdict for r in bench.bore.readings] == as_drawn
    assert [r.today for r in bench.bore.readings] == [Verdict.GOOD, Verdict.GOOD, None, None]


def test_a_change_that_leaves_the_limits_divides_nothing(bench: Bench) -> None:
    bench.read(1, "22.010")
    bench.change('name = "socket"', 'name = "socket for the stem"')
    bench.read(2, "22.020")
    (only,) = bench.bore.by_limits
    assert only.pieces == (1, 2)


def test_no_index_is_drawn_over_two_sets_of_limits(bench: Bench) -> None:
    bench.change("needed = 3", "needed = 24")
    for piece in range(1, 13):
        bench.read(piece, f"22.0{10 + piece % 3}")
    before = bench.bore.study
    assert before is not None and before.capability is not None
    bench.change("Ø22 +0.05/0", "Ø22 +0.1/0")
    bench.read(13, "22.012")
    after = bench.bore.study
    assert after is not None
    assert type(after.capability).__name__ == "NoIndex", "one reading by the new limits"
    assert after.fraction_out_at_most == pytest.approx(0.95), "0 of 1, exact one-sided 95 %"


def test_the_chart_steps_where_the_limits_do(bench: Bench, run: Run) -> None:
    for piece, value in ((1, "22.010"), (2, "22.040")):
        bench.read(piece, value)
    bench.change("Ø22 +0.05/0", "Ø22.1 +0.05/0")
    bench.read(3, "22.110")
    assert run("record", "--for", "maker").status in (0, 1)
    page = (bench.folder / "record" / "maker" / "dimensions" / "cup-bore.html").read_text("utf-8")
    assert page.count('class="zone"') >= 4, "two zones on the wide and two on the narrow chart"
    assert "22.05" in page and "22.15" in page
    assert "Judged by" in page


def test_a_scrapped_piece_is_shown_apart_and_asked_for_nothing(bench: Bench) -> None:
    for piece, value in ((1, "22.010"), (2, "22.014"), (3, "22.900")):
        bench.read(piece, value)
    bench.add(Done("cup", 10, 3), Disposition("cup", 3, 20, "scrap", "chatter"))
    series = bench.bore
    assert series.summary is not None and series.scrapped is not None
    assert (series.summary.n, series.summary.maximum) == (2, Decimal("22.014"))
    assert (series.scrapped.n, series.scrapped.maximum) == (1, Decimal("22.900"))
    assert (series.out_high, len(series.readings)) == (1, 3), "it is still counted as out"
    view = bench.picture().part("cup")
    height = next(s for s in view.series if s.dimension.id == "height")
    assert next(s.slot for s in height.slots if s.piece == 3) is Slot.SCRAPPED
    assert 3 not in height.owed


def test_the_finer_instrument_decides_and_both_readings_stay(bench: Bench) -> None:
    bench.change('rule = "simple"', 'rule = "guarded"')
    bench.read(1, "22.048", "caliper")
    coarse = bench.bore.readings[0]
    assert coarse.verdict is Verdict.NOT_PROVEN
    bench.add(Reading("cup", 20, "bore", 1, "22.045", "22.045", "mm", "micrometer"), beside=True)
    (fine,) = bench.bore.readings
    assert (fine.instrument, fine.verdict) == ("micrometer", Verdict.GOOD)
    assert [(r.instrument, r.typed) for r in fine.beside] == [("caliper", "22.048")]
    assert bench.bore.not_proven == 0, "what does not decide is not counted"


def test_a_finer_reading_decides_whichever_came_first(bench: Bench) -> None:
    bench.read(1, "22.045", "micrometer")
    bench.add(Reading("cup", 20, "bore", 1, "22.09", "22.09", "mm", "caliper"), beside=True)
    (found,) = bench.bore.readings
    assert found.instrument == "micrometer" and found.beside[0].verdict is Verdict.HIGH


def test_a_reading_of_unknown_uncertainty_decides_last_and_says_so(bench: Bench) -> None:
    bench.change('rule = "simple"', 'rule = "guarded"')
    bench.read(1, "22.045", None)
    (alone,) = bench.bore.readings
    assert alone.unguarded and alone.uncertainty is None
    bench.add(Reading("cup", 20, "bore", 1, "22.03", "22.03", "mm", "caliper"), beside=True)
    (found,) = bench.bore.readings
    assert found.instrument == "caliper" and not found.unguarded


def test_rework_asks_again_and_closes_by_the_new_reading(bench: Bench) -> None:
    for op in (10, 20):
        bench.add(Done("cup", op, 1))
    old = bench.read(1, "21.980")
    bench.add(Disposition("cup", 1, 20, "rework", "tight"))
    piece = bench.picture().part("cup").pieces[0]
    assert (piece.standing, piece.decision) == (Standing.REWORK, "rework")
    assert bench.bore.owed == (1,), "what was cut again is read again"
    bench.add(
        Reading("cup", 20, "bore", 1, "22.020", "22.020", "mm", "micrometer"),
        supersedes=old,
        reason=Own.AFTER_REWORK,
    )
    piece = bench.picture().part("cup").pieces[0]
    assert (piece.standing, piece.decision) == (Standing.LIVE, "")
    assert bench.bore.owed == () and bench.bore.readings[0].corrections[0].typed == "21.980"


def test_a_rework_that_failed_again_waits_for_another_decision(bench: Bench) -> None:
    old = bench.read(1, "21.980")
    bench.add(Disposition("cup", 1, 20, "rework", "tight"))
    bench.add(
        Reading("cup", 20, "bore", 1, "22.090", "22.090", "mm"),
        supersedes=old,
        reason=Own.AFTER_REWORK,
    )
    found = [f for f in bench.picture().findings if isinstance(f, Out)]
    assert len(found) == 1 and found[0].weight.value == "bad"
    assert bench.picture().part("cup").pieces[0].decision == ""


def test_the_spread_tells_each_set_of_limits_apart(bench: Bench, run: Run) -> None:
    bench.read(1, "22.010")
    bench.read(2, "22.020")
    bench.change("Ø22 +0.05/0", "Ø22.1 +0.05/0")
    bench.read(3, "22.110")
    bench.read(4, "22.900")
    bench.add(Disposition("cup", 4, 20, "scrap", "chatter"))
    rows = [line.split() for line in run("spread", "cup").out.splitlines() if "bore op 20" in line]
    assert rows[0][3:8] == ["22.10", "to", "22.15", "mm", "1"]
    assert "earlier" in rows[1] and "22.0150" in rows[1]
    assert "scrapped" in rows[2] and "22.900" in rows[2]
    # The scrapped one is counted and drawn in its own row, not among the good ones.
    counted = [row[row.index("%") + 1 : row.index("%") + 4] for row in rows[:3]]
    assert counted == [["0", "0", "0"], ["0", "0", "0"], ["0", "1", "0"]]
    assert rows[0][-1].count("o") == 1 and rows[2][-1] == "o"  # the latter beyond its limits


def test_a_reading_without_an_instrument_is_never_said_to_be_guarded(
    bench: Bench, run: Run
) -> None:
    bench.change('rule = "simple"', 'rule = "guarded"')
    bench.change('instrument = "micrometer"\n  measures = "inside"', 'measures = "inside"')
    said = run("read", "cup", "20", "bore", "1", "22.02").out
    assert "uncertainty unknown: judged by the limits alone" in said
    (reading,) = bench.bore.readings
    assert reading.unguarded


def test_a_piece_made_to_the_new_drawing_does_not_stand_apart_from_those_before(
    bench: Bench,
) -> None:
    for piece, value in ((1, "22.021"), (2, "22.022"), (3, "22.023")):
        bench.read(piece, value)
    bench.change("Ø22 +0.05/0", "Ø22.1 +0.05/0")
    bench.read(4, "22.120")
    study = bench.bore.study
    assert study is not None and study.outlier_piece is None
