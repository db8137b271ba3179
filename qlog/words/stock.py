"""How many pieces are left, said."""

from __future__ import annotations

from qlog.words.catalogue import Words


def margin_text(margin: int, words: Words) -> str:
    """Live pieces beyond those needed: some to spare, none, or so many still to be made."""
    if margin > 0:
        return words("margin.over", n=margin)
    return words("margin.none") if margin == 0 else words("margin.short", n=-margin)


def percent(share: float, words: Words) -> str:
    """A share as whole per cent, rounded down: 94.9 % is not yet 95."""
    return words("stock.percent", n=int(share * 100 + 1e-9))
