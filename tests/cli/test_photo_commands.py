"""Photos at the bench, as typed: a card full of them, the unplaced, places, captions, covers."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran
from tests.photo_scenes import card, photo

Run = Callable[..., Ran]


def listed(run: Run, *words: str) -> dict[str, dict[str, object]]:
    ran = run("photo", "list", *words, "--json")
    assert ran.status == 0
    return {row["name"]: row for row in json.loads(ran.out)["photos"]}


def places(run: Run) -> dict[str, str]:
    """Where photos lie; what is only proposed has a question mark."""
    found = {}
    for name, row in listed(run).items():
        at, mark = (row, "") if row["part"] else (row["proposal"] or {}, "?")
        piece = "" if at.get("piece") is None else f"-{at['piece']}"
        found[name] = f"{at['part']}{piece} {at['op']}{mark}" if at.get("part") else ""
    return found


def work(run: Run) -> None:
    """The evening's work as it was logged: a start, then the pieces as they were done."""
    for minute, words in (
        (4, ("start", "cup", "10")),
        (8, ("done", "cup", "10", "1")),
        (9, ("start", "cup", "20")),
        (20, ("done", "cup", "20", "1")),
    ):
        ran = run(*words, "--made", f"2026-02-14T10:{minute:02}+01:00")
        assert ran.status < 2, ran.err  # 1: pieces 2 to 4 are not done with op 10


@pytest.fixture
def evening(tmp_path: Path) -> Path:
    """One camera's evening: a shot before any card, then two cards with photos after them."""
    folder = tmp_path / "card" / "DCIM"
    photo(folder / "a0.jpg", "10:00", 1)
    photo(folder / "a1.jpg", "10:05", 2, shows=card("cup", 10))
    photo(folder / "a2.jpg", "10:06", 3, bench=40)
    photo(folder / "a3.jpg", "10:07", 4, bench=40)
    photo(folder / "a4.jpg", "10:10", 5, shows=card("cup", 20, 3))
    photo(folder / "a5.jpg", "10:11", 6, bench=40)
    photo(folder / "b1.jpg", "10:11", 7, camera="Phone 2")
    photo(folder / "a6.jpg", "14:00", 8)
    return folder.parent


def test_a_card_of_photos_finds_its_places(evening: Path, run: Run) -> None:
    ran = run("photo", "add", str(evening))
    assert (ran.status, ran.err) == (0, "")
    assert "8 photos taken in" in ran.out
    assert "6 photos not placed, 3 with a proposal" in ran.out
    by_card = {
        "a0.jpg": "",
        "a1.jpg": "",
        "a2.jpg": "cup 10?",
        "a3.jpg": "cup 10?",
        "a4.jpg": "",
        "a5.jpg": "cup-3 20?",
        "b1.jpg": "",
        "a6.jpg": "",
    }
    assert places(run) == by_card
    work(run)
    ran = run("photo", "unplaced")
    assert "cup op 10: 2 photos placed by card and by log" in ran.out
    assert "cup-3 op 20: 1 photo placed by card and by log" in ran.out
    with_log = {name: where.rstrip("?") for name, where in by_card.items()}
    assert places(run) == with_log | {"b1.jpg": "cup 20?"}
    rows = listed(run)
    assert [rows[n]["audience"] for n in ("a1.jpg", "a4.jpg", "a2.jpg")] == [
        "nobody", "nobody", "maker",
    ]  # fmt: skip
    assert not rows["a1.jpg"]["shown"]


def test_taking_in_again_changes_nothing_and_reports_the_known(
    evening: Path, build_dir: Path, run: Run
) -> None:
    run("photo", "add", str(evening))
    before = (build_dir / "logbook.db").read_bytes()
    ran = run("photo", str(evening), str(evening / "DCIM" / "a0.jpg"))
    assert ran.status == 0
    assert "0 photos taken in, 9 known already" in ran.out
    assert "a0.jpg: known" in ran.out
    assert "a2.jpg" not in ran.out
    assert (build_dir / "logbook.db").read_bytes() == before


