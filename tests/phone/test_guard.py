"""Nobody else gets in: one test for each way in that is closed.

The ways are those of the OWASP Cheat Sheets on cross-site request forgery and on DNS rebinding
(Host and Origin headers), read from memory, and of RFC 6265 for the cookie.
"""

import json
import socket
import threading
from pathlib import Path

import pytest

from qlog.logbook.facts import Reading
from qlog.phone import guard
from qlog.phone.guard import Keys, Rate
from qlog.phone.serve import Server, checked_address
from qlog.problem import Problem
from tests.phone.conftest import HOST, Phone, new_name

PAGES = ("/", "/start", "/operation/cup/20", "/files/page.js", "/files/phone.css")


def reading() -> bytes:
    said = {
        "id": new_name(), "act": "reading", "part": "cup", "op": 20, "dimension": "bore",
        "piece": 1, "text": "22.03",
    }  # fmt: skip
    return json.dumps(said).encode()


def entered(phone: Phone) -> int:
    with phone.log() as log:
        return log.count()


@pytest.mark.parametrize("page", PAGES)
def test_without_the_code_there_is_nothing_to_see(stranger: Phone, page: str) -> None:
    response = stranger.get(page)
    assert (response.status_code, response.data) == (403, b"")


@pytest.mark.parametrize("key", ["x", "", "../come-in", "é", "A" * 24, "%00", "key/more"])
def test_a_wrong_key_gets_nothing(stranger: Phone, key: str) -> None:
    response = stranger.get(f"/come-in/{key}")
    assert response.status_code in (403, 404)
    assert response.data == b""
    assert "Set-Cookie" not in response.headers


def test_a_key_is_made_anew_for_every_run_and_is_long() -> None:
    keys = {Keys().key for _ in range(50)}
    assert len(keys) == 50
    assert all(len(key) >= 22 for key in keys)  # 22 characters of base64 are 128 bits


def test_the_pass_is_no_key_and_goes_to_no_script_and_no_other_site(stranger: Phone) -> None:
    response = stranger.get(f"/come-in/{stranger.keys.key}")
    cookie = response.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert stranger.keys.key not in cookie
    assert stranger.keys.key.encode() not in response.data


def test_a_pass_of_another_run_is_void(stranger: Phone) -> None:
    stranger.client.set_cookie(guard.COOKIE, Keys().exchange("") or "guess", domain="192.168.1.20")
    assert stranger.get("/start").status_code == 403


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize(
    "host", ["evil.example", "localhost:8737", "192.168.1.20", "127.0.0.1:8737"]
)
def test_a_name_that_leads_here_from_elsewhere_is_refused(
    phone: Phone, page: str, host: str
) -> None:
    """DNS rebinding: the browser sends the cookie's site and another Host."""
    response = phone.get(page, Host=host)
    assert (response.status_code, response.data) == (403, b"")


