"""Reading build.toml into the typed plan, with every mistake of the file in one run."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

from qlog.drawing.build_file import bounds
from qlog.drawing.build_file.definitions import Definitions
from qlog.drawing.build_file.entry import PlanTable
from qlog.drawing.build_file.mistakes import Mistake, Notes, Place, PlanError
from qlog.drawing.build_file.read_build import BuildReader
from qlog.drawing.plan import Build
from qlog.frozen import replace
from qlog.problem import ToSay

__all__ = ["Mistake", "PlanError", "check", "load", "load_text", "text_of"]

FILE_NAME = "build.toml"

#: What editors on Windows write where they do not write UTF-8, in western countries.
_LOCAL_PAGE = "cp1252"


def load(path: Path, *, lines: bool = False) -> Build:
    """Read a build.toml, or the build.toml of a folder.

    `lines` fills in the `line` of operations, which costs a second
    reading of the file; without it they are 0. Raises PlanError with every mistake of the file.
    """
    if path.is_dir():
        path = path / FILE_NAME
    text, code_page = text_of(path)
    build = load_text(text, path.parent, path.name, lines=lines)
    return replace(build, code_page=code_page) if code_page else build


def load_text(text: str, folder: Path, name: str = FILE_NAME, *, lines: bool = False) -> Build:
    """Read the text of a build.toml that belongs to `folder`. Raises PlanError."""
    notes = Notes()
    build = _reader(text, folder, name, notes, lines).build()
    if notes.serious:
        raise PlanError(_listed(notes, text, name))
    return build


def check(path: Path) -> tuple[Mistake, ...]:
    """Every mistake and warning of a build.toml, in the order of its lines; empty when it is fine.

    Warnings are about what can be read but should be looked at before cutting.
    """
    if path.is_dir():
        path = path / FILE_NAME
    try:
        text, code_page = text_of(path)
        notes = Notes()
        reader = _reader(text, path.parent, path.name, notes, False)
    except PlanError as error:
        return error.mistakes
    from qlog.drawing.plan_warnings import before_cutting

    before_cutting(reader.build(), reader.known.places, notes)
    found = _listed(notes, text, path.name)
    return (_other_page(path, text, code_page), *found) if code_page else found


def _listed(notes: Notes, text: str, name: str) -> tuple[Mistake, ...]:
    if not notes:
        return ()
    from qlog.drawing.build_file.positions import LineNumbers

    return notes.listed(LineNumbers(text).of, name)


def _other_page(path: Path, text: str, code_page: str) -> Mistake:
    """The remark about a file that is not UTF-8, at its first line that shows it."""
    lines = text.split("\n")
    at = next((n for n, line in enumerate(lines) if not line.isascii()), 0)
    what = ToSay("error.read_as_page", page=code_page)
    accepted = ToSay("error.look_at_signs")
    return Mistake(at + 1, lines[at].strip(), what, accepted, "warning", path.name)


def text_of(path: Path) -> tuple[str, str]:
    """The file as text, and the code page where it is no UTF-8. Raises PlanError."""
    try:
        if path.exists() and not path.is_file():  # reading a pipe or a device has no end
            raise OSError(ToSay("error.plain_file"))
        raw = path.read_bytes()
    except FileNotFoundError:
        mistake = Mistake(
            0,
            "",
            ToSay("error.no_plan_there", path=path),
            ToSay("error.qlog_new_writes"),
            file=path.name,
        )
        raise PlanError((mistake,)) from None
    except OSError as error:
        mistake = Mistake(
            0, "", ToSay("error.file_cannot_be_read", path=path, error=error), "", file=path.name
        )
        raise PlanError((mistake,)) from None
    try:
        # With or without the mark that some editors put in front; a codec of its own costs 1 ms.
        return raw.removeprefix(b"\xef\xbb\xbf").decode("utf-8"), ""
    except UnicodeDecodeError as error:
        if read := _in_local_page(raw):
            return read, _LOCAL_PAGE
        line = raw.count(b"\n", 0, error.start) + 1
        start = raw.rfind(b"\n", 0, error.start) + 1
        shown = raw[start:].split(b"\n", 1)[0].decode("utf-8", "replace").strip()
        mistake = Mistake(
            line, shown, ToSay("error.line_utf"), ToSay("error.save_file_utf"), file=path.name
        )
        raise PlanError((mistake,)) from None


def _in_local_page(raw: bytes) -> str:
    """The text in the local code page of Western Windows; "" when it is none there either."""
    if b"\x00" in raw or raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return ""  # UTF-16
    try:
        text = raw.decode(_LOCAL_PAGE)
    except UnicodeDecodeError:
        return ""
    return text if all(sign.isprintable() or sign in "\t\r\n" for sign in text) else ""


def _reader(text: str, folder: Path, name: str, notes: Notes, lines: bool) -> BuildReader:
    """A reader of the text. Raises PlanError when the text is no TOML, or none of a plan."""
    if len(text) > bounds.FILE:
        raise PlanError(
            (
                Mistake(
                    0, "", ToSay("error.load_characters", n=len(text)),
                    ToSay("error.most_build_toml", file=bounds.FILE), file=name,
                ),
            )
        )  # fmt: skip
    try:
        data = tomllib.loads(text, parse_float=Decimal)
    except (ValueError, RecursionError) as error:
        # TOMLDecodeError is a ValueError; so is a number with more digits than Python reads.
        from qlog.drawing.build_file.syntax import syntax_mistakes

        raise PlanError(syntax_mistakes(text, error, name)) from None
    if bounds.too_deep(data):
        raise PlanError((_deepest(text, name),))
    line_of: Callable[[Place], int] = _no_line
    if lines:
        from qlog.drawing.build_file.positions import LineNumbers

        line_of = LineNumbers(text).of
    return BuildReader(PlanTable(data, (), notes), Definitions(notes, folder, line_of), text)


def _deepest(text: str, name: str) -> Mistake:
    """The line with the most points and brackets, which is where a table lies too deep."""
    lines = text.split("\n")
    depths = [line.count(".") + line.count("{") + line.count("[") for line in lines]
    line = depths.index(max(depths))
    return Mistake(
        line + 1,
        lines[line].strip()[:80],
        ToSay("error.tables_within_tables"),
        ToSay("error.most_part_dim", depth=bounds.DEPTH),
        file=name,
    )


def _no_line(_: Place) -> int:
    return 0