def test_a_name_too_long_to_keep_is_shortened_with_a_word(tmp_path: Path, run: Run) -> None:
    long = photo(tmp_path / f"{'seen from above ' * 12}IMG_0412.jpg", "10:00", 1)
    ran = run("photo", "add", str(long))
    (name,) = listed(run)
    assert ran.status == 0
    assert f"its name is too long or no text: kept as {name}" in ran.out
    assert len(name) == 120
    assert name.endswith("IMG_0412.jpg")
    assert ": known, 2026-02-14 10:00:00" in run("photo", "add", str(long)).out


def test_the_same_photo_under_other_names_is_one(tmp_path: Path, run: Run) -> None:
    one = photo(tmp_path / "one.jpg", "10:00", 1)
    shutil.copyfile(one, tmp_path / "two.jpg")
    ran = run("photo", "add", str(one), str(tmp_path / "two.jpg"))
    assert "1 photo taken in, 1 known already" in ran.out
    assert list(listed(run)) == ["one.jpg"]


def test_a_card_that_comes_later_places_what_lay_in_the_tray(evening: Path, run: Run) -> None:
    first = evening / "DCIM" / "a1.jpg"
    aside = first.rename(evening.parent / "a1.jpg")
    run("photo", "add", str(evening))
    assert places(run)["a2.jpg"] == ""
    run("photo", "add", str(aside))
    assert places(run)["a2.jpg"] == "cup 10?"


def test_what_was_placed_by_hand_stays_when_a_card_comes(evening: Path, run: Run) -> None:
    aside = (evening / "DCIM" / "a1.jpg").rename(evening.parent / "a1.jpg")
    run("photo", "add", str(evening))
    number = listed(run)["a2.jpg"]["number"]
    assert run("photo", "place", str(number), "ring", "10").status == 0
    run("photo", "add", str(aside))
    assert places(run)["a2.jpg"] == "ring 10"
    assert places(run)["a3.jpg"] == "cup 10?"


def test_a_card_in_between_that_comes_later_moves_what_the_first_had_placed(
    evening: Path, run: Run
) -> None:
    run("photo", "add", str(evening))
    late = photo(evening / "DCIM" / "late.jpg", "10:06:30", 9, shows=card("ring", 10))
    run("photo", "add", str(late))
    assert (places(run)["a2.jpg"], places(run)["a3.jpg"]) == ("cup 10?", "ring 10?")


def test_the_time_of_the_work_proposes_and_confirming_places(tmp_path: Path, run: Run) -> None:
    during = photo(tmp_path / "during.jpg", "19:20", 1)
    before = photo(tmp_path / "before.jpg", "12:00", 2)
    run("done", "cup", "10", "--made", "2026-02-14T19:30+01:00")
    ran = run("photo", "add", str(during), str(before))
    assert "2 photos not placed, 1 with a proposal" in ran.out
    rows = {r["name"]: r for r in json.loads(run("photo", "unplaced", "--json").out)["photos"]}
    proposal = {"part": "cup", "op": 10, "piece": None, "by": "time"}
    assert rows["during.jpg"]["proposal"] == proposal
    assert rows["before.jpg"]["proposal"] is None
    # A proposal is no evidence yet.
    assert "1 photo missing" in run("status").out
    assert "2 photos have not been placed yet, 1 with a proposal" in run("status").out
    ran = run("photo", "place", "all", "--as-proposed")
    assert ran.status == 0
    assert "cup op 10: 1 photo" in ran.out
    assert "1 photo left not placed" in ran.out
    assert "photo missing" not in run("status").out
    assert places(run) == {"before.jpg": "", "during.jpg": "cup 10"}


def test_the_tray_looks_again_when_the_work_is_logged_after_the_photos(
    tmp_path: Path, run: Run
) -> None:
    run("photo", "add", str(photo(tmp_path / "a.jpg", "19:20", 1)))
    assert json.loads(run("photo", "unplaced", "--json").out)["photos"][0]["proposal"] is None
    run("done", "cup", "10", "--made", "2026-02-14T19:30+01:00")
    assert json.loads(run("photo", "unplaced", "--json").out)["photos"][0]["proposal"]["op"] == 10
    assert "cup op 10, by log" in run("photo", "unplaced").out


