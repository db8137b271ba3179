"""The photos of one page in the order in which they stand, to be leafed through when opened."""

from __future__ import annotations

from qlog.record.pages.gallery import Shown


class Album:
    """Fills up while a page is laid out; a photo that stands there twice is opened as one."""

    def __init__(self) -> None:
        self.photos: list[Shown] = []
        self.first: dict[str, int] = {}

    def leaves(self) -> list[tuple[int, Shown, int, int]]:
        """Every photo with its number and those before and behind it, 0 for none."""
        last = len(self.photos)
        return [
            (n, photo, n - 1, n + 1 if n < last else 0) for n, photo in enumerate(self.photos, 1)
        ]

    def add(self, photo: Shown) -> tuple[int, bool]:
        """Its number on the page, from 1, and whether it stands there for the first time."""
        if photo.sha256 in self.first:
            return self.first[photo.sha256], False
        self.photos.append(photo)
        self.first[photo.sha256] = len(self.photos)
        return len(self.photos), True
