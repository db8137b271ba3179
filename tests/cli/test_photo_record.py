"""From the card to the record: which photos each edition shows, and which stay in the originals."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from tests.conftest import Ran
from tests.photo_scenes import card, photo

Run = Callable[..., Ran]


def test_each_edition_shows_what_it_may_and_no_more(
    tmp_path: Path, build_dir: Path, run: Run
) -> None:
    folder = tmp_path / "card"
    photo(folder / "a_card.jpg", "10:00", 1, shows=card("cup", 10))
    photo(folder / "b_both.jpg", "10:01", 2, position=True)
    photo(folder / "c_soft.jpg", "10:01:20", 2, blur=3)
    photo(folder / "d_maker.jpg", "10:05", 3)
    photo(folder / "e_nobody.jpg", "10:06", 4)
    photo(folder / "f_scrapped.jpg", "10:10", 5, shows=card("cup", 10, 2))
    photo(folder / "g_scrapped.jpg", "10:11", 6)
    photo(folder / "h_tray.jpg", "20:00", 7)
    photo(folder / "cup-1-op20.jpg", "20:01", 8)
    assert run("photo", "add", str(folder)).status == 0
    rows = {r["name"]: r for r in json.loads(run("photo", "list", "--json").out)["photos"]}
    assert rows["cup-1-op20.jpg"]["proposal"]["by"] == "name"
    for name in ("b_both.jpg", "c_soft.jpg", "d_maker.jpg", "e_nobody.jpg", "g_scrapped.jpg"):
        run("photo", "place", str(rows[name]["number"]), "--as-proposed")
    run("photo", "show", str(rows["d_maker.jpg"]["number"]), "maker")
    run("photo", "show", str(rows["e_nobody.jpg"]["number"]), "nobody")
    run("done", "cup", "10")
    run("piece", "cup-2", "scrap", "--op", "10", "--why", "chatter")
    assert run("record").status == 0

    def shown(edition: str) -> set[str]:
        files = {p.name for p in (build_dir / "record" / edition / "photos").iterdir()}
        return {
            name
            for name, row in rows.items()
            if any(file.startswith(str(row["sha256"])[:24]) for file in files)
        }

    assert shown("recipient") == {"b_both.jpg"}
    assert shown("maker") == {
        "b_both.jpg",
        "d_maker.jpg",
        "g_scrapped.jpg",
        "h_tray.jpg",
        "cup-1-op20.jpg",
    }
    # All of them are in the originals, byte for byte.
    assert len(list((build_dir / "photos").glob("*/*"))) == len(rows) == 9
    said = (build_dir / "record" / "recipient" / "index.html").read_text(encoding="utf-8")
    assert "2 more photos wait until the maker has looked at them." in said


def test_what_two_votes_placed_is_the_makers_until_somebody_has_looked(
    tmp_path: Path, build_dir: Path, run: Run
) -> None:
    photo(tmp_path / "c" / "a.jpg", "10:00", 1, shows=card("cup", 10))
    for n in (1, 2, 3):
        photo(tmp_path / "c" / f"b{n}.jpg", f"10:0{n}", n + 1, bench=40)
    run("start", "cup", "10", "--made", "2026-02-14T09:59+01:00")
    run("done", "cup", "10", "1", "--made", "2026-02-14T10:05+01:00")
    assert "placed by card and by log" in run("photo", "add", str(tmp_path / "c")).out
    assert run("record").status == 0
    index = build_dir / "record" / "recipient" / "index.html"
    assert "3 more photos wait until the maker has looked at them." in index.read_text("utf-8")
    assert not (build_dir / "record" / "recipient" / "photos").exists()
    assert any((build_dir / "record" / "maker" / "photos").iterdir())
    shown = json.loads(run("photo", "unplaced", "--json").out)["photos"]
    (row,) = {one["row"] for one in shown}
    run("photo", "accept", row)
    assert run("record").status == 0
    assert "wait until" not in index.read_text("utf-8")
    assert any((build_dir / "record" / "recipient" / "photos").iterdir())
