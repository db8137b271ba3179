"""The page as a hand uses it: the command as a process, a browser with a touch screen."""

import json
import os
import random
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page, Route

from qlog.logbook.facts import Note, Photo, Reading, Sent
from qlog.logbook.store import Logbook
from tests.conftest import run_qlog

#: A phone held upright.
PHONE = {"width": 360, "height": 740}

#: Invented: many places, nothing else.
LARGE_PLAN = """\
title = "Many places"
units = "mm"
general = "ISO 2768-m"
rule = "simple"

[[part]]
id = "pin"
name = "Pin"
needed = {pieces}
spare = 0

  [[part.op]]
  number = 10
  name = "turn"
  kind = "turning"

  [[part.op]]
  number = 20
  name = "mill"
  kind = "milling"
"""
_DIMENSION = """
  [[part.dim]]
  id = "d{n}"
  name = "size {n}"
  callout = "10 ±0.1"
  op = {op}
"""


def large_plan(pieces: int, dimensions: int) -> str:
    """A plan with so many dimensions after each of two operations."""
    return LARGE_PLAN.format(pieces=pieces) + "".join(
        _DIMENSION.format(n=n, op=10 if n <= dimensions else 20)
        for n in range(1, 2 * dimensions + 1)
    )


def until(page: Page, expression: str, arg: Any = None, seconds: float = 300) -> None:
    """Wait for something on the page to be true, without a script that its policy forbids."""
    end = time.monotonic() + seconds
    while not page.evaluate(expression, arg):
        assert time.monotonic() < end, f"never true: {expression}"
        page.wait_for_timeout(20)


def free_port() -> int:
    """A port that nobody uses now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Served:
    """`qlog phone` in a process of its own, which may be killed and started again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.port = free_port()
        self.url = ""
        self._process: subprocess.Popen[str] | None = None
        self.start()

    def start(self) -> None:
        """Start it and wait for its address."""
        self._process = subprocess.Popen(
            [
                sys.executable, "-c", "from qlog.cli.main import main; main()",
                "--build", str(self.folder), "phone",
                "--address", "127.0.0.1", "--port", str(self.port),
            ],
            stdout=subprocess.PIPE, text=True, encoding="utf-8",
            env={**os.environ, "PYTHONUTF8": "1"},
        )  # fmt: skip
        assert self._process.stdout is not None
        for line in self._process.stdout:
            if line.startswith("http://"):
                self.url = line.strip()
                return
        raise RuntimeError("qlog phone ended at once")

    def kill(self) -> None:
        """End it without a warning, as a power cut does."""
        assert self._process is not None
        self._process.kill()
        self._process.wait()
        assert self._process.stdout is not None
        self._process.stdout.close()

    @property
    def pid(self) -> int:
        """The process to be stopped and woken."""
        assert self._process is not None
        return self._process.pid


@dataclass
class Hand:
    """A phone with its page, and what was typed on it."""

    page: Page
    context: BrowserContext
    part: str
    op: int
    typed: list[str] = field(default_factory=list)
    photos: int = 0

    def come_in(self, url: str) -> None:
        """Scan the code and go to the operation."""
        self.page.goto(url)
        self.page.wait_for_selector("#next a, #no-next:not([hidden])", state="attached")
        self.go()

    def go(self) -> None:
        """Open the operation and begin it if that was not done."""
        self.page.evaluate("([p, o]) => { location.hash = `op/${p}/${o}` }", [self.part, self.op])
        until(
            self.page,
            "([p, o]) => bench.op?.part.id === p && bench.op.op.number === o"
            " && ['before', 'read'].includes(document.body.dataset.view)",
            [self.part, self.op],
        )
        if self.page.is_visible("#begin"):
            self.page.tap("#begin")
        self.page.wait_for_selector("#view-read:not([hidden])", state="attached")

    def type(self, text: str) -> None:
        """Tap a number and Enter; answers once the phone has it on its disk."""
        before = self.page.evaluate("bench.mine.length")
        for sign in text:
            self.page.tap(f'#pad [data-key="{sign}"]')
        self.page.tap("#enter")
        until(self.page, "n => bench.mine.length > n", before)
        self.typed.append(text)

    def take_photo(self, data: bytes) -> None:
        """Take a photo; answers once the phone has it on its disk."""
        self.page.evaluate(
            "() => { window.photosTaken = 0; const add = Queue.add; Queue.add = async (a) => {"
            " const r = await add(a); window.photosTaken += 1; Queue.add = add; return r; } }"
        )
        self.page.set_input_files(
            "#camera", {"name": "../../evil name.jpg", "mimeType": "image/jpeg", "buffer": data}
        )
        until(self.page, "window.photosTaken === 1")
        self.photos += 1

    def unsent(self) -> list[dict[str, Any]]:
        """What waits on the phone."""
        return list(
            self.page.evaluate(
                "async () => (await Queue.all()).map(({id, kind, state, body}) =>"
                " ({id, kind, state, body}))"
            )
        )

    def wait_sent(self, seconds: float = 300) -> None:
        """Wait until nothing waits any more.

        What was tapped last may not be written down yet: the page's own clock runs on between two
        looks, and both have to find nothing.
        """
        until = time.monotonic() + seconds
        looks = 0
        while looks < 2 and time.monotonic() < until:
            self.page.evaluate("new Promise(done => setTimeout(done, 80))")
            left = self.unsent()
            looks = 0 if left else looks + 1
            if left:
                self.page.evaluate("Sending.send()")
        assert looks == 2, left


