"""Output that cannot hold an Ø: drawing signs in their plain spellings; JSON is always UTF-8."""

from __future__ import annotations

import codecs
from typing import TextIO

#: Spellings that a callout is read with as well, and words for the rest.
_SPELLED = {
    "Ø": "dia ", "⌀": "dia ", "±": "+-", "°": " deg", "µ": "u", "μ": "u", "↧": "depth ",
    "↗": "runout ", "Ⓔ": "(E)", "×": "x", "≤": "<=", "≥": ">=", "−": "-", "–": "-", "…": "...",
    "“": '"', "”": '"', "’": "'",
}  # fmt: skip


def make_plain(stream: TextIO, *, json: bool) -> None:
    """Let a stream say what its encoding cannot hold, instead of ending the program.

    JSON is UTF-8 whatever the console holds (RFC 8259, 8.1): programs read it, not people. ASCII
    is taken as a setting that is missing, as click and Python itself take it: UTF-8 then.
    """
    codecs.register_error("qlog-spelled", _spelled)
    codecs.register_error("qlog-json", _escaped)
    if hasattr(stream, "reconfigure"):
        missing = codecs.lookup(stream.encoding).name == "ascii"
        stream.reconfigure(
            encoding="utf-8" if missing or json else stream.encoding,
            errors="qlog-json" if json else "qlog-spelled",
        )


def _unable(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return error.object[error.start : error.end], error.end


def _spelled(error: UnicodeError) -> tuple[str, int]:
    text, end = _unable(error)
    return "".join(_SPELLED.get(sign, "?") for sign in text), end


def _escaped(error: UnicodeError) -> tuple[str, int]:
    """JSON escapes (RFC 8259, 7): UTF-16 code units, so that signs beyond the first plane pair."""
    text, end = _unable(error)
    units = text.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[i : i + 2].hex()}" for i in range(0, len(units), 2)), end
