"""`qlog photo caption`, `show`, `cover`, `best`, `apart`: what is said of photos, who sees them."""

from __future__ import annotations

import click

from qlog.cli.context import opened
from qlog.cli.photos.common import chosen_photos, one_photo, picture_of, say_numbers, views_of
from qlog.intake.photos import edits
from qlog.words.catalogue import words_of


@click.command("caption")
@click.argument("numbers")
@click.argument("text")
@click.pass_context
def caption(ctx: click.Context, numbers: str, text: str) -> int:
    """Give photos NUMBERS a caption; the earlier one stays in the history. "" takes it away.

    \b
    Example:
      qlog photo caption 14 "boring the socket to size"
    """
    with opened(ctx) as o:
        chosen = chosen_photos(o, numbers)
        edits.caption(o.logbook, list(chosen.values()), " ".join(text.split()))
    words = words_of(o.build)
    say_numbers(chosen, " ".join(text.split()) or words("edit.no_caption"), words)
    return 0


@click.command("show")
@click.argument("numbers")
@click.argument("audience", type=click.Choice(["both", "maker", "nobody"]))
@click.pass_context
def show(ctx: click.Context, numbers: str, audience: str) -> int:
    """Say which edition may show photos NUMBERS: both, only the maker's, or none.

    A photo for nobody is kept all the same and does not count as evidence.

    \b
    Example:
      qlog photo show 14-16 maker
      qlog photo show 17 nobody
    """
    with opened(ctx) as o:
        chosen = chosen_photos(o, numbers)
        edits.show(o.logbook, list(chosen.values()), audience)
    words = words_of(o.build)
    say_numbers(chosen, words(f"edit.{audience}"), words)
    return 0


@click.command("cover")
@click.argument("number")
@click.argument("of", required=False, type=click.Choice(["part", "item", "build", "none"]))
@click.pass_context
def cover(ctx: click.Context, number: str, of: str | None) -> int:
    """Make photo NUMBER the cover picture of its part, its item or the build.

    By default that of where it lies. The one chosen last is shown first.

    \b
    Example:
      qlog photo cover 31
      qlog photo cover 40 build
    """
    with opened(ctx) as o:
        chosen = one_photo(o, number)
        photo = next(iter(chosen.values()))
        view = views_of(picture_of(o), [photo])[0]
        natural = "item" if view.item else "part" if view.part else "build"
        kind = natural if of is None else "" if of == "none" else of
        edits.cover(o.logbook, photo, kind)
    words = words_of(o.build)
    thing = {"part": view.part, "item": view.item}.get(kind) or words("edit.build")
    said = words("edit.cover", thing=thing) if kind else words("edit.no_cover")
    say_numbers(chosen, said, words)
    return 0


@click.command("best")
@click.argument("number")
@click.pass_context
def best(ctx: click.Context, number: str) -> int:
    """Choose photo NUMBER among near-duplicates; otherwise the record shows the sharpest.

    \b
    Example:
      qlog photo best 15
    """
    from qlog.counting import runs
    from qlog.review.photo_views import alike_to

    with opened(ctx) as o:
        chosen = one_photo(o, number)
        photo = next(iter(chosen.values()))
        picture = picture_of(o)
        view = views_of(picture, [photo])[0]
        alike = alike_to(view, picture.photos)
        edits.best(o.logbook, photo, [v.photo for v in alike])
    others = sorted(v.number for v in alike if v.number != view.number)
    words = words_of(o.build)
    instead = words("edit.instead", numbers=runs(others)) if others else words("edit.alone")
    say_numbers(chosen, instead, words)
    return 0


@click.command("apart")
@click.argument("numbers")
@click.pass_context
def apart(ctx: click.Context, numbers: str) -> int:
    """Say that photos NUMBERS show different things although they look alike: each is shown.

    `qlog photo best NUMBER` takes it back: that one alone is shown then.

    \b
    Example:
      qlog photo apart 14,15
    """
    with opened(ctx) as o:
        chosen = chosen_photos(o, numbers)
        edits.tell_apart(o.logbook, list(chosen.values()))
    words = words_of(o.build)
    say_numbers(chosen, words("edit.apart"), words)
    return 0
