"""A drawing that changes under readings that are there: nothing stops, nothing is misjudged."""

import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.logbook.store import Logbook
from qlog.review.findings.kinds import DrawingChanged, Finding, Out, ReadingsUnmatched
from qlog.review.picture import Picture
from qlog.review.views import Slot
from qlog.review.whole import picture_from
from qlog.study.conformity.verdict import Verdict
from qlog.words.catalogue import load as load_words
from qlog.words.findings import Wording, say
from tests.conftest import Ran

Run = Callable[..., Ran]


@pytest.fixture
def change(build_dir: Path, run: Run) -> Callable[..., Picture]:
    """Three bores are read, then words of build.toml are replaced."""
    for piece, value in (("1", "22.010"), ("2", "22.030"), ("3", "22.060")):
        run("read", "cup", "20", "bore", piece, value)

    def changed(*pairs: tuple[str, str]) -> Picture:
        plan = build_dir / "build.toml"
        text = plan.read_text("utf-8")
        for old, new in pairs:
            assert old in text
            text = text.replace(old, new)
        plan.write_text(text, encoding="utf-8")
        build = load(build_dir)
        with Logbook(build_dir / "logbook.db") as log:
            return picture_from(build, log)

    return changed


def bore(picture: Picture):  # type: ignore[no-untyped-def]
    return next(s for s in picture.part("cup").series if s.dimension.id == "bore")


def kinds(picture: Picture) -> set[type[Finding]]:
    return {type(f) for f in picture.findings}


def said(finding: Finding) -> Wording:
    found = say(finding, load_words("en"))
    return Wording(
        *(s.replace("\N{NARROW NO-BREAK SPACE}", " ") for s in (found.text, found.remedy))
    )


def test_a_number_is_no_failed_check(change: Callable[..., Picture], run: Run) -> None:
    picture = change(('"Ø22 +0.05/0"', '"go/no-go plug 22"'))
    series = bore(picture)
    assert (series.passed, series.failed, series.readings) == (0, 0, ())
    assert series.unmatched == (1, 2, 3)
    assert {s.slot for s in series.slots} == {Slot.NOT_YET}
    (found,) = (f for f in picture.findings if isinstance(f, ReadingsUnmatched))
    assert "of pieces 1-3 after operation 20 does not match" in said(found).text
    assert "qlog correct cup 20 bore" in said(found).remedy
    assert Out not in kinds(picture)
    assert run("correct", "cup", "20", "bore", "1", "go", "--why", "plugged").status == 0
    assert bore(change()).passed == 1


def test_what_is_decided_of_a_piece_is_not_asked_again(
    change: Callable[..., Picture], run: Run
) -> None:
    """The third was out by its drawing and is good by today's; use as is was decided before."""
    assert run("piece", "cup-3", "use-as-is", "--why", "serves").status == 0
    picture = change(('"Ø22 +0.05/0"', '"Ø22 +0.02/-0.03"'))
    assert [r.today is not None for r in bore(picture).readings] == [False, True, False]
    changed = [f for f in picture.findings if isinstance(f, DrawingChanged)]
    assert [f.reading.piece for f in changed] == [2]
    wide = change(('"Ø22 +0.02/-0.03"', '"Ø22 +0.1/0"'))
    assert [r.today is not None for r in bore(wide).readings] == [False, False, True]
    assert DrawingChanged not in kinds(wide)


def test_another_kind_of_unit_stops_nothing(change: Callable[..., Picture], run: Run) -> None:
    picture = change(('"Ø22 +0.05/0"', '"22° ±1°"'), ('measures = "inside"\n', ""))
    assert bore(picture).unmatched == (1, 2, 3)
    for command in ("status", "spread", "drift"):
        assert run(command).status in (0, 1)


def test_limits_in_another_unit_still_judge_what_was_made_to_them(
    change: Callable[..., Picture],
) -> None:
    # 0.8642 to 0.8669 in is 21.951 to 22.019 mm: the second piece was in by the old drawing.
    picture = change(('"Ø22 +0.05/0"', '"Ø0.8642..0.8669 in"'))
    series = bore(picture)
    assert [r.verdict for r in series.readings] == [Verdict.GOOD, Verdict.GOOD, Verdict.HIGH]
    assert [r.today for r in series.readings] == [None, Verdict.HIGH, None]
    # 22.010 / 25.4 = 0.86653543307..., kept to a tenth of a millionth of an inch.
    assert series.readings[0].value == Decimal("0.8665354")
    out = next(f for f in picture.findings if isinstance(f, Out))
    # The limit missed is the old one: 22.05 / 25.4 = 0.86811023...
    assert "out high (.8661417 to .8681102 in)" in said(out).text


def test_the_limit_named_is_the_one_that_was_missed(change: Callable[..., Picture]) -> None:
    picture = change(("Ø22 +0.05/0", "Ø22 +0.08/0"))
    (out,) = (f for f in picture.findings if isinstance(f, Out))
    assert "cup-3, socket: 22.060 mm, out high (22.00 to 22.05 mm)" in said(out).text


def test_a_material_may_get_another_name(change: Callable[..., Picture]) -> None:
    picture = change(("[material.brass]", "[material.cuzn]"), ('= "brass"\nneed', '= "cuzn"\nneed'))
    assert len(bore(picture).readings) == 3


def test_an_operation_that_is_gone_is_said(change: Callable[..., Picture]) -> None:
    picture = change(("number = 20", "number = 25"), ("op = 20", "op = 25"))
    assert bore(picture).readings == ()
    assert any("3 entries name operation 20 of cup" in said(f).text for f in picture.findings)


def test_a_dimension_that_is_gone_is_said(change: Callable[..., Picture]) -> None:
    picture = change(('id = "bore"', 'id = "socket"'))
    assert any("3 entries name dimension bore of cup" in said(f).text for f in picture.findings)


def test_millimetres_on_an_inch_drawing_are_shown_with_an_end(
    change: Callable[..., Picture], run: Run
) -> None:
    change(('"Ø22 +0.05/0"', '"Ø0.8671 in ±.0005"'))
    said = run("read", "cup", "20", "bore", "4", "22.02").out
    said += "".join(run(*words).out for words in (("status",), ("spread",), ("drift",)))
    said += run("gauge", "budget", "cup", "bore").out
    digits = max(len(found) for found in re.findall(r"\d\.(\d+)", said))
    assert digits <= 8, said
