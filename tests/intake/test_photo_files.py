"""Finding the photos in folders: by content, once, in order, and with a word on the rest."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from qlog.intake.photos import files as photo_files
from qlog.intake.photos.files import LeftOut, Skipped, collect
from tests.odd_photos import corners, jpeg


def gathered(*paths: Path) -> tuple[list[Path], list[Skipped]]:
    skipped: list[Skipped] = []
    return list(collect(paths, skipped)), skipped


@pytest.fixture
def card(tmp_path: Path) -> Path:
    folder = tmp_path / "DCIM"
    (folder / "101 two").mkdir(parents=True)
    (folder / "100").mkdir()
    for name in ("b.JPG", "A.jpeg", "100/z.jpg", "101 two/no suffix", "101 two/x.dat"):
        jpeg(folder / name)
    corners().save(folder / "c.png")
    (folder / "empty.jpg").touch()
    (folder / "notes.txt").write_text("third foot: chatter", encoding="utf-8")
    (folder / "shot.CR2").write_bytes(b"II*\0" + bytes(60))
    (folder / "film.mp4").write_bytes(b"\0\0\0\x18ftypmp42" + bytes(60))
    jpeg(folder / ".hidden.jpg")
    (folder / ".Trashes").mkdir()
    jpeg(folder / ".Trashes" / "gone.jpg")
    return folder


def test_by_content_in_order_with_a_word_on_the_rest(card: Path) -> None:
    found, skipped = gathered(card)
    assert [str(path.relative_to(card).as_posix()) for path in found] == [
        "A.jpeg",
        "b.JPG",
        "c.png",
        "empty.jpg",  # calls itself a picture: reading it will say that it is empty
        "100/z.jpg",
        "101 two/no suffix",
        "101 two/x.dat",
    ]
    assert {s.path.name: s.why for s in skipped} == {
        ".hidden.jpg": LeftOut.HIDDEN,
        ".Trashes": LeftOut.HIDDEN,
        "film.mp4": LeftOut.NO_PICTURE,
        "notes.txt": LeftOut.NO_PICTURE,
        "shot.CR2": LeftOut.RAW,
    }


def test_files_named_outright_are_given_whatever_they_are(card: Path) -> None:
    named = [card / "notes.txt", card / "missing.jpg", card / ".hidden.jpg"]
    assert gathered(*named) == (named, [])


def linked(link: Path, target: Path) -> None:
    try:
        link.symlink_to(target, target_is_directory=True)
    except OSError:
        pytest.skip("links may not be made here")


def test_a_link_that_leads_back_ends_there(card: Path) -> None:
    linked(card / "100" / "loop", card)
    linked(card / "twice", card / "101 two")
    linked(card / "broken", card / "nowhere")
    found, skipped = gathered(card, card)
    assert len(found) == len(set(found)) == 7
    why = {s.path.name: s.why for s in skipped}
    assert {why[name] for name in ("loop", "twice", "DCIM")} == {LeftOut.SEEN}
    assert why["broken"] is LeftOut.DEAD_LINK


def test_links_to_photos_and_folders_elsewhere_are_followed(tmp_path: Path, card: Path) -> None:
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    linked(inbox / "card", card / "100")
    linked(inbox / "one.jpg", card / "b.JPG")
    assert [p.name for p in gathered(inbox)[0]] == ["one.jpg", "z.jpg"]


def test_names_in_any_script_and_of_several_lines(tmp_path: Path) -> None:
    names = ["柱 1.jpg", "Säule.jpg", "עמוד.jpg", "🕯.jpg"]
    if os.name != "nt":
        names.append("two\nlines.jpg")
    for name in names:
        jpeg(tmp_path / name)
    (tmp_path / "weird \x85 text").write_text("x", encoding="utf-8")
    found, skipped = gathered(tmp_path)
    assert {p.name for p in found} == set(names)
    assert all("\n" not in str(s) and "\x85" not in str(s) for s in skipped)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_pipes_are_left_alone(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    found, (skipped,) = gathered(tmp_path)
    assert found == []
    assert skipped.why is LeftOut.NOT_PLAIN


def test_a_folder_and_a_file_that_may_not_be_read(
    card: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    scan, real = os.scandir, Path.open

    def refuse(path: Path) -> object:
        if Path(path).name == "100":
            raise PermissionError(13, "Permission denied")
        return scan(path)

    def refuse_file(self: Path, *args: str) -> object:
        if self.name == "notes.txt":
            raise PermissionError(13, "Permission denied")
        return real(self, *args)

    # The tests may run as root, whom no mode stops.
    monkeypatch.setattr(photo_files.os, "scandir", refuse)
    monkeypatch.setattr(Path, "open", refuse_file)
    found, skipped = gathered(card)
    assert len(found) == 6
    assert {s.path.name for s in skipped if isinstance(s.error, PermissionError)} == {
        "100",
        "notes.txt",
    }


def test_numbers_in_names_sort_by_their_size_and_a_link_to_itself_costs_one_line(
    tmp_path: Path,
) -> None:
    for name in ("IMG_10.jpg", "IMG_9.jpg", "img_8.jpg"):
        (tmp_path / name).write_bytes(b"\xff\xd8\xff")
    try:
        (tmp_path / "round").symlink_to(tmp_path / "round")
    except OSError:  # systems that let nobody make links have none to lead back either
        links = 0
    else:
        links = 1
    skipped: list[Skipped] = []
    found = [path.name for path in collect([tmp_path], skipped)]
    assert found == ["img_8.jpg", "IMG_9.jpg", "IMG_10.jpg"]
    assert len(skipped) == links
