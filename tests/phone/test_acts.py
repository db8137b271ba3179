"""What the phone enters: by the stream's rules, once, and with a way back."""

import json
import sqlite3
from pathlib import Path

import pytest

from qlog.intake.entry_checks import Check
from qlog.logbook.facts import (
    Disposition,
    Done,
    Gap,
    Note,
    Placement,
    Reading,
    Sent,
    Setting,
    Setup,
    Start,
)
from tests.conftest import run_qlog
from tests.phone.conftest import Phone, new_name
from tests.photo_scenes import card, photo

#: Every question of the entry checks, answered: that is so.
ANY_CHECK = [check.value for check in Check]


def readings(phone: Phone) -> dict[tuple[str, int], str]:
    with phone.log() as log:
        return {(e.fact.dimension, e.fact.piece): e.fact.value for e in log.live(Reading)}


def settings(phone: Phone) -> list[tuple[int, str, str, str]]:
    with phone.log() as log:
        found = [e.fact for e in log.live(Setting)]
    return [(f.piece, f.what, f.value, f.unit) for f in found]


def begun(phone: Phone, pieces: int = 4) -> Phone:
    """Op 10 is done, so that nothing is asked about a skipped operation."""
    run_qlog("--build", str(phone.folder), "done", "cup", "10")
    return phone


def test_a_reading_is_answered_with_verdict_place_and_trend(phone: Phone) -> None:
    begun(phone)
    for piece, text in ((1, "22.030"), (2, "22.031"), (3, "22.032")):
        answer = phone.read(piece, text)
        assert answer["status"] == "entered"
    assert answer["reading"]["word"] == "good"
    assert answer["reading"]["share"] == pytest.approx(0.64)  # (22.032 - 22) / 0.05
    assert set(answer["column"]) == {"1", "2", "3"}
    assert answer["trend"]
    out = phone.read(4, "22.055")
    assert (out["reading"]["word"], out["reading"]["shape"]) == ("out high", "high")
    assert "0.005 beyond 22.05" in out["reading"]["where"]


def test_the_same_name_is_entered_once_however_often_it_comes(phone: Phone) -> None:
    begun(phone)
    name = new_name()
    first = phone.read(1, "22.03", name=name)
    for _ in range(3):
        again = phone.read(1, "22.03", name=name)
        assert (again["status"], again["again"]) == ("entered", True)
        assert again["reading"] == first["reading"]
    note = new_name()
    for _ in range(3):
        assert phone.act("note", name=note, text="chatter", piece=2)["status"] == "entered"
    with phone.log() as log:
        assert len(log.live(Reading)) == len(log.live(Note)) == 1
        assert {e.fact.name for e in log.live(Sent)} == {name, note}


def test_a_slip_is_asked_about_and_nothing_is_entered_before_the_answer(phone: Phone) -> None:
    begun(phone)
    name = new_name()
    asked = phone.read(1, "220.3", name=name)
    assert (asked["status"], asked["check"]) == ("question", "decimal slip")
    assert asked["retype"].startswith("22.03")
    assert readings(phone) == {}
    assert phone.read(1, asked["retype"], name=name)["reading"]["word"] == "good"
    kept = phone.read(2, "220.3", kept=["decimal slip"])
    assert kept["reading"]["word"] == "out high"
    assert readings(phone) == {("bore", 1): "22.03", ("bore", 2): "220.3"}


def test_another_value_for_a_read_place_is_not_entered_in_silence(phone: Phone) -> None:
    begun(phone)
    run_qlog("--build", str(phone.folder), "read", "cup", "20", "bore", "1", "22.03")
    answer = phone.read(1, "22.04")
    assert answer["status"] == "conflict"
    assert "22.03" in answer["text"]
    assert readings(phone) == {("bore", 1): "22.03"}
    assert phone.read(1, "22.04", again=True)["status"] == "entered"
    assert readings(phone) == {("bore", 1): "22.04"}


