"""The bytes of a file made into lines of cells: encodings, separators, spreadsheets."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path

from qlog.intake.files.table import BadLine, FileLine, FileSheet, TableError
from qlog.problem import ToSay

_LARGEST = 20_000_000  # bytes; a set of a few hundred readings has some 20 kB
_MOST_UNPACKED = 100_000_000  # bytes
_MOST_CELLS = 2_000_000  # a sheet packed small may be huge
SEPARATORS = {"\t": "tab", ";": "semicolon", ",": "comma"}  # in the order of preference

#: Tells how well a cut of the file is understood; the best cut is taken.
Score = Callable[[tuple[FileLine, ...]], int]


def open_sheet(path: Path, score: Score, sheet: str | None = None) -> FileSheet:
    """The file cut into cells in the way under which it is understood best.

    `sheet` names the one wanted of a spreadsheet. Raises TableError when the file is missing,
    empty, too large, neither text nor a spreadsheet, or not understood at all.
    """
    data = _bytes(path)
    if data[:4] in (b"PK\x03\x04", b"\xd0\xcf\x11\xe0"):
        return _spreadsheet(path, data, score, sheet)
    if sheet is not None:
        raise TableError(ToSay("error.text_sheets_leave", path=path))
    text, encoding, remarks = _decode(path, data)
    if text.startswith('{"'):
        return FileSheet(_json_lines(path, text), "json", encoding, tuple(remarks))
    declared = re.match(r"sep=([\t;,])\r?\n", text, re.IGNORECASE)
    candidates = [declared[1]] if declared else list(SEPARATORS)
    for other in [s for s in candidates if s not in text][1:]:
        candidates.remove(other)  # it cuts nothing, as the first such does
    cut = {s: _cut(text, s, skip_first=declared is not None) for s in candidates}
    best = max(candidates, key=lambda s: score(cut[s][0]))  # the first of equals
    lines, broken = cut[best]
    return FileSheet(lines, SEPARATORS[best], encoding, tuple(remarks), broken)


def _bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            data = file.read(_LARGEST + 1)  # a device never ends
        if len(data) > _LARGEST:
            raise TableError(ToSay("error.over_mb_too", path=path, largest=_LARGEST / 1000000.0))
    except OSError as error:
        raise TableError(ToSay("error.cannot_be_read_check", path=path, reason=error)) from error
    if not data.strip():
        raise TableError(ToSay("error.file_empty_nothing", path=path))
    return data


def _decode(path: Path, data: bytes) -> tuple[str, str, list[str]]:
    """The file's text, the name of its encoding, and a remark where that is a guess."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return _decode_as("utf-16", "UTF-16", data, path), "UTF-16", [ToSay("error.remark_utf16")]
    if b"\x00" in data[:200]:  # ASCII in UTF-16 has every other byte zero
        evens, odds = data[:200:2].count(0), data[1:200:2].count(0)
        if min(evens, odds) == 0 and max(evens, odds) > 20:
            name = "utf-16-be" if evens else "utf-16-le"
            return _decode_as(name, "UTF-16", data, path), "UTF-16", [ToSay("error.remark_utf16")]
        raise TableError(ToSay("error.not_a_text_file", path=path))
    try:
        return data.decode("utf-8-sig"), "UTF-8", []
    except UnicodeDecodeError:
        pass
    text = _decode_as("cp1252", "UTF-8 or cp1252", data, path)
    remark = ToSay("error.remark_cp1252")
    return text, "cp1252", [remark]


def _decode_as(codec: str, name: str, data: bytes, path: Path) -> str:
    try:
        return data.decode(codec)
    except UnicodeDecodeError as error:
        raise TableError(
            ToSay("error.byte_save_file", path=path, start=error.start, name=name)
        ) from error


