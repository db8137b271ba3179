"""Limits to aim at, as `qlog fit --for` prints them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from qlog.cli.terminal.say import look, say_line
from qlog.words.fits import aim_text, finish_text, pieces_text, window_text
from qlog.words.values import limits_text

if TYPE_CHECKING:
    from qlog.drawing.limits import Limits
    from qlog.review.items.aims import DimensionAim
    from qlog.words.catalogue import Words


def print_aims(name: str, found: Sequence[DimensionAim], words: Words) -> int:
    """Print what to aim at for a piece; 1 when nothing fits."""
    if not found:
        say_line(words("aim.no_joint", piece=name))
        return 0
    for item in found:
        asked = limits_text(words, item.dimension.callout.limits)
        say_line(words("aim.drawing", piece=name, dimension=item.dimension.name, limits=asked))
        for line in _lines(item, words):
            say_line(f"  {line}")
    return int(any(item.limits is None for item in found))


def _lines(item: DimensionAim, words: Words) -> list[str]:
    """What to work to for one dimension, and what that does for its joints."""
    own = item.dimension.callout.unit

    def at_hand(limits: Limits) -> str:  # as the dimension is drawn and read
        return window_text(words, limits.to(own), item.places)

    said = []
    if item.limits is None or item.turned is None:
        said.append(words("aim.none"))
    else:
        said.append(words("aim.make", window=at_hand(item.turned)))
        if item.allowance is not None:
            finish = finish_text(item.allowance, item.limits.unit.symbol, words)
            window = at_hand(item.limits)
            said.append(f"   {words('aim.in_joint', finish=finish, window=window)}")
        elif item.allowance_unknown:
            said.append(f"   {look(words)}  {words('aim.unknown')}")
        if item.missed is not None:
            missed = limits_text(words, item.missed)
            said.append(f"   {look(words)}  {words('aim.missed', limits=missed)}")
    for joint, aim in item.aims:
        said.append(f"{joint}: {aim_text(aim, words)}")
        for other, mates in aim.alternatives[:2]:
            fits = pieces_text(((m.part, m.number) for m in mates), words)
            said.append(f"   {words('aim.or', window=at_hand(other), pieces=fits)}")
    return said
