"""The example build tells its whole story, and tells it by the logbook: each thing is looked up."""

import csv
import shutil
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.cli.plan.demo import StoryError, StoryLine, read_story, run_line, source
from qlog.logbook.facts import Note, Reading
from qlog.logbook.store import Logbook, create
from qlog.review.findings.kinds import Drift, Out
from qlog.review.part.batch import Batch, SeriesView
from qlog.review.part.finishes import finish_views
from qlog.review.views import PieceView, Standing
from qlog.study.batch.layer import LayerVerdict
from qlog.study.conformity.verdict import Verdict
from tests.conftest import run_qlog
from tests.demo_record import Demo, demo


@pytest.fixture(scope="session")
def made() -> Demo:
    """The example build; tests only read it."""
    return demo()


def series(made: Demo, part: str, dimension: str, op: int) -> SeriesView:
    return next(
        s
        for s in made.picture.part(part).series
        if s.dimension.id == dimension and s.operation.number == op
    )


def piece(view: Batch, number: int) -> PieceView:
    return next(p for p in view.pieces if p.number == number)


def test_eight_candlesticks_four_tall_and_four_low(made: Demo) -> None:
    parts = {v.part.id: v for v in made.picture.parts}
    assert {
        id: (v.part.material, v.part.needed, len(v.part.pieces)) for id, v in parts.items()
    } == {
        "foot": ("stainless", 8, 10),
        "tall-stem": ("brass", 4, 6),
        "low-stem": ("brass", 4, 6),
        "cup": ("brass", 8, 10),
        "pan": ("steel", 8, 9),
    }
    assert {(j.id, j.text) for j in made.picture.build.joints} == {
        ("press-tall", "H7/p6"),
        ("press-low", "H7/p6"),
        ("slide-tall", "H7/f7"),
        ("slide-low", "H7/f7"),
        ("pan", "0.02..0.09"),
    }
    assert series(made, "foot", "thread", 30).passed == 10
    assert [s.id for s in made.picture.build.stacks] == ["tall", "low"]
    assert [i.group for i in made.picture.items if i.assembly] == ["tall"] * 4 + ["low"] * 4
    matched = made.picture.matching
    assert matched is not None
    assert (matched.joints.inside, matched.joints.out) == (24, 0)


def test_a_boring_tool_wears_across_the_cups(made: Demo) -> None:
    bore = series(made, "cup", "bore", 20)
    values = [r.value for r in bore.readings]
    assert values == sorted(values, reverse=True)
    assert bore.study is not None
    assert bore.study.drifting
    assert bore.study.running is not None and bore.study.running.drift.slope is not None
    assert bore.study.running.drift.slope < 0
    assert (
        "cup socket for the candle: It is shrinking"
        in run_qlog("--build", str(made.folder), "drift", "cup").out
    )
    # Nothing is left to be bored: the tool is nothing to touch up for.
    (told,) = [f for f in made.picture.findings if isinstance(f, Drift)]
    assert not told.ahead


def test_a_touched_up_tool_on_the_tall_stems_is_a_new_setup_and_no_trend(made: Demo) -> None:
    waist = series(made, "tall-stem", "waist", 20)
    assert [(s.first_piece, s.cause) for s in waist.setups] == [(1, ""), (4, "tool change")]
    first = [r.value for r in waist.readings if r.setup == 1]
    then = [r.value for r in waist.readings if r.setup == 2]
    assert max(v for v in then if v) < min(v for v in first if v)
    assert waist.study is not None
    assert not waist.study.drifting


def test_one_drip_pan_is_scrapped_after_its_reading(made: Demo) -> None:
    view = made.picture.part("pan")
    assert [p.number for p in view.pieces if p.standing is Standing.SCRAP] == [6]
    assert all(v.scrapped == 0 for v in made.picture.parts if v is not view)
    bore = next(r for r in series(made, "pan", "bore", 20).readings if r.piece == 6)
    (decision,) = piece(view, 6).dispositions
    assert (bore.word, bore.typed) == ("out high", "18.164")
    assert decision.made > bore.made


def test_a_photo_was_skipped_and_is_still_asked_for(made: Demo) -> None:
    missing = {
        (v.part.id, o.operation.number): o.photos_missing
        for v in made.picture.parts
        for o in v.ops
        if o.photos_missing
    }
    assert missing == {("cup", 30): 1}
    assert (
        "Cup, 30 ream stem hole: 1 photo missing"
        in run_qlog("--build", str(made.folder), "status").out
    )


