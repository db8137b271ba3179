"""What killed processes left among the originals."""

from __future__ import annotations

from pathlib import Path

from qlog.logbook.facts import Photo
from qlog.logbook.photos import originals
from qlog.logbook.store import Logbook


def tidy(build_folder: Path, logbook: Logbook) -> None:
    """Take away copies that no entry names; what is entered stays. Raises OSError."""
    originals.tidy(build_folder, {e.fact.sha256 for e in logbook.history(Photo)}.__contains__)
