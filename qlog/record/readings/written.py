"""Rows written as CSV, JSON lines or a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from qlog.record.readings.fields import FIELDS, NAMES, Field, FieldKind
from qlog.record.readings.judged_rows import Cell, Row

#: Language -> separator and decimal mark of its spreadsheets.
DIALECTS = {"en": (",", "."), "de": (";", ",")}

#: Text that a spreadsheet would make a number, a time or a date of.
_LIKE_A_NUMBER = re.compile(r"[\d\s.,/:'+-]*\d[\d\s.,/:'+-]*")

_LIKE_A_DATE = re.compile(
    r"(?i)(?:\d{1,2}[ .-]*)?(?:jan|feb|mar|mär|mrz|apr|may|mai|jun|jul|aug|sep|oct|okt|nov|dec|dez)"
    r"[a-zä]*\.?(?:[ .,-]*\d{1,4})*"
)


def protected(text: str, mark: str) -> str:
    """A text that no spreadsheet takes for a formula, a date or another number.

    It gets an apostrophe in front; a text that begins with one gets another, so that taking one
    away gives the text again.
    """
    number = re.fullmatch(rf"-?\d{{1,15}}(?:\{mark}\d+)?", text)
    if text[:1] in ("=", "+", "@", "\t", "\r", "\n", "'") or (text[:1] == "-" and not number):
        return f"'{text}"
    if (not number and _LIKE_A_NUMBER.fullmatch(text)) or _LIKE_A_DATE.fullmatch(text):
        return f"'{text}"
    return text


def _text(cell: Cell, mark: str) -> str:
    if cell is None or cell is False:
        return ""
    if cell is True:
        return "yes"
    if isinstance(cell, Decimal):
        return f"{cell:f}".replace(".", mark)
    return str(cell) if isinstance(cell, int) else protected(cell, mark)


def csv_lines(lines: Iterable[Sequence[str]], separator: str) -> Iterator[str]:
    """Cells as lines of CSV, line ends as RFC 4180."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator="\r\n")
    for line in lines:
        writer.writerow(line)
        yield out.getvalue()
        out.seek(0)
        out.truncate()


def csv_text(lines: Iterable[Sequence[str]], separator: str) -> str:
    """Cells as CSV."""
    return "".join(csv_lines(lines, separator))


def as_csv(lines: Sequence[Sequence[Cell]], language: str) -> str:
    """Lines as CSV with the separator and the decimal mark of a language."""
    separator, mark = DIALECTS[language]
    return csv_text(([_text(cell, mark) for cell in line] for line in lines), separator)


def long_lines(rows: Sequence[Row]) -> list[list[Cell]]:
    """A header of all fields and one line a row; times stand as ISO 8601."""
    return [list(NAMES), *([row[name] for name in NAMES] for row in rows)]


def long_csv(rows: Sequence[Row], language: str) -> str:
    """All fields of all rows as CSV."""
    separator, mark = DIALECTS[language]

    def cell(row: Row, field: Field) -> str:
        value = row[field.name]
        return str(value or "") if field.kind is FieldKind.TIME else _text(value, mark)

    return csv_text([NAMES, *([cell(row, field) for field in FIELDS] for row in rows)], separator)


def as_json_lines(rows: Sequence[Row]) -> str:
    """One JSON object a line; numbers that were measured are text, so that no digit is lost."""
    return "".join(
        json.dumps({n: _json(row[n]) for n in NAMES}, ensure_ascii=False) + "\n" for row in rows
    )


def _json(cell: Cell) -> str | int | bool | None:
    return f"{cell:f}" if isinstance(cell, Decimal) else cell


def as_xlsx(lines: Sequence[Sequence[Cell]]) -> bytes:
    """Lines as a spreadsheet: numbers are numbers with their decimals shown, text stays text."""
    import xlsxwriter

    out = io.BytesIO()
    kept = dict.fromkeys(("strings_to_formulas", "strings_to_numbers", "strings_to_urls"), False)
    book = xlsxwriter.Workbook(out, {"in_memory": True, **kept})
    sheet = book.add_worksheet("readings")
    formats: dict[int, object] = {}
    for number, line in enumerate(lines):
        for column, cell in enumerate(line):
            if cell is None or cell is False:
                continue
            if isinstance(cell, Decimal):
                exponent = cell.as_tuple().exponent
                decimals = max(0, -exponent) if isinstance(exponent, int) else 0
                if decimals not in formats:
                    shape = "0" + ("." + "0" * decimals if decimals else "")
                    formats[decimals] = book.add_format({"num_format": shape})
                sheet.write_number(number, column, float(cell), formats[decimals])
            elif isinstance(cell, bool):
                sheet.write_string(number, column, "yes")
            elif isinstance(cell, int):
                sheet.write_number(number, column, cell)
            else:
                sheet.write_string(number, column, cell)
    sheet.freeze_panes(1, 0)
    book.close()
    return out.getvalue()
