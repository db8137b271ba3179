"""Building a record: rendered aside, then swapped in whole; what did not change stays untouched."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from qlog.drawing.plan import PAPERS
from qlog.problem import Problem, ToSay
from qlog.record.keepsake.book import printed
from qlog.record.pages import gallery
from qlog.record.pages.album import Album
from qlog.record.pages.page import Link, Page
from qlog.record.publish import data_files, manifest, templates
from qlog.record.publish.editions import Edition, Wanted, contents, sizes_of, wanted
from qlog.record.publish.pdf import print_pages
from qlog.record.publish.standing import looks
from qlog.record.publish.typeset import Whole, together, typeset
from qlog.review.moments import in_zone_of
from qlog.review.picture import Picture
from qlog.words.catalogue import Words, words_of
from qlog.writing import alone_in, sync_folder, sync_tree

__all__ = ["Built", "Edition", "RecordError", "build_record"]

#: What is done and how much there is to do, for a progress bar.
Progress = Callable[[int, int], None]

#: Seconds between tries to rename a folder that another program holds.
_PAUSES = (0.1, 0.2, 0.4, 0.8, 1.5)

#: The form of the folder; raised when a later reader must know.
FORM = 1


class RecordError(Problem):
    """A record that cannot be built there; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Built:
    """What a build left behind: counts, bytes of the whole record, files that are not as before."""

    folder: Path
    pages: int
    photos: int
    bytes: int
    changed: int
    lost: tuple[str, ...]  # SHA-256 of photos that are missing or cannot be shown
    looks: str  # how the folder looked when it was done, see `standing.looks`


def build_record(
    picture: Picture,
    *,
    edition: Edition,
    out: Path,
    originals: Path,
    made_at: str,
    version: str,
    progress: Progress | None = None,
) -> Built:
    """Build one edition of the record in `out`.

    `originals` is the build's folder, in which the original photos lie; `made_at` (ISO 8601) and
    `version` are written into the pages, so that the same picture gives the same bytes; a record
    that would be as it is keeps the time at which it was built. It is
    built beside `out` and swapped in at the end: a build that fails leaves the last one as it
    was. A file that did not change keeps its time. Renditions of the other edition are used
    where it lies beside `out` under its own name.

    Raises `RecordError` when `out` is something else than an earlier record, or holds files that
    are not part of it; `WordsError` for a language without a catalogue; jinja2's errors for a
    template that names an unknown value; OSError.
    """
    if edition not in get_args(Edition):
        raise ValueError(f"no edition {edition!r}: it is one of {get_args(Edition)}")
    out = _resolved(out)
    words = words_of(picture.build)
    out.parent.mkdir(parents=True, exist_ok=True)
    with alone_in(out.parent):
        return _build_alone(picture, edition, out, originals, made_at, version, words, progress)


def _build_alone(
    picture: Picture,
    edition: Edition,
    out: Path,
    originals: Path,
    made_at: str,
    version: str,
    words: Words,
    progress: Progress | None,
) -> Built:
    """Build in a place where no other build is at work: what lies half built was left behind."""
    _recover(out)
    _tidy(out)
    _refuse_strangers(out)
    before = _sums(out)
    last = _time_of_last(out, picture, version)
    times = tuple(dict.fromkeys(time for time in (last, made_at) if time)) or ("",)
    for time_built in times:
        aside = Path(tempfile.mkdtemp(prefix=f".{out.name}-building-", dir=out.parent))
        try:
            aside.chmod(0o755)
            pictures = wanted(picture, edition, words)
            borrowed = _borrow(out, aside, pictures, edition, words)
            built = _fill(
                aside, picture, edition, pictures, originals, time_built, version, words, progress
            )
            sums, kept = _finish(aside, out, before, borrowed)
            changed = len(sums) - kept + sum(path not in sums for path in before)
            if changed and time_built is not times[-1]:
                shutil.rmtree(aside)
                continue  # something changed that no entry tells of: it is built now
            if changed or not before:
                sync_tree(aside)  # before the old one goes
                _swap(aside, out, {*before, manifest.NAME})
            else:
                shutil.rmtree(aside)
            break
        except BaseException:
            shutil.rmtree(aside, ignore_errors=True)
            raise
    return Built(
        folder=out,
        pages=built[0],
        photos=built[1],
        bytes=sum((out / path).stat().st_size for path in manifest.files_of(out)),
        changed=changed,
        lost=built[2],
        looks=looks(out),
    )