def _cut(
    text: str, separator: str, *, skip_first: bool
) -> tuple[tuple[FileLine, ...], BadLine | None]:
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    lines: list[FileLine] = []
    start = 1
    while True:
        try:
            cells = next(rows)
        except StopIteration:
            return tuple(lines), None
        except csv.Error:
            return tuple(lines), BadLine(
                start,
                text.splitlines()[start - 1] if start <= len(text.splitlines()) else "",
                ToSay("error.quotes_unpaired"),
                ToSay("error.quote_whole_cell"),
            )
        said = tuple([cell.strip() for cell in cells])
        if any(said) and not (skip_first and start == 1):
            lines.append(FileLine(start, said))
        start = rows.line_num + 1


def _json_lines(path: Path, text: str) -> tuple[FileLine, ...]:
    """One JSON object a line as a header of its names and the lines under it."""
    import json

    lines: list[FileLine] = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        try:
            said = json.loads(line)
        except (ValueError, RecursionError) as error:
            raise TableError(ToSay("error.json_export_again", path=path, number=number)) from error
        if not isinstance(said, dict):
            raise TableError(ToSay("error.object_write_one", path=path, number=number))
        if not lines:
            lines.append(FileLine(0, tuple(said)))
        cells = [said.get(name) for name in lines[0].cells]
        lines.append(
            FileLine(number, tuple("" if c is None or c is False else str(c) for c in cells))
        )
    return tuple(lines)


def _spreadsheet(path: Path, data: bytes, score: Score, sheet: str | None) -> FileSheet:
    """The sheet of an .xlsx, .ods or .xls file that is understood best, as its cells show it."""
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        if data[:2] == b"PK":
            with zipfile.ZipFile(io.BytesIO(data)) as packed:
                size = sum(part.file_size for part in packed.infolist())
            if size > _MOST_UNPACKED:
                raise TableError(ToSay("error.unpacks_mb_which", path=path, size=size / 1000000.0))
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        names = [m.name for m in book.sheets_metadata if "work" in str(m.typ).lower()]
        if sheet is not None and sheet not in names:
            raise TableError(
                ToSay("error.sheet_there", path=path, sheet=sheet, names=", ".join(names))
            )
        found: dict[str, tuple[FileLine, ...]] = {}
        for name in names if sheet is None else [sheet]:
            read = book.get_sheet_by_name(name)
            if read.total_height * read.total_width > _MOST_CELLS:
                raise TableError(ToSay("error.sheet_too_large", path=path, name=name))
            found[name] = _lines(read.to_python(skip_empty_area=False))
    except (
        CalamineError,
        OSError,
        LookupError,
        ValueError,
        ArithmeticError,
        zipfile.BadZipFile,
        NotImplementedError,
    ) as error:
        if isinstance(error, TableError):
            raise
        raise TableError(ToSay("error.spreadsheet_can_be", path=path, error=error)) from error
    understood = [name for name, lines in found.items() if score(lines) >= 2]
    if len(understood) > 1:
        raise TableError(ToSay("error.readings_more_than", path=path, names=", ".join(understood)))
    chosen = understood[0] if understood else next(iter(found), "")
    said = (ToSay("error.remark_sheet", name=chosen),) if len(names) > 1 else ()
    return FileSheet(found.get(chosen, ()), "sheet", "spreadsheet", said)


def _lines(rows: Sequence[Sequence[object]]) -> tuple[FileLine, ...]:
    """The rows that hold something, each cell as the text that the spreadsheet shows."""
    texts = [(n, tuple(_shown(cell) for cell in row)) for n, row in enumerate(rows, 1)]
    return tuple(FileLine(n, cells) for n, cells in texts if any(cells))


def _shown(cell: object) -> str:
    """A cell's text; numbers with the 15 digits that spreadsheets calculate with."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        if cell == int(cell) and abs(cell) < 1e15:
            return str(int(cell))
        from decimal import Decimal

        return f"{Decimal(f'{cell:.15g}'):f}"
    if isinstance(cell, datetime):
        return cell.isoformat(sep=" ", timespec="seconds")
    if isinstance(cell, (date, time, timedelta)):
        return str(cell)
    return str(cell).strip()
