"""Building: the same bytes, only what changed, the last good record kept, nothing foreign lost."""

import json
import os
import shutil
import threading
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

import jinja2
import pytest

from qlog.logbook.photos.originals import digest
from qlog.record.publish import build as building
from qlog.record.publish import making, manifest, swapped_in
from qlog.record.publish.build import RecordError, build_record
from qlog.record.publish.check import check
from qlog.review.picture import Picture
from tests.demo_record import EDITIONS, MADE_AT, VERSION, Demo, build

LATER = "2026-11-01T12:00:00+01:00"


def contents(folder: Path) -> dict[str, bytes]:
    return {path: (folder / path).read_bytes() for path in manifest.files_of(folder)}


def stamps(folder: Path) -> dict[str, tuple[int, int]]:
    found = {}
    for path in manifest.files_of(folder):
        stat = (folder / path).stat()
        found[path] = (stat.st_ino, stat.st_mtime_ns)
    return found


@pytest.fixture
def record(shown: Demo, tmp_path: Path) -> Path:
    return Path(shutil.copytree(shown.edition("recipient"), tmp_path / "recipient"))


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_same_picture_gives_the_same_bytes(shown: Demo, tmp_path: Path, edition: str) -> None:
    assert edition in EDITIONS
    again = build(shown.picture, shown.folder, edition, tmp_path / "elsewhere" / edition)
    assert contents(again.folder) == contents(shown.edition(edition))
    assert again.changed == len(manifest.files_of(again.folder)) - 1
    assert again.bytes == sum(map(len, contents(again.folder).values()))


def test_building_again_touches_nothing(shown: Demo, record: Path) -> None:
    before = stamps(record)
    again = build(shown.picture, shown.folder, "recipient", record)
    assert again.changed == 0
    assert stamps(record) == before


def test_built_later_without_a_change_it_keeps_its_time_and_every_byte(
    shown: Demo, record: Path
) -> None:
    before = stamps(record)
    assert build(shown.picture, shown.folder, "recipient", record, LATER).changed == 0
    assert stamps(record) == before


@pytest.mark.parametrize("when", ["soon", "2019-01-01T00:00:00+01:00", 7])
def test_a_time_changed_by_hand_is_no_time_of_the_last_record(
    shown: Demo, tmp_path: Path, when: object
) -> None:
    record = Path(shutil.copytree(shown.edition("maker"), tmp_path / "maker"))
    marker = record / "record.json"
    told = json.loads(marker.read_text("utf-8")) | {"made_at": when}
    marker.write_text(json.dumps(told), encoding="utf-8")
    build(shown.picture, shown.folder, "maker", record, made_at=LATER)
    assert json.loads(marker.read_text("utf-8"))["made_at"] == LATER
    assert check(record).whole


def test_a_change_that_no_entry_tells_of_is_built_now(shown: Demo, record: Path) -> None:
    plan = replace(shown.picture.build, credits=())
    build(replace(shown.picture, build=plan), shown.folder, "recipient", record, LATER)
    assert json.loads((record / "record.json").read_text("utf-8"))["made_at"] == LATER
    assert not list(record.parent.glob(".*"))


def test_only_the_pages_that_changed_are_written(shown: Demo, record: Path) -> None:
    before = stamps(record)
    plan = replace(shown.picture.build, credits=())
    again = build(replace(shown.picture, build=plan), shown.folder, "recipient", record)
    after = stamps(record)
    changed = {path for path in after if after[path] != before.get(path)}
    assert changed == {"about.html", "MANIFEST.sha256"}
    assert again.changed == 1
    assert check(record).whole


