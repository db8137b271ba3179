"""Cameras' clocks put right: the moment of every photo, by the corrections that were recorded."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime, timedelta, tzinfo

from qlog.logbook.facts import Clock, Photo
from qlog.logbook.photos.capture_time import CaptureTime, capture_time, kept_words


class CameraClocks:
    """The corrections of all cameras.

    A correction holds for its camera's photos from the photo of the clock on, by the camera's
    own time, until the next such photo: clocks are set in between. One that holds for earlier
    photos as well reaches back to the photo of the clock before it. `zone` is the build's time
    zone, None for the computer's.
    """

    def __init__(
        self, photos: Iterable[Photo], clocks: Iterable[Clock], zone: tzinfo | None
    ) -> None:
        self._zone = zone
        by_sum = {photo.sha256: photo for photo in photos}
        found: dict[str, dict[datetime, int]] = defaultdict(dict)
        back: dict[str, set[datetime]] = defaultdict(set)
        for clock in clocks:
            photo = by_sum.get(clock.sha256)
            raw = None if photo is None else capture_time(kept_words(photo), zone)
            if raw is not None and clock.camera_key:
                found[clock.camera_key][raw.utc] = clock.seconds
                if clock.earlier:
                    back[clock.camera_key].add(raw.utc)
        self._back = back
        self._found = {key: sorted(at.items()) for key, at in found.items()}

    def when(self, photo: Photo) -> CaptureTime | None:
        """The moment of the photo, corrected; None when nothing tells."""
        words = kept_words(photo)
        raw = capture_time(words, self._zone)
        own = self._found.get(photo.camera_key)
        if raw is None or own is None:
            return raw
        at = bisect_right([moment for moment, _ in own], raw.utc)
        if at < len(own) and own[at][0] in self._back[photo.camera_key]:
            at += 1  # the next photo of the clock speaks for the time before it
        if at == 0:
            return raw
        return capture_time(words, self._zone, timedelta(seconds=own[at - 1][1]))