@pytest.mark.parametrize(
    "changed",
    [
        {"Origin": None},
        {"Origin": "null"},
        {"Origin": "http://evil.example"},
        {"Origin": "http://192.168.1.20"},
        {"Origin": f"https://{HOST}"},
        {guard.OURS: None},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
    ids=str,
)
@pytest.mark.parametrize("path", ["/act", "/photo", "/scan"])
def test_another_page_cannot_enter_anything(
    phone: Phone, changed: dict[str, str | None], path: str
) -> None:
    response = phone.post(path, reading(), **changed)
    assert (response.status_code, response.data) == (403, b"")
    assert entered(phone) == 0


def test_nothing_too_large_is_taken(phone: Phone) -> None:
    assert phone.post("/act", b" " * (guard.MOST + 1)).status_code == 413
    large = phone.client.post(
        "/photo", base_url=f"http://{HOST}", input_stream=None,
        headers={"Origin": f"http://{HOST}", guard.OURS: "1"},
        environ_overrides={"CONTENT_LENGTH": str(guard.MOST_PHOTO + 1)},
    )  # fmt: skip
    assert large.status_code == 413
    assert entered(phone) == 0


def test_a_flood_is_held_back_and_passes_again_later() -> None:
    now = [0.0]
    rate = Rate(3, 0.5, lambda: now[0])
    assert [rate.take() for _ in range(5)] == [True, True, True, False, False]
    now[0] = 2.0
    assert [rate.take(), rate.take()] == [True, False]


@pytest.fixture
def standing_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """No time passes for the rates, however slow the machine is."""
    monkeypatch.setattr("qlog.phone.guard.clock", lambda: 0.0)


def test_strangers_are_held_back_without_hindering_the_phone(
    standing_clock: None, phone: Phone
) -> None:
    tried = [phone.get("/come-in/wrong").status_code for _ in range(60)]
    assert 429 in tried
    assert phone.get("/start").status_code == 200
    assert phone.act("note", text="x")["status"] == "entered"
    phone.come_in()


def test_entries_are_held_back_in_a_flood(standing_clock: None, phone: Phone) -> None:
    asked = [phone.get("/files/phone.css").status_code for _ in range(400)]
    assert asked[0] == 200
    assert asked[-1] == 429


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_nothing_can_be_deleted_or_changed_in_place(phone: Phone, method: str) -> None:
    response = phone.client.open("/start", base_url=f"http://{HOST}", method=method)
    assert response.status_code == 405


@pytest.mark.parametrize(
    "path",
    [
        "/files/../build.toml", "/files/..%2fbuild.toml", "/files/build.toml", "/files/page.html",
        "/logbook.db", "/build.toml", "/photos/", "/static/x", "/operation/cup/20/../../build.toml",
    ],
)  # fmt: skip
def test_nothing_can_be_read_but_what_the_page_shows(phone: Phone, path: str) -> None:
    response = phone.get(path)
    assert response.status_code == 404
    assert response.data == b""


@pytest.mark.parametrize("page", PAGES)
def test_every_answer_says_what_it_may_do(phone: Phone, page: str) -> None:
    headers = phone.get(page).headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert "Server" not in headers


def test_the_page_has_no_script_of_its_own_in_the_text(phone: Phone) -> None:
    text = phone.get("/").text
    assert "<script>" not in text
    assert " style=" not in text
    assert "onclick" not in text


def test_what_is_logged_is_not_kept_by_the_browser(phone: Phone) -> None:
    assert phone.get("/start").headers["Cache-Control"] == "no-store"
    assert phone.get("/operation/cup/20").headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize(
    "said",
    [
        b"[]", b"null", b"{}", b'{"id": 1}', b"\xff\xfe", b'{"id": "x", "act": "reading"}',
        json.dumps({"id": "a" * 32, "act": "drop table", "part": "cup", "op": 20}).encode(),
        json.dumps({"id": "a" * 32, "act": "note", "part": "cup", "op": 20, "text": {}}).encode(),
        json.dumps({"id": "../../x", "act": "note", "part": "cup", "op": 20}).encode(),
        json.dumps(
            {"id": "a" * 32, "act": "note", "part": "cup", "op": 20, "text": "x", "waited": "1"}
        ).encode(),
    ],
)  # fmt: skip
def test_what_the_page_cannot_have_sent_is_refused(phone: Phone, said: bytes) -> None:
    assert phone.post("/act", said).status_code == 400
    assert entered(phone) == 0


def test_no_name_from_the_phone_is_used_on_the_disk(phone: Phone, tmp_path: Path) -> None:
    from tests.photo_scenes import photo

    photo(tmp_path / "evil.jpg", "10:00", 1)
    data = (tmp_path / "evil.jpg").read_bytes()
    before = {p for p in phone.folder.parent.rglob("*") if p.is_file()}
    assert phone.photo(data, piece="../../../x")["status"] == "refused"
    assert phone.photo(data, part="../cup")["status"] == "refused"
    answer = phone.photo(data, piece=1, name=new_name())
    assert answer["status"] == "entered"
    after = {p for p in phone.folder.parent.rglob("*") if p.is_file()} - before
    kept = {p for p in after if not p.name.startswith("logbook.db")}
    assert {p.parent.parent for p in kept} == {phone.folder / "photos"}


@pytest.mark.parametrize("address", ["0.0.0.0", "::", "home.example", "", "224.0.0.1", "192.168.1"])
def test_only_one_address_can_be_listened_on(address: str) -> None:
    with pytest.raises(Problem):
        checked_address(address)


def test_it_listens_on_the_address_chosen_and_only_while_it_runs(build_dir: Path) -> None:
    server = Server(build_dir / "build.toml", "127.0.0.1", 0)
    running = threading.Thread(target=server.run, daemon=True)
    running.start()
    with socket.create_connection(("127.0.0.1", server.port), 5) as line:
        line.sendall(f"GET /start HTTP/1.1\r\nHost: {server.host}\r\n\r\n".encode())
        assert b"403" in line.recv(200).splitlines()[0]
    with pytest.raises(OSError, match="refused"):
        socket.create_connection(("127.0.0.2", server.port), 5)
    with pytest.raises(Problem, match="cannot listen"):
        Server(build_dir / "build.toml", "127.0.0.1", server.port)
    server.close()
    running.join(5)
    with pytest.raises(OSError, match="refused"):
        socket.create_connection(("127.0.0.1", server.port), 5)


def test_entries_of_the_phone_are_readings_like_any_other(phone: Phone) -> None:
    phone.read(1, "22,03", kept=["skipped operation"])
    with phone.log() as log:
        [entry] = log.live(Reading)
    assert (entry.fact.typed, entry.fact.value, entry.fact.instrument) == (
        "22,03", "22.03", "micrometer",
    )  # fmt: skip