def _time_of_last(out: Path, picture: Picture, version: str) -> str:
    """When the record that lies there was built, if it was of the same log by the same program.

    Built again without a change it keeps that time, and every byte; "" where there is no such one.
    """
    try:
        told = json.loads((out / manifest.MARKER).read_text(encoding="utf-8"))
        known = (told["entries"], told["sum"], told["qlog"])
        made_at = told["made_at"]
    except (OSError, ValueError, KeyError, TypeError):
        return ""
    same = known == (str(picture.head.entries), picture.head.sum, version)
    return made_at if same and isinstance(made_at, str) else ""


def _fill(
    aside: Path,
    picture: Picture,
    edition: Edition,
    pictures: Wanted,
    originals: Path,
    made_at: str,
    version: str,
    words: Words,
    progress: Progress | None,
) -> tuple[int, int, tuple[str, ...]]:
    """Write every file of the edition but the manifest."""
    hung = gallery.hang(
        pictures.views,
        picture.build,
        originals,
        aside,
        words,
        progress,
        pictures.extras,
        sizes_of(edition),
    )
    _drop_unused(aside, hung)
    made = contents(picture, edition, words, hung, pictures, aside)
    about = {
        "title": made.title,
        "edition": edition,
        "made_at": made_at,
        "qlog": version,
        "entries": str(picture.head.entries),
        "sum": picture.head.sum,
    }
    if edition == "maker":
        entered = picture.entered or ""
        about["entered"] = in_zone_of(entered, made_at or entered) if entered else ""
    if made.columns:
        text = data_files.as_csv(made.rows, made.columns, picture.build.language)
        stem = words("file.sizes") if edition == "recipient" else "readings"
        _write(aside / f"{stem}.csv", "\ufeff" + text)
        _write(aside / f"{stem}.json", data_files.as_json(made.rows, about))
    whole = None
    if edition == "maker":
        whole = together((p.name for view in picture.parts for p in view.pieces), words)
    _render(aside, made.pages, made.links, words, edition, about, whole)
    static = templates.folder() / "static"
    own = {"book": "book/*.css", "maker": "maker/*.js"}.get(edition, "")
    for source in (*sorted(static.iterdir()), *(sorted(static.parent.glob(own)) if own else ())):
        shutil.copyfile(source, aside / source.name)
    with (aside / "record.css").open("a", encoding="utf-8", newline="\n") as css:
        css.write(f"@page {{ size: {PAPERS[picture.build.paper]}; }}\n")
    if edition == "book":
        there = {page.path for page in made.pages}
        print_pages(aside, {p: name for p, name in printed(words).items() if p in there}, made_at)
    _write(
        aside / manifest.MARKER,
        json.dumps(
            {"made_by": manifest.MADE_BY, "form": FORM, **about}, ensure_ascii=False, indent=1
        )
        + "\n",
    )
    lost = tuple(sorted(hung.lost))
    return len(made.pages), len(hung.photos), lost


