"""How long matching takes, and what it gains: 16 items of 5 parts, or 40 of 4; two joints, a stack.

Run by hand:  python tests/benchmarks/matching_time.py [--seeds 3] [--steps 600]
                                                       [--items 16] [--parts 5]

Invented data. Every part has two spares. Lengths scatter with a standard deviation of 0.015 mm
and are displayed in steps of 0.01 or 0.001 mm, or given to the nanometre ("continuous": sizes
that are computed, not read). The joints scatter with 0.008 mm on each side; `room` is the width
of the wanted clearance in standard deviations of the clearance, 4 being easy and 1 so tight that
not every joint can be had in. `u` gives the readings an uncertainty and judges by ISO 14253-1,
so that some joints are not proven. `layer` takes a predicted allowance, not a multiple of the
step, off half of the feet. Then the spread in making order, the spread found, its proven bound.
"""

from __future__ import annotations

import argparse
import random
import time
from decimal import Decimal

from qlog.drawing.decision import DecisionRule, Rule
from qlog.drawing.limits import Limits
from qlog.drawing.plan import ItemGroup
from qlog.drawing.units import Unit
from qlog.study.fit.joints import Sized
from qlog.study.matching.match import STEPS, match
from qlog.study.matching.model import JointSizes, Matching, StackSizes

PARTS = ("foot", "stem", "cup", "collar", "cap")


def rounded(value: float, step: str) -> Decimal:
    return (Decimal(str(round(value, 12))) / Decimal(step)).to_integral_value() * Decimal(step)


def instance(
    seed: int, shape: tuple[int, int], step: str, room: float, u: str | None, layer: bool
) -> tuple[dict[str, tuple[int, ...]], list[ItemGroup], list[JointSizes], StackSizes]:
    items, parts = shape[0], PARTS[: shape[1]]
    draw = random.Random(f"{seed} {items} {step} {room}")
    pieces = items + 2
    numbers = tuple(range(1, pieces + 1))
    uncertain = None if u is None else Decimal(u)

    def sizes(part: str, base: float, sigma: float, step: str) -> tuple[Sized, ...]:
        return tuple(
            Sized(part, n, rounded(draw.gauss(base, sigma), step), uncertain) for n in numbers
        )

    lengths = [sizes(part, 20.0 + 10 * k, 0.015, step) for k, part in enumerate(parts)]
    if layer:
        lengths[0] = tuple(
            Sized(p.part, p.number, p.value - (Decimal("0.00135") if n % 2 else 0), p.uncertainty)
            for n, p in enumerate(lengths[0])
        )
    half = Decimal(str(round(room * 0.008 * 2**0.5 / 2, 4)))
    middle = Decimal("0.030")
    wanted = Limits(middle - half, middle + half, Unit.MM)
    fine = "0.001"
    joints = [
        JointSizes("slide", sizes("cup", 8.03, 0.008, fine), sizes("stem", 8, 0.008, fine), wanted),
        JointSizes("seat", sizes("foot", 6.03, 0.008, fine), sizes("stem", 6, 0.008, fine), wanted),
    ]
    groups = [
        ItemGroup("bright", "bright", items // 2, tuple((part, 1) for part in parts)),
        ItemGroup("black", "blackened", items - items // 2, tuple((part, 1) for part in parts)),
    ]
    stack = StackSizes("height", tuple((1, some) for some in lengths))
    return dict.fromkeys(parts, numbers), groups, joints, stack


def run(arguments: argparse.Namespace) -> None:
    print(
        "step      room  u      layer seed   s   cpu  in/np/out   before    spread     bound  state"
    )
    slowest, worked_in_all, shape = 0.0, 0.0, (arguments.items, arguments.parts)
    for step, room, u, layer in (
        ("0.01", 4, None, False),
        ("0.01", 2, None, False),
        ("0.01", 1, None, False),
        ("0.001", 4, None, False),
        ("0.001", 2, None, False),
        ("0.001", 1, None, False),
        ("0.001", 2, "0.002", False),
        ("0.001", 2, "0.002", True),
        ("0.000001", 2, "0.002", False),
        ("0.000001", 2, None, False),
    ):
        for seed in range(1, arguments.seeds + 1):
            live, groups, joints, stack = instance(seed, shape, step, room, u, layer)
            begun, worked = time.perf_counter(), time.process_time()
            found: Matching = match(
                live,
                groups,
                joints=joints,
                stacks=[stack],
                decision=DecisionRule(Rule.SIMPLE) if u is None else DecisionRule(Rule.GUARDED),
                steps=arguments.steps,
            )
            took, work = time.perf_counter() - begun, time.process_time() - worked
            slowest, worked_in_all = max(slowest, took), worked_in_all + work
            spread, count, before = found.spreads[0], found.joints, found.making_order
            gap = spread.reached - spread.bound
            state = (
                "proven"
                if found.proven
                else "within 1 %"
                if gap * 100 <= spread.reached
                else f"at most {gap.normalize():f} from the best"
            )
            print(
                f"{step:9} {room:4} {u or '-':6} {'yes' if layer else '-':5} {seed:4} "
                f"{took:5.1f} {work:5.1f} "
                f"{count.inside:3}/{count.not_proven}/{count.out} (was {before.inside}/"
                f"{before.not_proven}/{before.out}) {spread.in_making_order or 0:8.4f} "
                f"{spread.reached:9.6f} {spread.bound:9.6f}  {state}",
                flush=True,
            )
    print(f"slowest {slowest:.1f} s, processor in all {worked_in_all:.1f} s")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--steps", type=int, default=STEPS)
    parser.add_argument("--items", type=int, default=16)
    parser.add_argument("--parts", type=int, default=len(PARTS), choices=range(3, len(PARTS) + 1))
    run(parser.parse_args())
