"""Pages that need not be laid out again: what each is made of is known to give the file it has.

A page is worked out by code and templates from what it is handed, so that the sum of all of that
stands for its file. Which sums gave which files is noted in the user's own cache (`worked_out`),
never in a build: a build that was received may say anything. A page is taken over from the last
record only where its file has the noted sum, by its manifest and by its bytes.
"""

from __future__ import annotations

import os
import sys
from hashlib import sha256
from pathlib import Path

import qlog
from qlog.record.pages.page import Page
from qlog.record.publish import templates
from qlog.record.publish.standing import libraries, looks
from qlog.record.publish.value_sums import ValueSums
from qlog.worked_out import WorkedOut

#: Pages of so many editions, some 20,000 of one.
_PAGES = WorkedOut("pages", (), most=20, largest=4_000_000)

#: Bytes of a sum.
_SUM = 32


class KeptPages:
    """The pages of one edition in a folder, and the files that they are known to give."""

    def __init__(self, out: Path, common: object) -> None:
        """`common` is what all pages are made of besides what each is handed."""
        import jinja2
        import markupsafe

        made_of = [sys.version, str(libraries()), str(out), looks(templates.folder())]
        for module in (qlog, jinja2, markupsafe):
            made_of.append(looks(Path(str(module.__file__)).parent))
        # A folder's name need not be UTF-8.
        self._place = _PAGES.place(os.fsencode(f"{text}\n") for text in made_of)
        body = (None if self._place is None else _PAGES.kept(self._place)) or b""
        steps = range(0, len(body), 2 * _SUM)
        self._files = {body[n : n + _SUM]: body[n + _SUM : n + 2 * _SUM] for n in steps}
        self._now: dict[bytes, bytes] = {}
        self._sums, self._common = ValueSums(), common

    def key(self, page: Page) -> bytes | None:
        """The sum of all that a page is made of; None where that cannot be told."""
        if not page.keyed:
            return None
        names = tuple(page.context)
        of_page = (page.template, page.path, page.title, page.section, names)
        try:
            sums = [self._sums.of(v) for v in (self._common, of_page, *page.context.values())]
        except TypeError:
            return None
        return sha256(b"".join(sums)).digest()

    def file(self, key: bytes | None) -> str:
        """The sum of the file that a page of this key gave; "" where it is not known."""
        return "" if key is None else self._files.get(key, b"").hex()

    def note(self, key: bytes | None, digest: str) -> None:
        """That a page of this key gives a file of that sum."""
        if key is not None:
            self._now[key] = bytes.fromhex(digest)

    def keep(self) -> None:
        """Keep for the next time what was noted in this one."""
        if self._place is not None and self._now != self._files:
            _PAGES.keep(self._place, b"".join(key + self._now[key] for key in self._now))
