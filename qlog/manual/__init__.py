"""The manual: Markdown topics that ship with qlog, one file a topic, shown by `qlog manual`.

Here lives what a reader looks up, and the few lines that find it; no other code, and no computing.
"""

from __future__ import annotations

import re
from importlib.resources import files

#: The order in which a reader meets them; a topic that is not named here comes after these.
_ORDER = (
    "bench", "plan", "photos", "build-file", "callouts", "entry-checks", "drift", "intervals",
    "uncertainty", "matching", "cautions", "record", "completion", "commands", "glossary",
)  # fmt: skip


def topics() -> dict[str, str]:
    """Topic -> its title, in reading order: every Markdown file of this folder."""
    found = {
        file.name.removesuffix(".md"): _title(file.read_text(encoding="utf-8"))
        for file in files("qlog.manual").iterdir()
        if file.name.endswith(".md")
    }
    known = [name for name in _ORDER if name in found]
    return {name: found[name] for name in [*known, *sorted(found.keys() - set(known))]}


def text(topic: str) -> str:
    """A topic's Markdown, without the marks around what is generated. Raises KeyError."""
    if topic not in topics():
        raise KeyError(topic)
    written = files("qlog.manual").joinpath(f"{topic}.md").read_text(encoding="utf-8")
    return re.sub(r"<!--.*?-->\n*", "", written, flags=re.DOTALL)


def _title(written: str) -> str:
    return written.partition("\n")[0].removeprefix("# ").strip()