def test_names_propose_and_are_remembered(tmp_path: Path, run: Run) -> None:
    photo(tmp_path / "cup" / "op20" / "x.jpg", "12:00", 1)
    photo(tmp_path / "cup-2-op10.jpg", "12:01", 2)
    run("photo", "add", str(tmp_path / "cup"), str(tmp_path / "cup-2-op10.jpg"))
    for _ in range(2):
        unplaced = {
            r["name"]: r["proposal"]
            for r in json.loads(run("photo", "unplaced", "--json").out)["photos"]
        }
        assert unplaced == {
            "x.jpg": {"part": "cup", "op": 20, "piece": None, "by": "name"},
            "cup-2-op10.jpg": {"part": "cup", "op": 10, "piece": 2, "by": "name"},
        }


def test_what_contradicts_stays_unplaced_with_both_reasons_for_good(
    tmp_path: Path, run: Run
) -> None:
    photo(tmp_path / "cup" / "op20" / "c.jpg", "10:00", 1, shows=card("cup", 10))
    photo(tmp_path / "cup" / "op20" / "x.jpg", "10:01", 2)
    run("photo", "add", str(tmp_path / "cup"))
    (row,) = json.loads(run("photo", "unplaced", "--json").out)["photos"]
    assert row["proposal"] is None  # the folder's word stays in mind though nobody repeats it
    assert row["note"] == "its folder named another place; the card says cup op 10"
    run("start", "cup", "10", "--made", "2026-02-14T09:59+01:00")
    run("done", "cup", "10", "1", "--made", "2026-02-14T10:05+01:00")
    run("photo", "unplaced")
    assert places(run)["x.jpg"] == ""


def test_a_row_of_the_sheet_is_accepted_whole_and_only_as_it_was_seen(
    evening: Path, tmp_path: Path, run: Run
) -> None:
    run("photo", "add", str(evening))
    work(run)
    rows = {
        r["name"]: r["row"] for r in json.loads(run("photo", "unplaced", "--json").out)["photos"]
    }
    assert rows["a2.jpg"] == rows["a3.jpg"] != rows["a5.jpg"]
    assert rows["a0.jpg"] == ""
    page = tmp_path / "sheet.html"
    run("photo", "unplaced", "--out", str(page))
    assert f'<span class="mark">{rows["a2.jpg"]}</span>' in page.read_text(encoding="utf-8")
    run("photo", "add", str(photo(tmp_path / "new.jpg", "10:07:30", 30)))
    ran = run("photo", "accept", rows["a5.jpg"], rows["a2.jpg"])
    assert ran.status == 2
    assert f"no row {rows['a2.jpg']} (any more); nothing was accepted" in ran.err
    ran = run("photo", "accept", rows["a5.jpg"])
    assert "cup-3 op 20: 1 photo accepted" in ran.out
    assert "left to look at" in ran.out
    found = listed(run)
    assert (found["a5.jpg"]["audience"], found["a5.jpg"]["looked_at"]) == ("both", True)
    assert (found["a2.jpg"]["audience"], found["a2.jpg"]["looked_at"]) == ("maker", False)
    assert run("photo", "accept", rows["a5.jpg"]).status == 2