def _render(
    aside: Path,
    pages: tuple[Page, ...],
    links: tuple[Link, ...],
    words: Words,
    edition: Edition,
    about: Mapping[str, str],
    whole: Whole | None = None,
) -> None:
    """Write every page; `whole` is what stays on one line, where the pages are typeset."""
    environment = templates.environment(words)
    common = {"links": links, "edition": edition, "about": about, "language": words.language}
    seen: dict[str, str] = {}
    for page in pages:
        # A file system may not tell two names apart that differ in case.
        other = seen.setdefault(page.path.casefold(), page.title)
        if other is not page.title:
            raise RecordError(
                ToSay("error.two_pages_would", path=page.path, other=other, title=page.title)
            )
        text = environment.get_template(page.template).render(
            **common, **page.context, page=page, root=page.root, album=Album()
        )
        _write(aside / page.path, text if whole is None else typeset(text, whole))
    if edition in ("rehearsal", "book"):  # these stay with the maker
        return
    readme = environment.get_template(f"{edition}/readme.txt").render(**common)
    _write(aside / words("file.readme"), readme, newline="\r\n")  # for the oldest editor on Windows


def _write(path: Path, text: str, newline: str = "\n") -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    # CSV brings its own line ends.
    end = "" if path.suffix == ".csv" else newline
    path.write_text(text, encoding="utf-8", newline=end)


def _drop_unused(aside: Path, hung: gallery.Gallery) -> None:
    """Delete borrowed renditions that no photo of this edition uses any more."""
    used = {
        file.href
        for shown in hung.photos.values()
        for files in (shown.files, *(files for _, files in shown.others))
        for file in files
    }
    folder = aside / gallery.FOLDER
    if folder.is_dir():
        for path in folder.iterdir():
            if f"{gallery.FOLDER}/{path.name}" not in used:
                path.unlink()


def _sums(out: Path) -> dict[str, str]:
    """The manifest of the last record; empty when there is none."""
    try:
        return {s.path: s.sha256 for s in manifest.read(out)}
    except manifest.ManifestError:
        return {}


@dataclass(frozen=True, slots=True)
class _Borrowed:
    """A rendition taken over: its sum, and by which it is told to be still that file."""

    sum: str
    stamp: tuple[int, int, int]


def _stamp(path: Path) -> tuple[int, int, int]:
    """What changes with a file: its number, size and time."""
    status = path.stat()
    return status.st_ino, status.st_size, status.st_mtime_ns


def _stands(path: Path, sum: str, since: int) -> bool:
    """Whether a rendition is what its manifest says.

    One that is older than the manifest was not written to since, and is not read again: a disk
    that lost bytes of it is found by `qlog record --check`, as for any file that was handed over.
    """
    status = path.stat()
    return (status.st_mtime_ns < since and status.st_size > 0) or manifest.digest(path) == sum


def _borrow(
    out: Path, aside: Path, pictures: Wanted, edition: Edition, words: Words
) -> dict[str, _Borrowed]:
    """Take over renditions that are made already and still what their manifest says.

    Those of the last record become the same files again; those of the other edition, where it
    lies beside this one, are copied, so that either can be changed or given away alone.
    """
    borrowed: dict[str, _Borrowed] = {}
    wanted_sums = pictures.sums
    others = [words(f"folder.{name}") for name in get_args(Edition) if name != edition]
    for folder, take in ((out, _link), *((out.with_name(name), _copy) for name in others)):
        if folder != out and not manifest.is_record(folder):
            continue
        written = folder / manifest.NAME
        since = written.stat().st_mtime_ns if written.is_file() else 0
        for path, digest in _sums(folder).items():
            source, target = folder / path, aside / path
            if (
                path.startswith(f"{gallery.FOLDER}/")
                and source.name[:24] in wanted_sums
                and path not in borrowed
                and source.is_file()
                and source.resolve() == folder.resolve() / path  # no link to somewhere else
                and _stands(source, digest, since)
            ):
                take(source, target)
                borrowed[path] = _Borrowed(digest, _stamp(target))
    return borrowed


def _copy(source: Path, target: Path) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    shutil.copy2(source, target)


