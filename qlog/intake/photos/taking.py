"""Photos: from a file into the originals, then into the logbook.

Files are read, looked at and copied on two threads; the logbook is written by the caller's thread
alone, in the order of the files, a batch at a time. A photo is reported when it is durable.
"""

from __future__ import annotations

import tempfile
import threading
import time
from collections import defaultdict, deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from qlog.drawing.plan import Build
from qlog.frozen import frozen, replace
from qlog.intake.photos import photo_file, slate
from qlog.intake.photos.photo_file import Oddity, PhotoError, PhotoFacts, Remark
from qlog.intake.photos.slate import Slate
from qlog.logbook.facts import Photo, Placement
from qlog.logbook.own_words import Own
from qlog.logbook.photos import originals
from qlog.logbook.photos.memory import keep_freed_memory
from qlog.logbook.store import Logbook
from qlog.problem import ToSay, said_by

WORKERS = 2
#: Files that are read ahead of the one that is entered next.
_AHEAD = 6
#: A batch is committed when it holds so many files, or when its first has waited so long.
_BATCH, _WAIT = 32, 1.0
#: Longest side at which codes are searched and, brought down from there, likeness is judged.
_FOR_CODES, _FOR_LOOKS = 1600, 640
#: Bytes at either end of a file that must be those of the originals's for it to be known unread.
_ENDS = 1 << 16

#: How a photo of a card or of a clock is entered: kept, and left out of the record.
CARD, CLOCK = "slate card", "clock code"
#: How the photo of a filled-in bench sheet is entered: with its operation, for the maker.
PAPER = "sheet"
#: The code of a sheet that fills the picture is an eighth of it wide, or a twelfth held askew; a
#: sheet that lies behind the work shows it smaller.
_PAPER_CODE = 0.08
#: Characters of a name that are kept.
_NAME = 120
#: A picture cut out of a mat counts as one with a small code of its piece beside it.
_BESIDE = 0.1
#: How a photo is entered that was taken back where it was made: kept, and shown to nobody.
TAKEN_BACK = "taken back"


@frozen
class PhotoPlace:
    """Where photos are to go; nothing said leaves that to cards, times and names."""

    part: str | None = None
    op: int | None = None
    piece: int | None = None
    item: str | None = None
    caption: str = ""
    audience: str = "both"
    cover: str = ""
    dimension: str | None = None  # the dimension of which they are the evidence

    @property
    def says(self) -> bool:
        """Whether it says anything."""
        return self != PhotoPlace()

    @property
    def placed(self) -> bool:
        """Whether it names a place."""
        return bool(self.part or self.item or self.cover)


@frozen
class Looked:
    """A photo file that has been looked at and lies in the originals."""

    photo: Photo
    slates: tuple[Slate, ...]
    remarks: tuple[Remark, ...]
    made: str | None  # time of taking where the file says it fully
    facts: PhotoFacts | None = None  # None when it was known without being read
    cuts: tuple[tuple[int, Photo], ...] = ()  # pictures of single pieces cut out of it


@frozen
class Taken:
    """What became of one file: `photo` is None when it could not be taken in, for `error`."""

    path: Path
    photo: Photo | None
    new: bool = False
    moved: bool = False  # its place, caption or audience was entered
    slates: tuple[Slate, ...] = ()
    remarks: tuple[Remark, ...] = ()
    salvaged: bool = False
    error: str = ""


@dataclass(slots=True)
class _Batch:
    """Files that are looked at and not yet entered, in their order."""

    found: list[tuple[Path, Looked | str]] = field(default_factory=list)
    since: float = 0.0

    @property
    def due(self) -> bool:
        return len(self.found) >= _BATCH or time.monotonic() - self.since > _WAIT


