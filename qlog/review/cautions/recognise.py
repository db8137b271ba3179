"""Which processes an operation names, and what can hurt there."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from qlog.drawing.plan import Build, Operation, Part
from qlog.frozen import frozen
from qlog.review.cautions.caution import Caution
from qlog.review.cautions.processes import PROCESSES, Process

#: Materials by stem whose chips burn as well as their dust.
_BURNS = ("magnes", "zircon", "zirkon")
#: Materials by stem whose dust explodes.
_EXPLODES = ("alumin", "alu.", "titan")
_WOOD = (
    "wood", "*wood", "holz", "*holz", "oak", "ash.", "beech", "walnut", "maple", "cherry", "birch",
    "pine", "ebony", "eiche", "esche", "buche", "nussbaum", "ahorn", "kirsch", "birke", "ebenholz",
)  # fmt: skip
_POISONS = ("beryll",)


@frozen
class Unknown:
    """An operation whose kind says nothing about what can hurt there."""

    part: str
    op: int
    kind: str  # as written; "" where nothing is written
    treated_as: tuple[str, ...]  # processes that its name says; none: as a machine that turns
    line: int


def plain(text: str) -> str:
    """A text as the stems are written: small letters, umlauts as two, words apart by one space."""
    small = text.casefold()
    for sign, two in (("ä", "ae"), ("ö", "oe"), ("ü", "ue")):
        small = small.replace(sign, two)
    return " ".join("".join(c if c.isalnum() else " " for c in small).split())


def processes_of(kind: str, name: str = "") -> tuple[Process, ...]:
    """The processes that a kind and a name mean, in the order of the table.

    Both count, whichever of the two names the process and in whichever language.
    """
    kind, name = plain(kind), plain(name)
    return tuple(
        p
        for p in PROCESSES
        if kind in p.only_as_kind or _names(p.stems, kind) or _names(p.stems, name)
    )


def cautions_for(kind: str, name: str = "", material: str = "") -> tuple[Caution, ...]:
    """What can hurt, in the order in which it is said; nothing where nothing can.

    An operation that names no known process is treated as a machine that turns: too much is
    better than none. The last one always defers.
    """
    found = processes_of(kind, name)
    if found and not any(p.cautions for p in found):
        return ()
    named = {c for p in found for c in p.cautions} or {Caution.SPINDLE}
    named |= set(_of_material(found, plain(f"{material} {kind} {name}")))
    if Caution.SPINDLE in named:
        named.discard(Caution.EYES)  # said with the spindle
    named.add(Caution.DEFER)
    return tuple(c for c in Caution if c in named)


def cautions_of(build: Build, part: Part, operation: Operation) -> tuple[Caution, ...]:
    """What can hurt at one operation of a part, its material known."""
    material = next((f"{m.id} {m.name}" for m in build.materials if m.id == part.material), "")
    if operation.sent_out and not processes_of(operation.kind, operation.name):
        return ()  # somebody else does it, and nothing says what
    return cautions_for(operation.kind, operation.name, material)


def unknown_kinds(build: Build) -> tuple[Unknown, ...]:
    """Operations whose kind names no known process, in the order of the file.

    One without a kind is among them only where its name says nothing either and it is done here.
    """
    found = []
    for part in build.parts:
        for operation in part.operations:
            named = processes_of("", operation.name)
            if processes_of(operation.kind) or (
                not operation.kind and (named or operation.sent_out)
            ):
                continue
            found.append(
                Unknown(
                    part.id,
                    operation.number,
                    operation.kind,
                    tuple(p.id for p in named),
                    operation.line,
                )
            )
    return tuple(found)


def _of_material(found: tuple[Process, ...], text: str) -> Iterator[Caution]:
    dusty = [p for p in found if p.makes_dust]
    if dusty and _names(_BURNS, text):
        yield Caution.METAL_DUST
    if any(Caution.DUST in p.cautions for p in dusty) and _names(_EXPLODES, text):
        yield Caution.METAL_DUST
    if dusty and _names(_WOOD, text):
        yield Caution.WOOD_DUST
    if dusty and _names(_POISONS, text):
        yield from (Caution.DUST, Caution.LICENSED)


def _names(stems: tuple[str, ...], text: str) -> bool:
    """Whether a plain text has a word that begins with one of the stems.

    `*` before a stem: anywhere in a word; a full stop behind it: the word ends there.
    """
    words = f" {text} "
    return bool(text) and any(_sought(stem) in words for stem in stems)


@cache
def _sought(stem: str) -> str:
    inner = stem.strip("*.")
    return f"{'' if stem.startswith('*') else ' '}{inner}{' ' if stem.endswith('.') else ''}"
