"""Which photos are alike, and which like none around them, by their 64-bit likeness hashes.

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
    firsts: list[int] = []  # the hash of the first photo of each
    for position, hash_ in enumerate(hashes):
        for at, first in enumerate(firsts):
            if (first ^ hash_).bit_count() <= limit:  # `apart`, asked millions of times
                found[at].append(position)
                break
        else:
            found.append([position])
            firsts.append(hash_)
    return tuple(tuple(group) for group in found if len(group) > 1)


#: Bits in which photos of one bench and one setup, held by hand, may differ. Unrelated pictures
#: differ in 32 with a standard deviation of 4 (64 even bits): one pair in 500 in 20 or fewer.
NEAR = 20
#: A photo of a run of work is near to so many others of it: once may be chance, twice is not.
_TWICE = 2
#: Likeness speaks only where so many photos, and more than half of all, are of such runs.
_MOST = 4


def without_like(hashes: Sequence[int], *, reach: int = 12) -> tuple[set[int], bool]:
    """Positions of photos near to fewer than two others, and whether that tells them apart.

    Near are photos within `NEAR` bits of one another and no more than `reach` photos away; others
    that are near to too few themselves do not count. It tells them apart where most photos are
    near to more; where views differ too much, or are too few, it only means that no view speaks
    for them.
    """
    near: list[set[int]] = [set() for _ in hashes]
    for i, one in enumerate(hashes):
        for j in range(max(0, i - reach), i):
            if apart(one, hashes[j]) <= NEAR:
                near[i].add(j)
                near[j].add(i)
    lone: set[int] = set()
    while fewer := {i for i in range(len(near)) if i not in lone and len(near[i] - lone) < _TWICE}:
        lone |= fewer
    together = len(hashes) - len(lone)
    return lone, together >= _MOST and together > len(lone)
