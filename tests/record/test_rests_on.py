"""Both editions say which entry of the log they rest on, and by what sum it is proven."""

import json

from qlog.logbook.store import Logbook
from tests.demo_record import Demo
from tests.record.golden_text import text_of


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
