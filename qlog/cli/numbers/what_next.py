"""`qlog` alone: what is next at the bench, in the order of the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import build_folder, opened
from qlog.cli.terminal.say import look, say_line
from qlog.problem import Problem
from qlog.words.catalogue import words_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from qlog.review.homeless import Homeless
    from qlog.review.picture import Picture
    from qlog.review.views import Next
    from qlog.words.catalogue import Words


def what_next(ctx: click.Context) -> None:
    """Print what is next in the build at hand, or the help where there is no build."""
    if ctx.obj is None:
        try:
            build_folder(None)
        except Problem:
            click.echo(ctx.get_help())
            return
    from qlog.review.whole import picture_from

    with opened(ctx) as o:
        picture = picture_from(o.build, o.logbook)
    words = words_of(picture.build)
    click.echo(picture.build.title)
    print_next(picture, picture.next, words)
    say_homeless(picture.homeless, words)
    say_line(words("status.more"))


def say_homeless(lost: Iterable[Homeless], words: Words) -> None:
    """That entries have no home in the plan, where what is shown leaves them out."""
    if n := sum(len(one.entries) for one in lost):
        say_line(f"{look(words)}  {words.count('status.homeless', n)}")


def print_next(picture: Picture, steps: Iterable[Next], words: Words) -> None:
    """One line a part; where every piece is done, what is left for the set."""
    from qlog.words.stock import next_text

    say_line(words("status.next"))
    told = [next_text(step, words) for step in steps]
    if not told:
        left = any(not item.complete for item in picture.items)
        told = [words("status.put_together" if left else "status.hand_over")]
        short = any(view.finished < view.part.needed for view in picture.parts)
        if picture.next or short:  # another part's, or pieces that failed: nothing to hand over yet
            told = [words("status.all_done")]
    for text in told:
        say_line(f"  {text}")
