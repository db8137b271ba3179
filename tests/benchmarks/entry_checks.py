"""How often the entry checks ask for nothing, and how many planted mistakes they catch.

Run by hand: `python tests/benchmarks/entry_checks.py [--parts N] [--seed N]`. Prints a markdown
table; exit status 1 when a requirement is missed. All data is made up: parts with three to eight
dimensions of common sizes and tolerance grades, batches of 4 to 20 pieces, processes with a
setting error, a spread, sometimes wear or a new setup, and pieces that are really bad.

Required: all checks together ask about fewer than 1 in 200 clean readings, and at least 95 % of
the planted mistakes of each kind are asked about where they can be caught. What can be caught is
said for each kind in `KINDS`; the rest of the planted mistakes is counted too, and printed.
"""

from __future__ import annotations

import argparse
import math
import random
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Instrument
from qlog.drawing.units import Unit
from qlog.intake.entry_checks import Check, Context, EarlierReading, Other, examine
from qlog.intake.typed.parse import Typed
from qlog.words.catalogue import load
from qlog.words.questions import question_text

#: Share of readings that are bad by a single slip, over and above the process's own tails: 2 % of
#: pieces lost at each operation (a planning figure, common practice), with two to three
#: dimensions read after it.
BAD = 0.008
ALLOWED_FALSE = 1 / 200
REQUIRED_CAUGHT = 0.95


def instrument(kind: str, step: str, error: str, unit: Unit = Unit.MM) -> Instrument:
    return Instrument(kind, kind, kind, unit, Decimal(step), Decimal(error))


CALIPER = instrument("caliper", "0.01", "0.03")
MICROMETER = instrument("micrometer", "0.001", "0.004")
BORE_GAUGE = instrument("bore gauge", "0.001", "0.006")
FINE = instrument("comparator", "0.0005", "0.001")
DEPTH_ROD = instrument("depth rod", "0.01", "0.03")
DEPTH_MICROMETER = instrument("depth micrometer", "0.001", "0.006")
DIAL = instrument("dial indicator", "0.002", "0.004")
PROTRACTOR = instrument("protractor", "0.1", "0.1", Unit.DEGREE)
SPECIMENS = instrument("roughness comparator", "0.1", "0.2", Unit.MICROMETRE)

RACK = {
    "outside": (CALIPER, MICROMETER, FINE),
    "inside": (CALIPER, BORE_GAUGE),
    "length": (CALIPER, MICROMETER, FINE),
    "depth": (DEPTH_ROD, DEPTH_MICROMETER),
}
GRADES = {6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100, 12: 160}  # in tolerance units i


@dataclass
class Dim:
    name: str
    measures: str
    callout: Callout
    instrument: Instrument
    expansion: Decimal = Decimal("11.5")
    readings: list[Decimal] = field(default_factory=list)
    before: list[Decimal] = field(default_factory=list)  # after an earlier operation
    since: tuple[str, ...] = ()

    @property
    def step(self) -> Decimal:
        assert self.instrument.step is not None
        return self.instrument.step

    @property
    def error(self) -> float:
        assert self.instrument.error is not None
        return float(self.instrument.error)


def to_step(value: float, step: Decimal) -> Decimal:
    return (Decimal(value) / step).quantize(Decimal(1)) * step


