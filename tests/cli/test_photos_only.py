"""A record of photos and words: three commands, both editions, and nothing said of sizes."""

from pathlib import Path

from PIL import Image

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Photo
from qlog.logbook.store import Logbook, create
from qlog.review.whole import picture_from
from tests.cli.test_rename import qlog


def pans(folder: Path) -> Path:
    card = folder / "card"
    card.mkdir()
    for number in range(10):
        picture = Image.effect_noise((320, 240), 40 + number).convert("RGB")
        picture.save(card / f"IMG_{number:04}.jpg")
    build = folder / "pans"
    qlog(folder, "new", str(build), "--photos", str(card), "--pieces", "6", "--part", "drip pan",
         "--title", "Six drip pans")  # fmt: skip
    return build


def test_six_pans_and_ten_photos_need_three_commands(tmp_path: Path) -> None:
    build = pans(tmp_path)
    assert "6 pieces to do: `qlog done drip-pan 10`" in qlog(build).out
    qlog(build, "done", "drip-pan", "10")
    assert "hand it over: `qlog record --zip`" in qlog(build).out
    qlog(build, "record", "--zip")
    for edition in ("maker", "recipient"):
        pages = list((build / "record" / edition).rglob("*.html"))
        assert pages and (build / "record" / f"{edition}.zip").is_file()
    photos = list((build / "record" / "recipient" / "photos").rglob("*.jpg"))
    assert len({p.name.split("-")[0] for p in photos}) >= 10
    assert "verdicts" not in qlog(build, "status").out


def test_an_item_of_one_piece_is_that_piece_without_being_assembled(tmp_path: Path) -> None:
    build = pans(tmp_path)
    qlog(build, "add", "item", "pan", "--count", "5", "--takes", "drip-pan")
    qlog(build, "piece", "drip-pan-2", "scrap", "--why", "split")
    qlog(build, "done", "drip-pan", "10")
    with Logbook(build / "logbook.db") as log:
        items = picture_from(load(build), log, studied=False).items
    made = {item.id: [p.name for p in item.pieces] for item in items}
    assert made == {
        "pan-1": ["drip-pan-1"], "pan-2": ["drip-pan-6"], "pan-3": ["drip-pan-3"],
        "pan-4": ["drip-pan-4"], "pan-5": ["drip-pan-5"],
    }  # fmt: skip
    assert all(item.complete for item in items)
    qlog(build, "record")


def test_a_piece_not_finished_yet_is_no_item(tmp_path: Path) -> None:
    build = pans(tmp_path)
    qlog(build, "add", "item", "pan", "--count", "2", "--takes", "drip-pan")
    qlog(build, "done", "drip-pan", "10", "1")
    with Logbook(build / "logbook.db") as log:
        items = picture_from(load(build), log, studied=False).items
    assert [item.complete for item in items] == [True, False]


def test_photos_that_were_taken_in_by_half_are_taken_in_by_the_same_command(tmp_path: Path) -> None:
    build = pans(tmp_path)
    words = ("new", str(build), "--photos", str(tmp_path / "card"))
    (build / "logbook.db").unlink()
    create(build / "logbook.db")  # stopped before the first photo
    for _ in range(2):  # and stopped after them all
        qlog(tmp_path, *words)
        with Logbook(build / "logbook.db") as log:
            assert len(log.live(Photo)) == 10
    qlog(build, "done", "drip-pan", "10")
    assert "nothing was changed" in qlog(tmp_path, *words, status=2).err
