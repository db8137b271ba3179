"""The phone's page in WebKit: entered, kept while the laptop is away, sent, by its own driver.

    python -m tests.benchmarks.phone_webkit

Needs Debian's `webkit2gtk-driver` and `xvfb` (WebKitGTK, the engine of other phones' browsers on a
desktop; playwright's own WebKit cannot be had everywhere). Speaks W3C WebDriver without a client.
"""

import json
import os
import subprocess
import tempfile
import time
import urllib.request
from pathlib import Path
from typing import Any

from qlog.logbook.facts import Reading
from qlog.logbook.store import Logbook, create
from tests.conftest import SMALL_PLAN
from tests.phone.driven import Served, free_port


class WebKit:
    """One window of WebKitGTK, driven over HTTP."""

    def __init__(self) -> None:
        self._at = f"http://127.0.0.1:{free_port()}"
        display = f":{90 + os.getpid() % 100}"
        self._screen = subprocess.Popen(["Xvfb", display, "-screen", "0", "800x1000x24"])
        self._driver = subprocess.Popen(
            ["WebKitWebDriver", f"--port={self._at.rpartition(':')[2]}"],
            env={**os.environ, "DISPLAY": display, "LIBGL_ALWAYS_SOFTWARE": "1"},
        )
        time.sleep(2)
        made = self._ask("POST", "/session", {"capabilities": {"alwaysMatch": {}}})
        self.about = made["capabilities"]
        self._at += f"/session/{made['sessionId']}"

    def _ask(self, method: str, path: str, said: Any = None) -> Any:
        data = None if said is None else json.dumps(said).encode()
        asked = urllib.request.Request(
            self._at + path, data, {"Content-Type": "application/json"}, method=method
        )
        with urllib.request.urlopen(asked, timeout=60) as answer:
            return json.load(answer)["value"]

    def go(self, url: str) -> None:
        """Open an address."""
        self._ask("POST", "/url", {"url": url})

    def run(self, script: str, *args: Any) -> Any:
        """What a function of the page answers; a promise is waited for."""
        call = f"(async () => {{ return {script} }})()"
        whole = f"const done = arguments[arguments.length - 1];{call}.then(done)"
        return self._ask("POST", "/execute/async", {"script": whole, "args": list(args)})

    def until(self, expression: str) -> None:
        """Wait for something on the page to be true."""
        end = time.monotonic() + 30
        while not self.run(f"({expression})"):
            assert time.monotonic() < end, f"never true: {expression}"
            time.sleep(0.1)

    def click(self, selector: str) -> None:
        """Click as a pointer does."""
        found = self._ask("POST", "/element", {"using": "css selector", "value": selector})
        self._ask("POST", f"/element/{next(iter(found.values()))}/click", {})

    def type(self, text: str) -> None:
        """A reading by the page's own keys."""
        before = self.run("bench.mine.length")
        for sign in text:
            self.click(f'#pad [data-key="{sign}"]')
        self.click("#enter")
        self.until(f"bench.mine.length > {before}")

    def close(self) -> None:
        """End the window, its driver and its screen."""
        try:
            self._ask("DELETE", "")
        finally:
            for process in (self._driver, self._screen):
                process.terminate()
                process.wait()


def main() -> None:
    """A short sitting with the laptop away in the middle of it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "build.toml").write_text(SMALL_PLAN, encoding="utf-8")
        create(folder / "logbook.db")
        served = Served(folder)
        window = WebKit()
        try:
            print(window.about["browserName"], window.about["browserVersion"])
            window.go(served.url)
            window.until("document.querySelector('#next a')")
            window.run("location.hash = 'op/cup/10'")
            window.until("document.body.dataset.view === 'before'")
            window.click("#begin")
            window.until("document.body.dataset.view === 'read'")
            window.type("32.01")
            window.until("document.getElementById('last').className === 'good'")
            print("a reading is answered:", window.run("document.getElementById('last').innerText"))
            served.kill()
            window.type("32.02")
            window.until("document.getElementById('state').textContent.includes('1 not sent')")
            print("the laptop away:", window.run("document.getElementById('state').innerText"))
            served.start()
            window.go(served.url)
            window.until("document.querySelector('#next a')")
            window.until("(await Queue.all()).length === 0")
            window.run("location.hash = 'op/cup/10'")
            window.until("document.body.dataset.view === 'read'")
            window.type("320.3")
            window.until("document.getElementById('ask').open")
            print("a slip is asked about:", window.run("document.getElementById('ask').innerText"))
        finally:
            window.close()
            served.kill()
        with Logbook(folder / "logbook.db") as log:
            kept = [e.fact.typed for e in log.live(Reading)]
        assert kept == ["32.01", "32.02"], kept
        print("in the log once each:", ", ".join(kept))


if __name__ == "__main__":
    main()
