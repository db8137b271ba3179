"""Threads as drawings call them out: gauged go/no-go, or measured at one diameter.

Limits: `standards.iso965` and `standards.unified`. Pipe, trapezoidal and Whitworth threads are
gauged only.
"""

from __future__ import annotations

import re
from decimal import Decimal

from qlog.drawing.callouts.callout import Callout, CalloutError, Kind
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.frozen import frozen
from qlog.problem import ToSay

_ELEMENT = r"(?: (?P<element>major|pitch|minor)(?: diameter| dia)?)?$"
_LEFT = r"(?P<left>(?: ?- ?| )LH)?"
_METRIC = (
    r"M ?(?P<size>[0-9]{1,3}(?:[.,][0-9]{1,3})?)"
    r"(?: ?[xX] ?(?P<pitch>[0-9]{1,2}(?:[.,][0-9]{1,3})?))?"
    r"(?: ?-? ?(?P<fit>(?:[3-9][a-h]){1,2}|(?:[3-9][EFGH]){1,2}))?" + _LEFT + _ELEMENT
)
_SIZE = (
    r"(?P<size>(?:#|No\.? ?)?[0-9]{1,2}(?:[ -][0-9]{1,2}/(?:2|4|8|16|32|64))?"
    r"|[0-9]{1,2}/(?:2|4|8|16|32|64)|[0-9]?\.[0-9]{2,4})(?:\"| ?in)?"
)
_UNIFIED = (
    r"(?i)" + _SIZE + r" ?- ?(?P<pitch>[0-9]{1,2}(?:\.5)?)"
    r"(?:[ -]?(?P<series>UNEF|UNC|UNF|UNS|UNJC|UNJF|UNJ|UNR|UN))?"
    r"(?: ?-? ?(?P<fit>[123][AB]))?" + _LEFT + _ELEMENT
)
_UNIFIED_HEAD = r"(?i)[0-9#./ \"-]+(?:in)? ?-? ?[0-9]+ ?-?(?:UN[A-Z]{0,2})"
_PLAIN_HEAD = (
    r"(?:#|No\.? ?)?[0-9]{1,2}(?:(?:[ -][0-9]{1,2})?/(?:2|4|8|16|32|64))?"
    r" ?- ?[0-9]{1,2}(?![0-9.,/])"
)
_INCHES = r"(?:[0-9]{1,2}(?:[ -][0-9]/[0-9]{1,2})?|[0-9]/[0-9]{1,2})\"?"
#: Gauged only: parallel and taper pipe threads, trapezoidal, Whitworth, buttress, round.
_GAUGED = (
    (r"(?i)G ?" + _INCHES + r"(?: ?-? ?[AB])?", "ISO 228-1"),
    (r"(?i)(?:Rp|Rc) ?" + _INCHES, "ISO 7-1"),
    (r"(?i)NP(?:TF?|S|SF|SM) ?" + _INCHES + r"(?: ?- ?[0-9.]{1,4})?", "ASME B1.20.1"),
    (_INCHES + r"(?i: ?(?:- ?[0-9.]{1,4})? ?-?NP(?:TF?|SF|SM|S)(?:-[12])?)", "ASME B1.20.1"),
    (r"(?i)Tr ?[0-9.,]{1,5} ?x ?[0-9.,]{1,4}(?: ?\(?P ?[0-9.,]+\)?)?(?: ?-? ?[6-9][A-Hce-h])?",
     "ISO 2904"),
    (_INCHES + r"(?i: ?-? ?(?:- ?[0-9]{1,2})? ?(?:BSW|BSF|BSPP|BSPT|BSP))", "BS 84, BS EN 10226"),
    (r"(?i)(?:BSW|BSF|BSPP|BSPT|BSP|W) ?" + _INCHES, "BS 84, BS EN 10226"),
    (_INCHES + r"(?i: ?- ?[0-9]{1,2} ?ACME(?:-[2-5][GC])?)", "ASME B1.5"),
)  # fmt: skip
_GAUGED_WORDS = ("G", "RP", "RC", "NP", "TR", "BS", "W", "ACME")
_HINT = ToSay("error.thread_such_as")


@frozen
class _Thread:
    """A thread callout; `limits` is None when it is gauged and not measured."""

    name: str
    nominal: Decimal | None  # mm, of metric threads
    limits: Limits | None
    source: str


def looks_like(line: str, unit: Unit) -> bool:
    """Whether the callout begins as a thread does."""
    if _metric_head(line) or ("UN" in line.upper() and re.match(_UNIFIED_HEAD, line)):
        return True
    # A pattern is compiled only where its word stands in the line: that is dear, and threads rare.
    upper = line.upper()
    if any(word in upper for word in _GAUGED_WORDS) and any(
        re.match(p + _LEFT + "$", line) for p, _ in _GAUGED
    ):
        return True
    return bool(re.match(_PLAIN_HEAD, line)) and _plain_unified(line, unit)


def read(text: str, line: str) -> Callout:
    """Read a thread callout in the plain spelling. Raises CalloutError."""
    thread = _read(line)
    unit = Unit.NONE if thread.limits is None else thread.limits.unit
    limits = Limits(None, None, Unit.NONE) if thread.limits is None else thread.limits
    return Callout(
        text, Kind.THREAD, unit, thread.nominal, limits, thread.source, characteristic=thread.name
    )