def test_numbers_stay_and_ranges_place(evening: Path, tmp_path: Path, run: Run) -> None:
    run("photo", "add", str(evening))
    numbers = {name: row["number"] for name, row in listed(run).items()}
    assert sorted(numbers.values()) == list(range(1, 9))
    run("photo", "place", "1", "cup", "20", "2")
    run("photo", "add", str(photo(tmp_path / "z.jpg", "09:00", 20)))
    again = {name: row["number"] for name, row in listed(run).items()}
    assert again == numbers | {"z.jpg": 9}
    a2, a3 = numbers["a2.jpg"], numbers["a3.jpg"]
    ran = run("photo", "place", f"{a2}-{a3},9", "ring", "10")
    assert "ring op 10: 3 photos" in ran.out
    assert "ring op 10: 0 photos, 1 there already" in run("photo", "place", "9", "ring", "10").out
    assert set(listed(run, "ring", "10")) == {"a2.jpg", "a3.jpg", "z.jpg"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("place", "9", "cup", "10"), "no photo 9; there are 1 to 2"),
        (("place", "1-9", "cup", "10"), "no photo 9"),
        (("place", "2-1", "cup", "10"), "write 1-2"),
        (("place", "one", "cup", "10"), "names no photo"),
        (("place", "²", "cup", "10"), "names no photo"),
        (("place", "", "cup", "10"), "no photo named"),
        (("place", "1", "cupp", "10"), "did you mean cup?"),
        (("place", "1", "cup", "11"), "its route is"),
        (("place", "1", "cup", "10", "9"), "pieces 1 to 4"),
        (("place", "1"), "say where"),
        (("place", "1", "cup", "--as-proposed"), "say where"),
        (("place", "1", "--item", "set-1"), "no item"),
        (("place", "1", "cup", "--item", "set-1"), "not on both"),
        (("cover", "1", "part"), "on no part"),
        (("cover", "1", "item"), "on no item"),
        (("best", "1-2"), "names 2 photos"),
        (("show", "1", "all"), "'all' is not one of"),
        (("add", "x.jpg", "--op", "10"), "need --part"),
    ],
)
def test_what_cannot_be_done_says_so_and_changes_nothing(
    tmp_path: Path, build_dir: Path, run: Run, words: tuple[str, ...], said: str
) -> None:
    for n in (1, 2):
        run("photo", "add", str(photo(tmp_path / f"{n}.jpg", f"10:0{n}", n)))
    before = (build_dir / "logbook.db").read_bytes()
    ran = run("photo", *words)
    assert ran.status == 2
    assert said in ran.err
    assert "Traceback" not in ran.err
    assert (build_dir / "logbook.db").read_bytes() == before


def test_places_given_outright_still_work_and_a_card_among_them_is_kept_out(
    tmp_path: Path, run: Run
) -> None:
    one = photo(tmp_path / "one.jpg", "10:00", 1)
    slate = photo(tmp_path / "slate.jpg", "10:01", 2, shows=card("ring", 10))
    ran = run("photo", "add", str(one), str(slate), "-p", "cup", "-o", "10", "-n", "in the\nchuck")
    assert ran.status == 0
    assert "slate.jpg: taken in" in ran.out
    assert "shows a card: kept, and left out of the record" in ran.out
    rows = listed(run)
    assert (rows["one.jpg"]["part"], rows["one.jpg"]["caption"]) == ("cup", "in the chuck")
    assert (rows["slate.jpg"]["part"], rows["slate.jpg"]["audience"]) == (None, "nobody")
    run("photo", "add", str(one), "--part", "cup", "--op", "20", "--maker-only")
    row = listed(run)["one.jpg"]
    assert (row["op"], row["caption"], row["audience"]) == (20, "in the chuck", "maker")


def test_what_is_for_nobody_is_no_evidence(tmp_path: Path, run: Run) -> None:
    run("done", "cup", "10")
    run("photo", "add", str(photo(tmp_path / "a.jpg", "10:00", 1)), "-p", "cup", "-o", "10")
    assert "photo missing" not in run("status").out
    assert "in no edition" in run("photo", "show", "1", "nobody").out
    assert "1 photo missing" in run("status").out
    assert "been placed yet" not in run("status").out
    run("photo", "show", "1", "maker")
    assert "photo missing" not in run("status").out


def test_a_card_is_no_evidence_for_its_operation(tmp_path: Path, run: Run) -> None:
    run("done", "cup", "10")
    run("photo", "add", str(photo(tmp_path / "a.jpg", "10:00", 1, shows=card("cup", 10))))
    assert "1 photo missing" in run("status").out
    assert "been placed yet" not in run("status").out


