"""A build.toml that is not TOML: which lines, and what to write there instead."""

from __future__ import annotations

import re

from qlog.drawing.build_file.mistakes import Mistake
from qlog.drawing.build_file.positions import broken_lines, reads
from qlog.problem import ToSay

_AT = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_COMMA = re.compile(r"^\s*[\w-]+\s*=\s*([0-9]+),([0-9]+)\s*(?:#.*)?$")
_BARE = re.compile(r"""^\s*([\w-]+)\s*=\s*(?!["'\[{])([^\s=][^=]*?)\s*(?:#.*)?$""")
_INCH = re.compile(r"""^\s*([\w-]+)\s*=\s*"([^"]*[0-9] ?"[^"]*)"?\s*(?:#.*)?$""")
_OPEN = re.compile(r"""^\s*[\w-]+\s*=\s*(["'])[^"']*$""")
_POINT = re.compile(r"^\s*([\w-]+)\s*=\s*([-+]?)\.([0-9]+)\s*(?:#.*)?$")
_EMPTY = re.compile(r"^\s*([\w-]+)\s*=\s*(?:#.*)?$")
_NO_EQUALS = re.compile(r"""^\s*([\w-]+)\s*[: ]\s*["'0-9\[{]""")
_ZERO = re.compile(r"^\s*([\w-]+)\s*=\s*0+([0-9]+)\s*(?:#.*)?$")
#: A backslash that begins none of TOML's escapes, or takes the closing quote away.
_BACKSLASH = re.compile(
    r"""(?<!\\)(?:\\\\)*(?:\\(?!["\\bfnrt]|u[\da-fA-F]{4}|U[\da-fA-F]{8})|\\"\s*(?:\#.*)?$)"""
)
_BRACKET = re.compile(r"^\s*\[+[^\]]*\]?\s*(?:#.*)?$")


def syntax_mistakes(source: str, error: Exception, file: str) -> tuple[Mistake, ...]:
    """One mistake for each broken line; `error` is what the TOML reader raised first.

    Only the line is taken from it: what is wrong there, the line itself tells.
    """
    lines = source.split("\n")
    at = _AT.search(str(error))  # a number of its own only from Python 3.14 on
    known = int(at[1]) if at and at[1] else len(lines)
    found: list[Mistake] = []
    for number in broken_lines(source, known):
        text = lines[number - 1].strip() if number <= len(lines) else ""
        if number == known and found and not text:
            continue  # a quote left open above is only missed at the end of the file
        above = "\n".join(lines[: number - 1])
        what, accepted = _advice(text) or (number == known and _refused(text, above, error)) or (
            ToSay("error.toml_unreadable"), ToSay("error.toml_forms"),
        )  # fmt: skip
        found.append(Mistake(number, text, what, accepted, file=file))
    return tuple(found)


def _refused(text: str, above: str, error: Exception) -> tuple[str, str] | None:
    """What is wrong with a line that the reader refused; None where nobody can tell."""
    if isinstance(error, RecursionError):
        return ToSay("error.toml_deep"), ToSay("error.toml_see_fresh")
    if text and reads(text):  # by itself: then it is what stands above
        if not reads(above):
            return ToSay("error.toml_open_above"), ToSay("error.toml_close_above")
        key = text.split("=", 1)[0].strip()
        if key.startswith("["):
            return ToSay("error.toml_there", key=key), ToSay("error.toml_brackets")
        return ToSay("error.toml_twice", key=key), ToSay("error.toml_once")
    if '"' in text and _BACKSLASH.search(text):
        return ToSay("error.toml_backslash"), ToSay("error.toml_single_quotes")
    return None


def _advice(text: str) -> tuple[str, str] | None:
    if match := _INCH.match(text):
        return (
            ToSay("error.toml_inch_mark", key=match[1]),
            ToSay("error.toml_quote_inch", key=match[1], text=match[2]),
        )
    if match := _COMMA.match(text):
        return ToSay("error.toml_comma"), ToSay("error.toml_point", number=f"{match[1]}.{match[2]}")
    if match := _POINT.match(text):
        return (
            ToSay("error.toml_no_zero", key=match[1]),
            ToSay("error.toml_zero", key=match[1], sign=match[2], digits=match[3]),
        )
    if match := _EMPTY.match(text):
        return ToSay("error.toml_no_value", key=match[1]), ToSay("error.toml_value", key=match[1])
    if match := _ZERO.match(text):
        return ToSay("error.toml_leading_zero", key=match[1]), f"{match[1]} = {match[2]}"
    if '"""' in text or "'''" in text:
        return ToSay("error.toml_three_quotes"), ToSay("error.toml_end_three")
    if match := _OPEN.match(text):
        return ToSay("error.toml_closing"), ToSay("error.toml_at_end", quote=match[1])
    if (match := _BARE.match(text)) and not re.fullmatch(r"true|false|[-+0-9._:TZe]+", match[2]):
        value = match[2].strip("\"'")
        return ToSay("error.toml_no_quotes", key=match[1]), f'{match[1]} = "{value}"'
    if _BRACKET.match(text) and text.count("[") != text.count("]"):
        return ToSay("error.toml_unmatched"), ToSay("error.toml_names")
    if match := _NO_EQUALS.match(text):
        return ToSay("error.toml_no_equals", key=match[1]), f"{match[1]} = ..."
    return None
