"""`qlog demo`: the example build, made by the same commands as a real one.

The plan, the readings and the photos lie in the demo folder; `story.txt` there is a list of qlog
commands, and this module runs them one by one.
"""

from __future__ import annotations

import csv
import io
import shlex
import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from importlib.resources import files
from pathlib import Path

import click

from qlog.frozen import frozen
from qlog.problem import Problem, ToSay

STORY = "story.txt"
COVER = "set-1.jpg"


@click.command("demo")
@click.argument("folder", metavar="[DIR]", default="qlog-demo", type=click.Path(path_type=Path))
def command(folder: Path) -> int:
    """Make the whole example build in DIR (./qlog-demo): eight turned table candlesticks.

    Everything in it is invented, the photos are rendered. Both editions of the record are left
    under DIR/record.

    \b
    Example:
      qlog demo
    """
    from qlog.cli.main import qlog
    from qlog.cli.terminal.say import progress

    with progress("the build") as advance:
        make_example(folder, advance)
    click.echo(f"made {folder}: plan, logbook and photos of an invented build")
    qlog.main(["--build", str(folder), "record"], prog_name="qlog", standalone_mode=False)
    where = f'"{folder}"' if " " in str(folder) else folder
    click.echo(f"try: qlog --build {where} status")
    return 0


class StoryError(Problem):
    """A line of the story that did not go as told: a defect of the example."""

    status = 1


@frozen
class StoryLine:
    """One line of the story."""

    number: int
    words: tuple[str, ...]
    made: str | None
    refused: bool  # it is expected to be refused
    stdin: str | None  # file that is typed into it


def source() -> Path:
    """The demo folder: inside the installed package, or beside it in a checkout."""
    package = Path(str(files("qlog")))
    for folder in (package / "demo_build", package.parent / "demo"):
        if (folder / STORY).is_file():
            return folder
    raise StoryError(ToSay("error.example_build_part"))


def make_example(folder: Path, progress: Callable[[int, int], None] | None = None) -> Path:
    """Make the whole example build in a folder that is empty or not there yet.

    Raises Problem when the folder holds anything, StoryError when a command does not do what the
    story says.
    """
    if folder.exists() and any(folder.iterdir()):
        raise Problem(ToSay("error.empty_name_another", folder=folder))
    demo = source()
    folder.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(demo / "build.toml", folder / "build.toml")
    for inner in ("drawings", "letter"):
        shutil.copytree(demo / inner, folder / inner)
    from qlog.logbook.store import FILE_NAME, create

    create(folder / FILE_NAME)
    steps = [*read_story(demo / STORY), *photo_lines(demo)]
    for count, line in enumerate(steps, start=1):
        run_line(folder, demo, line)
        if progress is not None:
            progress(count, len(steps))
    return folder


def read_story(path: Path) -> Iterator[StoryLine]:
    """The lines of a story file that say something."""
    made: str | None = None
    for number, text in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        line = text.strip()
        if not line or line.startswith("#"):
            continue
        if line.startswith("@"):
            made = line[1:]
            continue
        refused = line.startswith("!")
        words = shlex.split(line.removeprefix("!"))
        stdin = None
        if "<" in words:
            at = words.index("<")
            stdin, words = words[at + 1], words[:at]
        yield StoryLine(number, tuple(words), made, refused, stdin)


def photo_lines(demo: Path) -> Iterator[StoryLine]:
    """One `qlog photo add` for every photo of the list, with its place and caption."""
    with (demo / "photos.csv").open(encoding="utf-8", newline="") as file:
        rows = list(enumerate(csv.DictReader(file), start=2))
        # Of several cover pictures the one chosen last is shown first.
        for number, row in sorted(rows, key=lambda pair: pair[1]["file"] == COVER):
            words = ["photo", "add", f"photos/{row['file']}", "--note", row["note"]]
            if row["piece"].startswith("item "):
                words += ["--item", _item(int(row["piece"].removeprefix("item ")))]
            elif row["part"] == "set":
                words.append("--cover")
            else:
                words += ["--part", row["part"], "--op", row["op"]]
                words += ["--piece", row["piece"]] if row["piece"] else []
            yield StoryLine(number, tuple(words), None, False, None)


def _item(number: int) -> str:
    """Candlesticks are numbered under the foot, the four tall ones first."""
    return f"tall-{number}" if number <= 4 else f"low-{number - 4}"


def redraw(folder: Path, line: StoryLine) -> None:
    """The maker changes one callout in build.toml. Raises StoryError when it is not there once."""
    old, new = " ".join(line.words[1:]).split(" => ")
    plan = folder / "build.toml"
    text = plan.read_text(encoding="utf-8")
    if text.count(f'"{old}"') != 1:
        raise StoryError(
            ToSay(
                "error.stands_times_plan",
                story=STORY,
                number=line.number,
                old=old,
                count=text.count(old),
            )
        )
    plan.write_text(text.replace(f'"{old}"', f'"{new}"'), encoding="utf-8", newline="\n")


def run_line(folder: Path, demo: Path, line: StoryLine) -> None:
    """Run one command on the build, quietly. Raises StoryError when it goes otherwise than told."""
    from qlog.cli.main import qlog

    if line.words[0] == "drawing":
        redraw(folder, line)
        return
    words = [
        str(demo / word) if (demo / word).is_file() and "/" in word else word for word in line.words
    ]
    if line.made is not None and words[0] in _TAKES_MADE and "--csv" not in words:
        words += ["--made", line.made]
    said = io.StringIO()
    try:
        with _typed(demo, line.stdin), redirect_stdout(said), redirect_stderr(said):
            qlog.main(["--build", str(folder), *words], prog_name="qlog", standalone_mode=False)
    except Problem as problem:
        if line.refused:
            return
        about = {"file": STORY, "line": line.number, "words": " ".join(line.words)}
        raise StoryError(ToSay("error.story", **about, problem=problem)) from problem
    if line.refused:
        what = ToSay(
            "error.story_not_refused", story=STORY, number=line.number, names=" ".join(line.words)
        )
        raise StoryError(what)


_TAKES_MADE = {
    "start", "done", "read", "setup", "piece", "correct", "note", "send", "back", "gauge",
    "assemble", "match",
}  # fmt: skip


@contextmanager
def _typed(demo: Path, name: str | None) -> Iterator[None]:
    """What is typed at a command: the lines of a file, or nothing."""
    before = sys.stdin
    sys.stdin = io.StringIO((demo / name).read_text(encoding="utf-8") if name else "")
    try:
        yield
    finally:
        sys.stdin = before
