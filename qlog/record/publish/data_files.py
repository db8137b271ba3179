"""The readings beside the pages, as CSV and JSON that any program reads."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain

from qlog.record.readings.written import DIALECTS, csv_lines, protected
from qlog.review.part.batch import SeriesView
from qlog.review.picture import Picture
from qlog.review.views import ReadingView
from qlog.study.conformity.uncertainty import two_digits

Row = Mapping[str, str | int | bool | None]

#: Columns of the maker's readings, in order.
COLUMNS = (
    "entry", "part", "piece", "op", "dimension", "callout", "typed", "value", "passed", "unit",
    "lower", "upper", "verdict", "standard_uncertainty", "as_read", "instrument", "setup",
    "suspect", "made", "corrected", "note",
)  # fmt: skip


def every_reading(picture: Picture) -> Iterator[Row]:
    """Every live reading of the build, judged, in the order of the drawing and of making."""
    for part in picture.parts:
        for series in part.series:
            for reading in series.readings:
                yield _row(series, reading)


def _row(series: SeriesView, reading: ReadingView) -> Row:
    limits = reading.judgement.limits if reading.judgement is not None else series.limits
    return {
        "entry": reading.entry,
        "part": reading.part,
        "piece": reading.piece,
        "op": reading.op,
        "dimension": reading.dimension,
        "callout": series.callout.text,
        "typed": reading.typed,
        "value": None if reading.value is None else f"{reading.value:f}",
        "passed": reading.passed,
        "unit": reading.unit,
        "lower": None if limits.lower is None else f"{limits.lower:f}",
        "upper": None if limits.upper is None else f"{limits.upper:f}",
        "verdict": reading.word,
        "standard_uncertainty": None
        if reading.uncertainty is None
        else f"{two_digits(reading.uncertainty):f}",
        "as_read": None if reading.raw is None else f"{reading.raw:f}",
        "instrument": reading.instrument,
        "setup": reading.setup,
        "suspect": reading.suspect,
        "made": reading.made,
        "corrected": len(reading.corrections),
        "note": reading.note
        or "; ".join(f"{r.name}={r.typed} {r.unit.value}" for r in reading.raws),
    }


#: Columns that hold numbers, written with the decimal mark of the edition's language.
_NUMBERS = frozenset(("value", "lower", "upper", "standard_uncertainty", "as_read"))


def as_csv(rows: Iterable[Row], columns: Sequence[str], language: str = "en") -> Iterator[str]:
    """Rows as CSV (RFC 4180), line by line, the first the header, `true`/`false` for checks.

    Commas separate the cells and numbers have a decimal point; in German semicolons and a decimal
    comma. A text that a spreadsheet would take for a formula or a date is written after an
    apostrophe.
    """
    separator, mark = DIALECTS.get(language[:2].lower(), DIALECTS["en"])
    cells = ([_cell(c, row[c], mark) for c in columns] for row in rows)
    return csv_lines(chain([columns], cells), separator)


def as_json(rows: Iterable[Row], about: Mapping[str, str]) -> Iterator[str]:
    """Rows as JSON, numbers as text so that no digit is lost.

    Row by row: as one value a hundred thousand rows take a quarter of a gigabyte.
    """
    head, behind = _written({**about, "readings": []}, "").rsplit("]", 1)
    yield head
    before = ""
    for row in rows:
        yield before + _written(row, "\n  ")
        before = ","
    end = "\n " if before else ""
    yield f"{end}]{behind}\n"


def _written(value: Mapping[str, object], line: str) -> str:
    """A value as JSON behind `line`, which every line of it begins with."""
    return line + json.dumps(value, ensure_ascii=False, indent=1).replace("\n", line or "\n")


def _cell(column: str, value: str | int | bool | None, mark: str) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if column in _NUMBERS:
        return str(value).replace(".", mark)
    if column == "made" or not isinstance(value, str):
        return str(value)
    return protected(value, mark)
