"""Both editions say which entry of the log they rest on, and by what sum it is proven."""

import json

from qlog.logbook.store import Logbook
from qlog.review.moments import moment
from tests.demo_record import MADE_AT, VERSION, Demo
from tests.record.golden_text import text_of


def test_the_maker_reads_when_it_was_built_from_what_log(shown: Demo) -> None:
    """Nothing is dated before what it holds."""
    with Logbook(shown.folder / "logbook.db") as log:
        entered, head = moment(log.last_entered() or ""), log.head()
    seen = text_of((shown.edition("maker") / "index.html").read_text(encoding="utf-8"))
    when = f"from the log as far as entry {head.entries}, entered 3 October 2026"
    assert f"built 4 October 2026, 12:00 by qlog {VERSION} {when}" in seen
    assert shown.picture.diary is not None
    assert f"by qlog {VERSION} {when}" in text_of(
        (shown.edition("maker") / "method.html").read_text(encoding="utf-8")
    )
    known = [e.when for e in shown.picture.diary.events if e.day]
    assert max(*known, entered) <= moment(MADE_AT)


def test_both_editions_name_the_head_of_the_log(shown: Demo) -> None:
    with Logbook(shown.folder / "logbook.db") as log:
        head = log.head()
    for edition, page in (("maker", "method.html"), ("recipient", "about.html")):
        folder = shown.edition(edition)
        html = (folder / page).read_text(encoding="utf-8")
        assert f"rests on entry {head.entries} of the logbook, sum {head.sum}." in html
        assert "rests on entry" in text_of(html)
        told = json.loads((folder / "record.json").read_text(encoding="utf-8"))
        assert (told["entries"], told["sum"]) == (str(head.entries), head.sum)


def test_only_the_pages_that_say_so_hold_when_it_was_built(shown: Demo) -> None:
    """Else every page would be another one after each entry; each leads to where it stands."""
    folder = shown.edition("maker")
    html = {path: (folder / path).read_text("utf-8") for path in shown.pages("maker")}
    assert {path for path in html if f"by qlog {VERSION}" in html[path]} == {
        "index.html", "method.html",
    }  # fmt: skip
    for path in set(html) - {"index.html"}:
        assert f'href="{"../" * path.count("/")}method.html#h-rests"' in html[path]
