"""The smallest spread of a size over a list of chains, closed in on from both sides."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Sequence

import numpy as np

from qlog.study.matching.chains.listing import NEVER, Chains, lattice_of
from qlog.study.matching.chains.packing import SAMPLE, Packing, Steps
from qlog.study.matching.chains.solver import Flags, Ints


class Search(Packing):
    """Closing in on the smallest spread, by yes-or-no questions over one list of chains."""

    def __init__(
        self, chains: Chains, least: int, complete: bool, must: Flags, steps: Steps
    ) -> None:
        super().__init__(chains, least, must, steps)
        self.complete = complete

    def among(self, chains: Chains) -> Search:
        """The same search over other chains."""
        return Search(chains, self.least, self.complete, self.must, self.steps)

    def any(self, inside: Ints) -> tuple[Ints | None, bool]:
        """Any choice within the least cost, and whether a missing one is certain."""
        found, settled = self.glance(inside)
        if found is None and not settled:
            found, settled = self.dig(inside)
        return found, found is not None or (settled and self.complete)

    def narrow(
        self, k: int, widths: Sequence[int], best: Ints, gap: float, grain: int
    ) -> tuple[Ints, int, int]:
        """Make the spread of criterion k small while earlier ones keep their widths.

        Returns the choice, its spread and the bound on it.
        """
        reached = self.spread(k, best)
        lattice = lattice_of(self.chains.low[k], self.chains.high[k])
        bound = 0
        tried = self._dense_width(k)
        stuck = -lattice  # widest width that could not be settled
        while bound < reached and not self.steps.done:
            if reached - bound <= max(gap * reached, grain):
                break
            floor = max(bound, stuck + lattice)
            if floor >= reached:
                break
            aim = (floor + reached - lattice) // 2
            if 0 <= tried < aim:
                aim = tried
            aim = max(aim // lattice * lattice, floor)
            found, settled = self._decide(k, [*widths, aim], best)
            if found is not None and self.spread(k, found) < reached:
                best, reached = found, self.spread(k, found)
                tried = -1 if reached <= aim else tried
            elif settled:
                bound = aim + lattice
            else:
                stuck = aim
            if found is None:
                tried = tried * 2 if tried > 0 else -1
        return best, reached, min(bound, reached)

    def spread(self, k: int, choice: Ints) -> int:
        """Largest minus smallest size of criterion k in a choice."""
        low, high = self.chains.low[k][choice], self.chains.high[k][choice]
        applies = low < NEVER
        return int(high[applies].max() - low[applies].min()) if applies.any() else 0

    def _dense_width(self, k: int) -> int:
        """Width at which the fullest window holds about `SAMPLE` chains: where to look first."""
        low = self.chains.low[k]
        low = np.sort(low[low < NEVER])
        if len(low) <= SAMPLE:
            return -1
        return int((low[SAMPLE:] - low[:-SAMPLE]).min())

    def _decide(self, k: int, widths: Sequence[int], best: Ints) -> tuple[Ints | None, bool]:
        """Whether a choice exists with criteria 0..k within `widths`; and whether that is certain.

        Best-filled stretches of window positions first; a stretch that can neither be refuted nor
        yields a choice is halved, down to single positions. A choice met on the way that is
        clearly better than `best`, if not within `widths`, is returned at once as well.
        """
        better = best
        clearly = self.spread(k, best) * 3 // 4
        lows = self.chains.low[: k + 1]
        starts = [np.unique(low[low < NEVER]) for low in lows]
        if any(len(one) == 0 for one in starts):
            return None, True
        settled = self.complete
        order = itertools.count()
        # Stretches that a glance has not settled wait until all others have had theirs.
        queue: list[tuple[bool, int, int, tuple[tuple[int, int], ...], Ints]] = []

        def push(box: tuple[tuple[int, int], ...], among: Ints) -> None:
            mask = np.ones(len(among), dtype=bool)
            for j, (a, b) in enumerate(box):
                top = int(starts[j][b]) + widths[j]
                mask &= self.chains.low[j][among] >= starts[j][a]
                mask &= self.chains.high[j][among] <= top
            inside = among[mask]
            if self.enough(inside):
                heapq.heappush(queue, (False, -len(inside), next(order), box, inside))

        push(tuple((0, len(one) - 1) for one in starts), np.arange(len(self.chains)))
        while queue:
            if self.steps.done:
                return (None if better is best else better), False
            hard, _, _, box, inside = heapq.heappop(queue)
            stretch = [int(starts[j][b] - starts[j][a]) for j, (a, b) in enumerate(box)]
            # Wider than its own window, a stretch is hardly ever refuted: halve it at once.
            wide = [j for j in range(k + 1) if stretch[j] > widths[j]]
            if not wide or len(inside) <= SAMPLE // 4:
                found, sure = self.dig(inside) if hard else self.glance(inside)
                if found is None and not sure and not hard:
                    heapq.heappush(queue, (True, -len(inside), next(order), box, inside))
                    continue
                if found is not None:
                    if all(self.spread(j, found) <= widths[j] for j in range(k)):
                        size = self.spread(k, found)
                        if size <= max(widths[k], clearly):
                            return found, True
                        if size < self.spread(k, better):
                            better = found
                elif sure:
                    continue
                elif not any(stretch):
                    settled = False
                    continue
            if not any(stretch):
                settled = False
                continue
            j = max(range(k + 1), key=lambda j: stretch[j] / (widths[j] + 1))
            a, b = box[j]
            middle = int(starts[j][a]) + stretch[j] // 2
            cut = int(np.searchsorted(starts[j], middle, side="right")) - 1
            cut = min(max(cut, a), b - 1)
            for part in ((a, cut), (cut + 1, b)):
                push((*box[:j], part, *box[j + 1 :]), inside)
        return (None if better is best else better), settled