def _finish(
    aside: Path, out: Path, before: Mapping[str, str], borrowed: Mapping[str, _Borrowed]
) -> tuple[dict[str, str], int]:
    """Write the manifest; a file with the bytes of the last record becomes that file itself.

    Returns the sums and how many files stayed. A file that was changed by hand since the last
    build is not what its manifest says, and counts as changed.
    """
    sums = {}
    for path in manifest.files_of(aside):
        taken = borrowed.get(path)
        still = taken is not None and _stamp(aside / path) == taken.stamp
        sums[path] = taken.sum if still and taken is not None else manifest.digest(aside / path)
    kept = 0
    for path, digest in sums.items():
        source = out / path
        if before.get(path) != digest or not _plain_file(source):
            continue
        if not source.samefile(aside / path):
            if manifest.digest(source) != digest:
                continue
            (aside / path).unlink()
            _link(source, aside / path)
        kept += 1
    manifest.write(aside, (manifest.Sum(path, digest) for path, digest in sums.items()))
    return sums, kept


def _plain_file(path: Path) -> bool:
    """Whether a file lies there itself; a link would lead away from what is handed over."""
    return path.is_file() and not path.is_symlink()


def _link(source: Path, target: Path) -> None:
    """The same file in another place; a copy where the file system has no hard links."""
    target.parent.mkdir(parents=True, exist_ok=True)
    try:
        target.hardlink_to(source)
    except OSError:
        _copy(source, target)


def _resolved(out: Path) -> Path:
    out = Path(os.path.abspath(out))  # noqa: PTH100 - not through a link, which is refused below
    if out.is_symlink():
        raise RecordError(ToSay("error.link_name_folder", out=out))
    return out


def _refuse_strangers(out: Path) -> None:
    """Refuse a place that is not free and not an earlier record with nothing else in it."""
    if not out.exists():
        return
    if not out.is_dir():
        raise RecordError(ToSay("error.file_name_folder", out=out))
    found = manifest.files_of(out)
    if not found and not any(p.is_dir() for p in out.iterdir()):
        return
    if not manifest.is_record(out):
        raise RecordError(ToSay("error.folder_other_things", out=out))
    known = {*_sums(out), manifest.NAME}
    strange = [path for path in found if path not in known]
    if strange:
        listed = ", ".join(strange[:3]) + (", ..." if len(strange) > 3 else "")
        raise RecordError(ToSay("error.holds_files_are", out=out, listed=listed))


def _last(out: Path) -> Path:
    return out.with_name(f".{out.name}-last")


def _recover(out: Path) -> None:
    """After a build that was killed between its two renames, put the last record back."""
    last = _last(out)
    if last.is_dir() and manifest.is_record(last):
        if out.exists():
            shutil.rmtree(last)
        else:
            last.rename(out)


def _tidy(out: Path) -> None:
    """Remove what a killed build left beside the record."""
    for left in out.parent.glob(f".{out.name}-building-*"):
        if not left.is_symlink() and left.is_dir():
            shutil.rmtree(left, ignore_errors=True)


def _swap(aside: Path, out: Path, known: set[str]) -> None:
    """Put the new record in the old one's place; on failure the old one stays.

    A file that somebody put into the old one meanwhile is kept beside it, in `NAME-found`.
    """
    if not out.exists():
        _rename(aside, out)
        return
    last = _last(out)
    try:
        _rename(out, last)
    except PermissionError as error:
        raise RecordError(ToSay("error.held_open_another", out=out, error=error)) from error
    try:
        _rename(aside, out)
    except BaseException:
        _rename(last, out)
        raise
    for path in manifest.files_of(last):
        if path not in known:
            keep = _free(out.with_name(f"{out.name}-found") / path)
            keep.parent.mkdir(parents=True, exist_ok=True)
            (last / path).rename(keep)
    sync_folder(out.parent)
    shutil.rmtree(last)


def _rename(path: Path, target: Path) -> None:
    """Rename a folder; tried for some seconds where another program looks into it (Windows).

    A virus scanner or an index lets go again, an open page does not. Raises OSError.
    """
    for pause in (*_PAUSES, None):
        try:
            path.rename(target)
            return
        except PermissionError:
            if pause is None:
                raise
            time.sleep(pause)


def _free(path: Path) -> Path:
    """The path, or the first like it with a number that nothing has."""
    found, number = path, 2
    while found.exists():
        found = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return found
