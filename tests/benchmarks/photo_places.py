"""How photos are placed: sequences of an evening's photos, with what can go wrong in them.

    python tests/benchmarks/photo_places.py [evenings of each kind, default 60]

Each kind is an evening at the bench with three operations of five to eight pieces: a card before
each, a few photos a piece, and the log as a careful or a careless person keeps it. The true place
of every photo is known. Counted are the photos that are placed for certain, rightly and wrongly,
the proposals, and the rest, with the votes that placed them.

Assumed, not measured: photos of one setup differ by 4 to 18 bits of likeness from its base view
(camera on the same spot of the bench), any other picture by 32 with a standard deviation of 4; a
card in the distance or dim is missed one time in three, and is not seen to be one. "free hand" has
views that have nothing in common, so that likeness cannot speak.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from random import Random

from qlog.intake.photos.names import NamedPlace, Route
from qlog.intake.photos.place import How, Seen, place
from qlog.intake.photos.slate import Slate
from qlog.intake.photos.work import Logged

OPS = [(part, op) for part in ("foot", "stem", "cup", "pan") for op in (10, 20, 30)]
ROUTES = {part: Route(frozenset({10, 20, 30}), 10) for part in ("foot", "stem", "cup", "pan")}
EVENING = datetime(2026, 2, 14, 18, 0, tzinfo=UTC)


@dataclass
class Evening:
    """One evening: photos with their true places (None: no work at all) and the log."""

    rng: Random
    photos: list[Seen] = field(default_factory=list)
    truth: dict[str, tuple[str, int] | None] = field(default_factory=dict)
    log: list[Logged] = field(default_factory=list)
    camera: str = "a"

    def shot(
        self,
        at: datetime,
        where: tuple[str, int] | None,
        view: int,
        *slates: Slate,
        named: NamedPlace | None = None,
    ) -> None:
        name = f"IMG_{len(self.photos) + 1:04}"
        self.truth[name] = where
        self.photos.append(Seen(name, name, self.camera, at, True, slates, named, likeness=view))


def bits(rng: Random, base: int, few: int, many: int) -> int:
    """The view, with some of its bits turned."""
    for bit in rng.sample(range(64), rng.randint(few, many)):
        base ^= 1 << bit
    return base


def evening(
    seed: int,
    *,
    start: datetime = EVENING,
    card: Callable[[Random, int], bool] = lambda _rng, _n: True,
    logs: bool = True,
    starts: bool = True,
    later: bool = False,
    free_hand: bool = False,
    family: int = 0,
    background: bool = False,
    foreign: bool = False,
    off: timedelta = timedelta(0),
    named: bool = False,
) -> Evening:
    """An evening of three operations; a keyword is one thing that is not as it should be."""
    rng = Random(seed)
    own = Evening(rng)
    at = start
    for turn, where in enumerate(rng.sample(OPS, 3)):
        base = rng.getrandbits(64)
        if starts and logs:
            own.log.append(Logged(at, *where, start=True))
        at += timedelta(minutes=rng.uniform(0.5, 2))
        if card(rng, turn):
            shown = Slate("lid", 70) if foreign and turn == 1 else Slate(*where)
            own.shot(at + off, None, rng.getrandbits(64), shown)
        for piece in range(1, rng.randint(5, 8)):
            done = at + timedelta(minutes=rng.uniform(5, 14))
            for _ in range(rng.randint(1, 3)):
                when = at + (done - at) * rng.uniform(0.1, 0.95)
                view = rng.getrandbits(64) if free_hand else bits(rng, base, 4, 18)
                slates = ()
                if background and rng.random() < 0.1:
                    slates = (Slate(*rng.choice(OPS), width=0.1),)
                spelled = NamedPlace(*where, None) if named else None
                own.shot(when + off, where, view, *slates, named=spelled)
            if family and rng.random() < 0.15:
                for _ in range(rng.randint(1, family)):
                    when = at + (done - at) * rng.uniform(0.1, 0.95)
                    own.shot(when + off, None, rng.getrandbits(64))
            if logs:
                own.log.append(Logged(done, *where, piece))
            at = done
        at += timedelta(minutes=rng.uniform(2, 25))
    if later:  # everything entered when the evening was over
        own.log = [replace(e, at=at + timedelta(minutes=n)) for n, e in enumerate(own.log)]
    return own


def harder(rng: Random, turn: int) -> bool:
    return turn == 0 or rng.random() < 2 / 3


def forgotten(rng: Random, turn: int) -> bool:
    return turn == 0 or rng.random() < 1 / 2


KINDS: dict[str, Callable[[int], Evening]] = {
    "well kept": evening,
    "well kept, without starts": lambda s: evening(s, starts=False),
    "well kept, free hand": lambda s: evening(s, free_hand=True),
    "well kept, folders named": lambda s: evening(s, named=True),
    "over midnight": lambda s: evening(s, start=EVENING + timedelta(hours=4.5)),
    "cards that get harder": lambda s: evening(s, card=harder),
    "cards forgotten": lambda s: evening(s, card=forgotten),
    "cards and starts forgotten": lambda s: evening(s, card=forgotten, starts=False),
    "cards forgotten, nothing logged": lambda s: evening(s, card=forgotten, logs=False),
    "cards forgotten, logged afterwards": lambda s: evening(s, card=forgotten, later=True),
    "a card from another build": lambda s: evening(s, foreign=True),
    "cards in the background": lambda s: evening(s, background=True),
    "clock an hour off": lambda s: evening(s, off=timedelta(hours=1)),
    "clock 25 minutes off, no starts": lambda s: evening(
        s, off=timedelta(minutes=25), starts=False
    ),
    "a family picture between": lambda s: evening(s, family=2),
    "the same, free hand": lambda s: evening(s, family=2, free_hand=True),
}


def two_phones(seed: int) -> Evening:
    """Two evenings at once on two machines, by two phones that nothing tells apart."""
    one, other = evening(seed), evening(seed + 100_000)
    for photo in other.photos:
        name = f"x{photo.name}"
        one.photos.append(replace(photo, photo=name, name=name))
        one.truth[name] = other.truth[photo.photo]
    one.log += other.log
    return one


def two_counters(seed: int) -> Evening:
    """The same, each phone numbering its photos on its own."""
    one = two_phones(seed)
    own = [replace(p, name=f"IMG_{5000 + int(p.name[5:])}.jpg") if p.name[0] == "x" else p
           for p in one.photos]  # fmt: skip
    one.photos = own
    return one


KINDS["two like phones at two machines"] = two_phones
KINDS["the same, each with its own numbers"] = two_counters


def main(evenings: int) -> None:
    """Print a table of all kinds."""
    total: Counter[str] = Counter()
    heads = ("photos", "certain", "wrong", "prop.", "wrong", "open")
    print(f"{'kind':36}" + "".join(f"{head:>9}" for head in heads))
    for kind, make in KINDS.items():
        count: Counter[str] = Counter()
        by: Counter[str] = Counter()
        for seed in range(evenings):
            own = make(seed)
            for found in place(own.photos, own.log, ROUTES):
                if found.how in (How.CARD, How.CLOCK):
                    count["work taken for a card"] += own.truth[found.photo] is not None
                    continue
                right = own.truth[found.photo] == (found.part, found.op)
                count["photos"] += 1
                kind_of = "certain" if found.certain else "proposed" if found.part else "open"
                count[kind_of] += 1
                count[f"{kind_of} wrong"] += not right and kind_of != "open"
                votes = "+".join(v.by.value for v in found.votes) or "none"
                by[f"{kind_of} {votes}"] += 1
        n = count["photos"]
        print(
            f"{kind:36}{n:9}{count['certain'] / n:9.1%}{count['certain wrong']:9}"
            f"{count['proposed'] / n:9.1%}{count['proposed wrong']:9}{count['open'] / n:9.1%}"
        )
        if count["work taken for a card"]:
            print(f"    work taken for a card: {count['work taken for a card']}")
        for votes, many in by.most_common():
            print(f"    {votes:40} {many / n:6.1%}")
        total += count
    n = total["photos"]
    print(f"all: {n} photos, {total['certain'] / n:.1%} certain, {total['certain wrong']} wrong")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
