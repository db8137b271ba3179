"""`qlog manual`: the reference, in the terminal and without a network."""

from __future__ import annotations

import os
import sys

import click

from qlog.problem import Problem, ToSay


@click.command("manual")
@click.argument("topic", metavar="[TOPIC]", default="")
def command(topic: str) -> None:
    """Show the manual: its topics, or one TOPIC of it.

    On a terminal the text is laid out, and a long one is paged; piped, it is Markdown as written.

    \b
    Example:
      qlog manual
      qlog manual callouts
    """
    from qlog.manual import text, topics

    known = topics()
    if not topic:
        width = max(map(len, known))
        for name, title in known.items():
            click.echo(f"{name:<{width}}  {title}")
        click.echo("next: qlog manual TOPIC")
        return
    if topic not in known:
        from qlog.intake.typed.places import nearest

        raise Problem(ToSay("error.manual_topic", topic=topic, nearest=nearest(topic, known)))
    written = text(topic)
    if sys.stdout.isatty():
        # What `less` needs to show colours, and to leave a text that fits where it is.
        os.environ.setdefault("LESS", "-FRX")
        click.echo_via_pager(_laid_out(written))
    else:
        click.echo(written, nl=False)


def _laid_out(written: str) -> str:
    """The Markdown drawn for this terminal, no wider than a page is read well."""
    from rich.console import Console
    from rich.markdown import Markdown

    console = Console(no_color=bool(os.environ.get("NO_COLOR")))
    console.width = min(console.width, 110)
    with console.capture() as drawn:
        console.print(Markdown(written))
    return drawn.get()