def test_undo_takes_back_what_came_under_a_name_and_brings_back_what_was_there(
    phone: Phone,
) -> None:
    begun(phone)
    first, second = new_name(), new_name()
    phone.read(1, "22.03", name=first)
    phone.read(1, "22.04", name=second, again=True)
    undo = new_name()
    for _ in range(2):  # sent twice, undone once
        assert phone.act("undo", name=undo, undo=second)["status"] == "entered"
    assert readings(phone) == {("bore", 1): "22.03"}
    assert phone.act("undo", undo=new_name())["text"] == "nothing was there to take back"
    other = new_name()
    phone.act("note", name=other, text="chatter")
    phone.act("undo", undo=other)
    with phone.log() as log:
        assert log.live(Note) == []


def test_what_was_changed_since_is_not_undone(phone: Phone) -> None:
    begun(phone)
    name = new_name()
    phone.read(1, "22.03", name=name)
    run_qlog(
        "--build", str(phone.folder),
        "correct", "cup", "20", "bore", "1", "22.02", "--why", "misread",
    )  # fmt: skip
    answer = phone.act("undo", undo=name)
    assert answer["status"] == "refused"
    assert readings(phone) == {("bore", 1): "22.02"}


def test_skip_scrap_note_tool_start_and_done_are_entered(phone: Phone) -> None:
    phone.act("start")
    begun(phone)
    assert phone.act("skip", dimension="bore", piece=1, kind="cannot", why="chip")["text"]
    scrap = phone.act("scrap", piece=2, why="dropped")
    assert "3 left, 3 needed: no spare" in scrap["text"]
    assert phone.act("scrap", piece=3)["status"] == "refused"  # no reason
    phone.act("note", piece=3, text="  a   note ")
    phone.act("setup", piece=3, cause="tool change", note="new insert")
    phone.act("done", op=20)
    with phone.log() as log:
        assert [e.fact.kind for e in log.live(Gap)] == ["cannot"]
        assert [e.fact.piece for e in log.live(Disposition)] == [2]
        assert [e.fact.text for e in log.live(Note)] == ["a note"]
        assert [e.fact.note for e in log.live(Setup)] == ["new insert"]
        assert len(log.live(Start)) == 1
        assert {e.fact.piece for e in log.live(Done, op=20)} == {1, 3, 4}


def test_go_and_no_go_are_words_and_shapes(phone: Phone) -> None:
    begun(phone)
    go = phone.read(1, "go", dimension="look")["reading"]
    no = phone.read(2, "no-go", dimension="look")["reading"]
    assert (go["word"], go["shape"], no["word"], no["shape"]) == ("pass", "good", "fail", "fail")


def test_an_inch_fraction_is_taken(phone: Phone) -> None:
    answer = phone.act("reading", part="ring", op=10, dimension="outside", piece=1, text="1 in")
    assert answer["status"] in ("entered", "question")


def test_what_waited_on_the_phone_was_made_then(phone: Phone) -> None:
    begun(phone)
    phone.read(1, "22.03", waited=7200)
    phone.read(2, "22.03", waited=2)
    with phone.log() as log:
        first, second = log.live(Reading)
    assert first.made < first.entered[:19]
    assert second.made == second.entered


@pytest.fixture
def picture(tmp_path: Path) -> bytes:
    photo(tmp_path / "p.jpg", "10:00", 1)
    return (tmp_path / "p.jpg").read_bytes()


def test_a_photo_is_tied_to_part_operation_piece_and_dimension(
    phone: Phone, picture: bytes
) -> None:
    name = new_name()
    for _ in range(3):
        answer = phone.photo(picture, name=name, piece=2, dimension="bore")
        assert answer["status"] == "entered"
    with phone.log() as log:
        [placed] = [e.fact for e in log.history(Placement)]
        assert len(log.live(Sent)) == 1
    assert (placed.part, placed.op, placed.piece, placed.dimension) == ("cup", 20, 2, "bore")


