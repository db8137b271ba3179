"""What the library that reads the command line refuses, said in the language of the build.

The library hands each of its messages to gettext, under the English text as its name. Those that a
user may meet outside help texts are looked up in the catalogue instead; any other stays as it is,
and no folder of the system is searched for translations of it in every call.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from qlog.problem import ToSay

if TYPE_CHECKING:
    from qlog.words.catalogue import Words

#: The library's message -> key of the text, behind "usage.".
MESSAGES = {
    "Missing argument": "missing_argument",
    "Missing option": "missing_option",
    "Missing parameter": "missing_option",
    "Choose from:\n\t{choices}": "choose",
    "Got unexpected extra argument ({args})": "extra_argument",
    "Got unexpected extra arguments ({args})": "extra_arguments",
    "No such option {name!r}.": "no_option",
    "No such command {name!r}.": "no_command",
    "Did you mean {possibility}?": "near",
    "(Did you mean one of: {possibilities}?)": "near_several",
    "Option {name!r} does not take a value.": "no_value",
    "Option {name!r} requires an argument.": "wants_value",
    "Option {name!r} requires {nargs} arguments.": "wants_values",
    "Takes {nargs} values but 1 was given.": "one_value",
    "Takes {nargs} values but {len} were given.": "other_values",
    "Argument {name!r} takes {nargs} values.": "argument_values",
    "Invalid value: {message}": "invalid",
    "Invalid value for {param_hint}: {message}": "invalid_for",
    "{value!r} is not {choice}.": "not_choice",
    "{value!r} is not one of {choices}.": "not_one_of",
    "{value!r} is not a valid {number_type}.": "no_number",
    "{value} is not in the range {range}.": "not_in_range",
    "{name} {filename!r} does not exist.": "not_there",
    "{name} {filename!r} is a file.": "is_file",
    "{name} {filename!r} is a directory.": "is_folder",
    "{name} {filename!r} is not readable.": "not_readable",
    "{name} {filename!r} is not writable.": "not_writable",
}


def speak(words: Callable[[], Words]) -> None:
    """Have the library say its messages in the words of a build, asked for when there is one."""

    def said(message: str) -> str:
        key = MESSAGES.get(message)
        return message if key is None else words()(f"usage.{key}")

    def counted(one: str, many: str, n: int) -> str:
        return said(one if n == 1 else many)

    for module in (
        click.core, click.decorators, click.exceptions, click.formatting, click.parser,
        click.termui, click.types,
    ):  # fmt: skip
        for name, own in (("_", said), ("ngettext", counted)):
            setattr(module, name, own)


def refusal(error: click.ClickException, words: Words) -> str:
    """What is wrong with a call, below how it is to be called; help where nothing was asked."""
    from qlog.words.problems import in_words

    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        return error.format_message()

    own = isinstance(error.message, ToSay)
    said = in_words(words, error.message) if own else error.format_message()
    ctx = error.ctx if isinstance(error, click.UsageError) else None
    if ctx is None:
        return words("usage.wrong", said=said)
    pieces = " ".join(ctx.command.collect_usage_pieces(ctx))
    formatter = ctx.make_formatter()
    formatter.write_usage(ctx.command_path, pieces, prefix=f"{words('usage.call')} ")
    hint = words("usage.help", command=f"{ctx.command_path} --help")
    return f"{formatter.getvalue()}{hint}\n\n{words('usage.wrong', said=said)}"