def make_dim(rng: random.Random, number: int) -> Dim:
    sort = rng.choices(
        ["outside", "inside", "length", "depth", "small", "angle", "runout", "roughness"],
        [28, 20, 22, 8, 7, 5, 5, 5],
    )[0]
    name = f"{sort} {number}"
    if sort == "angle":
        nominal = Decimal(rng.choice([10, 30, 45, 60, 90]))
        half = Decimal(rng.choice(["0.5", "1"]))
        limits = Limits(nominal - half, nominal + half, Unit.DEGREE)
        callout = Callout("", Kind.ANGLE, Unit.DEGREE, nominal, limits, "made up")
        return Dim(name, "", callout, PROTRACTOR)
    if sort in ("runout", "roughness"):
        unit = Unit.MM if sort == "runout" else Unit.MICROMETRE
        upper = Decimal(rng.choice(["0.02", "0.05"] if sort == "runout" else ["0.8", "1.6", "3.2"]))
        kind = Kind.GEOMETRY if sort == "runout" else Kind.ROUGHNESS
        limits = Limits(None, upper, unit)
        callout = Callout("", kind, unit, Decimal(0) if sort == "runout" else None, limits, "")
        return Dim(name, "", callout, DIAL if sort == "runout" else SPECIMENS)
    if sort == "small":
        nominal = Decimal(rng.choice(["0.5", "1", "1.5", "3"]))
        half = Decimal(rng.choice(["0.1", "0.2"]))
        limits = Limits(nominal - half, nominal + half, Unit.MM)
        callout = Callout("", Kind.CHAMFER, Unit.MM, nominal, limits, "made up")
        return Dim(name, "length", callout, CALIPER)
    nominal = Decimal(rng.choice([3, 4, 5, 6, 8, 10, 12, 16, 18, 20, 25, 30, 35, 40, 50, 60, 80]))
    if rng.random() < 0.4:
        nominal += Decimal(rng.choice(["0.2", "0.25", "0.5", "0.75", "0.8"]))
    if sort in ("outside", "inside") or rng.random() < 0.3:
        i = 0.45 * float(nominal) ** (1 / 3) + 0.001 * float(nominal)
        grade = rng.choice(list(GRADES))
        width = to_step(max(i * GRADES[grade] / 1000, 0.006), Decimal("0.001"))
        if sort == "inside":
            limits = Limits(nominal, nominal + width, Unit.MM)
        elif sort == "outside":
            shift = rng.choice([Decimal(0), width, -width])
            limits = Limits(nominal - width + shift, nominal + shift, Unit.MM)
        else:
            limits = Limits(nominal - width / 2, nominal + width / 2, Unit.MM)
    else:
        half = Decimal(rng.choice(["0.02", "0.05", "0.1", "0.2", "0.3"]))
        limits = Limits(nominal - half, nominal + half, Unit.MM)
    kind = Kind.DIAMETER if sort in ("outside", "inside") else Kind.LENGTH
    assert limits.width is not None
    rack = RACK[sort]
    able = [tool for tool in rack if tool.error is not None and tool.error * 5 <= limits.width]
    tool = able[0] if able else rack[-1]
    callout = Callout("", kind, Unit.MM, nominal, limits, "made up")
    return Dim(name, sort, callout, tool)


def make_part(rng: random.Random, bad: float = BAD) -> list[Dim]:
    dims = [make_dim(rng, n) for n in range(rng.randint(3, 8))]
    pieces = rng.randint(4, 20)
    for dim in dims:
        fill(rng, dim, pieces, bad)
    return dims


def fill(rng: random.Random, dim: Dim, pieces: int, bad: float) -> None:
    """Readings of a batch: the process, the pieces that are really bad, the instrument."""
    limits, step = dim.callout.limits, dim.step
    if limits.lower is None:
        assert limits.upper is not None
        upper = float(limits.upper)
        level = upper * rng.uniform(0.3, 0.7)
        for _ in range(pieces):
            true = abs(rng.gauss(level, upper * 0.12))
            if rng.random() < bad:
                true = upper * (1 + rng.expovariate(2.0))
            dim.readings.append(max(to_step(true, step), Decimal(0)))
        return
    width, middle = limits.width, limits.middle
    assert width is not None and middle is not None
    t = float(width)
    s = t / (6 * rng.uniform(0.8, 2.0))
    centre = float(middle) + rng.gauss(0, t / 8)
    wear = rng.uniform(0.2, 0.7) * t * rng.choice([-1, 1]) if rng.random() < 0.3 else 0.0
    new_setup = rng.randrange(pieces) if rng.random() < 0.2 else pieces
    jump = rng.gauss(0, t / 6)
    if dim.measures and rng.random() < 0.35:
        dim.since = (rng.choice(["polishing", "milling", "drilling", "plating"]),)
    bias = rng.uniform(-0.5, 0.5) * dim.error
    # Read on another day, or with another instrument of the kind, half of the time.
    bias_before = rng.choice([bias, rng.uniform(-0.5, 0.5) * dim.error])
    for piece in range(pieces):
        true = centre + wear * piece / pieces + (jump if piece >= new_setup else 0)
        true += rng.gauss(0, s)
        true += really_bad(rng, dim, t, bad)
        if dim.since:
            sense = 1 if dim.since == ("plating",) else -1
            sense = -sense if dim.measures == "inside" else sense
            touched = rng.uniform(0.002, 0.02) if dim.since[0] in ("polishing", "plating") else 0
            dim.before.append(to_step(true - sense * touched + noise(rng, dim, bias_before), step))
        dim.readings.append(to_step(true + noise(rng, dim, bias), step))


