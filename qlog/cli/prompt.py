"""One line from the bench: typed at a prompt, or piped in without one."""

from __future__ import annotations

import sys

import click


def ask_line(prompt: str) -> str | None:
    """One line without its end; None when the input is over. The prompt shows on a terminal."""
    if sys.stdin.isatty():
        click.echo(prompt, nl=False)
    line = sys.stdin.readline()
    return line.strip() if line else None
