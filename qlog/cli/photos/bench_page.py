"""Pages for the bench, each one file that needs no other: cards, the clock, the contact sheet."""

from __future__ import annotations

import base64
import hashlib
import re

from qlog.writing import PAGE_MARK

_SCRIPT = re.compile(r"<script>(.*?)</script>", re.DOTALL)
_PLACE = "@policy@"


def render(template: str, **given: object) -> str:
    """A page from its template in `site_templates/card`; unknown names are errors.

    The page says by a policy that it loads nothing from anywhere, and runs no script but the one
    that it was made with.
    """
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
    policy = f'<meta http-equiv="Content-Security-Policy" content="{_PLACE}">'
    page = made.get_template(f"card/{template}").render(mark=f"{PAGE_MARK}\n{policy}", **given)
    # A text that a template escapes cannot hold the mark of a script, so those found are ours.
    sums = [
        base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
        for script in _SCRIPT.findall(page)
    ]
    allowed = " ".join(f"'sha256-{s}'" for s in sums) or "'none'"
    return page.replace(
        _PLACE,
        "default-src 'none'; img-src data:; style-src 'unsafe-inline'; "
        f"script-src {allowed}; base-uri 'none'; form-action 'none'",
        1,
    )
