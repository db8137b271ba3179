"""Every `$ qlog` transcript of README and manual is what the program says, to the letter.

A transcript is a fenced block whose commands begin with `$ qlog`. It is run on the finished example
build; with `<!-- build: begun -->` in the line above the fence on one where the cups are turned and
nothing is bored yet, at a terminal, with what stands behind each prompt typed.

Run as a script, it writes what the program says now:

    python -m tests.test_transcripts
"""

import functools
import re
import shlex
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from qlog.cli.plan.demo import source
from qlog.logbook.store import create
from tests.conftest import run_qlog
from tests.demo_record import demo
from tests.terminal import Terminal

TOP = Path(__file__).parent.parent
PAGES = [TOP / "README.md", *sorted((TOP / "qlog" / "manual").glob("*.md"))]
_BLOCK = re.compile(
    r"(?P<mark><!-- build: begun -->\n+)?```[a-z]*\n(?P<body>\$ qlog.*?)\n```", re.S
)
_PROMPT = "> "


def blocks(page: str) -> Iterator[re.Match[str]]:
    """The transcripts of a page."""
    return _BLOCK.finditer(page)


def said_now(block: re.Match[str]) -> str:
    """What the commands of a transcript say now, laid out as the transcript is."""
    told = []
    for part in re.split(r"(?m)^(?=\$ qlog)", block["body"])[1:]:
        line, _, before = part.partition("\n")
        words = shlex.split(line.removeprefix("$ qlog"), comments=True)
        said = at_a_terminal(words, before) if block["mark"] else in_a_pipe(words)
        told.append(f"{line}\n{said}".rstrip())
    return "\n\n".join(told)


def in_a_pipe(words: list[str]) -> str:
    ran = run_qlog("--build", str(demo().folder), *words)
    return _tidy(ran.err + ran.out)


def at_a_terminal(words: list[str], before: str) -> str:
    """A sitting at a terminal, with the answers that stand behind the prompts typed again."""
    answers = re.findall(rf"(?m)^.*{_PROMPT}(\S+)$", before)
    folder = Path(tempfile.mkdtemp(prefix="qlog-transcript-"))
    try:
        shutil.copyfile(source() / "build.toml", folder / "build.toml")
        create(folder / "logbook.db")
        assert run_qlog("--build", str(folder), "done", "cup", "10").status == 0
        with Terminal(*words, folder=folder) as terminal:
            for answer in answers:
                terminal.expect(_PROMPT)
                # A single key counts at once; a number ends with Enter.
                terminal.type(answer if answer.isalpha() else f"{answer}\n")
            terminal.ended()
            return _tidy(terminal.screen)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _tidy(text: str) -> str:
    return "\n".join(line.rstrip() for line in text.splitlines()).strip("\n")


@functools.cache
def _found() -> list[tuple[str, int]]:
    return [
        (path.relative_to(TOP).as_posix(), count)
        for path in PAGES
        for count, _ in enumerate(blocks(path.read_text(encoding="utf-8")))
    ]


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no pseudo-terminal of this kind")
@pytest.mark.parametrize(("page", "count"), _found())
def test_a_transcript_is_what_the_program_says(page: str, count: int) -> None:
    block = list(blocks((TOP / page).read_text(encoding="utf-8")))[count]
    assert block["body"] == said_now(block), "run `python -m tests.test_transcripts`, and read it"


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.name)
def test_no_transcript_hides_from_the_test(path: Path) -> None:
    page = path.read_text(encoding="utf-8")
    inside = "\n".join(block["body"] for block in blocks(page))
    assert page.count("$ qlog") == inside.count("$ qlog")


def test_readme_has_transcripts() -> None:
    assert sum(page == "README.md" for page, _ in _found()) >= 3


if __name__ == "__main__":
    for path in PAGES:
        old = path.read_text(encoding="utf-8")
        new = _BLOCK.sub(lambda b: b[0].replace(b["body"], said_now(b)), old)
        if new != old:
            path.write_text(new, encoding="utf-8", newline="\n")
