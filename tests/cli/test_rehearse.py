"""The rehearsal: nothing that was not approved is handed over once it was begun."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from qlog.logbook.facts import Said
from qlog.logbook.store import Logbook
from qlog.record.publish import pdf
from tests.conftest import Ran, run_qlog
from tests.record.golden_text import text_of

PLAN = """
title = "Two hooks"
recipient = "The neighbours"
maker = "Anna"
dedication = "For the long way home."
[material.steel]
care = "Keep it dry."
[voice]
file = "voice.mp3"
[letter]
text = "letter.txt"
[[part]]
id = "hook"
name = "Hook"
material = "steel"
needed = 2
spare = 1
story = "A bent rod."
  [[part.op]]
  number = 10
  name = "bend"
  story = "Bent over a pin."
  [[part.dim]]
  id = "gap"
  callout = "20 +-0.1"
  op = 10
[[item]]
id = "hook"
name = "Hook"
count = 2
marks = ["H1", "H2"]
mark-place = "on the inside"
takes = { hook = 1 }
"""
TONE = Path(__file__).parent.parent / "record" / "recordings" / "tagged.mp3"


@pytest.fixture
def build(tmp_path: Path) -> Callable[..., Ran]:
    folder = tmp_path / "b"
    assert run_qlog("new", str(folder)).status == 0
    (folder / "build.toml").write_text(PLAN, encoding="utf-8")
    (folder / "letter.txt").write_text("Dear all.\n\nUse them.\n", encoding="utf-8")
    (folder / "voice.mp3").write_bytes(TONE.read_bytes())
    Image.new("RGB", (64, 48), "brown").save(tmp_path / "hook.jpg")

    def q(*words: str) -> Ran:
        ran = run_qlog("--build", str(folder), *words)
        assert ran.status in (0, 1), ran.err
        return ran

    q("done", "hook", "10", "1-2")
    q("read", "hook", "10", "gap", "1", "20.01")
    q("read", "hook", "10", "gap", "2", "20.02")
    q("photo", "add", str(tmp_path / "hook.jpg"), "--part", "hook", "--op", "10", "--note",
      "The first hook")  # fmt: skip
    return q


def page(tmp_path: Path, name: str, edition: str = "recipient") -> str:
    path = tmp_path / "b" / "record" / edition / name
    return text_of(path.read_text(encoding="utf-8")) if path.is_file() else ""


def code_of(tmp_path: Path, words: str) -> str:
    """The code on the rehearsal's page of the line with these words."""
    text = page(tmp_path, "index.html", "rehearsal")
    before = text[: text.index(words)]
    return re.findall(r"\b[0-9a-f]{6}\b", before)[-1]


def said(tmp_path: Path) -> list[tuple[str, str]]:
    with Logbook(tmp_path / "b" / "logbook.db") as log:
        return [(e.fact.what, e.fact.decision) for e in log.live(Said)]


def test_before_a_rehearsal_everything_is_shown(build: Callable[..., Ran], tmp_path: Path) -> None:
    build("record", "--for", "recipient")
    assert "For the long way home." in page(tmp_path, "index.html")
    assert "Use them." in page(tmp_path, "letter.html")
    assert (tmp_path / "b/record/recipient/voice.mp3").is_file()
    assert said(tmp_path) == []


def test_the_page_shows_every_line_and_enters_nothing(
    build: Callable[..., Ran], tmp_path: Path
) -> None:
    ran = build("record", "--rehearse")
    assert ran.status == 1 and "are not approved yet" in ran.out
    text = page(tmp_path, "index.html", "rehearsal")
    for line in ("For the long way home.", "Use them.", "Bent over a pin.", "The first hook",
                 "A bent rod.", "Keep it dry.", "Two hooks", "The neighbours"):  # fmt: skip
        assert line in text, line
    assert said(tmp_path) == []


