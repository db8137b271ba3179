"""Hostile texts, drawings, photos and names reach a page as text, and do nothing there.

The pages' own policy is put aside, so that it cannot hide a text that was let through.
"""

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.conftest import run_qlog
from tests.hostile import Hostile, make_hostile

Built = tuple[Path, Hostile, list[str]]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    build, used, notes = make_hostile(tmp_path_factory.mktemp("hostile"))
    ran = run_qlog("--build", str(build), "record", "--zip")
    assert ran.status in (0, 1), ran
    for page in ("sheet p0 10", "card p0"):
        made = run_qlog("--build", str(build), *page.split())
        assert made.status in (0, 1), made
    return build / "record", used, notes


def test_there_are_enough_of_them(built: Built) -> None:
    assert built[1].used >= 200


@pytest.mark.parametrize("edition", ["maker", "recipient", "bench"])
def test_nothing_runs_and_nothing_is_asked_for(
    browser: Browser, built: Built, edition: str
) -> None:
    record, _, notes = built
    folder = record.parent if edition == "bench" else record / edition
    pages = sorted(folder.glob("*.html") if edition == "bench" else folder.rglob("*.html"))
    assert len(pages) >= (2 if edition == "bench" else 8)
    context = browser.new_context(bypass_csp=True)
    page = context.new_page()
    outside: list[str] = []
    said: list[str] = []
    page.on(
        "request",
        lambda r: outside.append(r.url) if not r.url.startswith((folder.as_uri(), "data:image/"))
        else None,
    )  # fmt: skip
    page.on("dialog", lambda d: (outside.append(f"dialog {d.message}"), d.dismiss()))
    page.on("pageerror", lambda e: outside.append(f"script {e}"))
    for path in pages:
        page.goto(path.as_uri(), wait_until="load")
        page.mouse.move(200, 200)
        found = page.evaluate(
            """() => ({
              ran: typeof window.ran,
              scripts: [...document.scripts].filter(s => !s.src && s.textContent.includes('ran'))
                .length,
              handlers: [...document.querySelectorAll('*')].filter(
                e => [...e.attributes].some(a => /^on/.test(a.name)
                  || /^\\s*(javascript|vbscript|data:text)/i.test(a.value)
                  && ['href', 'src', 'action'].includes(a.localName))).length,
              text: document.documentElement.textContent,
              seen: document.body.innerText,
            })"""
        )
        where = path.relative_to(folder).as_posix()
        assert (where, found["ran"]) == (where, "undefined")
        assert (where, found["scripts"], found["handlers"]) == (where, 0, 0)
        said.append(found["text"])
    context.close()
    assert outside == []
    if edition == "maker":
        whole = " ".join(" ".join(said).split())
        lost = [text for text in notes if " ".join(text.split()) not in whole]
        assert lost == []  # as text, every sign of it


@pytest.mark.parametrize("edition", ["maker", "recipient"])
def test_no_drawing_holds_anything_that_acts_or_fetches(built: Built, edition: str) -> None:
    for path in (built[0] / edition).rglob("*.svg"):
        text = path.read_text(encoding="utf-8").lower()
        for word in ("script", "192.0.2.1", "onload", "onclick", "iframe", "@import", "ran=1"):
            assert word not in text, (path, word)


@pytest.mark.parametrize("edition", ["maker", "recipient"])
def test_every_picture_that_goes_along_is_shown_on_a_page(built: Built, edition: str) -> None:
    _every_picture_is_shown(built[0] / edition)


@pytest.mark.parametrize("edition", ["maker", "recipient"])
def test_every_picture_of_the_example_is_shown_on_a_page(shown, edition: str) -> None:  # type: ignore[no-untyped-def]
    _every_picture_is_shown(shown.edition(edition))


def _every_picture_is_shown(folder: Path) -> None:
    kinds = {".jpg", ".jpeg", ".png", ".webp", ".avif", ".svg", ".gif"}
    pictures = [p for p in folder.rglob("*") if p.suffix.lower() in kinds]
    pages = "".join(
        p.read_text(encoding="utf-8")
        for p in folder.rglob("*")
        if p.suffix in (".html", ".css", ".webmanifest")
    )
    assert pictures
    assert [p.name for p in pictures if p.name not in pages] == []
