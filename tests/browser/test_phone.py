"""The phone's page in a browser with a touch screen: entered, checked, kept, sent, seen by all."""

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser
from playwright.sync_api import Error as PlaywrightError

from qlog.logbook.facts import Placement, Reading
from qlog.logbook.store import Logbook, create
from tests.browser.test_axe import ALL_RULES, AXE, RUN
from tests.conftest import SMALL_PLAN, run_qlog
from tests.phone.driven import Faults, Hand, Served, hand, large_plan, until

#: The smallest phone, usual ones, a tablet upright; then a phone and a tablet on their side.
WINDOWS = [(320, 568), (390, 700), (360, 740), (768, 1024), (740, 360), (1024, 768)]
#: What the bars of a browser leave of the smallest phones, upright and on their side.
LITTLE = [(320, 480), (667, 320), (568, 320)]


def picture(seed: int = 0) -> bytes:
    made = io.BytesIO()
    image = Image.new("RGB", (64, 48), (seed % 256, seed // 256 % 256, seed // 65536 % 256))
    image.save(made, "JPEG", comment=str(seed).encode())
    return made.getvalue()


def served(folder: Path, plan: str) -> Iterator[Served]:
    (folder / "build.toml").write_text(plan, encoding="utf-8")
    create(folder / "logbook.db")
    started = Served(folder)
    yield started
    started.kill()


@pytest.fixture
def small(tmp_path: Path) -> Iterator[Served]:
    items = '\n[[item]]\nid = "set"\nname = "Set"\ncount = 2\ntakes = { cup = 1, ring = 1 }\n'
    yield from served(tmp_path, SMALL_PLAN + items)


@pytest.fixture
def phone(browser: Browser, small: Served) -> Iterator[Hand]:
    own = hand(browser, "cup", 10)
    errors: list[str] = []
    own.page.on("pageerror", lambda error: errors.append(str(error)))
    own.come_in(small.url)
    yield own
    own.context.close()
    assert errors == []


def values(served: Served) -> list[tuple[str, int, str]]:
    with Logbook(served.folder / "logbook.db") as log:
        return [(e.fact.dimension, e.fact.piece, e.fact.typed) for e in log.live(Reading)]


def choose(own: Hand, label: str) -> None:
    own.page.locator("#ask-buttons").get_by_role("button", name=label).first.tap()


def test_a_reading_is_answered_in_word_shape_and_colour(phone: Hand, small: Served) -> None:
    phone.type("32.01")
    phone.wait_sent()
    assert "good" in phone.page.text_content("#last")
    assert phone.page.get_attribute("#last", "class") == "good"
    assert phone.page.locator("#last .strip .now").count() == 1
    phone.type("32,13")
    phone.wait_sent()
    assert "out high" in phone.page.text_content("#last")
    assert phone.page.get_attribute("#last .verdict use", "href") == "#shape-high"
    assert "0.03 beyond 32.1" in phone.page.text_content("#last")
    assert values(small) == [("height", 1, "32.01"), ("height", 2, "32,13")]


def test_a_slip_is_one_question_with_the_other_value_to_take(phone: Hand, small: Served) -> None:
    phone.type("320.1")
    phone.page.wait_for_selector("#ask[open]")
    assert phone.unsent()[0]["state"] == "asks"
    choose(phone, "Take")
    phone.wait_sent()
    assert [(d, p) for d, p, _ in values(small)] == [("height", 1)]
    assert "good" in phone.page.text_content("#last")


def test_skip_undo_scrap_note_and_tool(phone: Hand, small: Served) -> None:
    page = phone.page
    phone.type("32.01")
    phone.wait_sent()
    page.tap("#undo")
    until(page, "document.getElementById('last').textContent.includes('taken back')")
    phone.wait_sent()
    until(page, "bench.place.piece === 1")
    assert values(small) == []
    page.tap("#skip")
    choose(phone, "Not now")
    until(page, "bench.place.piece === 2")
    page.tap("#more")
    choose(phone, "Scrap")
    page.fill("#ask-input", "dropped")
    choose(phone, "cup-2")
    phone.wait_sent()
    until(page, "bench.place.piece === 3")
    page.tap("#more")
    choose(phone, "Note")
    page.fill("#ask-input", "chatter")
    choose(phone, "Note")
    page.tap("#more")
    choose(phone, "Tool changed")
    choose(phone, "Re-touched")
    until(page, "bench.mine.some((step) => step.act === 'setup')")
    phone.wait_sent()
    said = run_qlog("--build", str(small.folder), "undo").out
    for line in ("new setup from cup-3 (re-touch)", "chatter", "dropped"):
        assert line in said


def test_a_photo_is_the_evidence_of_the_reading_on_the_screen(phone: Hand, small: Served) -> None:
    phone.take_photo(picture(1))
    phone.type("32.01")
    phone.wait_sent()
    assert phone.page.get_attribute("#camera", "aria-label") == "Photo of cup-1 height"
    phone.take_photo(picture(2))
    phone.wait_sent()
    with Logbook(small.folder / "logbook.db") as log:
        placed = [(e.fact.op, e.fact.piece, e.fact.dimension) for e in log.live(Placement)]
    assert placed == [(10, 1, None), (10, 1, "height")]


def test_instrument_and_temperature_are_chosen_and_go_with_the_reading(
    phone: Hand, small: Served
) -> None:
    page = phone.page
    page.tap("#more")
    choose(phone, "Another instrument")
    choose(phone, "micrometer")
    page.tap("#more")
    choose(phone, "Temperature of the pieces")
    page.fill("#ask-input", "2l.5")  # no number: asked once more
    choose(phone, "They are at this temperature")
    page.fill("#ask-input", "23,5")
    choose(phone, "They are at this temperature")
    until(page, "document.getElementById('asked').textContent.includes('23,5 °C')")
    page.reload()  # in the middle of a sitting: what was chosen holds
    page.wait_for_selector("#view-read:not([hidden])", state="attached")
    assert page.locator("#asked b").all_text_contents() == ["micrometer", "23,5 °C"]
    phone.type("32.01")
    phone.wait_sent()
    page.tap("#more")
    choose(phone, "Temperature of the pieces")
    choose(phone, "Straight off the machine")
    phone.type("32.02")
    phone.wait_sent()
    with Logbook(small.folder / "logbook.db") as log:
        kept = [e.fact for e in log.live(Reading)]
    assert [(f.instrument, f.temperature, f.note) for f in kept] == [
        ("micrometer", "23.5", ""), ("micrometer", None, "straight off the machine"),
    ]  # fmt: skip


def test_photos_of_pieces_and_items_are_taken_and_undone(phone: Hand, small: Served) -> None:
    page = phone.page
    phone.take_photo(picture(1))
    phone.wait_sent()
    assert "1 taken" in page.locator(".camera span").first.text_content()
    page.tap("#undo")
    phone.wait_sent()
    page.tap("#back")
    page.get_by_role("link", name="Set 2").tap()
    page.wait_for_selector("#view-item:not([hidden])")
    for seed in (2, 3):
        page.set_input_files(
            "#item-camera", {"name": "x.jpg", "mimeType": "image/jpeg", "buffer": picture(seed)}
        )
        until(page, "n => bench.mine.length === n", seed - 1)
    phone.wait_sent()
    page.tap("#item-undo")
    phone.wait_sent()
    until(page, "document.getElementById('item-said').textContent.includes('taken back')")
    with Logbook(small.folder / "logbook.db") as log:
        placed = [(e.fact.op, e.fact.item, e.fact.audience) for e in log.live(Placement)]
    assert sorted(placed, key=str) == [
        (None, "set-2", "both"), (None, None, "nobody"), (None, None, "nobody"),
    ]  # fmt: skip


def test_a_plain_reload_needs_the_laptop_and_loses_nothing(phone: Hand, small: Served) -> None:
    phone.type("32.01")
    phone.page.reload()
    phone.page.wait_for_selector("#view-read:not([hidden])", state="attached")
    phone.wait_sent()
    small.kill()
    phone.type("32.02")
    with pytest.raises(PlaywrightError):
        phone.page.reload()  # the browser asks the laptop, which is away
    phone.page.wait_for_url("chrome-error://**")
    phone.page.goto(f"http://127.0.0.1:{small.port}/#op/cup/10")  # typed: from the phone's store
    until(phone.page, "typeof bench !== 'undefined' && bench.op !== null")
    assert [act["body"]["text"] for act in phone.unsent()] == ["32.02"]
    small.start()
    phone.come_in(small.url)
    phone.wait_sent()
    assert [v for _, _, v in values(small)] == ["32.01", "32.02"]


def test_without_the_laptop_everything_waits_and_is_sent_later(phone: Hand, small: Served) -> None:
    phone.context.set_offline(True)
    phone.type("32.01")
    phone.type("32.02")
    phone.take_photo(picture())
    until(phone.page, "document.getElementById('state').textContent.includes('3 not sent')")
    assert "laptop out of reach" in phone.page.text_content("#state")
    assert "kept on the phone, verdict follows" in phone.page.text_content("#last")
    assert values(small) == []
    phone.context.set_offline(False)
    phone.wait_sent()
    assert phone.page.text_content("#state") == "all sent"
    assert [v for _, _, v in values(small)] == ["32.01", "32.02"]


def test_what_waits_outlives_a_reload_and_a_laptop_started_anew(phone: Hand, small: Served) -> None:
    small.kill()
    phone.type("32.01")
    small.start()
    phone.page.evaluate("Sending.send()")
    until(phone.page, "!document.getElementById('notice').hidden")
    assert "scan its new code" in phone.page.text_content("#notice")
    phone.come_in(small.url)
    phone.wait_sent()
    assert values(small) == [("height", 1, "32.01")]


def test_the_page_can_be_opened_again_while_the_laptop_is_away(phone: Hand, small: Served) -> None:
    """By its address: the browser has kept the page. A reload asks the laptop, and fails."""
    phone.type("32.01")
    phone.wait_sent()
    small.kill()
    phone.page.goto("about:blank")
    phone.page.goto(f"http://127.0.0.1:{small.port}/#op/cup/10")
    phone.page.wait_for_selector("#view-read:not([hidden])", state="attached")
    phone.type("32.02")
    assert [act["body"]["text"] for act in phone.unsent()] == ["32.02"]
    small.start()
    phone.come_in(small.url)
    phone.wait_sent()
    assert len(values(small)) == 2


def test_a_phone_without_room_says_so_and_keeps_what_was_typed(phone: Hand, small: Served) -> None:
    phone.page.evaluate("void (Queue.add = async () => { throw new Error('no room') })")
    for sign in "32.01":
        phone.page.tap(f'#pad [data-key="{sign}"]')
    phone.page.tap("#enter")
    until(phone.page, "document.getElementById('notice').textContent.includes('no room')")
    assert phone.page.text_content("#typed") == "32.01"
    assert values(small) == []


def test_two_phones_on_one_place_are_told(browser: Browser, phone: Hand, small: Served) -> None:
    other = hand(browser, "cup", 10)
    other.come_in(small.url)
    phone.type("32.01")
    phone.wait_sent()
    other.type("32.05")
    other.page.wait_for_selector("#ask[open]")
    assert "32.01" in other.page.text_content("#ask-text")
    choose(other, "Mine replaces it")
    other.wait_sent()
    assert values(small) == [("height", 1, "32.05")]
    other.context.close()


def test_go_and_no_go_are_two_large_buttons(phone: Hand, small: Served) -> None:
    run_qlog("--build", str(small.folder), "done", "cup", "10")
    for piece in "1234":
        run_qlog("--build", str(small.folder), "read", "cup", "20", "bore", piece, "22.03")
    phone.op = 20
    phone.go()
    for name in ("Go", "No-go"):
        box = phone.page.get_by_role("button", name=name, exact=True).bounding_box()
        assert box is not None
        assert box["width"] >= 150
        assert box["height"] >= 120
    phone.page.get_by_role("button", name="No-go", exact=True).dblclick()
    phone.wait_sent()
    assert [v for v in values(small) if v[0] == "look"] == [("look", 1, "no-go")]
    assert ("look", 1, "no-go") in values(small)
    assert "fail" in phone.page.text_content("#last")


def test_an_inch_drawing_has_a_fraction_stroke(phone: Hand, small: Served) -> None:
    plan = SMALL_PLAN.removesuffix('  instrument = "micrometer"\n')  # metric on an inch drawing
    (small.folder / "build.toml").write_text(plan, encoding="utf-8")
    phone.part = "ring"
    phone.go()
    phone.page.wait_for_selector('#pad [data-key="/"]')  # the view was asked for just now
    assert phone.page.is_visible('#pad [data-key=" "]')
    assert not phone.page.is_visible('#pad [data-key=","]')


def test_an_answer_that_comes_while_another_view_opens_belongs_to_its_own(
    phone: Hand, small: Served
) -> None:
    page = phone.page
    page.evaluate(
        "() => { const kept = Queue.kept; Queue.kept = (what) => new Promise((done) => {"
        " window.goOn = () => { Queue.kept = kept; done(kept(what)); } }) }"
    )
    page.evaluate("location.hash = 'op/ring/10'")
    until(page, "window.goOn !== undefined")  # the new view waits for the phone's store
    phone.type("32.01")
    phone.wait_sent()
    page.evaluate("goOn()")
    until(page, "bench.op.part.id === 'ring' && document.body.dataset.view !== 'start'")
    assert page.evaluate("[bench.mine, bench.last, bench.typed]") == [[], None, ""]
    assert values(small) == [("height", 1, "32.01")]
    page.go_back()
    until(page, "bench.op.part.id === 'cup' && bench.mine.length === 1")


def test_going_back_takes_the_open_question_with_it(phone: Hand, small: Served) -> None:
    phone.page.tap("#more")
    choose(phone, "Scrap")
    phone.page.wait_for_selector("#ask[open]")
    phone.page.go_back()
    phone.page.wait_for_selector("#view-start:not([hidden])")
    assert not phone.page.is_visible("#ask")


def test_what_the_drawing_lost_meanwhile_is_asked_no_more(phone: Hand, small: Served) -> None:
    left = phone.page.evaluate(
        "() => { bench.op.dimensions = bench.op.dimensions.filter((d) => d.id !== 'height');"
        " bench.op.places = bench.op.places.filter(([id]) => id !== 'height');"
        " showPlace(); return bench.place }"
    )
    assert left is None


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_view_obeys_the_rules_at_every_size(
    browser: Browser, small: Served, scheme: str
) -> None:
    own = hand(browser, "cup", 10, color_scheme=scheme, bypass_csp=True)
    own.page.goto(small.url)
    own.page.wait_for_selector("#next a")
    views = ["start", "before", "read", "ask", "item", "sheet"]
    found = []
    for view in views:
        if view == "before":
            own.page.evaluate("location.hash = 'op/cup/10'")
            own.page.wait_for_selector("#begin", state="visible")
        elif view == "read":
            own.page.tap("#begin")
            own.page.wait_for_selector("#pad", state="visible")
            own.type("32.13")
            own.wait_sent()
        elif view == "ask":
            own.page.tap("#skip")
        elif view == "item":
            choose(own, "Close")
            own.page.evaluate("location.hash = 'item/set-1'")
            own.page.wait_for_selector("#item-undo", state="visible")
        elif view == "sheet":
            own.page.evaluate("location.hash = 'sheet'")
            own.page.wait_for_selector("#sheet-file", state="attached")
        own.page.evaluate(AXE)
        for width, height in WINDOWS:
            own.page.set_viewport_size({"width": width, "height": height})
            found += [f"{view} {width}: {line}" for line in own.page.evaluate(RUN, ALL_RULES)]
            wide = own.page.evaluate("document.documentElement.scrollWidth - innerWidth")
            found += [f"{view} {width}: scrolls sideways by {wide}"] if wide > 0 else []
    own.context.close()
    assert found == []


def test_a_thumb_reaches_and_hits_every_key(phone: Hand) -> None:
    """Keys of 44 CSS pixels and more (WCAG 2.2, 2.5.5), none below the window's lower edge."""
    for text in ("32.01", "32.13"):  # the longest answer: out, with its strip and the trend
        phone.type(text)
        phone.wait_sent()
    found = []
    windows = [(unit, *window) for unit in ("mm", "inch") for window in WINDOWS + LITTLE]
    for unit, width, height in windows:
        phone.page.set_viewport_size({"width": width, "height": height})
        phone.page.evaluate("unit => { $('pad').dataset.unit = unit }", unit)
        boxes = phone.page.evaluate(
            "[...document.querySelectorAll('#pad button, #tools button, .camera, #state')]"
            ".filter(b => b.offsetParent).map(b => { const r = b.getBoundingClientRect();"
            " return [b.textContent.trim(), r.x, r.y, r.width, r.height] })"
        )
        found += [(width, b) for b in boxes if min(b[3], b[4]) < 44]
        found += [(width, b) for b in boxes if b[2] + b[4] > height]
        last = phone.page.evaluate("$('last').getBoundingClientRect().height")
        found += [(width, last)] if last < 24 else []  # a line of the answer at least
        if height > width:  # held in one hand: the keys lie in the lower two thirds
            keys = [b for b in boxes if b[0] in set("0123456789") | {"Enter"}]
            assert len(keys) == 11
            found += [(width, b) for b in keys if b[2] < height / 3]
    assert found == []


def test_everything_has_a_name_for_a_screen_reader(phone: Hand) -> None:
    nameless = phone.page.evaluate(
        "[...document.querySelectorAll('button, input, a, img')].filter(e => e.offsetParent)"
        ".filter(e => !(e.getAttribute('aria-label') || e.textContent.trim() || e.alt"
        " || e.labels?.[0]?.textContent.trim())).map(e => e.outerHTML)"
    )
    assert nameless == []
    for name in ("Delete the last sign", "Minus", "Enter", "Photo of cup-1", "Undo", "Skip"):
        assert (
            phone.page.get_by_label(name).or_(phone.page.get_by_role("button", name=name)).count()
            == 1
        ), name
    assert phone.page.get_by_role("status").count() >= 1


def test_it_speaks_german_where_the_build_does(browser: Browser, tmp_path: Path) -> None:
    started = served(tmp_path, 'language = "de"\n' + SMALL_PLAN)
    own = hand(browser, "cup", 10)
    own.come_in(next(started).url)
    own.type("32,01")
    own.wait_sent()
    assert own.page.get_attribute("html", "lang") == "de"
    own.page.tap("#more")
    own.page.wait_for_selector("#ask[open]")
    text = own.page.inner_text("body")
    for german in ("Anderes Messmittel", "Temperatur der Teile", "Foto von cup-1"):
        assert german in text, german
    assert "alles gesendet" in text
    assert "Eintragen" in text
    assert "32,01" in text
    for english in ("Enter", "Skip", "Undo", "sent", "good", "left", "of", "Photo", "the"):
        assert english not in text.split(), english
    own.context.close()
    next(started, None)


def test_random_faults_double_nothing_and_lose_nothing(browser: Browser, tmp_path: Path) -> None:
    """A short, repeatable part of what tests/benchmarks/phone_faults.py does a thousand times."""
    started = served(tmp_path, large_plan(10, 3))
    laptop = next(started)
    run_qlog("--build", str(tmp_path), "done", "pin", "10")
    hands = [hand(browser, "pin", 10), hand(browser, "pin", 20)]
    for own in hands:
        own.come_in(laptop.url)
    faults = Faults(laptop, hands, picture, seed=7)
    for fault in ("offline", "lost", "twice", "cut", "reload", "photo", "terminal", "kill"):
        getattr(faults, f"_{fault}")(hands[len(fault) % 2], "10.02")
    faults.check()
    for own in hands:
        own.context.close()
    next(started, None)


def test_a_sheet_is_typed_in_beside_its_photo(browser: Browser, small: Served) -> None:
    """The photo is the printed page itself; each cell shown is the one that is asked for."""
    run_qlog("--build", str(small.folder), "done", "cup", "10")
    run_qlog("--build", str(small.folder), "sheet", "cup", "20")
    paper = browser.new_page(viewport={"width": 800, "height": 1100}, device_scale_factor=2)
    paper.goto((small.folder / "sheet-cup-op20.html").as_uri())
    cells = paper.locator("tbody tr td:not(.setup):not(.remark)")
    boxes = [cells.nth(n).bounding_box() for n in range(cells.count())]
    photo = paper.screenshot(type="jpeg", quality=90)
    paper.close()
    assert len(boxes) == 8  # four pieces, two dimensions
    first, last = boxes[0], boxes[-1]
    assert first is not None
    assert last is not None
    left, top = first["x"], first["y"]
    right, bottom = last["x"] + last["width"], last["y"] + last["height"]

    desk = hand(browser, "cup", 20, viewport={"width": 900, "height": 1000}, is_mobile=False)
    desk.page.goto(small.url + "?sheet")
    desk.page.wait_for_selector("#view-sheet:not([hidden])")
    desk.page.set_input_files(
        "#sheet-file", {"name": "s.jpg", "mimeType": "image/jpeg", "buffer": photo}
    )
    desk.page.wait_for_selector("#begin", state="visible")
    desk.page.tap("#begin")
    desk.page.wait_for_selector("#corners", state="visible")
    until(
        desk.page,
        "(i => i.complete && i.naturalWidth > 0 && i.getBoundingClientRect().height > 100)"
        "(document.getElementById('sheet-image'))",
    )
    image = desk.page.locator("#sheet-image").bounding_box()
    assert image is not None
    scale = image["width"] / 800
    for x, y in ((left, top), (right, top), (right, bottom), (left, bottom)):
        desk.page.locator("#sheet-image").click(position={"x": x * scale, "y": y * scale})
    desk.page.wait_for_selector("#sheet-cell", state="visible")
    for n, text in enumerate(("22.031", "go", "22.033", "go")):
        alt = desk.page.get_attribute("#cell-photo", "alt")
        assert alt == f"Cell cup-{n // 2 + 1} {('socket', 'look')[n % 2]} of the photo"
        middle = desk.page.evaluate(
            "() => { const f = document.getElementById('cell-frame').getBoundingClientRect();"
            " const p = document.getElementById('cell-photo').getBoundingClientRect();"
            " const i = document.getElementById('cell-photo');"
            " const s = i.naturalWidth / p.width;"
            " return [(f.x + f.width / 2 - p.x) * s, (f.y + f.height / 2 - p.y) * s] }"
        )
        cell = boxes[n]
        assert cell is not None
        assert abs(middle[0] / 2 - cell["x"] - cell["width"] / 2) < 4
        assert abs(middle[1] / 2 - cell["y"] - cell["height"] / 2) < 4
        if text == "go":
            desk.page.wait_for_timeout(750)  # a second hit within 0.7 s is taken for a slip
            desk.page.get_by_role("button", name="Go", exact=True).click()
        else:
            desk.page.keyboard.type(text)
            desk.page.keyboard.press("Enter")
        desk.wait_sent()
    assert values(small) == [
        ("bore", 1, "22.031"), ("look", 1, "go"), ("bore", 2, "22.033"), ("look", 2, "go"),
    ]  # fmt: skip
    with Logbook(small.folder / "logbook.db") as log:
        assert [e.fact.audience for e in log.live(Placement)] == ["maker"]
    desk.context.close()