def really_bad(rng: random.Random, dim: Dim, t: float, bad: float) -> float:
    """How far off a piece is by a slip of the hand wheel, a chip, a wrong offset; mostly zero.

    Four in five are cut too far: a piece with metal left on is cut again and not read.
    """
    chance = rng.random()
    if chance >= bad:
        return 0.0
    cut_too_far = {"outside": -1, "length": -1, "inside": 1, "depth": 1}.get(dim.measures, 1)
    sign = cut_too_far if rng.random() < 0.8 else -cut_too_far
    gross = chance < bad / 8
    return sign * (rng.uniform(0.1, 1.0) if gross else t * (0.5 + rng.expovariate(1.2)))


def noise(rng: random.Random, dim: Dim, bias: float) -> float:
    """Error of one reading: the instrument's own, and a hand that differs from time to time."""
    return max(-dim.error, min(dim.error, bias + rng.gauss(0, dim.error / 5)))


def context(dims: list[Dim], dim: Dim, piece: int) -> Context:
    earlier: tuple[EarlierReading, ...] = ()
    if dim.before:
        earlier = (EarlierReading(10, dim.before[piece], dim.since, dim.instrument.error),)
    return Context(
        callout=dim.callout,
        name=dim.name,
        op=30,
        measures=dim.measures,
        instrument=dim.instrument,
        batch=tuple(dim.readings[:piece]),
        last=piece == len(dim.readings) - 1,
        others=tuple(Other(d.name, d.callout.limits) for d in dims if d is not dim),
        earlier=earlier,
        expansion=dim.expansion,
    )


@dataclass(frozen=True)
class Planted:
    """A reading with a mistake in it, and whether it can be caught."""

    typed: Typed
    context: Context
    catchable: bool
    meant: Decimal | None = None  # the value that should be offered


def typed(value: Decimal, unit: Unit) -> Typed:
    return Typed(f"{value:f}", value, unit)


def two_sided(dim: Dim) -> bool:
    return dim.callout.limits.width is not None


def plant_inch(rng: random.Random, dims: list[Dim], dim: Dim, piece: int) -> Planted | None:
    if dim.callout.unit is not Unit.MM or not two_sided(dim):
        return None
    true = dim.readings[piece]
    display = rng.choice(["0.001", "0.0005", "0.0001"])
    wrong = to_step(float(true / Decimal("25.4")), Decimal(display))
    limits = dim.callout.limits
    return Planted(
        typed(wrong, Unit.MM),
        context(dims, dim, piece),
        limits.contains(true) and not limits.contains(wrong),
        wrong * Decimal("25.4"),
    )


def plant_slip(rng: random.Random, dims: list[Dim], dim: Dim, piece: int) -> Planted | None:
    true, limits = dim.readings[piece], dim.callout.limits
    if not two_sided(dim) or true == 0:
        return None
    wrong = true.scaleb(rng.choice([-2, -1, 1, 2]))
    return Planted(
        typed(wrong, dim.callout.unit),
        context(dims, dim, piece),
        limits.contains(true) and not limits.contains(wrong),
        true,
    )


def plant_swap(rng: random.Random, dims: list[Dim], dim: Dim, piece: int) -> Planted | None:
    if not two_sided(dim):
        return None
    true, limits = dim.readings[piece], dim.callout.limits
    text = list(f"{true:f}")
    places = [i for i, c in enumerate(text) if c.isdigit()]
    pairs = [(a, b) for a, b in pairwise(places) if text[a] != text[b]]
    if not pairs:
        return None
    a, b = rng.choice(pairs)
    text[a], text[b] = text[b], text[a]
    wrong = Decimal("".join(text))
    return Planted(
        Typed("".join(text), wrong, dim.callout.unit),
        context(dims, dim, piece),
        limits.contains(true) and not limits.contains(wrong),
        true,
    )


