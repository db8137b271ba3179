"""Typesetting of finished pages: what stays on one line, and tables that a phone can stack."""

from __future__ import annotations

import re
from collections.abc import Iterable

from qlog.frozen import frozen
from qlog.words.catalogue import Words

_TAG = re.compile(r"(<[^>]*>)")
_TABLE = re.compile(r'<table class="ruled([^"]*)">.*?</table>', re.DOTALL)
_CELL = re.compile(r"<(td|th)\b([^>]*)>")
_SPAN = re.compile(r'colspan="(\d+)"')
#: Tables that are pictures in rows and columns: they are scrolled, never stacked nor sorted.
_PICTURES = frozenset({"grid", "report-table", "pairs"})
#: The beginning or the end of an element whose text is not laid out as lines of a page. A picture
#: has most of a page's tags: they are passed over together.
_APART = re.compile(r"<(/?)(?:svg|title|script|style|option)\b[^>]*?(/?)>")
#: Rows from which a table gets a field to filter them by.
_LONG = 8


@frozen
class Whole:
    """What is not broken at the end of a line: names of pieces, and dates."""

    names: frozenset[str]
    pattern: re.Pattern[str]  # of dates, and of whatever may be a name

    def kept(self, text: str) -> str:
        """The text with each of them in an element of its own."""
        return self.pattern.sub(self._kept, text)

    def _kept(self, found: re.Match[str]) -> str:
        name = found.group("name")
        if name is not None and name not in self.names:
            return found.group()
        return f'<span class="whole">{found.group()}</span>'


def together(names: Iterable[str], words: Words) -> Whole:
    """What stays whole in a build with pieces of these names, in the language of its pages."""
    months = "|".join(re.escape(words(f"format.month.{n}")) for n in range(1, 13))
    day = words("format.date", day="DAY", month="MONTH", year="YEAR")
    dated = re.escape(day).replace("DAY", r"\d{1,2}").replace("MONTH", f"(?:{months})")
    dated = dated.replace("YEAR", r"\d{4}")
    # One look-up a word, however many pieces there are.
    return Whole(frozenset(names), re.compile(rf"(?P<name>\b\w++(?:-\w++)+)|\b{dated}"))


def typeset(html: str, whole: Whole) -> str:
    """The page with its names and dates kept whole and its tables ready to be stacked."""
    set_out: list[str] = []
    apart = at = 0
    for edge in _APART.finditer(html):
        if not apart:
            set_out.append(_kept_whole(html[at : edge.start()], whole))
            at = edge.start()
        if edge.group(1):
            apart -= 1
        elif not edge.group(2):
            apart += 1
        if not apart:
            set_out.append(html[at : edge.end()])
            at = edge.end()
    set_out.append(_kept_whole(html[at:], whole))
    return _TABLE.sub(lambda found: _stackable(found.group(0), found.group(1)), "".join(set_out))


def _kept_whole(html: str, whole: Whole) -> str:
    """Tags and text, of which the text has its names and dates kept whole."""
    tokens = _TAG.split(html)  # text and tags by turns, text first
    tokens[::2] = map(whole.kept, tokens[::2])
    return "".join(tokens)


def _stackable(table: str, classes: str) -> str:
    """A table of which each cell says its column, so that a row can stand as a block."""
    head, at, body = table.partition("</thead>")
    if not at or _PICTURES & set(classes.split()):
        return table
    labels = [
        " ".join(re.sub(r"<[^>]*>", "", cell).split())
        for cell in re.findall(r"<t[hd]\b[^>]*>(.*?)</t[hd]>", head, re.DOTALL)
    ]
    rows = body.split("<tr")
    stacked = "<tr".join([rows[0], *(_labelled(row, labels) for row in rows[1:])])
    sorts = " sorts" if len(rows) > 2 else ""
    head = head.replace('class="ruled', f'class="ruled stack{sorts}', 1)
    tools = '<div class="table-tools"></div>\n' if len(rows) > _LONG else ""
    return f"{tools}{head}{at}{stacked}"


def _labelled(row: str, labels: list[str]) -> str:
    """A row whose cells name their columns; a cell over several columns names none."""
    column = 0

    def named(cell: re.Match[str]) -> str:
        nonlocal column
        over = _SPAN.search(cell.group(2))
        label = labels[column] if not over and column < len(labels) else ""
        column += int(over.group(1)) if over else 1
        if cell.group(1) == "th" or not label:
            return cell.group(0)
        return f'<td data-label="{label}"{cell.group(2)}>'

    return _CELL.sub(named, row)