def test_a_photo_taken_by_mistake_is_taken_back_and_can_be_taken_again(
    phone: Phone, picture: bytes
) -> None:
    def stands() -> list[tuple[object, ...]]:
        with phone.log() as log:
            found = [e.fact for e in log.live(Placement)]
        return [(f.part, f.op, f.piece, f.item, f.audience) for f in found]

    first, second = new_name(), new_name()
    phone.photo(picture, name=first, piece=2)
    phone.photo(picture, name=second, piece=3)  # the same picture, chosen once more
    assert stands() == [("cup", 20, 3, None, "both")]
    assert phone.act("undo", undo=first)["status"] == "refused"  # it was changed since
    assert phone.act("undo", undo=second)["text"] == "taken back"
    assert stands() == [("cup", 20, 2, None, "both")]
    third = new_name()
    phone.photo(picture, name=third, piece=1)
    for _ in range(2):
        phone.act("undo", undo=third)
    again = new_name()
    phone.photo(picture, name=again, piece=2)  # there already: nothing to take back
    assert phone.act("undo", undo=again)["text"] == "nothing was there to take back"
    fourth = new_name()
    (phone.folder / "other.jpg").write_bytes(picture + b"another")
    phone.photo((phone.folder / "other.jpg").read_bytes(), name=fourth, piece=4)
    phone.act("undo", undo=fourth)
    assert stands()[-1] == (None, None, None, None, "nobody")
    assert run_qlog("--build", str(phone.folder), "photo", "unplaced").out.strip() == (
        "every photo is placed"
    )
    phone.photo((phone.folder / "other.jpg").read_bytes(), piece=4)  # meant after all
    assert stands()[-1] == ("cup", 20, 4, None, "both")


def test_a_photo_of_an_item_needs_an_item_of_the_plan(phone: Phone, picture: bytes) -> None:
    assert phone.photo(picture, item="set-1")["status"] == "refused"
    with (phone.folder / "build.toml").open("a", encoding="utf-8") as plan:
        plan.write('\n[[item]]\nid = "set"\nname = "Set"\ncount = 1\ntakes = { cup = 1 }\n')
    assert phone.photo(picture, item="set-1")["status"] == "entered"
    with phone.log() as log:
        assert [(e.fact.item, e.fact.part) for e in log.live(Placement)] == [("set-1", None)]
    assert phone.get("/start").get_json()["items"] == [{"id": "set-1", "name": "Set 1"}]


def test_another_instrument_reads_beside_the_first_and_a_false_temperature_is_refused(
    phone: Phone,
) -> None:
    begun(phone)
    phone.read(1, "22.03")
    assert phone.read(1, "22.02", again=True, instrument="caliper")["status"] != "conflict"
    phone.read(1, "22.02", again=True, instrument="caliper", kept=list(ANY_CHECK))
    phone.read(1, "22.031", again=True, temperature="21,5")
    with phone.log() as log:
        found = {(e.fact.instrument, e.fact.value, e.fact.temperature) for e in log.live(Reading)}
    assert found == {("caliper", "22.02", None), ("micrometer", "22.031", "21.5")}
    assert "workshop temperature" in phone.read(2, "22.03", temperature="900")["text"]
    assert phone.read(2, "22.03", instrument="ruler")["status"] == "refused"


@pytest.mark.parametrize("data", [b"no photo", b"\xff\xd8\xff cut", b"GIF89a" + b"x" * 99])
def test_what_is_no_photo_is_refused_and_leaves_nothing(phone: Phone, data: bytes) -> None:
    assert phone.photo(data, piece=1)["status"] == "refused"
    with phone.log() as log:
        assert log.count() == 0
    assert list(phone.folder.glob("photos/*/*")) == []


def test_a_card_leads_to_its_place_and_is_not_kept(phone: Phone, tmp_path: Path) -> None:
    photo(tmp_path / "c.jpg", "10:00", 1, shows=card("cup", 20, 3))
    data = (tmp_path / "c.jpg").read_bytes()
    found = phone.post("/scan", data, Content_Type="application/octet-stream").get_json()
    assert found == {"part": "cup", "op": 20, "piece": 3}
    assert phone.post("/scan", b"nothing").get_json() == {}
    with phone.log() as log:
        assert log.count() == 0