def _metric_head(line: str) -> bool:
    return line[:1] in "Mm" and line[1:].lstrip()[:1].isdigit()


def _plain_unified(line: str, unit: Unit) -> bool:
    """Whether `1/4-20` or `8-32`, without its series, is a thread of one of the three series."""
    from qlog.drawing.standards import unified

    match = re.match(_UNIFIED, line)
    if match is None or match["series"]:
        return match is not None
    size = _unified_size(match["size"])
    if not unified.series_of(size, match["pitch"]):
        # A fraction or a # in front is no other size: the pitch is the mistake.
        return "/" in match["size"] or match["size"][0] in "#N"
    whole = "/" not in size and not size.startswith("#")
    if whole and unit is not Unit.INCH and not match["fit"]:
        raise CalloutError(
            ToSay("error.may_be_thread", line=line, size=size),
            ToSay(
                "error.threads_or",
                line=line,
                series=unified.series_of(size, match["pitch"]),
                limits=line.replace("-", ".."),
            ),
        )
    return True


def _read(line: str) -> _Thread:
    if _metric_head(line):
        match = re.match(_METRIC, "M" + line[1:])
        if match is None:
            raise CalloutError(ToSay("error.metric_thread_can", line=line), _HINT)
        return _metric(match)
    for pattern, standard in _GAUGED:
        if re.match(pattern + _LEFT + "$", line):
            return _Thread(" ".join(line.split()), None, None, f"gauge, {standard}")
    match = re.match(_UNIFIED, line)
    if match is None:
        raise CalloutError(ToSay("error.unified_thread_can", line=line), _HINT)
    return _unified(match)


def _unified_size(written: str) -> str:
    """A size as the series name it: "#10", "1/4", "1 1/8"."""
    from qlog.drawing.standards import unified

    digits = re.sub(r"(?i)^(?:#|no\.? ?)", "", written)
    if digits != written or (unified.number_size(digits) and digits not in "123"):
        return f"#{digits}"
    return digits.replace("-", " ")


def _unified(match: re.Match[str]) -> _Thread:
    from qlog.drawing.standards import unified

    size, pitch = _unified_size(match["size"]), match["pitch"]
    if size in ("1", "2", "3") and unified.series_of(f"#{size}", pitch):
        size = f"#{size}"  # 1-64, 2-56 and 3-48 are screw sizes, 1-8 is an inch
    series = (match["series"] or unified.series_of(size, pitch)).upper()
    if not series:
        known = ", ".join(unified.known_threads(size))
        raise CalloutError(
            ToSay("error.threads_per_inch", size=size, pitch=pitch),
            ToSay("error.series_uns", known=known, size=size, pitch=pitch) if known else _HINT,
        )
    if series in ("UNC", "UNF", "UNEF") and unified.series_of(size, pitch) != series:
        known = ", ".join(unified.known_threads(size))
        if known:
            raise CalloutError(
                ToSay("error.thread_not_in_series", size=size, pitch=pitch, series=series), known
            )
    fit, element = (match["fit"] or "").upper(), match["element"]
    name = f"{size}-{pitch} {series}" + (f"-{fit}" if fit else "")
    name += "-LH" if match["left"] else ""
    if not element:
        return _Thread(name, None, None, "gauge")
    limits = unified.limits(size, pitch, series, fit, element.lower())
    return _Thread(f"{name} {element.lower()}", None, limits, f"ASME B1.1 {name} {element.lower()}")


def _metric(match: re.Match[str]) -> _Thread:
    from qlog.drawing.standards import iso965

    size = Decimal(match["size"].replace(",", "."))
    pitch = Decimal(match["pitch"].replace(",", ".")) if match["pitch"] else None
    coarse = iso965.coarse_pitch(size)
    most = coarse or size / 2
    if not size or (pitch is not None and not 0 < pitch <= most):
        raise CalloutError(
            ToSay("error.pitch_too_large", size=str(size), pitch=pitch),
            ToSay("error.pitch_length_dimension", most=most) if size else _HINT,
        )
    fit, element = match["fit"] or "", match["element"]
    name = f"M{size}" + (f"x{pitch}" if pitch is not None else "") + (f"-{fit}" if fit else "")
    name += "-LH" if match["left"] else ""
    if not element:
        return _Thread(name, size, None, "gauge")
    if not fit:
        what = ToSay("error.diameter_limits_without", element=element)
        raise CalloutError(what, ToSay("error.go_go_gauge", name=name, element=element))
    if coarse is None and pitch is None:
        near = iso965.nearest_size(size)
        raise CalloutError(
            ToSay("error.table_iso_pitch", size=str(size)),
            ToSay(
                "error.nearest_go_go",
                near=str(near),
                coarse_pitch=str(iso965.coarse_pitch(near)),
                name=name,
            ),
        )
    limits = iso965.limits(size, pitch if pitch is not None else most, fit, element)
    return _Thread(f"{name} {element}", size, limits, f"ISO 965 {name} {element}")
