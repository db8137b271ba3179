"""Chains: pick one piece for every place of every item, exactly, so that fits and sizes are best.

The arithmetic core of the matching, on whole numbers and piece indices only; `matching` puts
names, limits and verdicts to it.

How it works. A *chain* is one possible choice of pieces for one item. (1) The least total cost of
the joints comes from a small flow-like integer programme over pairs of pieces; its reduced costs
tell which pairs can occur in a cheapest set at all, and only chains made of those are listed.
(2) "Smallest spread of a size" is turned into yes-or-no questions: can all items be made from
chains whose size lies in a window of width w? For a stretch of window positions that is a set
packing problem over the few chains inside, which HiGHS settles in milliseconds; stretches are
halved until each is answered. Bisecting over w closes in from both sides, so that a lower bound
is at hand at any time. Maximum-minus-minimum as an objective over item-piece variables would
have a useless relaxation and a factorial symmetry of items; chains in windows have neither.
"""
