"""What to make next: the limits to aim at, so that a piece still to be cut fits mates already made.

All sizes, uncertainties and limits of one call are in one unit. The window that a mate leaves is
the definition of clearance (ISO 286-1, from memory) solved for the piece, guarded by ISO 14253-1;
the fewest windows for many mates come from piercing intervals, a textbook method (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from enum import Enum, auto

from qlog.drawing.decision import SIMPLE, DecisionRule
from qlog.drawing.limits import Limits
from qlog.frozen import frozen
from qlog.study.fit.joints import ReadWith, Side, Sized, acceptance_limits, common, mate_window


@frozen
class Need:
    """One joint of the piece to be cut, with the mates that are still free."""

    side: Side  # which side of the joint the mates are on
    mates: tuple[Sized, ...]
    wanted: Limits  # wanted clearance


class Grounds(Enum):
    """Why the limits to aim at are what they are."""

    FITS_ALL = auto()  # every free mate fits
    FITS_SOME = auto()  # no size fits all: the one that serves the most
    FITS_NONE = auto()  # no size inside the drawing fits any mate
    NO_MATE = auto()  # no mate is free: the drawing's limits as they are
    TOO_COARSE = auto()  # the reading cannot prove any size inside the drawing's limits


@frozen
class Aim:
    """Limits to aim at for one dimension of a piece still to be cut.

    `limits` are for the reading at the machine: a reading within them means a size within the
    drawing and pairs within the wanted clearance, uncertainty already taken off. None when no
    size serves any mate; `grounds` then says why.
    """

    limits: Limits | None
    drawing: Limits  # the drawing's limits, narrowed by the uncertainty of the reading
    fits: tuple[Sized, ...]  # mates that every size within the limits fits
    misses: tuple[Sized, ...]  # free mates left out, because no size fits them all
    alternatives: tuple[tuple[Limits, tuple[Sized, ...]], ...]  # other windows, and what they fit
    grounds: Grounds


def aim(
    need: Need,
    drawing: Limits,
    *,
    decision: DecisionRule = SIMPLE,
    reading: ReadWith | None = None,
    least_width: Decimal = Decimal(0),
) -> Aim:
    """The limits to aim at for one dimension of the next piece.

    `drawing` are the drawing's limits of the dimension, `reading` says how it
    will be read; by the guarded rule both the drawing's and the joint's limits are
    narrowed by their guard bands.

    The choice: a piece that fits every free mate can go anywhere, so the window common to all
    of them is taken if there is one (at least `least_width` wide, the narrowest that can be
    worked to). Otherwise the window that serves the most mates; among those the widest, because
    it is the easiest to hit, and then the lowest. Mates that fit no size inside the drawing
    count as missed.
    """
    own = acceptance_limits(drawing, decision, reading)
    if own is None:
        return Aim(None, drawing, (), need.mates, (), Grounds.TOO_COARSE)
    windows: list[tuple[Limits, Sized]] = []
    for mate in need.mates:
        fit = mate_window(
            mate, need.side, need.wanted, decision=decision, reading=reading,
        )  # fmt: skip
        fit = None if fit is None else common([fit, own])
        if fit is not None and _wide_enough(fit, least_width):
            windows.append((fit, mate))
    if not need.mates:
        return Aim(own, own, (), (), (), Grounds.NO_MATE)
    if not windows:
        return Aim(None, own, (), need.mates, (), Grounds.FITS_NONE)
    choices = _windows(windows, least_width)
    limits, fits = choices[0]
    misses = tuple(mate for mate in need.mates if mate not in fits)
    grounds = Grounds.FITS_SOME if misses else Grounds.FITS_ALL
    return Aim(limits, own, fits, misses, tuple(choices[1:]), grounds)


def aim_at_all(aims: Sequence[Aim]) -> Limits | None:
    """What several aims for the same dimension have in common (it may be in several joints).

    None when one of them has no limits, or nothing is common to all. Raises ValueError without any.
    """
    limits = [one.limits for one in aims if one.limits is not None]
    return common(limits) if len(limits) == len(aims) else None


def _windows(
    windows: Sequence[tuple[Limits, Sized]], least_width: Decimal
) -> list[tuple[Limits, tuple[Sized, ...]]]:
    """Every largest set of mates that one window serves, best first.

    The mates served change only at the lower end of some window, so the sets met there are all.
    """
    found: dict[tuple[Sized, ...], Limits] = {}
    for start, _ in windows:
        members = [
            (limits, mate)
            for limits, mate in windows
            if _not_above(limits.lower, start.lower)
            and (
                limits.upper is None
                or start.lower is None
                or limits.upper - start.lower >= least_width
            )
        ]
        shared = common([limits for limits, _ in members])
        if shared is not None:
            found[tuple(mate for _, mate in members)] = shared
    largest = {
        mates: limits
        for mates, limits in found.items()
        if not any(set(mates) < set(other) for other in found)
    }

    def order(one: tuple[tuple[Sized, ...], Limits]) -> tuple[int, Decimal, Decimal]:
        mates, limits = one
        width = limits.width
        return (
            -len(mates),
            -(Decimal("Infinity") if width is None else width),
            Decimal("-Infinity") if limits.lower is None else limits.lower,
        )

    return [(limits, mates) for mates, limits in sorted(largest.items(), key=order)]


def _wide_enough(limits: Limits, least: Decimal) -> bool:
    return limits.width is None or limits.width >= least


def _not_above(lower: Decimal | None, start: Decimal | None) -> bool:
    return lower is None or (start is not None and lower <= start)