def take_in(
    build: Build,
    logbook: Logbook,
    paths: Sequence[Path],
    place: PhotoPlace,
    *,
    salvage: bool = False,
    report: Callable[[Taken], None] = lambda _: None,
    progress: Callable[[int, int], None] = lambda _done, _total: None,
    also: Callable[[int], None] = lambda _entries: None,
) -> list[Taken]:
    """Take photos in: originals first, then photo and place together in the logbook.

    The originals are in the originals, synced, before the logbook names them. The same photo twice
    is one; naming another place for it moves it, and the history keeps where it was. `report`
    is called for each file once it is durable, or cannot be read; that stops no other. With
    `salvage` files that are cut off are taken in as well. `also` is called with the number of
    entries that a batch brought, within its transaction.
    """
    originals.tidy_by(logbook, build.folder)
    taken: list[Taken] = []
    batch = _Batch()

    def flush() -> None:
        with logbook.together():
            before = logbook.last_entry()
            done = [_enter(build, logbook, path, found, place) for path, found in batch.found]
            if any(one.photo is not None for one in done):
                also(logbook.last_entry() - before)
        originals.entered(build.folder)
        batch.found.clear()
        for one in done:
            taken.append(one)
            report(one)

    for count, (path, found) in enumerate(_look(build, logbook, paths, salvage), start=1):
        if not batch.found:
            batch.since = time.monotonic()
        batch.found.append((path, found))
        if batch.due or count == len(paths):
            flush()
        progress(count, len(paths))
    return taken


def examine(
    build: Build, path: Path, *, salvage: bool = False, known: Mapping[str, Photo] | None = None
) -> Looked:
    """Read a photo file, look at it, and copy it into the originals.

    The picture of one that is `known` by its SHA-256 is not looked at again. Raises PhotoError
    when it is no photo that can be read, OSError when it cannot be kept.
    """
    facts = photo_file.read(path, salvage=salvage)
    before = (known or {}).get(facts.sha256)
    if before is not None and before.likeness:
        with _vault_lock:
            originals.keep(build.folder, path, facts.sha256, entering=True)
        return Looked(before, slates_of(before), (), None, facts)
    likeness = sharpness = ""
    slates: tuple[Slate, ...] = ()
    remarks = facts.remarks
    if _storable(path.name) != path.name:
        remarks = (*remarks, Remark(Oddity.NAME, detail=_storable(path.name)))
    if facts.cut_off:
        remarks = (*remarks, Remark(Oddity.CUT_OFF))
    else:
        try:
            likeness, sharpness, slates = _seen(path)
        except PhotoError:
            if not salvage:
                raise
            remarks = (*remarks, Remark(Oddity.AS_IT_IS))
    with _vault_lock:
        originals.keep(build.folder, path, facts.sha256, entering=True)
    photo = replace(
        fact_of(path, facts),
        likeness=likeness,
        sharpness=sharpness,
        slate="\n".join(slate.kept(s) for s in slates),
    )
    cuts: tuple[tuple[int, Photo], ...] = ()
    if any(s.mat is not None for s in slates):
        cuts, said = _cut_up(build, path, photo)
        remarks = (*remarks, *said)
    return Looked(photo, slates, remarks, _made(facts), facts, cuts)


