"""Limits to aim at, as `qlog fit --for` prints them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from qlog.cli.text import limits
from qlog.study.fits import window

if TYPE_CHECKING:
    from qlog.review.aims import DimensionAim

#: Decimal places of limits to aim at; more where nothing would be left between them.
PLACES = 3


def print_aims(name: str, found: Sequence[DimensionAim]) -> int:
    """Print what to aim at for a piece; 1 when nothing fits."""
    if not found:
        click.echo(f"{name} is in no joint: the drawing's limits stand as they are")
        return 0
    hopeless = False
    for item in found:
        drawing = limits(item.dimension.callout.limits)
        click.echo(f"{name} {item.dimension.name}  drawing {drawing}")
        if item.limits is None:
            hopeless = True
            click.echo("  no size serves")
        else:
            unit = item.limits.unit.symbol
            click.echo(f"  turn it to {window(item.limits, PLACES)} {unit}, as read at the machine")
        for joint, aim in item.aims:
            click.echo(f"  {joint}: {aim.reason}")
            for other, mates in aim.alternatives[:2]:
                fits = ", ".join(m.id for m in mates)
                click.echo(f"     or {window(other, PLACES)}, which fits {fits}")
    return int(hopeless)
