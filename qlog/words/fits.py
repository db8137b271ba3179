"""Joints, aims, the choice of pieces, and which are not to be given away, in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.decimals import as_typed
from qlog.drawing.units import Unit
from qlog.study.fit.joints import Side, rounded_inwards
from qlog.words.catalogue import Words
from qlog.words.values import decimals_of, fixed, verdict_name, verdict_word, with_unit

if TYPE_CHECKING:
    from collections.abc import Iterable

    from qlog.drawing.limits import Limits
    from qlog.drawing.plan import Build, Joint
    from qlog.review.items.mating import Barred
    from qlog.review.items.within import Within
    from qlog.study.batch.allowance import Allowance
    from qlog.study.fit.aim import Aim
    from qlog.study.fit.joints import FitConflict, Sized
    from qlog.study.matching.model import Key, Shortage, SizeSpread

#: More decimals than this no spread is shown with.
_FINEST = 9


def window_text(words: Words, limits: Limits, decimals: int) -> str:
    """Limits to work to, rounded inwards: `7.98..7.99 mm`, or `7.98 mm` where they meet."""
    shown = rounded_inwards(limits, decimals)
    symbol = limits.unit.symbol

    def number(value: Decimal) -> str:
        return words.number(value, symbol)

    if shown.lower is None and shown.upper is None:
        return words("fits.any_size")
    if shown.lower is None or shown.upper is None:
        end = shown.lower if shown.upper is None else shown.upper
        assert end is not None
        key = "limits.least" if shown.upper is None else "limits.most"
        return words(key, value=with_unit(number(end), symbol))
    if shown.lower == shown.upper:
        return with_unit(number(shown.lower), symbol)
    return with_unit(range_text(words, number(shown.lower), number(shown.upper)), symbol)


def range_text(words: Words, lower: str, upper: str) -> str:
    """From one number to another, as they stand: `7.98..7.99`, `.313 .. .314`."""
    pointed = upper.startswith((".", ","))  # three points in a row hide where it begins
    return words("fits.range.pointed" if pointed else "fits.range", lower=lower, upper=upper)


def pieces_text(some: Iterable[Key], words: Words) -> str:
    """Pieces of several parts: `cup 9, 10; foot-3`; empty without any."""
    parts: dict[str, list[int]] = {}
    for part, number in some:
        parts.setdefault(part, []).append(number)
    return "; ".join(words.pieces(part, own) for part, own in parts.items())


def _named(some: Sequence[Sized], words: Words) -> str:
    return pieces_text(((one.part, one.number) for one in some), words)


def conflict_text(conflict: FitConflict, joint: Joint, decimals: int, words: Words) -> str:
    """Why pieces fit nothing, and the limits to which a new mate would have to be made."""
    inside = conflict.side is Side.INSIDE
    own, mate = (joint.inside, joint.outside) if inside else (joint.outside, joint.inside)
    n = len(conflict.pieces)
    named = _named(conflict.pieces, words)
    about = {"pieces": named, "dimension": own.dimension, "mate": mate.part}
    if conflict.mates:
        said = words("fits.compete", **about, mates=_named(conflict.mates, words))
    else:
        said = words.count("fits.no_mate", n, **about)
    if not conflict.turn:
        return words("fits.no_remedy", said=said, mate=mate.part)
    alone = len(conflict.turn) == 1 and len(conflict.turn[0].fits) == n
    what = [
        words(
            "fits.to" if alone else "fits.to_fit",
            mate=mate.part,
            window=window_text(words, remedy.limits, decimals),
            **({} if alone else {"pieces": _named(remedy.fits, words)}),
        )
        for remedy in conflict.turn
    ]
    return words(
        "fits.make", said=said, what=words("format.or").join(f" {w} " for w in what).strip()
    )


def aim_text(aim: Aim, words: Words) -> str:
    """Why the limits to aim at are what they are."""
    key = f"aim.{aim.grounds.name.lower()}"
    return words(key, fits=_named(aim.fits, words), misses=_named(aim.misses, words))


def finish_text(allowance: Allowance, unit: str, words: Words) -> str:
    """What a finish still to come does to the size, and how that is known."""
    amount = allowance.amount.normalize()
    known = (
        words("finish.learnt", n=allowance.count) if allowance.count else words("finish.ordered")
    )
    key = "finish.takes_off" if amount >= 0 else "finish.adds"
    return words(key, amount=with_unit(words.number(abs(amount)), unit), known=known)


def spread_text(spread: SizeSpread, name: str, unit: str, decimals: int, words: Words) -> str:
    """How far a size differs among the items, and what it would be in the order of making."""
    places = decimals
    while places < _FINEST and spread.reached and spread.reached < Decimal(1).scaleb(-places):
        places += 1

    def size(value: Decimal) -> str:
        return with_unit(words.number(fixed(value, places)), unit)

    before = spread.in_making_order
    about = {"name": name, "reached": size(spread.reached)}
    if before is None:
        return words("match.spread", **about)
    if before == spread.reached:
        return words("match.spread_as_made", **about)
    key = "match.spread_worse" if before < spread.reached else "match.spread_instead"
    return words(key, **about, before=size(before))


def bound_text(spread: SizeSpread, unit: str, decimals: int, words: Words) -> str:
    """Whether no choice could have a smaller spread, or what could be had at best."""
    if spread.proven:
        return words("match.smallest")
    finest = max(decimals, min(decimals_of(spread.bound.normalize()), decimals + 1))
    return words("match.at_best", bound=with_unit(words.number(fixed(spread.bound, finest)), unit))


def shortage_text(shortage: Shortage, words: Words) -> str:
    """A part of which there are too few for some items."""
    groups = [group.name or group.id for group in shortage.groups]
    return words(
        "match.short",
        part=shortage.part,
        wanted=shortage.wanted,
        free=shortage.free,
        groups=words.list(groups),
    )


def within_texts(
    build: Build, found: Iterable[Within], words: Words
) -> list[tuple[str, list[str]]]:
    """Which items go into which larger one, each with how they fit and what it measures."""
    return [(_holds(one, words), _of_larger(build, one, words)) for one in found]


def _holds(one: Within, words: Words) -> str:
    about = {"item": words.item(one.item), "items": words.list([*map(words.item, one.holds)])}
    if one.done:
        return words("match.within.done", **about)
    if one.stack is not None and one.spread is not None:
        unit = one.stack.callout.unit.symbol
        spread = with_unit(words.number(one.spread), unit)
        return words("match.within.alike", stack=one.stack.name, spread=spread, **about)
    return words("match.within.fit" if one.by_fit else "match.within.order", **about)


def _of_larger(build: Build, one: Within, words: Words) -> list[str]:
    """The joints between the items of a larger one, and its overall sizes."""
    joints = {j.id: j for j in build.joints}
    stacks = {s.id: s for s in build.stacks}
    said = []
    for own in one.joints:
        joint, pair = joints[own.joint], own.pair
        unit = joint.clearance.unit.symbol
        least = max(decimals_of(pair.clearance), 3 if joint.clearance.unit is Unit.MM else 4)
        amount = words.number(f"{pair.clearance:+.{least}f}", unit)
        ends = (words.piece(side.part, side.number) for side in (pair.inside, pair.outside))
        said.append(
            words(
                "match.within.joint", joint=joint.name, amount=with_unit(amount, unit),
                pieces=words.list([*ends]), verdict=verdict_name(words, pair.verdict),
            )
        )  # fmt: skip
    for size in one.sizes:
        callout = stacks[size.stack].callout
        value = fixed(size.size, max(2, decimals_of(size.size)))
        verdict = "" if size.judgement is None else verdict_name(words, size.judgement.verdict)
        key = "match.within.measured" if size.measured else "match.within.size"
        amount = with_unit(words.number(value, callout.unit.symbol), callout.unit.symbol)
        said.append(words(key, stack=stacks[size.stack].name, amount=amount, verdict=verdict))
    return said


def why_barred(piece: Barred, words: Words) -> str:
    """What is wrong with it: "bore 8.031 is out high", "it is still sent out"."""
    said = [
        words(
            "barred.out" if reading.verdict is not None else "barred.failed",
            dimension=reading.dimension,
            value=as_typed(reading.typed),
            verdict=verdict_word(words, reading),
        )
        for reading in piece.failed
    ]
    if piece.away:
        said.append(words("barred.away"))
    return ", ".join(said)


def said_of_barred(piece: Barred, words: Words) -> str:
    """One line about it, with what to type."""
    about = {
        "piece": words.piece(piece.part, piece.piece),
        "item": words.item(piece.item or ""),
        "why": why_barred(piece, words),
    }
    todo = words("barred.decide" if piece.failed else "barred.back", **about)
    return words(
        "barred.built_in" if piece.item is not None else "barred.left_out", todo=todo, **about
    )
