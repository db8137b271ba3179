"""Pages printed into PDF files by the system's Chromium, where it is there."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Mapping
from pathlib import Path

_NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")
_SECONDS = 300
_DATE = re.compile(rb"(/(?:CreationDate|ModDate) \(D:)[^)]*(\))")


def browser() -> str | None:
    """The browser that prints: the one named in CHROMIUM, or one of the path."""
    for name in (os.environ.get("CHROMIUM"), *_NAMES):
        found = shutil.which(name) if name else None
        if found:
            return found
    return None


def print_pages(folder: Path, pages: Mapping[str, str], made_at: str) -> tuple[str, ...]:
    """Print pages of `folder` into PDF files of those names; the names of those that came out.

    `made_at` takes the place of the time of printing, so that the same book is the same file. A
    browser that is not there or fails leaves no file behind.
    """
    chromium = browser()
    if chromium is None:
        return ()
    done = []
    for page, name in pages.items():
        target = folder / name
        with tempfile.TemporaryDirectory(prefix="qlog-print-") as profile:
            command = [
                chromium, "--headless=new", "--no-sandbox", "--disable-gpu",
                "--disable-background-networking", "--host-resolver-rules=MAP * ~NOTFOUND",
                f"--user-data-dir={profile}", "--no-pdf-header-footer",
                f"--print-to-pdf={target}", (folder / page).resolve().as_uri(),
            ]  # fmt: skip
            try:
                subprocess.run(command, capture_output=True, timeout=_SECONDS, check=True)
            except (OSError, subprocess.SubprocessError):
                target.unlink(missing_ok=True)
                continue
        if not target.is_file():
            continue
        target.write_bytes(_undated(target.read_bytes(), made_at))
        done.append(target.name)
    return tuple(done)


def _undated(data: bytes, made_at: str) -> bytes:
    """The same PDF with another time in it, of the same length, so that every offset holds."""
    digits = re.sub(r"\D", "", made_at)[:14].ljust(14, "0").encode()

    def date(match: re.Match[bytes]) -> bytes:
        length = len(match[0]) - len(match[1]) - len(match[2])
        return match[1] + (digits + b"+00'00'")[:length].ljust(length, b"0") + match[2]

    return _DATE.sub(date, data)