def test_once_begun_only_what_is_approved_leaves(
    build: Callable[..., Ran], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    build("record", "--rehearse")
    build("record", "--rehearse", "--approve", code_of(tmp_path, "Bent over a pin."))
    ran = build("record", "--for", "recipient")
    assert "are not approved and are left out" in ran.out
    folder = tmp_path / "b" / "record" / "recipient"
    assert "Bent over a pin." in page(tmp_path, "story.html")
    assert not (folder / "letter.html").exists() and not (folder / "voice.mp3").exists()
    assert not list((folder / "photos").glob("*")) if (folder / "photos").is_dir() else True
    everything = "".join(p.read_text(encoding="utf-8") for p in folder.rglob("*.html"))
    everything += (folder / "record.json").read_text(encoding="utf-8")
    everything += (folder / "readings.csv").read_text(encoding="utf-8")
    monkeypatch.setattr(pdf, "browser", lambda: None)
    build("record", "--for", "recipient", "--book")
    book = folder.with_name("book")
    everything += "".join(p.read_text(encoding="utf-8") for p in book.rglob("*.html"))
    assert "Bent over a pin." in everything and not list(book.rglob("*.mp3"))
    assert not list((book / "photos").glob("*")) if (book / "photos").is_dir() else True
    for held in ("long way home", "Use them", "first hook", "bent rod", "Two hooks", "neighbours",
                 "Anna", "on the inside", "made: bend", "dry."):  # fmt: skip
        assert held not in everything, held


def test_all_approved_is_all_shown_again(build: Callable[..., Ran], tmp_path: Path) -> None:
    ran = build("record", "--rehearse", "--approve", "all")
    assert ran.status == 0 and "0 of" in ran.out
    build("record", "--for", "recipient")
    assert "The first hook" in page(tmp_path, "story.html")
    assert (tmp_path / "b/record/recipient/voice.mp3").is_file()
    assert "0 decisions entered" not in build("record", "--rehearse", "--approve", "all").out


def test_changed_and_hidden_lines(build: Callable[..., Ran], tmp_path: Path) -> None:
    build("record", "--rehearse")
    change, hide = code_of(tmp_path, "A bent rod."), code_of(tmp_path, "The first hook")
    build("record", "--rehearse", "--change", change, "A rod, bent.", "--hide", hide,
          "--approve", "all")  # fmt: skip
    build("record", "--for", "recipient")
    assert "A rod, bent." in page(tmp_path, "items/h1.html")
    assert "The first hook" not in page(tmp_path, "story.html")
    assert not list((tmp_path / "b/record/recipient").glob("photos/*"))


def test_the_rehearsal_shows_what_was_decided_about_each_line(
    build: Callable[..., Ran], tmp_path: Path
) -> None:
    build("record", "--rehearse")
    change, hide = code_of(tmp_path, "A bent rod."), code_of(tmp_path, "Keep it dry.")
    keep = code_of(tmp_path, "Bent over a pin.")
    build("record", "--rehearse", "--change", change, "A rod, bent.", "--hide", hide,
          "--approve", keep)  # fmt: skip
    html = (tmp_path / "b/record/rehearsal/index.html").read_text(encoding="utf-8")
    for code, state, words in ((change, "changed", "A rod, bent."), (hide, "hidden", "Keep it"),
                               (keep, "approved", "Bent over a pin.")):  # fmt: skip
        line = next(part for part in html.split('<div class="line') if code in part)
        assert line.startswith(f" line-{state}") and words in line, line[:300]
    text = page(tmp_path, "index.html", "rehearsal")
    assert text.count("not approved yet") > 5
    assert "Keep it dry." not in "".join(
        p.read_text(encoding="utf-8") for p in (tmp_path / "b/record").rglob("care.html")
    )


def test_a_mind_changed_is_one_more_entry(build: Callable[..., Ran], tmp_path: Path) -> None:
    build("record", "--rehearse", "--approve", "all")
    code = code_of(tmp_path, "A bent rod.")
    build("record", "--rehearse", "--hide", code)
    build("record", "--rehearse", "--hide", code)
    assert ("part hook story", "hidden") in said(tmp_path)
    build("record", "--rehearse", "--approve", code)
    assert ("part hook story", "approved") in said(tmp_path)
    with Logbook(tmp_path / "b" / "logbook.db") as log:
        own = [e for e in log.history(Said) if e.fact.what == "part hook story"]
    assert [e.fact.decision for e in own] == ["approved", "hidden", "approved"]


def test_words_that_change_later_are_not_approved(
    build: Callable[..., Ran], tmp_path: Path
) -> None:
    build("record", "--rehearse", "--approve", "all")
    plan = tmp_path / "b" / "build.toml"
    plan.write_text(PLAN.replace("A bent rod.", "A crooked rod."), encoding="utf-8")
    ran = build("record", "--for", "recipient")
    assert "1 line is not approved" in ran.out
    assert "rod" not in page(tmp_path, "items/h1.html")


def test_taken_back_a_decision_shows_nothing_that_was_not_approved(
    build: Callable[..., Ran], tmp_path: Path
) -> None:
    build("record", "--rehearse")
    build("record", "--rehearse", "--approve", code_of(tmp_path, "A bent rod."))
    with Logbook(tmp_path / "b" / "logbook.db") as log:
        number = log.live(Said)[0].id
    build("undo", str(number), "--why", "too early")
    build("record", "--for", "recipient")
    assert "bent rod" not in page(tmp_path, "items/h1.html")


@pytest.mark.parametrize("words", [("--approve", "ffffff"), ("--hide", "zz"),
                                   ("--change", "ffffff", "x")])  # fmt: skip
def test_a_code_that_is_not_there_enters_nothing(
    build: Callable[..., Ran], tmp_path: Path, words: tuple[str, ...]
) -> None:
    ran = run_qlog(
        "--build", str(tmp_path / "b"), "record", "--rehearse", "--approve", "all", *words
    )
    assert ran.status == 2 and "no line has the code" in ran.err
    assert said(tmp_path) == []


def test_one_line_cannot_be_two_things(build: Callable[..., Ran], tmp_path: Path) -> None:
    build("record", "--rehearse")
    code = code_of(tmp_path, "A bent rod.")
    folder = str(tmp_path / "b")
    ran = run_qlog("--build", folder, "record", "--rehearse", "--approve", code, "--hide", code)
    assert ran.status == 2 and "twice" in ran.err
    ran = run_qlog("--build", folder, "record", "--rehearse", "--change", code, " ")
    assert ran.status == 2 and "--hide" in ran.err


def test_a_caption_that_tells_of_a_scrapped_piece_is_asked_about(
    build: Callable[..., Ran], tmp_path: Path
) -> None:
    build("photo", "caption", "1", "Hook 3 broke, so it was bent anew")
    assert "scrapped piece" not in build("record", "--for", "recipient").out
    build("piece", "hook-3", "scrap", "--op", "10", "--why", "it broke")
    ran = build("record", "--for", "recipient")
    assert "Photo 1 seems to tell of a scrapped piece" in ran.out


def test_an_accepted_piece_needs_a_reason_for_those_who_get_it(
    build: Callable[..., Ran], tmp_path: Path
) -> None:
    build("correct", "hook", "10", "gap", "1", "20.3", "--why", "read again")
    assert "hook-1 is out (gap)" in build("record", "--for", "recipient").out
    build("piece", "hook-1", "use-as-is", "--op", "10", "--why", "fits")
    assert (
        "hook-1 in H1 was accepted outside its drawing (gap)"
        in build("record", "--for", "recipient").out
    )
    plan = tmp_path / "b" / "build.toml"
    plan.write_text(f'{PLAN}\n[[accepted]]\npiece = "hook-1"\nwhy = "It holds more."\n', "utf-8")
    assert "accepted outside" not in build("record", "--for", "recipient").out
    assert "It holds more." in page(tmp_path, "items/h1.html")
