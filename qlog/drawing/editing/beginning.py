"""A first plan from a few answers: about twenty lines that read like the person's own."""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.editing.plan_file import toml
from qlog.frozen import frozen

#: What a new plan takes an instrument to be, until its owner writes what the certificate says:
#: step and permissible error in mm, then in inches (common practice for new ones of good make).
_USUAL = {
    "caliper": (("0.01", "0.03"), ("0.0005", "0.0015")),
    "bore gauge": (("0.001", "0.006"), ("0.0001", "0.0003")),
    "micrometer": (("0.001", "0.004"), ("0.0001", "0.0002")),
}

#: What stands in the name of a size that is measured inside, in both languages.
_INSIDE = ("bore", "hole", "socket", "inside", "bohrung", "loch", "innen")


@frozen
class Answers:
    """What somebody says who begins a build; an empty text is an answer too."""

    title: str
    count: int
    recipient: str = ""
    inch: bool = False
    language: str = "en"
    part: str = ""
    op: str = ""
    callout: str = ""
    size: str = ""  # what the size is called
    instrument: str = ""


def as_id(text: str, default: str) -> str:
    """A name as it is typed at the bench: small letters, digits, hyphens; never like a piece."""
    spelt = text.lower()
    for letter, letters in (("ä", "ae"), ("ö", "oe"), ("ü", "ue"), ("ß", "ss")):
        spelt = spelt.replace(letter, letters)
    plain = unicodedata.normalize("NFKD", spelt).encode("ascii", "ignore").decode()
    id = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    id = re.sub(r"(-[0-9]+)+$", "", id)
    return id if id and id[0].isalpha() else default


def read_callout(text: str, *, inch: bool) -> Callout:
    """One callout as build.toml takes it. Raises CalloutError, which says what is accepted."""
    from qlog.drawing.callouts.reading import parse
    from qlog.drawing.units import Unit

    return parse(text, unit=Unit.INCH if inch else Unit.MM)


def size_name(callout: Callout) -> str:
    """What a size is called where nobody says."""
    names = {Kind.DIAMETER: "diameter", Kind.RADIUS: "radius", Kind.ANGLE: "angle"}
    return names.get(callout.kind, "length")


def first_plan(answers: Answers) -> str:
    """The text of build.toml."""
    part = as_id(answers.part, "part")
    lines = [f"title = {toml(answers.title)}"]
    if answers.recipient:
        lines.append(f"recipient = {toml(answers.recipient)}")
    lines += [
        f"units = {toml('inch' if answers.inch else 'mm')}",
        f"language = {toml(answers.language)}",
    ]
    tool = as_id(answers.instrument, "")
    if answers.callout and tool:
        lines += ["", *_instrument(tool, answers)]
    lines += [
        "",
        "[[part]]",
        f"id = {toml(part)}",
        f"name = {toml(answers.part.strip() or part)}",
        f"needed = {answers.count}",
        "",
        "  [[part.op]]",
        "  number = 10",
        f"  name = {toml(answers.op.strip() or 'turn')}",
    ]
    if answers.callout:
        name = answers.size.strip()
        lines += [
            "",
            "  [[part.dim]]",
            f"  id = {toml(as_id(name, 'size'))}",
            f"  name = {toml(name)}",
            f"  callout = {toml(answers.callout)}",
            "  op = 10",
        ]
        if any(stem in name.lower() for stem in _INSIDE):
            lines.append('  measures = "inside"')
        if tool:
            lines.append(f"  instrument = {toml(tool)}")
    return "\n".join(lines) + "\n"


def _instrument(id: str, answers: Answers) -> list[str]:
    lines = [f"[instrument.{id}]", f"kind = {toml(answers.instrument.strip().lower())}"]
    kind = next((k for k in _USUAL if k in answers.instrument.lower()), None)
    if kind is None:
        unit = "inch" if answers.inch else "mm"
        return [
            *lines,
            f"# step and error in {unit}: what the display shows, what it may be off by",
        ]
    step, error = _USUAL[kind][answers.inch]
    return [
        *lines,
        f"step = {step}",
        f"error = {error}  # usual for a good new one; yours is on its certificate",
    ]


def plan_of_photos(title: str, count: int, part: str) -> str:
    """A plan for what is kept in photos and words only."""
    id = as_id(part, "piece")
    lines = [
        f"title = {toml(title)}", "", "[[part]]", f"id = {toml(id)}",
        f"name = {toml(part)}", f"needed = {count}", "",
        "  [[part.op]]", "  number = 10", '  name = "make"',
    ]  # fmt: skip
    return "\n".join(lines) + "\n"


def title_of(folder: Path) -> str:
    """What a build is called where only its folder has a name."""
    words = re.sub(r"[-_]+", " ", folder.resolve().name).strip()
    return words[:1].upper() + words[1:] if words else "A build"