def hand(browser: Browser, part: str, op: int, **options: Any) -> Hand:
    """A phone of its own."""
    context = browser.new_context(
        **{"viewport": PHONE, "has_touch": True, "is_mobile": True} | options
    )
    page = context.new_page()
    page.set_default_timeout(60_000)
    return Hand(page, context, part, op)


FAULTS = (
    "none", "offline", "reload", "lost", "twice", "cut", "photo", "terminal", "kill", "asleep",
)  # fmt: skip
#: How often each happens, of a hundred.
WEIGHTS = (10, 18, 14, 16, 10, 12, 6, 6, 4, 4)


class Faults:
    """Two phones and a terminal on one build, and what goes wrong between them."""

    def __init__(self, served: Served, hands: list[Hand], picture: Any, seed: int) -> None:
        self.served = served
        self.hands = hands
        self.chance = random.Random(seed)
        self.picture = picture
        self.notes = 0
        self.counted: dict[str, int] = {}

    def step(self) -> None:
        """One reading on one of the phones, and one thing that goes wrong with it."""
        own = self.chance.choice(self.hands)
        fault = self.chance.choices(FAULTS, WEIGHTS)[0]
        self.counted[fault] = self.counted.get(fault, 0) + 1
        text = f"10.0{self.chance.randint(0, 9)}"
        getattr(self, f"_{fault}")(own, text)

    def _none(self, own: Hand, text: str) -> None:
        own.type(text)

    def _offline(self, own: Hand, text: str) -> None:
        own.context.set_offline(True)
        own.type(text)
        own.context.set_offline(False)

    def _reload(self, own: Hand, text: str) -> None:
        own.type(text)
        own.page.reload()
        until(own.page, "document.body.dataset.view === 'read' && bench.op !== null")

    def _routed(self, own: Hand, text: str, handle: Callable[[Route], None]) -> None:
        handled: list[bool] = []

        def once(route: Route) -> None:
            if handled:
                route.continue_()
                return
            handled.append(True)
            handle(route)
            handled.append(True)

        own.page.route("**/act", once)
        own.type(text)
        for _ in range(200):
            if len(handled) > 1:
                break
            own.page.wait_for_timeout(20)
        own.page.unroute_all(behavior="wait")

    def _lost(self, own: Hand, text: str) -> None:
        def handle(route: Route) -> None:
            route.fetch()  # the laptop has it, and its answer is lost
            route.abort()

        self._routed(own, text, handle)

    def _twice(self, own: Hand, text: str) -> None:
        def handle(route: Route) -> None:
            route.fetch()
            route.continue_()

        self._routed(own, text, handle)

    def _cut(self, own: Hand, text: str) -> None:
        self._routed(own, text, lambda route: route.abort())

    def _photo(self, own: Hand, text: str) -> None:
        own.context.set_offline(True)
        own.type(text)
        own.take_photo(self.picture(self.chance.randrange(10**9)))
        own.context.set_offline(False)

    def _terminal(self, own: Hand, text: str) -> None:
        own.type(text)
        for _ in range(10):  # on a machine that stands still the log may be held for long
            ran = run_qlog("--build", str(self.served.folder), "note", "pin", f"note {self.notes}")
            if "held by another program" not in ran.err:
                break
        assert ran.status == 0, ran.err
        self.notes += 1

    def _kill(self, own: Hand, text: str) -> None:
        own.type(text)
        self.served.kill()
        other = self.chance.choice(self.hands)
        other.type("10.05")
        self.served.start()
        for each in self.hands:
            each.come_in(self.served.url)

    def _asleep(self, own: Hand, text: str) -> None:
        import signal

        os.kill(self.served.pid, signal.SIGSTOP)
        own.type(text)
        own.page.wait_for_timeout(300)
        os.kill(self.served.pid, signal.SIGCONT)

    def check(self) -> None:
        """Nothing is doubled and nothing lost: the log holds what was typed, each once."""
        for own in self.hands:
            own.context.set_offline(False)
            own.wait_sent(600)
        with Logbook(self.served.folder / "logbook.db") as log:
            for own in self.hands:
                values = [e.fact.typed for e in log.history(Reading, op=own.op)]
                assert sorted(values) == sorted(own.typed)
                places = [e.fact.key() for e in log.history(Reading, op=own.op)]
                assert len(set(places)) == len(places)
            names = [e.fact.name for e in log.history(Sent)]
            assert len(set(names)) == len(names)
            assert len(log.history(Photo)) == sum(own.photos for own in self.hands)
            assert len(log.history(Note)) == self.notes


def measured_log(folder: Path) -> str:
    """What the log holds, for a message."""
    with Logbook(folder / "logbook.db") as log:
        return json.dumps([e.fact.typed for e in log.history(Reading)])
