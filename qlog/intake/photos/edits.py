"""Changes to photos by hand: place, caption, who may see it, cover, the best of its kind."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence

from qlog.frozen import replace
from qlog.intake.photos.taking import CARD, CLOCK, TAKEN_BACK, Looked, PhotoPlace, by_hand
from qlog.logbook.facts import Clock, Entry, Photo, Placement
from qlog.logbook.own_words import Own
from qlog.logbook.photos.capture_time import clock_correction, zone_named
from qlog.logbook.store import Logbook
from qlog.problem import Problem, ToSay


class PhotoChangeError(Problem):
    """A photo that is not there, or a change that cannot be made."""


def numbered(logbook: Logbook) -> dict[int, Photo]:
    """All photos by number: the order of entry, from 1; a number never changes."""
    return {
        number: entry.fact
        for number, entry in enumerate(logbook.history(Photo), start=1)
        if entry.superseded_by is None
    }


def chosen(photos: Mapping[int, Photo], text: str, unplaced: Iterable[int]) -> list[int]:
    """Photos by number: `14`, `14-22`, `3,7,9-12`, or `all` of the unplaced.

    Raises PhotoChangeError for a number that there is not, or that is none.
    """
    if text.strip().lower() == "all":
        found = sorted(unplaced)
        if not found:
            raise PhotoChangeError(ToSay("error.every_photo_placed"))
        return found
    numbers: list[int] = []
    for word in filter(None, re.split(r"[,\s]+", text.strip())):
        span = re.fullmatch(r"([0-9]{1,9})(?:(?:-|\.\.)([0-9]{1,9}))?", word)
        if span is None:
            raise PhotoChangeError(ToSay("error.names_photo_write", word=word))
        first, last = int(span[1]), int(span[2] or span[1])
        if last < first:
            raise PhotoChangeError(
                ToSay("error.runs_backwards_write", word=word, last=last, first=first)
            )
        if last not in photos or first not in photos:
            raise PhotoChangeError(_no_such(photos, last if last not in photos else first))
        numbers += range(first, last + 1)
    if not numbers:
        raise PhotoChangeError(ToSay("error.photo_named_write"))
    for number in numbers:
        if number not in photos:
            raise PhotoChangeError(_no_such(photos, number))
    return list(dict.fromkeys(numbers))


def _no_such(photos: Mapping[int, Photo], number: int) -> str:
    if not photos:
        return ToSay("error.no_photos_yet", number=number)
    return ToSay("error.no_such_photo", number=number, last=max(photos))


def put(logbook: Logbook, photos: Sequence[Photo], place: PhotoPlace) -> int:
    """Put photos in a place by hand; how many were not there already.

    A card or clock code that is placed by hand is taken for a photo of its own and shown, and so
    is one that was taken back at the bench.
    """

    def to(before: Placement) -> Placement:
        shown = before.how in (CARD, CLOCK, TAKEN_BACK) and before.audience == "nobody"
        same = (before.part, before.item) == (place.part, place.item)
        return replace(
            by_hand(before, place),
            cover=place.cover or (before.cover if same else ""),
            best=before.best if same else 0,
            caption=place.caption or before.caption,
            audience="both" if shown else before.audience,
        )

    return change(logbook, photos, to, Own.PLACED)


def confirm(logbook: Logbook, photos: Sequence[Photo]) -> tuple[list[Photo], list[Photo]]:
    """Say that photos lie where the votes put them; those confirmed, and those without a place.

    One that somebody placed or confirmed before stays as it is, and counts as confirmed.
    """
    known = {entry.fact.sha256: entry.fact for entry in logbook.live(Placement)}
    sure = [p for p in photos if p.sha256 in known and known[p.sha256].part]
    change(logbook, sure, confirmed, Own.CONFIRMED)
    return sure, [p for p in photos if p not in sure]


def confirmed(before: Placement) -> Placement:
    """The placement, its place seen and found right."""
    return before if before.looked_at else replace(before, proposed=0, how="confirmed")


def _seen(before: Placement) -> Placement:
    """The placement of a photo that somebody has in hand: a certain place counts as looked at."""
    return confirmed(before) if before.part and not before.proposed else before


def caption(logbook: Logbook, photos: Sequence[Photo], text: str) -> int:
    """Give photos a caption; "" takes it away."""
    return change(logbook, photos, lambda before: replace(_seen(before), caption=text), Own.CAPTION)


def show(logbook: Logbook, photos: Sequence[Photo], audience: str) -> int:
    """Say who may see photos: "both", "maker" or "nobody"."""
    return change(
        logbook, photos, lambda before: replace(_seen(before), audience=audience), Own.SHOWN
    )


def cover(logbook: Logbook, photo: Photo, of: str) -> str:
    """Make a photo the cover of its "part" or "item", or of the "build"; "" takes it away.

    The one chosen last comes first; the others stay pictures of the same thing. Raises
    PhotoChangeError for a part's or item's cover that lies on none.
    """
    placed = next((e.fact for e in logbook.live(Placement, sha256=photo.sha256)), None)
    if of == "part" and (placed is None or not placed.part or placed.proposed):
        raise PhotoChangeError(ToSay("error.part_place_there", photo=photo.name))
    if of == "item" and (placed is None or not placed.item):
        raise PhotoChangeError(ToSay("error.item_place_there", photo=photo.name))
    others = [
        e.fact.sha256
        for e in logbook.live(Placement)
        if of
        and e.fact.sha256 != photo.sha256
        and e.fact.cover == of
        and e.fact.best
        and (of == "build" or (placed is not None and getattr(e.fact, of) == getattr(placed, of)))
    ]
    by_sum = {e.fact.sha256: e.fact for e in logbook.live(Photo)}
    with logbook.together():
        change(
            logbook,
            [by_sum[s] for s in others],
            lambda before: replace(before, best=0),
            Own.OTHER_COVER,
        )
        change(
            logbook,
            [photo],
            lambda before: replace(_seen(before), cover=of, best=int(bool(of))),
            Own.COVER,
        )
    return of


def best(logbook: Logbook, photo: Photo, alike: Sequence[Photo]) -> None:
    """Choose a photo as the best among those that show the same."""
    with logbook.together():
        change(
            logbook,
            [p for p in alike if p != photo],
            lambda before: replace(before, best=0),
            Own.OTHER_BEST,
        )
        change(logbook, [photo], lambda before: replace(_seen(before), best=1), Own.BEST)


def tell_apart(logbook: Logbook, photos: Sequence[Photo]) -> int:
    """Say that photos which look alike show different things: each is shown."""
    return change(logbook, photos, lambda before: replace(_seen(before), best=1), Own.APART)


def change(
    logbook: Logbook, photos: Sequence[Photo], to: Callable[[Placement], Placement], reason: Own
) -> int:
    """Change the placements of photos, all or none; how many were not so already."""
    known: dict[str, Entry[Placement]] = {e.fact.sha256: e for e in logbook.live(Placement)}
    changed = 0
    with logbook.together():
        for photo in photos:
            existing = known.get(photo.sha256)
            before = Placement(photo.sha256, None) if existing is None else existing.fact
            after = to(before)
            if after == before:
                continue
            if existing is None:
                logbook.append(after)
            else:
                logbook.append(after, supersedes=existing.id, reason=reason)
            changed += 1
    return changed


def set_clock(
    logbook: Logbook, looked: Looked, timezone: str, *, earlier: bool = False
) -> tuple[Clock, bool]:
    """Record a camera's clock correction from its photo of a clock code, and keep the photo.

    The correction, in seconds, is what has to be added to the camera's own time. The same photo
    twice is one correction: the second answer is False then. With `earlier` it holds for the photos
    back to the clock's photo before it as well; said later, that replaces the correction. Raises
    PhotoChangeError when the photo shows no clock code, shows two, or does not say its camera or
    time.
    """
    photo = looked.photo
    shown = [s.shown for s in looked.slates if s.shown is not None]
    if len(shown) != 1:
        what = ToSay("error.several_clock_codes" if shown else "error.no_clock_code")
        raise PhotoChangeError(ToSay("error.fill_third_picture", photo=photo.name, what=what))
    known = logbook.live(Clock, sha256=photo.sha256)
    if known:
        before = known[-1].fact
        if not earlier or before.earlier:
            return before, False
        after = replace(before, earlier=1)
        logbook.append(after, supersedes=known[-1].id, reason=Own.EARLIER_TOO)
        return after, True
    if not photo.camera_key:
        raise PhotoChangeError(ToSay("error.does_say_which", photo=photo.name))
    facts = looked.facts
    assert facts is not None
    try:
        off = clock_correction(facts, shown[0], zone_named(timezone))
    except ValueError as error:
        raise PhotoChangeError(ToSay("error.of_named", name=photo.name, error=error)) from error
    seconds = round(off.total_seconds())
    clock = Clock(photo.camera, photo.camera_key, seconds, photo.sha256, int(earlier) or None)
    with logbook.together():
        logbook.append(photo, made=looked.made)
        if not logbook.live(Placement, sha256=photo.sha256):
            logbook.append(Placement(photo.sha256, None, how=CLOCK, audience="nobody"))
        logbook.append(clock)
    return clock, True
