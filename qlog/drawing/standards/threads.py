"""Threads as drawings call them out: gauged go/no-go, or measured where the table has limits.

Limits of metric threads: `tables/iso965_threads.csv` (ISO 965), each row with its source.
Unified inch threads (ASME B1.1 designations) are gauged only.
"""

from __future__ import annotations

import re
from decimal import Decimal

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.limits import Limits
from qlog.drawing.standards.tables import rows
from qlog.drawing.units import Unit
from qlog.frozen import frozen

_METRIC = (
    r"M ?(?P<size>[0-9]{1,3}(?:[.,][0-9]{1,3})?)"
    r"(?: ?x ?(?P<pitch>[0-9]{1,2}(?:[.,][0-9]{1,3})?))?"
    r"(?: ?- ?(?P<fit>(?:[3-9][a-h]){1,2}|(?:[3-9][EFGH]){1,2}))?"
    r"(?P<left>(?: ?- ?| )LH)?"
    r"(?: (?P<element>major|pitch|minor)(?: diameter| dia)?)?$"
)
_UNIFIED_HEAD = r"(?i)[0-9#./ \"-]+(?:in)? ?-? ?[0-9]+ ?-?(?:UN[A-Z]{0,2})"
_UNIFIED = (
    r"(?i)(?P<size>(?:#|No\.? ?)?[0-9]{1,2}(?:[ -][0-9]{1,2}/(?:2|4|8|16|32|64))?"
    r"|[0-9]{1,2}/(?:2|4|8|16|32|64)|[0-9]?\.[0-9]{3,4})"
    r"(?:\"| ?in)? ?- ?(?P<pitch>[0-9]{1,2}(?:\.5)?)[ -]?(?P<series>UNC|UNF|UNEF|UNS|UN|UNJ|UNR)"
    r"(?: ?- ?(?P<fit>[123][AB]))?(?P<left>(?: ?- ?| )LH)?$"
)
_HINT = 'a thread such as "M6-6H", "M6x1-6g", "M6-6g major" or "1/4-20 UNC-2B"'


@frozen
class Thread:
    """A thread callout; `limits` is None when it is gauged and not measured."""

    name: str
    nominal: Decimal | None  # mm, of metric threads
    limits: Limits | None
    source: str


def looks_like(line: str) -> bool:
    """Whether the callout begins as a thread does."""
    return _metric_head(line) or (
        "UN" in line.upper() and re.match(_UNIFIED_HEAD, line) is not None
    )


def _metric_head(line: str) -> bool:
    return line[:1] in "Mm" and line[1:].lstrip()[:1].isdigit()


def read(line: str) -> Thread:
    """Read a thread callout in the plain spelling. Raises CalloutError."""
    if _metric_head(line):
        match = re.match(_METRIC, "M" + line[1:])
        if match is None:
            raise CalloutError(f'"{line}" is no metric thread that can be read', _HINT)
        return _metric(match)
    match = re.match(_UNIFIED, line)
    if match is None:
        raise CalloutError(f'"{line}" is no unified thread that can be read', _HINT)
    name = f"{match['size']}-{match['pitch']} {match['series'].upper()}"
    if match["fit"]:
        name += f"-{match['fit'].upper()}"
    return Thread(name + ("-LH" if match["left"] else ""), None, None, "gauge")


def _metric(match: re.Match[str]) -> Thread:
    size = Decimal(match["size"].replace(",", "."))
    pitch = Decimal(match["pitch"].replace(",", ".")) if match["pitch"] else None
    if not size or (pitch is not None and not 0 < pitch < size):
        raise CalloutError(f"M{size} with a pitch of {pitch}", _HINT)
    fit, element = match["fit"] or "", match["element"]
    name = f"M{size}" + (f"x{pitch}" if pitch is not None else "") + (f"-{fit}" if fit else "")
    name += "-LH" if match["left"] else ""
    if not element:
        return Thread(name, size, None, "gauge")
    row = _row(size, pitch, name)
    key = f"{fit}_{element}"
    if not row.get(f"{key}_min"):
        known = [
            k[: -len("_min")].replace("_", " ") for k, v in row.items() if k.endswith("_min") and v
        ]
        raise CalloutError(
            f"{element} diameter limits of class {fit or 'unstated'} are not in the table",
            f"{', '.join(known)}; or the go/no-go gauge: {name}",
        )
    limits = Limits(Decimal(row[f"{key}_min"]), Decimal(row[f"{key}_max"]), Unit.MM)
    return Thread(f"{name} {element}", size, limits, f"ISO 965 {name} {element}")


def _row(size: Decimal, pitch: Decimal | None, name: str) -> dict[str, str]:
    """The thread's row; without a pitch the coarse one, which is the largest of its size."""
    table = rows("iso965_threads")

    def away(row: dict[str, str]) -> tuple[Decimal, Decimal, Decimal]:
        own, own_pitch = Decimal(row["M"]), Decimal(row["pitch"])
        return abs(own - size), own, -own_pitch if pitch is None else abs(own_pitch - pitch)

    near = min(table, key=away)
    if Decimal(near["M"]) != size or (pitch is not None and Decimal(near["pitch"]) != pitch):
        raise CalloutError(
            f"the limits of {name} are not in the table",
            f"the nearest is M{near['M']}x{near['pitch']}; or the go/no-go gauge: {name}",
        )
    return near