def test_a_decimal_slip_is_caught_and_never_entered(made: Demo, tmp_path: Path) -> None:
    slips = [line for line in read_story(source() / "story.txt") if line.refused]
    assert [line.words[-2:] for line in slips] == [("220.36", "--strict")]
    create(tmp_path / "logbook.db")
    shutil.copyfile(source() / "build.toml", tmp_path / "build.toml")
    ran = run_qlog("--build", str(tmp_path), *slips[0].words)
    assert ran.status == 2
    assert "22.036? the decimal point would be one place out" in ran.err
    with Logbook(made.folder / "logbook.db") as log:
        typed = [e.fact.typed for e in log.history(Reading)]
        notes = [e.fact.text for e in log.live(Note, part="cup")]
    assert "220.36" not in typed
    assert "22.036" in typed
    assert any("220.36 typed for 22.036" in n for n in notes)


def test_plating_takes_up_the_bore(made: Demo) -> None:
    bore = next(v for v in finish_views(made.picture.part("pan"), 40) if v.dimension.id == "bore")
    assert sorted(bore.after) == [1, 2, 3, 4, 5, 7, 8, 9]
    changes = [bore.after[p] - bore.before[p] for p in bore.after]
    assert all(Decimal("-0.024") <= c <= Decimal("-0.016") for c in changes)
    assert bore.layer is not None
    assert bore.layer.verdict in (LayerVerdict.AS_ORDERED, LayerVerdict.NOT_PROVEN)


def test_a_drawing_was_revised_after_the_fifth_foot(made: Demo) -> None:
    rim = series(made, "foot", "rim", 20)
    judged = {r.piece: r.judgement.limits.upper for r in rim.readings if r.judgement is not None}
    assert {judged[p] for p in range(1, 6)} == {Decimal("64.1")}
    assert {judged[p] for p in range(6, 11)} == {Decimal("64.2")}
    fourth = next(r for r in rim.readings if r.piece == 4)
    assert (fourth.word, fourth.today) == ("out high", Verdict.GOOD)


def test_a_finer_instrument_settled_a_doubtful_reading(made: Demo) -> None:
    hole = series(made, "cup", "hole", 30)
    seventh = next(r for r in hole.readings if r.piece == 7)
    assert (seventh.typed, seventh.instrument, seventh.word) == ("10.0125", "fine-bore", "good")
    assert [r.typed for r in seventh.beside] == ["10.014"]


def test_one_file_came_with_decimal_commas(made: Demo) -> None:
    with_commas = [
        p.name for p in (source() / "readings").glob("*.csv") if ";" in p.read_text("utf-8")
    ]
    assert with_commas == ["cup-op10.csv"]
    text = (source() / "readings/cup-op10.csv").read_text(encoding="utf-8")
    rows = list(csv.reader(text.splitlines(), delimiter=";"))
    written = {row[0]: row[1] for row in rows if row[0].startswith("cup-")}
    got = {f"cup-{r.piece}": r for r in series(made, "cup", "height", 10).readings}
    assert {name: r.typed for name, r in got.items()} == written
    assert all(r.value == Decimal(written[name].replace(",", ".")) for name, r in got.items())


def test_what_was_decided_asks_for_nothing_more(made: Demo) -> None:
    bad = [f for f in made.picture.findings if f.weight.value == "bad"]
    assert bad == []
    foot = next(f for f in made.picture.findings if (f.place.part, f.place.piece) == ("foot", 9))
    assert isinstance(foot, Out) and foot.decision == "use as is"
    assert (foot.reading.typed, foot.reading.word) == ("20.058", "out high")
    spare = {v.part.id: [p.number for p in v.pieces if p.spare] for v in made.picture.parts}
    assert spare == {
        "foot": [8, 9], "tall-stem": [2, 6], "low-stem": [5, 6], "cup": [5, 6], "pan": [],
    }  # fmt: skip


def test_a_folder_with_something_in_it_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("keep", encoding="utf-8")
    ran = run_qlog("demo", str(tmp_path))
    assert ran.status == 2
    assert "is not empty; name another folder, or delete it first" in ran.err
    assert [p.name for p in tmp_path.iterdir()] == ["mine.txt"]


@pytest.mark.parametrize(
    ("words", "refused", "said"),
    [
        (("read", "cup", "20", "bore", "3", "22.036"), True, "was not refused"),
        (("read", "cup", "20", "bore", "3", "twenty"), False, "story.txt:7: read cup 20 bore 3"),
    ],
)
def test_a_story_that_goes_otherwise_than_told_stops(
    tmp_path: Path, words: tuple[str, ...], refused: bool, said: str
) -> None:
    create(tmp_path / "logbook.db")
    shutil.copyfile(source() / "build.toml", tmp_path / "build.toml")
    with pytest.raises(StoryError, match=said):
        run_line(tmp_path, source(), StoryLine(7, words, None, refused, None))
