"""The picture: plan and logbook together, on a small build whose state is known by hand."""

from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import (
    Assembly,
    Disposition,
    Done,
    Gap,
    GaugeCheck,
    Photo,
    Placement,
    Reading,
    Setup,
    Shipment,
)
from qlog.logbook.store import Logbook
from qlog.review.findings.kinds import (
    DrawingChanged,
    Drift,
    NotInThePlan,
    Out,
    OutOfOrder,
    PhotoMissing,
    Short,
    Suspect,
    Unplaced,
    Weight,
)
from qlog.review.homeless import Gone
from qlog.review.picture import Picture
from qlog.review.views import Slot, Standing
from qlog.review.whole import picture_from
from qlog.study.conformity.verdict import Verdict
from qlog.words.catalogue import load as load_words
from qlog.words.stock import next_text


def read(piece: int, value: str, dimension: str = "bore", op: int = 20, **more: str) -> Reading:
    unit = "" if value in ("go", "no-go") else "mm"
    return Reading("cup", op, dimension, piece, value, value, unit, **more)


class Log:
    """Appends facts and looks at the picture that they make."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def add(self, *facts: object, made: str | None = None, **more: object) -> int:
        build = load(self.folder)
        with Logbook(
            self.folder / "logbook.db", revision=build.revision, source=build.source
        ) as log:
            return [log.append(f, made=made, **more).id for f in facts][-1]  # type: ignore[arg-type]

    def picture(self) -> Picture:
        build = load(self.folder)
        with Logbook(self.folder / "logbook.db") as log:
            return picture_from(build, log)


@pytest.fixture
def log(build_dir: Path) -> Log:
    return Log(build_dir)


def series(picture: Picture, dimension: str, op: int, part: str = "cup"):  # type: ignore[no-untyped-def]
    return next(
        s
        for s in picture.part(part).series
        if s.dimension.id == dimension and s.operation.number == op
    )


def test_an_empty_logbook_asks_for_the_first_operation(log: Log) -> None:
    picture = log.picture()
    assert [next_text(n, load_words("en")) for n in picture.next] == [
        "cup op 10 turn outside: 4 pieces to do: `qlog start cup 10`",
        "ring op 10 part off: 2 pieces to do: `qlog start ring 10`",
    ]
    assert picture.findings == ()
    assert picture.part("cup").margin == 1
    assert {p.standing for p in picture.part("cup").pieces} == {Standing.UNCUT}
    assert (picture.first, picture.last, picture.head.entries) == (None, None, 0)


def test_blank_is_not_zero(log: Log) -> None:
    log.add(*(Done("cup", 10, p) for p in (1, 2, 3, 4)), *(Done("cup", 20, p) for p in (1, 2, 3)))
    log.add(
        read(1, "22.010"),
        Gap("cup", 20, "bore", 2, "skipped", "gauge lent out"),
        Disposition("cup", 4, 10, "scrap", "chatter"),
    )
    found = {s.piece: s.slot for s in series(log.picture(), "bore", 20).slots}
    assert found == {1: Slot.READ, 2: Slot.SKIPPED, 3: Slot.MISSING, 4: Slot.SCRAPPED}
    heights = {s.piece: s.slot for s in series(log.picture(), "height", 10).slots}
    assert heights[1] is Slot.MISSING


def test_verdicts_counts_and_findings(log: Log) -> None:
    log.add(read(1, "22.000"), read(2, "22.050"), read(3, "22.0500001"), read(4, "21.999"))
    bore = series(log.picture(), "bore", 20)
    assert [r.verdict for r in bore.readings] == [
        Verdict.GOOD, Verdict.GOOD, Verdict.HIGH, Verdict.LOW,
    ]  # fmt: skip
    assert (bore.out_low, bore.out_high) == (1, 1)
    bad = [f for f in log.picture().findings if isinstance(f, Out)]
    assert [(f.place.piece, f.weight) for f in bad] == [(3, Weight.BAD), (4, Weight.BAD)]
    assert bad[0].reading.judgement.limits.upper == Decimal("22.05")
    log.add(Disposition("cup", 3, 20, "use as is", "candle is wrapped anyway"))
    settled = [f for f in log.picture().findings if f.place.piece == 3 and isinstance(f, Out)]
    assert [f.weight for f in settled] == [Weight.NOTE]


def test_a_failed_check_is_bad_and_counted(log: Log) -> None:
    log.add(read(1, "go", "look"), read(2, "no-go", "look"))
    look = series(log.picture(), "look", 20)
    assert (look.passed, look.failed, look.summary) == (1, 1, None)
    assert [r.word for r in look.readings] == ["pass", "fail"]
    assert any(isinstance(f, Out) and f.place.piece == 2 for f in log.picture().findings)


def test_a_correction_shows_the_new_value_and_keeps_the_old_one(log: Log) -> None:
    first = log.add(read(1, "220.12"))
    second = log.add(read(1, "22.12"), supersedes=first, reason="decimal slip")
    log.add(read(1, "22.012"), supersedes=second, reason="read again")
    view = series(log.picture(), "bore", 20).readings[0]
    assert view.value == Decimal("22.012")
    assert [(c.typed, c.reason) for c in view.corrections] == [
        ("22.12", "read again"),
        ("220.12", "decimal slip"),
    ]


def test_readings_keep_the_limits_they_were_judged_by(log: Log) -> None:
    log.add(read(1, "22.040"))
    plan = log.folder / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("Ø22 +0.05/0", "Ø22 +0.03/0"), encoding="utf-8")
    log.add(read(2, "22.040"))
    picture = log.picture()
    old, new = series(picture, "bore", 20).readings
    assert (old.verdict, old.today) == (Verdict.GOOD, Verdict.HIGH)
    assert (new.verdict, new.today) == (Verdict.HIGH, None)
    assert picture.revisions == 2
    assert [f.place.piece for f in picture.findings if isinstance(f, DrawingChanged)] == [1]


def test_a_failed_check_puts_the_readings_since_the_last_good_one_in_doubt(log: Log) -> None:
    def check(fit: int) -> GaugeCheck:
        return GaugeCheck("micrometer", "10", "10.005", "mm", "0.002", fit)

    log.add(read(1, "22.01", instrument="micrometer"), made="2026-01-01T10:00+00:00")
    log.add(check(1), made="2026-01-02T10:00+00:00")
    log.add(read(2, "22.01", instrument="micrometer"), made="2026-01-03T10:00+02:00")
    log.add(read(3, "22.01", instrument="caliper"), made="2026-01-03T10:00+00:00")
    log.add(check(0), made="2026-01-04T10:00+00:00")
    log.add(read(4, "22.01", instrument="micrometer"), made="2026-01-05T10:00+00:00")
    picture = log.picture()
    assert [r.piece for r in series(picture, "bore", 20).readings if r.suspect] == [2, 4]
    micrometer = next(i for i in picture.instruments if i.instrument.id == "micrometer")
    assert (micrometer.fit, micrometer.suspect, micrometer.readings) == (False, 2, 3)
    assert any(isinstance(f, Suspect) and f.view.suspect == 2 for f in picture.findings)


def test_setups_number_the_readings(log: Log) -> None:
    log.add(*(read(p, "22.02") for p in (1, 2, 3, 4)), Setup("cup", 20, 3, "tool change"))
    bore = series(log.picture(), "bore", 20)
    assert [r.setup for r in bore.readings] == [1, 1, 2, 2]
    assert [(s.first_piece, s.last_piece, s.cause) for s in bore.setups] == [
        (1, 2, ""),
        (3, 4, "tool change"),
    ]


def test_order_photos_and_spares(log: Log) -> None:
    log.add(Done("cup", 10, 1), Done("cup", 20, 1), Done("cup", 20, 2))
    kinds = [(type(f), f.place.piece) for f in log.picture().findings]
    assert (OutOfOrder, 2) in kinds
    assert (PhotoMissing, None) in kinds
    sha = "ab" * 32
    log.add(
        Photo(sha, "a.jpg", 9, "JPEG", 4, 3, taken="2026-01-01T10:00:00"),
        Placement(sha, "cup", 10, 1, caption="in the chuck"),
    )
    picture = log.picture()
    assert PhotoMissing not in {type(f) for f in picture.findings}
    assert picture.photos[0].caption == "in the chuck"
    for piece in (3, 4):
        log.add(Disposition("cup", piece, 10, "scrap", "slipped"))
    assert (Short, Weight.BAD) in {(type(f), f.weight) for f in log.picture().findings}
    assert log.picture().part("cup").margin == -1


def test_a_photo_without_a_place_lies_in_the_tray(log: Log) -> None:
    log.add(Photo("cd" * 32, "b.jpg", 9, "JPEG", 4, 3))
    picture = log.picture()
    assert [p.photo.name for p in picture.unplaced] == ["b.jpg"]
    assert any(isinstance(f, Unplaced) and f.photos == 1 for f in picture.findings)


def test_standing_of_pieces_sent_out_and_assembled(log: Log) -> None:
    log.add(
        Done("cup", 10, 1),
        Done("cup", 10, 2),
        Shipment("p1", "out", "cup", 10, 1, "shop"),
        Shipment("p1", "out", "cup", 10, 2, "shop"),
        Shipment("p1", "back", "cup", 10, 2, "shop"),
    )
    standing = {p.number: p.standing for p in log.picture().part("cup").pieces}
    assert (standing[1], standing[2]) == (Standing.OUT, Standing.LIVE)
    log.add(Assembly("set-1", "cup", 2))
    assert log.picture().part("cup").pieces[1].standing is Standing.ASSEMBLED


def test_a_metric_reading_on_an_inch_drawing(log: Log) -> None:
    log.add(Reading("ring", 10, "outside", 1, "25.45", "25.45", "mm", "micrometer"))
    log.add(Reading("ring", 10, "outside", 2, "25.4508", "25.4508", "mm", "micrometer"))
    one, two = series(log.picture(), "outside", 10, "ring").readings
    # 1.002 in is 25.4508 mm exactly (25.4 mm per inch by definition): on the limit is in.
    assert (two.value, two.verdict) == (Decimal("1.002"), Verdict.GOOD)
    assert one.verdict is Verdict.GOOD
    log.add(Reading("ring", 10, "outside", 2, "x", "25.4509", "mm", "micrometer"),
            supersedes=2, reason="one tenth more")  # fmt: skip
    assert series(log.picture(), "outside", 10, "ring").readings[1].verdict is Verdict.HIGH


def test_a_warm_reading_is_corrected_and_both_values_kept(log: Log) -> None:
    log.add(read(1, "32.110", "height", 10, instrument="micrometer", temperature="40"))
    view = series(log.picture(), "height", 10).readings[0]
    assert view.raw == Decimal("32.110")
    # ISO 1: brass 20e-6/K by a steel scale 11.5e-6/K, 20 K warm: 32.110 (1 + (11.5 - 20) 20e-6).
    assert view.value is not None
    assert abs(view.value - Decimal("32.10454")) < Decimal("0.00001")


def test_entries_of_a_part_that_the_plan_lost_are_named(log: Log) -> None:
    log.add(Reading("lid", 10, "bore", 1, "1", "1", "mm"))
    (lost,) = (f for f in log.picture().findings if isinstance(f, NotInThePlan))
    assert (lost.lost.gone, lost.lost.name, len(lost.lost.entries)) == (Gone.PART, "lid", 1)


def test_a_drift_is_found_and_told(log: Log) -> None:
    plan = log.folder / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("spare = 1", "spare = 7"), encoding="utf-8")
    values = ["22.041", "22.036", "22.030", "22.026", "22.021", "22.014", "22.010"]
    log.add(*(read(p, v, instrument="micrometer") for p, v in enumerate(values, start=1)))
    picture = log.picture()
    study = series(picture, "bore", 20).study
    assert study.drifting
    assert study.running.forecast.leaves == 9
    assert study.running.drift.slope < 0
    (told,) = (f for f in picture.findings if isinstance(f, Drift))
    assert told.setup is study.running and told.ahead


def test_one_steady_setup_gets_its_intervals(log: Log) -> None:
    steady = ["22.010", "22.012", "22.011", "22.010", "22.012"]
    log.add(*(read(p, v, instrument="micrometer") for p, v in enumerate(steady, start=1)))
    study = series(log.picture(), "bore", 20).study
    assert study.mean_interval is not None and study.s_interval is not None


def test_setups_at_different_levels_get_no_interval_together(log: Log) -> None:
    plan = log.folder / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("spare = 1", "spare = 7"), encoding="utf-8")
    low = ["22.010", "22.011", "22.012", "22.010", "22.011"]
    high = ["22.040", "22.041", "22.039", "22.040", "22.041"]
    log.add(*(read(p, v, instrument="micrometer") for p, v in enumerate(low + high, start=1)))
    # Taken for one setup it jumps, and nothing is foretold of it either.
    together = series(log.picture(), "bore", 20).study
    assert (together.told_apart, together.drifting, together.mean_interval) == (False, True, None)
    log.add(Setup("cup", 20, 6, "tool change"))
    apart = series(log.picture(), "bore", 20).study
    assert (apart.told_apart, apart.mean_interval, apart.s_interval) == (True, None, None)