def plant_turn(rng: random.Random, dims: list[Dim], dim: Dim, piece: int) -> Planted | None:
    pitch = {
        "micrometer": "0.5", "depth micrometer": "0.5", "bore gauge": "1", "dial indicator": "1",
    }.get(dim.instrument.kind)  # fmt: skip
    if pitch is None or not two_sided(dim):
        return None
    true, limits = dim.readings[piece], dim.callout.limits
    wrong = true + rng.choice([-1, 1]) * Decimal(pitch)
    width = limits.width
    assert width is not None
    return Planted(
        typed(wrong, Unit.MM),
        context(dims, dim, piece),
        limits.contains(true) and width <= Decimal(pitch) / 2,
        true,
    )


def plant_other(rng: random.Random, dims: list[Dim], dim: Dim, piece: int) -> Planted | None:
    width = dim.callout.limits.width
    others = [
        d for d in dims if d is not dim and two_sided(d) and d.callout.unit is dim.callout.unit
    ]
    if width is None or not others:
        return None
    source = rng.choice(others)
    wrong = source.readings[piece]
    where = context(dims, dim, piece)
    return Planted(
        typed(wrong, dim.callout.unit),
        where,
        source.callout.limits.contains(wrong) and where.outside_by(wrong) > width,
    )


def plant_direction(rng: random.Random, dims: list[Dim], dim: Dim, piece: int) -> Planted | None:
    if not dim.before or dim.measures == "depth":
        return None
    sense = 1 if dim.since == ("plating",) else -1
    sense = -sense if dim.measures == "inside" else sense
    dirt = rng.uniform(0, 0.1)
    wrong = to_step(float(dim.readings[piece]) - sense * dirt, dim.step)
    touched = float(abs(dim.readings[piece] - dim.before[piece]))
    # Both readings may be wrong by the instrument's own scatter of a fifth of its error limit.
    return Planted(
        typed(wrong, dim.callout.unit),
        context(dims, dim, piece),
        dirt > touched + math.sqrt(2) * dim.error + 2 * float(dim.step),
    )


def plant_burr(rng: random.Random, dims: list[Dim], dim: Dim, piece: int) -> Planted | None:
    side = {"outside": 1, "length": 1, "inside": -1}.get(dim.measures)
    if side is None:
        return None
    width = dim.callout.limits.width
    assert width is not None
    clean = [float(r) for r in dim.readings]
    n = len(clean)
    mean = math.fsum(clean) / n
    s = math.sqrt(math.fsum((r - mean) ** 2 for r in clean) / (n - 1))
    burr = rng.uniform(0, 2) * float(width)
    lifted = list(dim.readings)
    lifted[piece] = to_step(float(lifted[piece]) + side * burr, dim.step)
    where = replace(context(dims, dim, n - 1), batch=tuple(lifted[:-1]))
    return Planted(
        typed(lifted[-1], dim.callout.unit),
        where,
        n >= 6 and burr > max(8 * s, float(width) / 2, 2 * dim.error),
    )


KINDS: dict[Check, tuple[str, Callable[[random.Random, list[Dim], Dim, int], Planted | None]]] = {
    Check.INCH: ("true value inside, typed one outside", plant_inch),
    Check.SLIP: ("true value inside, typed one outside", plant_slip),
    Check.SWAP: ("true value inside, typed one outside", plant_swap),
    Check.TURN: ("true value inside, tolerance at most half a turn", plant_turn),
    Check.OTHER: ("in the other's limits, out of its own by more than T", plant_other),
    Check.DIRECTION: ("dirt above sqrt(2) U and two steps", plant_direction),
    Check.BURR: ("six pieces, burr above 8 s, T/2 and 2 U", plant_burr),
}