def test_the_sharpest_of_near_duplicates_is_shown_unless_another_is_chosen(
    tmp_path: Path, run: Run
) -> None:
    for name, when, blur in (("soft", "10:00:00", 3), ("sharp", "10:00:20", 0)):
        photo(tmp_path / "d" / f"{name}.jpg", when, 1, blur=blur)
    photo(tmp_path / "d" / "later.jpg", "10:20", 1)
    photo(tmp_path / "d" / "other.jpg", "10:00:30", 2)
    run("photo", "add", str(tmp_path / "d"), "--part", "cup", "--op", "20")
    rows = listed(run)
    assert {n for n, r in rows.items() if not r["shown"]} == {"soft.jpg"}
    assert rows["soft.jpg"]["better"] == rows["sharp.jpg"]["number"]
    for name in ("soft", "sharp", "soft"):
        number = str(listed(run)[f"{name}.jpg"]["number"])
        assert "shown instead of" in run("photo", "best", number).out
        hidden = {n for n, r in listed(run).items() if not r["shown"]}
        assert hidden == {"soft.jpg", "sharp.jpg"} - {f"{name}.jpg"}
    pair = ",".join(str(rows[f"{name}.jpg"]["number"]) for name in ("soft", "sharp"))
    assert "each shown" in run("photo", "apart", pair).out
    assert all(r["shown"] for r in listed(run).values())
    run("photo", "best", str(rows["soft.jpg"]["number"]))
    assert not listed(run)["sharp.jpg"]["shown"]
    # One with words of its own is not thrown out.
    run("photo", "caption", str(rows["sharp.jpg"]["number"]), "the tool mark")
    assert all(r["shown"] for r in listed(run).values())


def test_three_of_the_same_view_are_one_piece_of_evidence(
    tmp_path: Path, build_dir: Path, run: Run
) -> None:
    plan = build_dir / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("photos = 1", "photos = 2"), encoding="utf-8")
    run("done", "cup", "10")
    for n in range(3):
        photo(tmp_path / "d" / f"{n}.jpg", f"10:00:0{n}", 1, blur=n)
    run("photo", "add", str(tmp_path / "d"), "--part", "cup", "--op", "10")
    assert "1 photo missing" in run("status").out


def test_covers_captions_and_items(tmp_path: Path, build_dir: Path, run: Run) -> None:
    plan = build_dir / "build.toml"
    plan.write_text(
        plan.read_text("utf-8")
        + '\n[[item]]\nid = "set"\nname = "Set"\ncount = 2\ntakes = { cup = 1 }\n',
        encoding="utf-8",
    )
    for n in (1, 2, 3):
        run("photo", "add", str(photo(tmp_path / f"{n}.jpg", f"10:0{n}", n)))
    run("photo", "place", "1-2", "cup", "10")
    assert run("photo", "cover", "1").out == "photo 1: cover of cup\n"
    assert run("photo", "place", "3", "--item", "set-2", "--cover").out == "set-2: 1 photo\n"
    assert listed(run)["3.jpg"]["cover"] == "item"
    run("photo", "cover", "3", "build")
    run("photo", "cover", "1", "none")
    assert [r["cover"] for r in listed(run).values()] == [None, None, "build"]
    # Moved to another place, a cover of the old one is none of the new one.
    run("photo", "cover", "2")
    run("photo", "place", "2", "ring")
    assert listed(run)["2.jpg"]["cover"] is None
    assert run("photo", "caption", "1,3", " the  lip ").out == "photos 1, 3: the lip\n"
    assert listed(run)["1.jpg"]["caption"] == "the lip"
    run("photo", "caption", "1", "")
    assert listed(run)["1.jpg"]["caption"] == ""


def test_a_location_stays_in_the_vault_and_that_is_said(
    tmp_path: Path, build_dir: Path, run: Run
) -> None:
    path = photo(tmp_path / "a.jpg", "10:00", 1, position=True)
    assert "location inside (stays in the originals)" in run("photo", "add", str(path)).out
    (kept,) = (build_dir / "photos").glob("*/*.jpg")
    assert kept.read_bytes() == path.read_bytes()