def test_a_changed_plan_renders_every_page_once(
    shown: Demo, record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same log and another plan: it is not built with the old time first and then again."""
    hung: list[object] = []
    real = building.gallery.hang

    def watched(*args: object) -> object:
        hung.append(args)
        return real(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(building.gallery, "hang", watched)
    plan = replace(shown.picture.build, credits=())
    changed = replace(shown.picture, build=plan)
    assert build(changed, shown.folder, "recipient", record, LATER).changed == 3
    assert len(hung) == 1
    marker = json.loads((record / "record.json").read_text("utf-8"))
    assert (marker["made_at"], check(record).whole) == (LATER, True)


def test_after_an_entry_only_what_shows_it_is_written(shown: Demo, tmp_path: Path) -> None:
    """A later head of the log stands where it is told, and nowhere else."""
    record = Path(shutil.copytree(shown.edition("maker"), tmp_path / "maker"))
    before = stamps(record)
    head = replace(shown.picture.head, entries=900, sum="0" * 64)
    build(replace(shown.picture, head=head), shown.folder, "maker", record, LATER)
    after = stamps(record)
    assert {path for path in after if after[path] != before.get(path)} == {
        "index.html", "method.html", "readings.json", "record.json", "MANIFEST.sha256",
    }  # fmt: skip
    assert check(record).whole


def test_a_page_that_is_gone_is_gone_from_the_record(shown: Demo, record: Path) -> None:
    less = replace(shown.picture, items=shown.picture.items[:-1])
    last = "no-8"
    assert (record / "items" / f"{last}.html").is_file()
    build(less, shown.folder, "recipient", record)
    assert not (record / "items" / f"{last}.html").exists()
    assert check(record).whole and check(record).strange == ()


def test_a_page_changed_by_hand_is_built_again(shown: Demo, record: Path) -> None:
    good = (record / "care.html").read_bytes()
    (record / "care.html").write_bytes(good + b"<p>")
    (record / "record.css").unlink()
    build(replace(shown.picture, first=None), shown.folder, "recipient", record)
    assert (record / "care.html").read_bytes() == good
    assert check(record).whole


def test_damage_alone_is_mended_too(shown: Demo, record: Path) -> None:
    good = contents(record)
    (record / "care.html").write_bytes(b"damaged")
    photo = next((record / "photos").iterdir())
    photo.write_bytes(photo.read_bytes()[:-20])
    build(shown.picture, shown.folder, "recipient", record)
    assert contents(record) == good


def test_a_failing_build_leaves_the_last_record(
    shown: Demo, record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = contents(record)
    broken = record.parent / "templates"
    shutil.copytree(building.templates.folder(), broken)
    page = broken / "recipient" / "about.html"
    text = page.read_text(encoding="utf-8")
    page.write_text(text.replace("{{ label }}", "{{ no_such_name }}"), encoding="utf-8")
    monkeypatch.setattr(building.templates, "folder", lambda: broken)
    with pytest.raises(jinja2.UndefinedError, match="no_such_name"):
        build(shown.picture, shown.folder, "recipient", record)
    assert contents(record) == before
    assert sorted(p.name for p in record.parent.iterdir()) == ["recipient", "templates"]


def test_the_last_record_stays_until_the_new_one_is_on_the_disk(
    shown: Demo, record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = contents(record)

    def full(*_: object) -> None:
        assert contents(record) == before
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(making, "sync_tree", full)
    with pytest.raises(OSError, match="No space left"):
        build(replace(shown.picture, first=None), shown.folder, "recipient", record)
    assert contents(record) == before
    assert [p.name for p in record.parent.iterdir()] == ["recipient"]


def test_a_swap_that_fails_puts_the_last_record_back(
    shown: Demo, record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = contents(record)
    real = Path.rename

    def refuse(self: Path, target: Path) -> Path:
        if "-building-" in self.name:
            raise PermissionError("in use")
        return real(self, target)

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(PermissionError):
        build(replace(shown.picture, first=None), shown.folder, "recipient", record)
    assert contents(record) == before
    assert [p.name for p in record.parent.iterdir()] == ["recipient"]


@pytest.mark.parametrize("tries", [2, 99])
def test_a_record_that_another_program_holds_is_tried_again_and_then_said(
    shown: Demo, record: Path, monkeypatch: pytest.MonkeyPatch, tries: int
) -> None:
    """As Windows refuses to rename a folder that a browser has open."""
    before, left, real = contents(record), [tries], Path.rename

    def held(self: Path, target: Path) -> Path:
        if self == record and left[0]:
            left[0] -= 1
            raise PermissionError(13, "in use")
        return real(self, target)

    monkeypatch.setattr(Path, "rename", held)
    monkeypatch.setattr(swapped_in, "_PAUSES", (0, 0, 0))
    changed = replace(shown.picture, first=None)
    if tries == 2:
        build(changed, shown.folder, "recipient", record)
        assert contents(record) != before
    else:
        with pytest.raises(RecordError, match="held open by another program"):
            build(changed, shown.folder, "recipient", record)
        assert contents(record) == before
    assert [p.name for p in record.parent.iterdir()] == ["recipient"]


def test_a_build_killed_between_its_renames_is_recovered(shown: Demo, record: Path) -> None:
    before = contents(record)
    record.rename(record.with_name(".recipient-last"))
    build(shown.picture, shown.folder, "recipient", record)
    assert contents(record) == before
    assert [p.name for p in record.parent.iterdir()] == ["recipient"]


def test_records_built_at_the_same_time_wait_for_each_other(shown: Demo, record: Path) -> None:
    plan = replace(shown.picture.build, credits=())
    pictures = [shown.picture, replace(shown.picture, build=plan)] * 2
    whole: list[bool] = []

    def one(picture: Picture) -> None:
        build(picture, shown.folder, "recipient", record)
        whole.append(check(record).whole)

    threads = [threading.Thread(target=one, args=(picture,)) for picture in pictures]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(whole) == len(pictures), "none gave up"
    assert all(whole)
    assert check(record).whole
    assert [p.name for p in record.parent.iterdir()] == ["recipient"]


def test_a_foreign_folder_is_never_touched(shown: Demo, tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "letter.txt").write_text("dear", encoding="utf-8")
    with pytest.raises(RecordError, match="other things in it"):
        build(shown.picture, shown.folder, "maker", mine)
    assert contents(mine) == {"letter.txt": b"dear"}
    with pytest.raises(RecordError, match="is a file"):
        build(shown.picture, shown.folder, "maker", mine / "letter.txt")


def test_a_folder_that_only_looks_like_a_record_is_not_touched(shown: Demo, tmp_path: Path) -> None:
    (tmp_path / "record.json").write_text('{"made_by": "someone"}', encoding="utf-8")
    with pytest.raises(RecordError):
        build(shown.picture, shown.folder, "maker", tmp_path)


def test_files_of_one_s_own_inside_a_record_stop_the_build(shown: Demo, record: Path) -> None:
    (record / "photos" / "mine.jpg").write_bytes(b"mine")
    with pytest.raises(RecordError, match=r"photos/mine\.jpg"):
        build(shown.picture, shown.folder, "recipient", record)
    assert (record / "photos" / "mine.jpg").read_bytes() == b"mine"


@pytest.mark.skipif(os.name == "nt", reason="links need rights on Windows")
def test_a_link_is_refused(shown: Demo, tmp_path: Path) -> None:
    real = tmp_path / "real"
    real.mkdir()
    link = tmp_path / "link"
    link.symlink_to(real, target_is_directory=True)
    with pytest.raises(RecordError, match="is a link"):
        build(shown.picture, shown.folder, "maker", link)


def test_litter_of_a_desktop_does_not_matter(shown: Demo, record: Path) -> None:
    (record / ".DS_Store").write_bytes(b"x")
    build(replace(shown.picture, first=None), shown.folder, "recipient", record)
    assert check(record).whole


def test_without_hard_links_it_copies(
    shown: Demo, record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none(*_: object) -> None:
        raise OSError("no links on this disk")

    monkeypatch.setattr(os, "link", none)
    before = {p: s[1] for p, s in stamps(record).items()}
    build(replace(shown.picture, first=None), shown.folder, "recipient", record)
    after = {p: s[1] for p, s in stamps(record).items()}
    assert after["care.html"] == before["care.html"]
    assert check(record).whole


def test_renditions_of_the_other_edition_are_used_and_stay_its_own(
    shown: Demo, tmp_path: Path
) -> None:
    maker = Path(shutil.copytree(shown.edition("maker"), tmp_path / "maker"))
    made: list[str] = []
    real = building.gallery.render_many

    def watched(jobs, out, **more):  # type: ignore[no-untyped-def]
        outcomes = real(jobs, out, **more)
        made.extend(o.job.sha256 for o in outcomes if o.rendered and o.rendered.made)
        return outcomes

    with patch.object(building.gallery, "render_many", watched):
        built = build(shown.picture, shown.folder, "recipient", tmp_path / "recipient")
    assert set(made) <= {digest(shown.folder / "letter" / "letter.jpg")}, "the log has no letter"
    assert contents(built.folder) == contents(shown.edition("recipient"))
    for photo in (maker / "photos").iterdir():
        twin = built.folder / "photos" / photo.name
        assert not twin.exists() or not twin.samefile(photo)


def test_a_photo_that_is_gone_does_not_stop_the_record(shown: Demo, tmp_path: Path) -> None:
    kept = tmp_path / "originals"
    shutil.copytree(shown.folder / "photos", kept / "photos")
    originals = sorted(p for p in (kept / "photos").rglob("*") if p.is_file())
    originals[0].unlink()
    built = build_record(
        shown.picture,
        edition="maker",
        out=tmp_path / "maker",
        originals=kept,
        made_at=MADE_AT,
        version=VERSION,
    )
    assert built.lost == (originals[0].stem,)
    missing = (built.folder / "missing.html").read_text(encoding="utf-8")
    name = next(p.photo.name for p in shown.picture.photos if p.sha256 == originals[0].stem)
    assert name in missing


def test_an_unknown_edition_is_refused(shown: Demo, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="no edition"):
        build(shown.picture, shown.folder, "both", tmp_path / "out")  # type: ignore[arg-type]


def test_progress_counts_the_photos(shown: Demo, tmp_path: Path) -> None:
    calls: list[tuple[int, int]] = []
    build_record(
        shown.picture,
        edition="maker",
        out=tmp_path / "maker",
        originals=shown.folder,
        made_at=MADE_AT,
        version=VERSION,
        progress=lambda done, of: calls.append((done, of)),
    )
    assert calls and calls[-1][0] == calls[-1][1]


def test_what_a_killed_build_left_is_tidied_by_the_next(shown: Demo, record: Path) -> None:
    left = record.with_name(f".{record.name}-building-left")
    left.mkdir()
    (left / "index.html").write_text("half", encoding="utf-8")
    build(shown.picture, shown.folder, "recipient", record)
    assert not left.exists()


def test_a_file_put_into_the_record_during_a_rebuild_is_kept(
    shown: Demo, record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (record / "index.html").unlink()
    (record / "index.html").write_text("changed", encoding="utf-8")
    export = building.data_files.as_json

    def meanwhile(*args: object) -> str:
        (record / "letters").mkdir()
        (record / "letters" / "mine.txt").write_text("mine", encoding="utf-8")
        return export(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(building.data_files, "as_json", meanwhile)
    build(shown.picture, shown.folder, "recipient", record)
    kept = record.with_name(f"{record.name}-found") / "letters" / "mine.txt"
    assert kept.read_text(encoding="utf-8") == "mine"
    assert check(record).whole and check(record).strange == ()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="POSIX pipes")
def test_a_pipe_in_a_file_s_place_does_not_hang_the_check(record: Path) -> None:
    (record / "index.html").unlink()
    os.mkfifo(record / "index.html")
    assert check(record).changed == ("index.html",)
    (record / manifest.NAME).unlink()
    os.mkfifo(record / manifest.NAME)
    with pytest.raises(manifest.ManifestError):
        check(record)