def once(rng: random.Random, dims: list[Dim], dim: Dim, piece: int) -> dict[Check, Context]:
    """Contexts in which something of the setting is wrong, for the checks that are put once."""
    here = context(dims, dim, piece)
    found = {Check.OPEN: replace(here, open_ops=(20,)), Check.SEALED: replace(here, sealed_by=40)}
    width = dim.callout.limits.width
    if width is None or dim.callout.unit is not Unit.MM or dim.callout.nominal is None:
        return found
    size = float(dim.callout.nominal)
    for tool in (CALIPER, MICROMETER):
        with_tool = replace(here, instrument=tool)
        if dim.measures == "inside" and tool is CALIPER:
            if size - math.sqrt(size**2 - 0.25) > float(width) / 10 * 1.05:
                found[Check.JAWS] = with_tool
        elif tool.error is not None and tool.error > width / 5:
            found[Check.COARSE] = with_tool
    kelvin = rng.randint(2, 40)
    if dim.measures and 11.5e-6 * size * kelvin > float(width) / 10 * 1.05:
        found[Check.WARM] = replace(here, temperature=Decimal(20 + kelvin))
    return found


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--parts", type=int, default=1500)
    parser.add_argument("--seed", type=int, default=20)
    parser.add_argument("--bad", type=float, default=BAD, help="share of bad readings")
    parser.add_argument("--show", action="store_true", help="print the first false questions")
    options = parser.parse_args()
    rng = random.Random(options.seed)
    readings = out = about_bad = 0
    false: Counter[Check] = Counter()
    planted: Counter[Check] = Counter()
    catchable: Counter[Check] = Counter()
    caught: Counter[Check] = Counter()
    named: Counter[Check] = Counter()
    offered: Counter[Check] = Counter()
    rest: Counter[Check] = Counter()
    settings: Counter[Check] = Counter()
    settings_asked: Counter[Check] = Counter()
    for _ in range(options.parts):
        dims = make_part(rng, options.bad)
        for dim in dims:
            for piece, value in enumerate(dim.readings):
                readings += 1
                out += not dim.callout.limits.contains(value)
                here = context(dims, dim, piece)
                asked = [q for q in examine(typed(value, dim.callout.unit), here) if not q.once]
                for question in asked:
                    false[question.check] += 1
                    suspect = value if question.piece is None else here.batch[question.piece]
                    about_bad += not dim.callout.limits.contains(suspect)
                    if options.show and sum(false.values()) < 60:
                        asked = question_text(question, load("en"))
                        print(dim.name, dim.instrument.kind, value, here.limits, here.batch[-6:],
                              asked)  # fmt: skip
            piece = rng.randrange(len(dim.readings))
            for check, (_, plant) in KINDS.items():
                mistake = plant(rng, dims, dim, piece)
                if mistake is None:
                    continue
                planted[check] += 1
                questions = [q for q in examine(mistake.typed, mistake.context) if not q.once]
                if not mistake.catchable:
                    rest[check] += bool(questions)
                    continue
                catchable[check] += 1
                caught[check] += bool(questions)
                named[check] += any(q.check is check for q in questions)
                offered[check] += any(q.likely == mistake.meant for q in questions)
                if options.show and not questions and check is Check.BURR:
                    print("missed", check, mistake.typed, mistake.context.batch)
            for check, where in once(rng, dims, dim, piece).items():
                settings[check] += 1
                reading = typed(dim.readings[piece], dim.callout.unit)
                settings_asked[check] += any(q.check is check for q in examine(reading, where))
    total = sum(false.values())
    rate = total / readings
    ok = rate < ALLOWED_FALSE
    print(
        f"{options.parts} made-up parts, {readings} clean readings, {out} of them really out of "
        f"limits (seed {options.seed}).\n"
        f"Asked falsely: {total}, that is 1 in {readings // max(total, 1)} "
        f"(required: fewer than 1 in {round(1 / ALLOWED_FALSE)}); "
        f"{about_bad} of these questions are about a piece that is really out of limits.\n"
    )
    print(
        "| mistake | can be caught when | planted | of them catchable | asked about | named right "
        "| right value offered | asked of the rest | asked falsely, in 10 000 |"
    )
    print("|---|---|---|---|---|---|---|---|---|")
    for check, (when, _) in KINDS.items():
        share = caught[check] / catchable[check]
        ok = ok and share >= REQUIRED_CAUGHT
        offers = check in (Check.INCH, Check.SLIP, Check.SWAP, Check.TURN)
        print(
            f"| {check} | {when} | {planted[check]} | {catchable[check]} | {share:.1%} "
            f"| {named[check] / catchable[check]:.1%} "
            f"| {f'{offered[check] / catchable[check]:.1%}' if offers else '-'} "
            f"| {rest[check]} of {planted[check] - catchable[check]} "
            f"| {false[check] / readings * 1e4:.1f} |"
        )
    for check, count in settings.items():
        share = settings_asked[check] / count
        ok = ok and share >= REQUIRED_CAUGHT
        print(f"| {check} | whenever it holds | {count} | {count} | {share:.1%} | {share:.1%} "
              "| - | - | - |")  # fmt: skip
    print("\nAll requirements met." if ok else "\nA requirement is MISSED.")
    return 0 if ok else 1


if __name__ == "__main__":
    raise SystemExit(main())
