"""A real browser on the record as it lies on the disk: what it asks for, what it complains of."""

import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal
from urllib.parse import unquote, urlsplit
from urllib.request import url2pathname

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.demo_record import Demo, demo

Scheme = Literal["light", "dark"]
#: The first is the same engine without the window around it: a page takes two thirds of the time.
BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
#: Nothing may be asked of a network, and no wait may last.
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--in-process-gpu",
    "--disable-background-networking",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]
LIMIT_MS = 10_000
#: Whether every page is looked at in every state, which takes minutes.
ALL_PAGES = os.environ.get("QLOG_PAGES") == "all"
#: A phone, a tablet, a laptop.
SIZES = {360: 740, 768: 1024, 1280: 800}


def chromium() -> str:
    """The system's Chromium; its absence is an error, since nothing here can be known without."""
    named = os.environ.get("CHROMIUM")
    for name in (named, *BROWSERS):
        path = shutil.which(name) if name else None
        if path:
            return path
    raise RuntimeError("no Chromium: run `python3 .ci/set_up.py --tests`, or name one in CHROMIUM")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        yield started
        started.close()


@pytest.fixture(scope="session")
def shown() -> Demo:
    """The example build with both editions; tests only read it."""
    return demo()


#: Waits until the page's face is there. Nobody has to look: Playwright's own waiting has the page
#: painted again and again, which took as long as loading it.
FACE_THERE = """
async limit => {
  const end = performance.now() + limit;
  while (document.documentElement.classList.contains("face-awaited")) {
    if (performance.now() > end) throw new Error("the page is not shown");
    await new Promise(requestAnimationFrame);
  }
}
"""
#: Pictures that lie at least partly in the window, once they are there; a second at most.
IN_SIGHT = """
async () => {
  const seen = [...document.images].filter(i => {
    const box = i.getBoundingClientRect();
    return box.bottom > 0 && box.top < innerHeight && box.width > 0;
  });
  for (let n = 0; n < 60 && seen.some(i => !i.complete); n++) {
    await new Promise(requestAnimationFrame);
  }
  return seen.map(i => i.currentSrc || i.src);
}
"""


@dataclass
class Watched:
    """A page and everything that went wrong in it or went out of it."""

    page: Page
    folder: Path
    asked: list[Path] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def go(self, path: str) -> Page:
        """Open a page of the record and wait until all that it shows at first is there."""
        self.asked.clear()
        self.page.goto((self.folder / path).as_uri(), wait_until="load")
        self.page.evaluate(FACE_THERE, LIMIT_MS)
        return self.page

    def watch(self) -> None:
        page = self.page
        page.set_default_timeout(LIMIT_MS)
        page.on("request", lambda request: self._request(request.url))
        page.on("requestfailed", lambda request: self._failed(request.url, request.failure or ""))
        page.on("pageerror", lambda error: self.complaints.append(f"script: {error}"))
        page.on(
            "console",
            lambda message: (
                self.complaints.append(f"console: {message.text}")
                if message.type in ("error", "warning")
                else None
            ),
        )

    def _failed(self, url: str, why: str) -> None:
        # Given up because the next page was opened: the icon, mostly. What is missing says so.
        if why != "net::ERR_ABORTED":
            self.complaints.append(f"failed: {url} {why}")

    def _request(self, url: str) -> None:
        parts = urlsplit(url)
        path = Path(url2pathname(unquote(parts.path)))
        if parts.scheme != "file" or not path.is_relative_to(self.folder):
            self.complaints.append(f"left the folder: {url}")
        self.asked.append(path)

    def first_view(self) -> set[Path]:
        """Files of what is seen before anybody scrolls, late pictures in sight included."""
        in_sight = self.page.evaluate(IN_SIGHT)
        named = {Path(url2pathname(unquote(urlsplit(url).path))) for url in in_sight}
        early = {path for path in self.asked if path.parent.name != "photos"}
        return named | early | {Path(url2pathname(unquote(urlsplit(self.page.url).path)))}


Opener = Callable[..., Watched]


def one_of_each_kind(shown: Demo, edition: str) -> list[str]:
    """The fullest page of every template: each page at the top, and the largest of each folder.

    Where QLOG_PAGES is "all": every page, which takes minutes.
    """
    pages = shown.pages(edition)
    if ALL_PAGES:
        return pages
    fullest: dict[str, tuple[int, str]] = {}
    for path in pages:
        folder, _, name = path.rpartition("/")
        found = ((shown.edition(edition) / path).stat().st_size, path)
        fullest[folder or name] = max(fullest.get(folder or name, found), found)
    return [path for _, path in fullest.values()]


@pytest.fixture
def opened(browser: Browser, shown: Demo) -> Iterator[Opener]:
    """Open an edition at a width, in a scheme, with scripts or without; clean at the end."""
    contexts: list[BrowserContext] = []
    watched: list[Watched] = []

    def open_(
        edition: str,
        *,
        width: int = 1280,
        scheme: Scheme = "light",
        scripts: bool = True,
        motion: Literal["reduce", "no-preference"] = "no-preference",
        sharpness: float = 1,
        init: str | None = None,
    ) -> Watched:
        context = browser.new_context(
            viewport={"width": width, "height": SIZES.get(width, 800)},
            color_scheme=scheme,
            java_script_enabled=scripts,
            reduced_motion=motion,
            device_scale_factor=sharpness,
        )
        if init is not None:
            context.add_init_script(init)
        contexts.append(context)
        seen = Watched(context.new_page(), shown.edition(edition))
        seen.watch()
        watched.append(seen)
        return seen

    yield open_
    for context in contexts:
        context.close()
    complaints = [c for seen in watched for c in seen.complaints]
    assert complaints == []