def test_the_build_s_own_vault_and_record_are_not_taken_in(
    tmp_path: Path, build_dir: Path, run: Run
) -> None:
    run("photo", "add", str(photo(tmp_path / "a.jpg", "10:00", 1)))
    photo(build_dir / "record" / "maker" / "photos" / "x.jpg", "10:00", 2)
    photo(build_dir / "inbox" / "y.jpg", "10:00", 3)
    ran = run("photo", "add", str(build_dir))
    assert "left out 2: the build's own originals or record" in ran.out
    assert set(listed(run)) == {"a.jpg", "y.jpg"}


def test_the_contact_sheet_holds_every_photo_of_the_tray(
    evening: Path, build_dir: Path, run: Run
) -> None:
    run("photo", "add", str(evening))
    ran = run("photo", "unplaced", "--sheet")
    assert str(build_dir / "unplaced.html") in ran.out
    page = (build_dir / "unplaced.html").read_text(encoding="utf-8")
    numbers = [r["number"] for r in json.loads(run("photo", "unplaced", "--json").out)["photos"]]
    assert len(numbers) == 6
    for number in numbers:
        assert f'<li value="{number}">' in page
    assert page.count('src="data:image/jpeg;base64,') == 6
    assert "http" not in page.replace("http-equiv", "")
    (build_dir / "notes.html").write_text("mine", encoding="utf-8")
    ran = run("photo", "unplaced", "--out", str(build_dir / "notes.html"))
    assert (ran.status, (build_dir / "notes.html").read_text("utf-8")) == (2, "mine")
    assert "no page made by qlog" in ran.err


def test_an_empty_tray_says_so(run: Run) -> None:
    ran = run("photo", "unplaced")
    assert (ran.status, ran.out) == (0, "every photo is placed\n")
    assert json.loads(run("photo", "unplaced", "--json").out)["photos"] == []
    assert run("photo", "list").out == "no photos there\n"
    assert run("photo", "place", "all", "cup", "10").status == 2


def test_names_of_any_kind_stay_on_their_line(tmp_path: Path, run: Run) -> None:
    names = [
        "line\nend.jpg",
        "чашка 3.jpg",
        "杯子.jpg",
        "tab\there.jpg",
        "كأس.jpg",
        "\x1b[31mred.jpg",
    ]
    if os.name == "nt":
        names = [n for n in names if n.isprintable()]
    for n, name in enumerate(names):
        photo(tmp_path / "d" / name, f"10:0{n}", n)
    ran = run("photo", "add", str(tmp_path / "d"))
    assert ran.status == 0
    assert "\x1b" not in ran.out
    assert len(ran.out.splitlines()) == len(names) + 2
    assert set(listed(run)) == set(names)
    out = run("photo", "list").out
    assert len(out.splitlines()) == len(names) + 1
    assert "\x1b[31m" not in out


def test_a_photo_is_tied_to_the_dimension_that_it_bears_out(tmp_path: Path, run: Run) -> None:
    photo(tmp_path / "gauge.jpg", "10:00", 1)
    ran = run(
        "photo", "add", str(tmp_path / "gauge.jpg"),
        "--part", "cup", "--op", "20", "--piece", "3", "--dimension", "bore",
    )  # fmt: skip
    assert ran.status == 0
    assert listed(run)["gauge.jpg"]["dimension"] == "bore"
    assert "cup-3 op 20 bore" in run("photo", "list").out
    run("photo", "place", "1", "cup", "20", "2")
    assert listed(run)["gauge.jpg"]["dimension"] is None
    run("photo", "place", "1", "cup", "20", "2", "--dimension", "bore")
    assert listed(run)["gauge.jpg"]["dimension"] == "bore"
    assert "no dimension 'bor'" in run("photo", "place", "1", "cup", "20", "-d", "bor").err
