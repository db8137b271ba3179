"""Limits to aim at, as `qlog fit --for` prints them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from qlog.cli.terminal.say import look
from qlog.cli.terminal.text import limits
from qlog.study.fit.joints import window

if TYPE_CHECKING:
    from qlog.drawing.limits import Limits
    from qlog.review.items.aims import DimensionAim
    from qlog.study.batch.allowance import Allowance
    from qlog.words.catalogue import Words


def finish_takes(allowance: Allowance, unit: str) -> str:
    """What a finish still to come does to the size, and how that is known."""
    amount = allowance.amount.normalize()
    word = "takes off" if amount >= 0 else "adds"
    known = (
        f"learnt from {allowance.count}" if allowance.count else "the middle of the layer ordered"
    )
    return f"the finish {word} {abs(amount):f} {unit} ({known})"


def _at_hand(item: DimensionAim, found: Limits) -> str:
    """Limits in the unit and with the places in which the dimension is drawn and read."""
    return window(found.to(item.dimension.callout.unit), item.places)


def print_aims(name: str, found: Sequence[DimensionAim], words: Words) -> int:
    """Print what to aim at for a piece; 1 when nothing fits."""
    if not found:
        click.echo(f"{name} is in no joint: the drawing's limits stand as they are")
        return 0
    hopeless = False
    for item in found:
        own = item.dimension.callout.limits
        drawing = limits(own, words)
        click.echo(f"{name} {item.dimension.name}  drawing {drawing}")
        if item.limits is None:
            hopeless = True
            click.echo("  no size serves")
        else:
            unit, joint_unit = own.unit.symbol, item.limits.unit.symbol
            to = _at_hand(item, item.turned) if item.turned is not None else "?"
            click.echo(f"  turn it to {to} {unit}, as read at the machine")
            if item.allowance is not None:
                after = _at_hand(item, item.limits)
                click.echo(
                    f"     {finish_takes(item.allowance, joint_unit)}: {after} {unit} in the joint"
                )
            elif item.allowance_unknown:
                click.echo(
                    f"     {look(words)}  that is the finished size, allowance unknown: a finish "
                    "is still to come, and no piece has shown yet what it does"
                )
            if item.missed is not None:
                missed = limits(item.missed, words)
                click.echo(f"     {look(words)}  the drawing asks for {missed} before the finish")
        for joint, aim in item.aims:
            click.echo(f"  {joint}: {aim.reason}")
            for other, mates in aim.alternatives[:2]:
                fits = ", ".join(m.id for m in mates)
                click.echo(f"     or {_at_hand(item, other)}, which fits {fits}")
    return int(hopeless)
