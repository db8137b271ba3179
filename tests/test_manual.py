"""The manual: shown by `qlog manual`; commands, callouts and keys in it are as the code has them.

Run as a script, it writes the generated parts anew:

    python tests/test_manual.py
"""

import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from qlog.cli.main import qlog
from qlog.drawing import formulas
from qlog.drawing.build_file import keys
from qlog.drawing.callouts import grammar
from qlog.manual import text, topics
from qlog.record.readings import fields
from qlog.review.cautions.processes import PROCESSES, ProcessGroup
from tests.commands import commands

TOP = Path(__file__).parent.parent
FOLDER = TOP / "qlog" / "manual"
END = "<!-- generated: end -->"
WIDTH = 96


def help_of(words: str, command: click.Command) -> str:
    """A command's help as the program prints it, at a fixed width."""
    parent = click.Context(qlog, info_name="qlog")
    *groups, last = words.split()
    for group in groups:
        parent = click.Context(click.Group(group), info_name=group, parent=parent)
    context = click.Context(
        command, info_name=last, parent=parent, terminal_width=WIDTH, max_content_width=WIDTH,
        help_option_names=["-h", "--help"],
    )  # fmt: skip
    return command.get_help(context)


def command_reference() -> str:
    """Every command with its help, as Markdown."""
    return "\n\n".join(
        f"## qlog {words}\n\n```\n{help_of(words, command)}\n```" for words, command in commands()
    )


def process_table() -> str:
    """The processes that have cautions of their own, by group."""
    rows = ["| group | processes |", "|---|---|"]
    for group in ProcessGroup:
        named = ", ".join(p.id for p in PROCESSES if p.group is group)
        rows.append(f"| {group.name.replace('_', ' ').lower()} | {named} |")
    return "\n".join(rows)


#: Name behind `<!-- generated: ` -> what writes that part.
GENERATORS: dict[str, Callable[[], str]] = {
    "commands": command_reference,
    "callouts": lambda: grammar.markdown().strip(),
    "processes": process_table,
    "build-file": lambda: keys.markdown().strip(),
    "export": fields.markdown,
    "derived": formulas.markdown,
}


def written_anew(page: str) -> str:
    """A page with its generated parts as the code gives them now."""
    for name, generate in GENERATORS.items():
        begin = f"<!-- generated: {name} -->"
        if begin in page:
            head, _, rest = page.partition(begin)
            tail = rest.partition(END)[2]
            page = f"{head}{begin}\n\n{generate()}\n\n{END}{tail}"
    return page


def write() -> None:
    """Write the generated parts of every topic anew."""
    for path in FOLDER.glob("*.md"):
        old = path.read_text(encoding="utf-8")
        if (new := written_anew(old)) != old:
            path.write_text(new, encoding="utf-8", newline="\n")


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.md")), ids=lambda p: p.stem)
def test_generated_parts_are_the_codes_own(path: Path) -> None:
    page = path.read_text(encoding="utf-8")
    assert page == written_anew(page), "run `python tests/test_manual.py` to write it anew"


def test_every_generated_part_stands_in_one_topic() -> None:
    pages = "".join(p.read_text(encoding="utf-8") for p in FOLDER.glob("*.md"))
    found = re.findall(r"<!-- generated: (\S+) -->", pages)
    assert sorted(n for n in found if n != "end") == sorted(GENERATORS)
    assert found.count("end") == len(GENERATORS)


def test_help_is_what_the_program_prints() -> None:
    words, command = next(iter(commands()))
    ran = subprocess.run(
        [sys.executable, "-c", "from qlog.cli.main import main; main()", words, "--help"],
        capture_output=True, text=True, encoding="utf-8", check=True,
    )  # fmt: skip
    assert ran.stdout.split() == help_of(words, command).split()


@pytest.mark.parametrize("topic", topics())
def test_every_topic_begins_with_a_title_and_shows_no_marks(topic: str) -> None:
    page = text(topic)
    assert page.startswith("# ")
    assert "<!--" not in page
    assert len(topics()[topic]) > 10


def test_readme_points_at_topics_that_are_there() -> None:
    readme = (TOP / "README.md").read_text(encoding="utf-8")
    linked = re.findall(r"\]\(qlog/manual/([^)]+)\.md\)", readme)
    assert len(linked) >= 10
    assert set(linked) <= set(topics())


if __name__ == "__main__":
    write()