def test_a_log_that_is_busy_says_so_and_takes_the_same_act_later(
    phone: Phone, monkeypatch: pytest.MonkeyPatch
) -> None:
    from qlog.logbook import log_file

    begun(phone)
    monkeypatch.setattr(log_file, "WAIT", 0.05)
    name = new_name()
    other = sqlite3.connect(phone.folder / "logbook.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    said = {
        "id": name, "act": "note", "part": "cup", "op": 20, "text": "x",
    }  # fmt: skip
    assert phone.post("/act", json.dumps(said).encode()).status_code == 503
    other.execute("ROLLBACK")
    other.close()
    assert phone.act("note", name=name, text="x")["status"] == "entered"


def test_the_first_page_says_what_is_next_and_what_waits(phone: Phone) -> None:
    page = phone.get("/start").get_json()
    assert [step["part"] for step in page["next"]] == ["cup", "ring"]
    waits = {(p["id"], o["number"]): o["waits"] for p in page["parts"] for o in p["ops"]}
    assert waits == {("cup", 10): 4, ("cup", 20): 8, ("ring", 10): 2}


def test_an_operation_has_its_cautions_before_it_and_its_places_in_order(phone: Phone) -> None:
    page = phone.get("/operation/cup/20").get_json()
    assert page["started"] is False
    assert page["cautions"]
    assert page["places"][:5] == [["bore", 1], ["bore", 2], ["bore", 3], ["bore", 4], ["look", 1]]
    phone.act("start")
    assert phone.get("/operation/cup/20").get_json()["started"] is True


def test_a_plan_that_was_changed_meanwhile_is_read_anew(phone: Phone) -> None:
    plan = phone.folder / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace('"Cup"', '"Socket cup"'), "utf-8")
    assert phone.get("/operation/cup/20").get_json()["part"]["name"] == "Socket cup"
    plan.write_text("title = ", "utf-8")
    said = json.dumps({"id": new_name(), "act": "note", "part": "cup", "op": 20, "text": "x"})
    assert phone.post("/act", said.encode()).status_code == 503  # it waits on the phone


def test_what_hinders_it_is_said_in_the_language_of_the_build(phone: Phone) -> None:
    plan = phone.folder / "build.toml"
    german = 'language = "de"\n' + plan.read_text("utf-8")
    plan.write_text(german, "utf-8")
    assert phone.get("/start").status_code == 200
    plan.write_text(german + "\n[no\n", "utf-8")
    spoilt = phone.get("/start")
    assert (spoilt.status_code, spoilt.get_json()["status"]) == (503, "busy")
    assert "[name], oder [[name]]" in spoilt.get_json()["text"]


def test_what_no_page_of_ours_sends_is_refused(phone: Phone) -> None:
    begun(phone)
    for said in ({"text": "2.203", "kept": 5}, {"text": "22.03", "piece": "\ud83d"}):
        data = {"part": "cup", "op": 20, "id": new_name(), "act": "reading", "dimension": "bore"}
        response = phone.post("/act", json.dumps({"piece": 3} | data | said).encode())
        assert response.status_code == 400, said
    assert readings(phone) == {}


def test_the_phone_sets_it_down_once_and_takes_it_back(phone: Phone) -> None:
    name = new_name()
    for _ in range(2):
        said = phone.act("set", name=name, what="speed", text="1200", piece=2)
        assert said["status"] == "entered"
    assert settings(phone) == [(2, "speed", "1200", "rev/min")]
    slip = new_name()
    phone.act("set", name=slip, what="speed", text="12", piece=2)
    phone.act("undo", undo=slip)
    assert settings(phone) == [(2, "speed", "1200", "rev/min")]
    refused = phone.act("set", what="feed", text="3")
    assert (refused["status"], "mm/rev" in refused["text"]) == ("refused", True)
