"""Every field of exported readings: its name, what it holds and in which unit."""

from __future__ import annotations

from enum import StrEnum

from qlog.frozen import frozen

#: Raised when a field changes its name or meaning; a new field at the end does not raise it.
VERSION = 1


class FieldKind(StrEnum):
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
    kind: FieldKind
    unit: str
    what: str


FIELDS = (
    Field("qlog_readings", FieldKind.COUNT, "", f"version of these fields: {VERSION}"),
    Field("entry", FieldKind.COUNT, "", "number of the entry in this logbook"),
    Field("part", FieldKind.TEXT, "", "id of the part"),
    Field("op", FieldKind.COUNT, "", "operation after which it was read"),
    Field("dimension", FieldKind.TEXT, "", "id of the dimension"),
    Field("piece", FieldKind.COUNT, "", "number of the piece"),
    Field("typed", FieldKind.TEXT, "", "the reading as it was typed"),
    Field("exact", FieldKind.TEXT, "`unit`", "the reading as exact decimal text; go or no-go"),
    Field("value", FieldKind.NUMBER, "`unit`", "the same as a number; empty for a check"),
    Field("unit", FieldKind.TEXT, "", "unit of the reading: mm, in, um, uin, deg ..."),
    Field("instrument", FieldKind.TEXT, "", "id of the instrument"),
    Field("temperature", FieldKind.NUMBER, "°C", "of the piece, where it was taken"),
    Field(
        "instrument_temperature", FieldKind.NUMBER, "°C", "of the instrument, if not the piece's"
    ),
    Field("made", FieldKind.TIME, "", "when it was measured"),
    Field("entered", FieldKind.TIME, "", "when it was entered (UTC)"),
    Field("beside", FieldKind.YES, "", "stands beside a reading of the same place"),
    Field("gap", FieldKind.TEXT, "", "skipped or cannot, where there is no reading"),
    Field("note", FieldKind.TEXT, "", "remark, or why there is no reading"),
    Field("callout", FieldKind.TEXT, "", "the requirement as the drawing writes it"),
    Field(
        "size", FieldKind.NUMBER, "`limit_unit`", "what was judged: at 20 °C, in the drawing's unit"
    ),
    Field("limit_unit", FieldKind.TEXT, "", "unit of size, lower, upper and standard_uncertainty"),
    Field("lower", FieldKind.NUMBER, "`limit_unit`", "lower limit"),
    Field("upper", FieldKind.NUMBER, "`limit_unit`", "upper limit"),
    Field("verdict", FieldKind.TEXT, "", "good, out high, out low, not proven, pass, fail"),
    Field(
        "standard_uncertainty", FieldKind.NUMBER, "`limit_unit`", "standard uncertainty of the size"
    ),
    Field("setup", FieldKind.COUNT, "", "setup of the batch, from 1"),
    Field(
        "suspect", FieldKind.YES, "", "read since the last good check of a gauge that then failed"
    ),
    Field("corrected", FieldKind.COUNT, "", "how often it was corrected"),
    Field("revision", FieldKind.TEXT, "", "SHA-256 of the build.toml in force"),
    Field("mark", FieldKind.TEXT, "", "what is punched or written on the piece"),
    Field("computed", FieldKind.TEXT, "", "what it was computed from; such a line is not read in"),
)
NAMES = tuple(field.name for field in FIELDS)


def markdown() -> str:
    """The fields as a table for the manual."""
    rows = ["| field | type | unit | what |", "|---|---|---|---|"]
    rows += [f"| `{f.name}` | {f.kind.value} | {f.unit} | {f.what} |" for f in FIELDS]
    return "\n".join(rows)
