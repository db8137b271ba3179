"""What a page says, as plain text: one line a block, so that a change of wording shows."""

import re
from html.parser import HTMLParser

BLOCKS = frozenset({
    "p", "h1", "h2", "h3", "li", "dt", "dd", "tr", "caption", "figcaption", "summary", "title",
    "desc", "text", "table", "ul", "ol", "dl", "section", "article", "header", "footer", "nav",
    "main", "figure", "div", "details", "thead", "tbody",
})  # fmt: skip
#: Stand in one line of a table, a bar between them.
CELLS = frozenset({"td", "th"})


class _Text(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.lines: list[str] = [""]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag in BLOCKS:
            self.lines.append("# " if tag in ("h1", "h2", "h3") else "")
        elif tag in CELLS:
            self.lines[-1] += " | "
        elif tag == "img":
            self.lines.append(f"[picture: {given.get('alt')}]")
        elif tag == "br":
            self.lines[-1] += " / "

    def handle_endtag(self, tag: str) -> None:
        if tag in BLOCKS:
            self.lines.append("")

    def handle_data(self, data: str) -> None:
        self.lines[-1] += data


def text_of(html: str) -> str:
    """The words of a page, blocks in lines of their own, runs of blanks as one."""
    parser = _Text()
    parser.feed(html)
    parser.close()
    lines = (" ".join(line.split()) for line in parser.lines)
    said = "".join(f"{line}\n" for line in lines if line and line != "#")
    # The sum of the log changes with every word of the example's plan.
    return re.sub(r"\b[0-9a-f]{64}\b", "SUM", said)
