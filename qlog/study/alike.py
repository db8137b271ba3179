"""Which photos are alike, by their 64-bit likeness hashes.

The hashes are made where photos are taken in; here they are plain numbers. Bits that
differ are counted (R. W. Hamming, Bell System Technical Journal 29 (1950) 147-160; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

#: Bits that two photos of the same view may differ in. Unrelated pictures differ in 32 on average
#: with a standard deviation of 4 (64 even bits), so that 8 is six of those away.
ALIKE = 8


def apart(first: int, second: int) -> int:
    """The number of bits in which two hashes differ, 0 to 64."""
    return (first ^ second).bit_count()


def groups(hashes: Sequence[int], *, limit: int = ALIKE) -> tuple[tuple[int, ...], ...]:
    """Positions of photos that are alike, in groups of two and more.

    A photo joins the first group whose first photo it is alike to, so that a long series cannot
    creep from one view to another.
    """
    found: list[list[int]] = []
    for position, hash_ in enumerate(hashes):
        for group in found:
            if apart(hashes[group[0]], hash_) <= limit:
                group.append(position)
                break
        else:
            found.append([position])
    return tuple(tuple(group) for group in found if len(group) > 1)
