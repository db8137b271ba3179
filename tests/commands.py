"""Every command of qlog, for tests that look at all of them."""

from collections.abc import Iterator

import click

from qlog.cli.main import COMMANDS, qlog


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
