"""Building a record: rendered aside, then swapped in whole; what did not change stays untouched."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Callable, Mapping
from itertools import chain
from pathlib import Path
from typing import get_args

from qlog.drawing.plan import PAPERS
from qlog.frozen import frozen
from qlog.plain_file import plain_text
from qlog.problem import ToSay
from qlog.record.pages import gallery
from qlog.record.pages.gallery import Album
from qlog.record.pages.page import Page
from qlog.record.publish import data_files, manifest, templates
from qlog.record.publish.editions import Contents, Edition, Wanted, contents, sizes_of, wanted
from qlog.record.publish.kept_pages import KeptPages
from qlog.record.publish.making import Making, sums_of
from qlog.record.publish.standing import looks
from qlog.record.publish.swapped_in import RecordError, recover, refuse_strangers, resolved, swap
from qlog.record.publish.typeset import together, typeset
from qlog.review.moments import in_zone_of, moment
from qlog.review.picture import Picture
from qlog.words.catalogue import Words, words_of
from qlog.writing import alone_in

__all__ = ["Built", "Edition", "RecordError", "build_record"]

#: What is done and how much there is to do, for a progress bar.
Progress = Callable[[int, int], None]

#: The form of the folder; raised when a later reader must know.
FORM = 1


@frozen
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
    out = resolved(out)
    words = words_of(picture.build)
    out.parent.mkdir(parents=True, exist_ok=True)
    with alone_in(out.parent):  # what lies half built was left behind
        recover(out)
        before = sums_of(out)
        refuse_strangers(out, before)
        aside = Path(tempfile.mkdtemp(prefix=f".{out.name}-building-", dir=out.parent))
        try:
            aside.chmod(0o755)
            making = Making(out, aside, before)
            said = _Said(picture, edition, words, version)
            hung, pages, count = _fill(making, said, originals, progress)
            last = _time_of_last(out, picture, version)
            _date(making, said, pages, last, made_at)
            templates.keep_compiled(words)
            changed = making.changed()
            if changed or not before:
                making.finish()  # before the old one goes
                swap(aside, out, {*before, manifest.NAME})
            else:
                shutil.rmtree(aside)
        except BaseException:
            shutil.rmtree(aside, ignore_errors=True)
            raise
    return Built(
        folder=out,
        pages=count,
        photos=len(hung.photos),
        bytes=sum(os.stat(f"{out}{os.sep}{p}").st_size for p in manifest.files_of(out)),  # noqa: PTH116
        changed=changed,
        lost=tuple(sorted(hung.lost)),
        looks=looks(out),
    )


def _time_of_last(out: Path, picture: Picture, version: str) -> str:
    """When the record that lies there was built, if it was of the same log by the same program.

    Built again without a change it keeps that time, and every byte; "" where there is no such one.
    """
    try:
        told = json.loads(plain_text(out / manifest.MARKER))
        known = (told["entries"], told["sum"], told["qlog"])
        made_at: str = told["made_at"]
        moment(made_at)
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return ""
    return made_at if known == (str(picture.head.entries), picture.head.sum, version) else ""


@frozen
class _Said:
    """What an edition is made of and says of itself."""

    picture: Picture
    edition: Edition
    words: Words
    version: str

    def about(self, title: str, made_at: str | None = None) -> dict[str, str]:
        """What pages say of the record; with `made_at`, when it was built as well."""
        head, entered = self.picture.head, self.picture.entered or ""
        about = {
            "title": title,
            "edition": self.edition,
            "qlog": self.version,
            "entries": str(head.entries),
            "sum": head.sum,
        }
        if made_at is not None:
            about["made_at"] = made_at
            if self.edition == "maker":
                about["entered"] = in_zone_of(entered, made_at or entered) if entered else ""
        return about


def _fill(
    making: Making, said: _Said, originals: Path, progress: Progress | None
) -> tuple[gallery.Gallery, Contents, int]:
    """Make every file of the edition but those that say when it was built; and how many pages."""
    picture, edition, words, aside = said.picture, said.edition, said.words, making.aside
    pictures = wanted(picture, edition, words)
    _borrow(making, pictures, edition, words)
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
    if made.columns:
        lines = data_files.as_csv(made.rows(), made.columns, picture.build.language)
        making.put_text(f"{_stem(said)}.csv", chain("\ufeff", lines))
    count = _put_undated(making, said, made)
    static = templates.folder() / "static"
    own = {"book": "book/*.css", "maker": "maker/*.js"}.get(edition, "")
    for source in (*sorted(static.iterdir()), *(sorted(static.parent.glob(own)) if own else ())):
        data = source.read_bytes()
        if source.name == "record.css":
            data += f"@page {{ size: {PAPERS[picture.build.paper]}; }}\n".encode()
        making.put(source.name, data)
    making.settle()
    return hung, made, count


def _date(making: Making, said: _Said, made: Contents, last: str, made_at: str) -> None:
    """Make the files that say when the edition was built: at `last` where nothing else changed.

    The book is printed only where a page of it changed, or where its print is gone.
    """
    layout = _Layout(said, made)
    dated = {manifest.MARKER, f"{_stem(said)}.json", *(p.path for p in made.pages if p.dated)}
    prints = {}
    if said.edition == "book":
        from qlog.record.keepsake.book import printed

        there = {page.path for page in made.pages}
        prints = {page: name for page, name in printed(said.words).items() if page in there}
    stands = not making.changed({*dated, *prints.values()})
    if prints and not (stands and making.keep(prints.values())):
        from qlog.record.publish import pdf

        pdf.print_pages(making.aside, prints, made_at)
        making.settle()
    stands = not making.changed(dated)
    for time_built in (last, made_at) if last and stands else (made_at,):
        about = said.about(made.title, time_built)
        for page in made.pages:
            if page.dated:
                making.put(page.path, layout.text(page, about).encode())
        if made.columns:
            making.put_text(f"{_stem(said)}.json", data_files.as_json(made.rows(), about))
        marker = {"made_by": manifest.MADE_BY, "form": FORM, **about}
        text = json.dumps(marker, ensure_ascii=False, indent=1)
        making.put(manifest.MARKER, f"{text}\n".encode())
        if not making.changed():
            return


def _stem(said: _Said) -> str:
    """The name of the readings' files."""
    return said.words("file.sizes") if said.edition == "recipient" else "readings"


