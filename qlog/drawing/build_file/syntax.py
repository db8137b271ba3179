"""A build.toml that is not TOML: which lines, and what to write there instead."""

from __future__ import annotations

import re

from qlog.drawing.build_file.mistakes import Mistake
from qlog.drawing.build_file.positions import broken_lines

_AT = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_COMMA = re.compile(r"^\s*[\w-]+\s*=\s*([0-9]+),([0-9]+)\s*(?:#.*)?$")
_BARE = re.compile(r"""^\s*([\w-]+)\s*=\s*(?!["'\[{])([^\s=][^=]*?)\s*(?:#.*)?$""")
_INCH = re.compile(r"""^\s*([\w-]+)\s*=\s*"([^"]*[0-9] ?"[^"]*)"?\s*(?:#.*)?$""")
_OPEN = re.compile(r"""^\s*[\w-]+\s*=\s*(["'])[^"']*$""")
_POINT = re.compile(r"^\s*([\w-]+)\s*=\s*([-+]?)\.([0-9]+)\s*(?:#.*)?$")
_EMPTY = re.compile(r"^\s*([\w-]+)\s*=\s*(?:#.*)?$")
_NO_EQUALS = re.compile(r"""^\s*([\w-]+)\s*[: ]\s*["'0-9\[{]""")
_ZERO = re.compile(r"^\s*([\w-]+)\s*=\s*0+([0-9]+)\s*(?:#.*)?$")
_BRACKET = re.compile(r"^\s*\[+[^\]]*\]?\s*(?:#.*)?$")


def syntax_mistakes(source: str, error: str, file: str) -> tuple[Mistake, ...]:
    """One mistake for each broken line; `error` is what the TOML reader said first."""
    lines = source.split("\n")
    match = _AT.search(error)
    said = _AT.sub("", error)
    known = int(match.group(1)) if match and match.group(1) else len(lines)
    found: list[Mistake] = []
    for number in broken_lines(source, known):
        text = lines[number - 1].strip() if number <= len(lines) else ""
        if number == known and found and not text:
            continue  # a quote left open above is only missed at the end of the file
        advice = _advice(text) or (_in_words(said, text) if number == known else None)
        what, accepted = advice or (
            "this line cannot be read", 'key = "text", key = number or [[table]]',
        )  # fmt: skip
        found.append(Mistake(number, text, what, accepted, file=file))
    return tuple(found)


def _in_words(said: str, text: str) -> tuple[str, str]:
    """What the TOML reader said, in the words of someone who does not know TOML."""
    key = text.split("=", 1)[0].strip()
    if key.startswith("[") and ("overwrite" in said or "mutate" in said or "declare" in said):
        return f"{key} is there already, and not as one of several", (
            "the same brackets every time: [[part]], [[part.op]], [[part.dim]]"
        )
    if "overwrite" in said:
        return f"{key} is written twice", "once in each table"
    if "\\" in said or "escape" in said:
        return "a \\ inside double quotes", "single quotes around the text, or / in a path"
    return said[:1].lower() + said[1:], "see the comments of a fresh build.toml"


def _advice(text: str) -> tuple[str, str] | None:
    if match := _INCH.match(text):
        return (
            f'{match[1]} has an inch mark inside "..."',
            f"single quotes around it: {match[1]} = '{match[2]}'",
        )
    if match := _COMMA.match(text):
        return "a number with a decimal comma", f"a point: {match[1]}.{match[2]}"
    if match := _POINT.match(text):
        return (
            f"{match[1]} has no zero before the point",
            f'{match[1]} = {match[2]}0.{match[3]}, or in quotes: "{match[2]}.{match[3]}"',
        )
    if match := _EMPTY.match(text):
        return f"{match[1]} has no value", f'{match[1]} = "..." or a number'
    if match := _ZERO.match(text):
        return f"{match[1]} begins with a zero", f"{match[1]} = {match[2]}"
    if '"""' in text or "'''" in text:
        return "a text in three quotes does not end", "three quotes behind the text as well"
    if match := _OPEN.match(text):
        return "the closing quote is missing", f"{match[1]} at the end of the text"
    if (match := _BARE.match(text)) and not re.fullmatch(r"true|false|[-+0-9._:TZe]+", match[2]):
        value = match[2].strip("\"'")
        return f"the text of {match[1]} is not in quotes", f'{match[1]} = "{value}"'
    if _BRACKET.match(text) and text.count("[") != text.count("]"):
        return "the brackets do not match", "[name], or [[name]] for one of several"
    if match := _NO_EQUALS.match(text):
        return f"{match[1]} without =", f"{match[1]} = ..."
    return None
