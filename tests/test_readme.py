"""The README's reference is what the program says: command help, callouts, keys of the files.

Run as a script, it writes the reference anew:

    python tests/test_readme.py
"""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import click

from qlog.cli.main import COMMANDS, qlog
from qlog.drawing.callouts.grammar import markdown

README = Path(__file__).parent.parent / "README.md"
BEGIN, END = "<!-- commands: begin -->", "<!-- commands: end -->"
WIDTH = 96


def commands() -> Iterator[tuple[str, click.Command]]:
    """Every command and subcommand, by its words, in the order of the work."""
    context = click.Context(qlog)
    for name in COMMANDS:
        command = qlog.get_command(context, name)
        assert command is not None
        yield name, command
        if isinstance(command, click.Group):
            for sub in command.list_commands(click.Context(command)):
                found = command.get_command(click.Context(command), sub)
                assert found is not None
                yield f"{name} {sub}", found


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


def reference() -> str:
    """The commands as the README lists them."""
    parts = [BEGIN]
    for words, command in commands():
        parts.append(
            f"<details>\n<summary><code>qlog {words}</code>: {command.get_short_help_str(120)}"
            f"</summary>\n\n```\n{help_of(words, command)}\n```\n\n</details>"
        )
    return "\n".join([*parts, END])


def test_readme_lists_every_command_with_its_help() -> None:
    text = README.read_text(encoding="utf-8")
    assert reference() in text, "run `python tests/test_readme.py` to write the reference anew"


def test_help_is_what_the_program_prints() -> None:
    words, command = next(iter(commands()))
    ran = subprocess.run(
        [sys.executable, "-c", "from qlog.cli.main import main; main()", words, "--help"],
        capture_output=True, text=True, encoding="utf-8", check=True,
    )  # fmt: skip
    assert ran.stdout.split() == help_of(words, command).split()


def test_callout_table_is_the_parsers_own() -> None:
    assert markdown() in README.read_text(encoding="utf-8")


if __name__ == "__main__":
    old = README.read_text(encoding="utf-8")
    head, rest = old.split(BEGIN)
    README.write_text(head + reference() + rest.split(END)[1], encoding="utf-8", newline="\n")