def _cut_up(
    build: Build, path: Path, whole: Photo
) -> tuple[tuple[tuple[int, Photo], ...], tuple[Remark, ...]]:
    """The pieces on a mat, each with a picture of its own among the originals; and what to say."""
    from qlog.counting import runs
    from qlog.intake.photos.likeness import look_at
    from qlog.intake.photos.mats.rectify import cut_up

    own = slate.build_id(build.title)
    done = cut_up(path, own, {part.id: len(part.pieces) for part in build.parts})
    if done is None:
        return (), (Remark(Oddity.MAT_STRANGE),)
    if done.why:
        return (), (Remark(Oddity.MAT_WHOLE), Remark(done.why))
    found = []
    with tempfile.TemporaryDirectory(prefix="qlog-mat-") as folder:
        for cut in done.cuts:
            name = f"{Path(whole.name).stem} {done.slate.part}-{cut.piece}.jpg"
            written = Path(folder) / f"{cut.piece}.jpg"
            written.write_bytes(cut.data)
            sha256 = originals.digest(written)
            with _vault_lock:
                originals.keep(build.folder, written, sha256, entering=True)
            factor = max(1, max(cut.grey.size) // _FOR_LOOKS)
            look = look_at(cut.grey.reduce(factor))
            shows = replace(done.slate, piece=cut.piece, mat=None, width=_BESIDE)
            photo = replace(
                whole, sha256=sha256, name=name, size=len(cut.data), format="JPEG",
                width=cut.size[0], height=cut.size[1], orientation=1, located=0,
                likeness=f"{look.hash:016x}", sharpness=f"{look.sharpness:.6g}",
                slate=slate.kept(shows),
            )  # fmt: skip
            found.append((cut.piece, photo))
    cut_into = runs([cut.piece for cut in done.cuts])
    said = [Remark(Oddity.MAT_CUT, done.slate.part, cut_into) if cut_into else Remark(Oddity.MAT)]
    if done.empty:
        said.append(Remark(Oddity.MAT_EMPTY, detail=runs(done.empty)))
    return tuple(found), tuple(said)


#: The copying itself is no work for two: the disk has to sync either way.
_vault_lock = threading.Lock()


def slates_of(photo: Photo) -> tuple[Slate, ...]:
    """The slates that the logbook kept of a photo."""
    found = (slate.from_kept(line) for line in photo.slate.splitlines())
    return tuple(s for s in found if s is not None)


def fact_of(path: Path, facts: PhotoFacts) -> Photo:
    """A photo file's facts as the logbook keeps them, without what the picture shows."""
    return Photo(
        sha256=facts.sha256,
        name=_storable(path.name),
        size=facts.bytes,
        format=facts.format,
        width=facts.width,
        height=facts.height,
        orientation=facts.orientation,
        camera=facts.camera,
        camera_key=facts.camera_key,
        taken=None
        if facts.taken is None
        else facts.taken + (f".{facts.subsec}" if facts.subsec else ""),
        offset=facts.offset,
        basis=facts.taken_source,
        gps_utc=facts.gps_utc,
        located=int(facts.has_location),
    )


def own_file(build: Build, path: Path) -> bool:
    """Whether the file lies in the build's own originals or record."""
    try:
        inside = path.resolve().relative_to(build.folder.resolve()).parts
    except (ValueError, OSError, RuntimeError):
        return False
    return bool(inside) and inside[0] in (originals.FOLDER, "record")


def _look(
    build: Build, logbook: Logbook, paths: Sequence[Path], salvage: bool
) -> Iterator[tuple[Path, Looked | str]]:
    """Each file with what was found of it, or why it cannot be taken in; in the files' order."""
    keep_freed_memory()
    known = _Known(build, (entry.fact for entry in logbook.live(Photo)))

    def one(path: Path) -> Looked:
        return known.find(path) or examine(build, path, salvage=salvage, known=known.by_sum)

    waiting: deque[tuple[Path, Future[Looked]]] = deque()
    upcoming = iter(paths)
    pool = ThreadPoolExecutor(WORKERS, thread_name_prefix="photo")
    try:
        while True:
            while len(waiting) < _AHEAD and (path := next(upcoming, None)) is not None:
                waiting.append((path, pool.submit(one, path)))
            if not waiting:
                return
            path, future = waiting.popleft()
            try:
                yield path, future.result()
            except PhotoError as error:
                may = error.kind in ("cut off", "damaged") and not salvage
                said = said_by(error)
                yield path, ToSay("error.or_salvage", error=said) if may else said
            except OSError as error:
                name = photo_file.printable(path)
                yield path, ToSay("error.cannot_be_kept", name=name, reason=error)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def cards_of(slates: Iterable[Slate]) -> tuple[Slate, ...]:
    """The slates for which a photo was taken: clocks, and cards that fill enough of it."""
    return tuple(
        s for s in slates if s.is_clock or (s.is_large and not (s.unread or s.sheet or s.mat))
    )


def _paper(build: Build, slates: Iterable[Slate]) -> Slate | None:
    """The bench sheet of this build's plan that a photo shows, and no more than one."""
    shown = [s for s in slates if s.sheet and s.width >= _PAPER_CODE]
    if len(shown) != 1 or shown[0].build not in ("", slate.build_id(build.title)):
        return None
    ops = {(part.id, o.number) for part in build.parts for o in part.operations}
    return shown[0] if (shown[0].part, shown[0].op) in ops else None


def _enter(
    build: Build, logbook: Logbook, path: Path, found: Looked | str, place: PhotoPlace
) -> Taken:
    if isinstance(found, str):
        return Taken(path, None, error=found)
    entry = logbook.append(found.photo, made=found.made)
    existing = logbook.find(Placement(found.photo.sha256, None))
    moved = False
    paper = _paper(build, found.slates)
    if paper is not None:
        if existing is None:
            logbook.append(
                Placement(found.photo.sha256, paper.part, paper.op, how=PAPER, audience="maker")
            )
    elif cards_of(found.slates):
        if existing is None:
            how = CLOCK if any(s.is_clock for s in found.slates) else CARD
            logbook.append(Placement(found.photo.sha256, None, how=how, audience="nobody"))
    elif place.says:
        before = Placement(found.photo.sha256, None) if existing is None else existing.fact
        after = _moved(before, place)
        moved = existing is None or after != before
        if existing is None:
            logbook.append(after)
        elif moved:
            logbook.append(after, supersedes=existing.id, reason=Own.TAKEN_AGAIN)
    for piece, cut in found.cuts:
        logbook.append(cut, made=found.made)
        here = any(s.mat and s.part == place.part for s in found.slates)
        if here and place.piece is None and logbook.find(Placement(cut.sha256, None)) is None:
            logbook.append(_moved(Placement(cut.sha256, None), replace(place, piece=piece)))
    salvaged = not entry.fact.likeness
    return Taken(path, entry.fact, entry.new, moved, found.slates, found.remarks, salvaged)


def _moved(before: Placement, place: PhotoPlace) -> Placement:
    """The placement with what is said anew; what is not said stays, but for one taken back."""
    stays = place.audience == "both" and before.how != TAKEN_BACK
    audience = before.audience if stays else place.audience
    after = replace(
        before,
        caption=place.caption or before.caption,
        audience=audience,
        cover=place.cover or before.cover,
    )
    return by_hand(after, place) if place.placed else after


def by_hand(before: Placement, place: PhotoPlace) -> Placement:
    """The placement, its place named by somebody."""
    return replace(
        before,
        part=place.part,
        op=place.op,
        piece=place.piece,
        item=place.item,
        how="by hand",
        proposed=0,
        dimension=place.dimension,
    )


def withdrawn(placement: Placement) -> Placement:
    """The placement of a photo that was taken by mistake: nowhere, for nobody."""
    return Placement(placement.sha256, None, how=TAKEN_BACK, audience="nobody")


class _Known:
    """Photos that are in the originals already, told by name, size, time and both ends of the file.

    The originals's copy has the time of the file that it was made from. Of a known photo no more is
    read than its ends; anything that differs, or is gone from the originals, is read as new.
    """

    def __init__(self, build: Build, photos: Iterable[Photo]) -> None:
        self._folder = build.folder
        self.by_sum: dict[str, Photo] = {}
        self._by_name: dict[tuple[str, int], list[Photo]] = defaultdict(list)
        for photo in photos:
            self.by_sum[photo.sha256] = photo
            self._by_name[photo.name, photo.size].append(photo)

    def find(self, path: Path) -> Looked | None:
        """The photo that this file is, if that is certain without reading it."""
        try:
            status = path.stat()
            for photo in self._by_name.get((_storable(path.name), status.st_size), ()):
                if not photo.likeness:
                    continue  # cut off: whether it is wanted is asked anew
                kept = originals.place_of(self._folder, photo.sha256, photo.name)
                # File systems keep times to different fractions; a microsecond is in most.
                same = kept.stat().st_mtime_ns // 1000 == status.st_mtime_ns // 1000
                if same and _ends(kept) == _ends(path):
                    return Looked(photo, slates_of(photo), (), None)
        except (OSError, ValueError):
            return None
        return None


def _ends(path: Path) -> tuple[bytes, bytes]:
    with path.open("rb") as file:
        head = file.read(_ENDS)
        file.seek(max(0, path.stat().st_size - _ENDS))
        return head, file.read(_ENDS)


def _seen(path: Path) -> tuple[str, str, tuple[Slate, ...]]:
    """Likeness, sharpness and slates, from one decoding. Raises PhotoError."""
    from qlog.intake.photos.likeness import grey, look_at

    picture = grey(path, _FOR_CODES)
    slates = slate.find_in(picture)
    factor = max(1, max(picture.size) // _FOR_LOOKS)
    look = look_at(picture.reduce(factor) if factor > 1 else picture)
    return f"{look.hash:016x}", f"{look.sharpness:.6g}", slates


def _storable(name: str) -> str:
    """A file's name as it is kept: bytes that are no text are escaped, one too long is shortened.

    A shortened name keeps its end, where a camera's number and the ending are.
    """
    text = name.encode("utf-8", "backslashreplace").decode("utf-8")
    return text if len(text) <= _NAME else f"{text[: _NAME - 31]}…{text[-30:]}"


def _made(facts: PhotoFacts) -> str | None:
    """Time of taking where the file says it fully; the time of entry stands in otherwise."""
    if facts.taken is None or facts.offset is None or facts.taken_source == "file":
        return None
    return facts.taken + facts.offset
