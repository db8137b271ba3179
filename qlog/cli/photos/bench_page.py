"""Pages for the bench, each one file that needs no other: cards, the clock, the contact sheet."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from qlog.problem import Problem

#: Stands in every page made here; a file without it is somebody else's and is left alone.
MARK = '<meta name="generator" content="qlog bench page">'


def render(template: str, **given: object) -> str:
    """A page from its template in `site_templates/card`; unknown names are errors."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    from qlog.record.publish.templates import folder

    made = Environment(
        loader=FileSystemLoader(folder(), encoding="utf-8"),
        undefined=StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return made.get_template(f"card/{template}").render(mark=MARK, **given)


def write(page: str, out: Path) -> None:
    """Write a page, whole or not at all, over an earlier one of its kind.

    Raises Problem when another file lies there.
    """
    if out.is_dir():
        raise Problem(f"{out} is a folder; name a file, such as {out / 'page.html'}")
    if out.exists() and MARK not in out.read_text(encoding="utf-8", errors="replace")[:2000]:
        raise Problem(f"{out} is no page made by qlog; it was left alone, name another file")
    out.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=".page-", dir=out.parent)
    aside = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(page)
        aside.chmod(0o644)
        aside.replace(out)
    except BaseException:
        aside.unlink(missing_ok=True)
        raise