class _Layout:
    """Lays out the pages of an edition."""

    def __init__(self, said: _Said, made: Contents) -> None:
        self._words = words = said.words
        self._environment = templates.environment(words)
        self._common = {"links": made.links, "edition": said.edition, "language": words.language}
        self._names: list[str] = []
        self._whole = None  # what stays on one line, where the pages are typeset
        if said.edition == "maker":
            self._names = [p.name for view in said.picture.parts for p in view.pieces]
            self._whole = together(self._names, words)

    @property
    def made_of(self) -> tuple[object, ...]:
        """What every page is made of besides what it is handed and what is said of the record."""
        return self._words, self._common, self._names

    def text(self, page: Page, about: Mapping[str, str]) -> str:
        """A page as it is written."""
        text = self._environment.get_template(page.template).render(
            **self._common, **page.context, about=about, page=page, root=page.root, album=Album()
        )
        return text if self._whole is None else typeset(text, self._whole)

    def readme(self, edition: Edition, about: Mapping[str, str]) -> str:
        """What stands beside the pages, for the oldest editor on Windows."""
        template = self._environment.get_template(f"{edition}/readme.txt")
        return template.render(**self._common, about=about).replace("\n", "\r\n")


def _put_undated(making: Making, said: _Said, made: Contents) -> int:
    """Every page that does not say when the record was built, laid out where it is not known.

    Returns how many pages there are in all. Raises RecordError for two pages of one name.
    """
    layout = _Layout(said, made)
    about, short = said.about(made.title), {"title": made.title}
    kept = KeptPages(making.out, (short, layout.made_of))
    names: dict[str, str] = {}
    for page in chain(made.pages, made.more):
        _refuse_twin(page, names)
        if page.dated:
            continue
        key = kept.key(page)
        if not making.keep_as(page.path, kept.file(key)):
            making.put(page.path, layout.text(page, short if page.keyed else about).encode())
        kept.note(key, making.sums[page.path])
    kept.keep()
    if said.edition not in ("rehearsal", "book"):  # these stay with the maker
        making.put(said.words("file.readme"), layout.readme(said.edition, about).encode())
    return len(names)


def _refuse_twin(page: Page, names: dict[str, str]) -> None:
    """A file system may not tell two names apart that differ in case. Raises RecordError.

    `names` are the titles of the pages so far.
    """
    name = page.path.casefold()
    if name in names:
        raise RecordError(
            ToSay("error.two_pages_would", path=page.path, other=names[name], title=page.title)
        )
    names[name] = page.title


def _borrow(making: Making, pictures: Wanted, edition: Edition, words: Words) -> None:
    """Take over renditions that are made already, of this edition and of those beside it."""
    sums = pictures.sums
    names = [words(f"folder.{name}") for name in get_args(Edition) if name != edition]
    others = [making.out.with_name(name) for name in names]
    making.borrow(others, gallery.FOLDER, lambda name: name[:24] in sums)


def _drop_unused(aside: Path, hung: gallery.Gallery) -> None:
    """Delete borrowed renditions that no photo of this edition uses any more."""
    used = {
        file.href.rpartition("/")[2]
        for shown in hung.photos.values()
        for files in (shown.files, *(files for _, files in shown.others))
        for file in files
    }
    folder = aside / gallery.FOLDER
    if folder.is_dir():
        for name in set(os.listdir(folder)) - used:  # noqa: PTH208 - thousands of them
            (folder / name).unlink()
