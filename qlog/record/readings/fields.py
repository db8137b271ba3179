"""Every field of exported readings: its name, what it holds and in which unit."""

from __future__ import annotations

from enum import StrEnum

from qlog.frozen import frozen

#: Raised when a field changes its name or meaning; a new field at the end does not raise it.
VERSION = 1


class Kind(StrEnum):
    """How a field is written."""

    TEXT = "text"
    NUMBER = "number"
    COUNT = "whole number"
    TIME = "time, ISO 8601 with offset"
    YES = "yes or empty"


@frozen
class Field:
    """One field of an exported reading."""

    name: str
    kind: Kind
    unit: str
    what: str


FIELDS = (
    Field("qlog_readings", Kind.COUNT, "", f"version of these fields: {VERSION}"),
    Field("entry", Kind.COUNT, "", "number of the entry in this logbook"),
    Field("part", Kind.TEXT, "", "id of the part"),
    Field("op", Kind.COUNT, "", "operation after which it was read"),
    Field("dimension", Kind.TEXT, "", "id of the dimension"),
    Field("piece", Kind.COUNT, "", "number of the piece"),
    Field("typed", Kind.TEXT, "", "the reading as it was typed"),
    Field("exact", Kind.TEXT, "`unit`", "the reading as exact decimal text; go or no-go"),
    Field("value", Kind.NUMBER, "`unit`", "the same as a number; empty for a check"),
    Field("unit", Kind.TEXT, "", "unit of the reading: mm, in, um, uin, deg ..."),
    Field("instrument", Kind.TEXT, "", "id of the instrument"),
    Field("temperature", Kind.NUMBER, "°C", "of the piece, where it was taken"),
    Field("instrument_temperature", Kind.NUMBER, "°C", "of the instrument, if not the piece's"),
    Field("made", Kind.TIME, "", "when it was measured"),
    Field("entered", Kind.TIME, "", "when it was entered (UTC)"),
    Field("beside", Kind.YES, "", "stands beside a reading of the same place"),
    Field("gap", Kind.TEXT, "", "skipped or cannot, where there is no reading"),
    Field("note", Kind.TEXT, "", "remark, or why there is no reading"),
    Field("callout", Kind.TEXT, "", "the requirement as the drawing writes it"),
    Field("size", Kind.NUMBER, "`limit_unit`", "what was judged: at 20 °C, in the drawing's unit"),
    Field("limit_unit", Kind.TEXT, "", "unit of size, lower, upper and standard_uncertainty"),
    Field("lower", Kind.NUMBER, "`limit_unit`", "lower limit"),
    Field("upper", Kind.NUMBER, "`limit_unit`", "upper limit"),
    Field("verdict", Kind.TEXT, "", "good, out high, out low, not proven, pass, fail"),
    Field("standard_uncertainty", Kind.NUMBER, "`limit_unit`", "standard uncertainty of the size"),
    Field("setup", Kind.COUNT, "", "setup of the batch, from 1"),
    Field("suspect", Kind.YES, "", "read since the last good check of a gauge that then failed"),
    Field("corrected", Kind.COUNT, "", "how often it was corrected"),
    Field("revision", Kind.TEXT, "", "SHA-256 of the build.toml in force"),
    Field("mark", Kind.TEXT, "", "what is punched or written on the piece"),
    Field("computed", Kind.TEXT, "", "what it was computed from; such a line is not read in"),
)
NAMES = tuple(field.name for field in FIELDS)


def markdown() -> str:
    """The fields as a table for the manual."""
    rows = ["| field | type | unit | what |", "|---|---|---|---|"]
    rows += [f"| `{f.name}` | {f.kind.value} | {f.unit} | {f.what} |" for f in FIELDS]
    return "\n".join(rows)
