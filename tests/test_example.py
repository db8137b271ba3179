"""The example build tells its whole story, and tells it by the logbook: each thing is looked up."""

import csv
import shutil
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.cli.plan.example import Line, StoryError, read_story, run_line, source
from qlog.logbook.facts import Note, Reading
from qlog.logbook.store import Logbook, create
from qlog.review.findings.kinds import Drift, Out
from qlog.review.part.batch import SeriesView
from qlog.review.part.finishes import finish_views
from qlog.review.picture import PartView
from qlog.review.views import PieceView, Standing
from qlog.study.batch.layer import LayerVerdict
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


def piece(view: PartView, number: int) -> PieceView:
    return next(p for p in view.pieces if p.number == number)


def test_eight_candlesticks_of_four_parts_four_bright_and_four_black(made: Demo) -> None:
    parts = {v.part.id: v for v in made.picture.parts}
    assert {
        id: (v.part.material, v.part.needed, len(v.part.pieces)) for id, v in parts.items()
    } == {
        "foot": ("stainless", 8, 10),
        "stem": ("brass", 8, 10),
        "cup": ("brass", 8, 10),
        "collar": ("stainless", 8, 10),
    }
    assert {(j.id, j.text) for j in made.picture.build.joints} == {
        ("press", "H7/p6"),
        ("slide", "H7/f7"),
    }
    assert series(made, "foot", "thread", 30).passed == 10
    assert [s.id for s in made.picture.build.stacks] == ["overall"]
    assert [i.group for i in made.picture.items if i.assembly] == ["bright"] * 4 + ["black"] * 4
    matched = made.picture.matching
    assert matched is not None
    assert (matched.joints.inside, matched.joints.out) == (16, 0)


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


def test_a_re_sharpened_tool_on_the_stems_is_a_new_setup_and_no_trend(made: Demo) -> None:
    waist = series(made, "stem", "waist", 20)
    assert [(s.first_piece, s.cause) for s in waist.setups] == [(1, ""), (6, "tool change")]
    first = [r.value for r in waist.readings if r.setup == 1]
    then = [r.value for r in waist.readings if r.setup == 2]
    assert max(v for v in then if v) < min(v for v in first if v)
    assert waist.study is not None
    assert not waist.study.drifting


def test_one_collar_is_scrapped_after_its_reading(made: Demo) -> None:
    view = made.picture.part("collar")
    assert [p.number for p in view.pieces if p.standing is Standing.SCRAP] == [6]
    assert all(v.scrapped == 0 for v in made.picture.parts if v is not view)
    bore = next(r for r in series(made, "collar", "bore", 20).readings if r.piece == 6)
    (decision,) = piece(view, 6).dispositions
    assert (bore.word, bore.typed) == ("out high", "8.114")
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


def test_blackening_changes_a_size_by_a_few_micrometres(made: Demo) -> None:
    tip = next(v for v in finish_views(made.picture.part("stem"), 50) if v.dimension.id == "tip")
    assert sorted(tip.after) == [6, 7, 8, 9]
    changes = [tip.after[p] - tip.before[p] for p in tip.after]
    assert all(Decimal("0.001") <= c <= Decimal("0.005") for c in changes)
    assert tip.layer is not None
    assert tip.layer.verdict in (LayerVerdict.AS_ORDERED, LayerVerdict.NOT_PROVEN)


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
    assert (foot.reading.typed, foot.reading.word) == ("18.058", "out high")
    spare = {v.part.id: [p.number for p in v.pieces if p.spare] for v in made.picture.parts}
    assert spare == {"foot": [1, 10], "stem": [3, 10], "cup": [3, 10], "collar": [7]}


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
        run_line(tmp_path, source(), Line(7, words, None, refused, None))
