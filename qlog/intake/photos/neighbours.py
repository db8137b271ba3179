"""Photos that have nothing of those around them: a family picture among an evening's work."""

from __future__ import annotations

from collections.abc import Sequence

from qlog.study.alike import apart

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
