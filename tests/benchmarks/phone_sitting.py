"""A scripted sitting: 40 readings and 10 photos on the phone, the same readings in the stream.

    python -m tests.benchmarks.phone_sitting

A key every 0.25 s, on either, as an even hand does; what differs is the waiting. Real Chromium
with a touch screen on the same machine, so the home network's own delay (a few ms) is left out.
"""

import tempfile
import time
from pathlib import Path
from statistics import median

from playwright.sync_api import sync_playwright

from qlog.logbook.facts import Placement, Reading
from qlog.logbook.store import Logbook, create
from tests.benchmarks.phone_faults import picture
from tests.browser.conftest import FLAGS, chromium
from tests.phone.driven import Served, hand, large_plan, until
from tests.terminal import Terminal

PACE = 0.25
READINGS, PHOTOS = 40, 10
#: The answer that is shown is the one to the reading of this piece, and no earlier one.
ANSWERED = "piece => bench.last?.place?.piece === piece && bench.last.answer?.reading"


def text_of(n: int) -> str:
    """What is typed: a slow creep with a little scatter, as at the bench."""
    return f"{10 + 0.001 * n + (0.002 if n % 3 else 0):.3f}"


def phone(folder: Path) -> tuple[float, list[float], list[float]]:
    """Seconds of the whole, waits for the verdict, waits until a photo is kept by the laptop."""
    served = Served(folder)
    verdicts, photos = [], []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        own = hand(browser, "pin", 10)
        own.come_in(served.url)
        began = time.perf_counter()
        for n in range(READINGS):
            for sign in text_of(n):
                time.sleep(PACE)
                own.page.tap(f'#pad [data-key="{sign}"]')
            time.sleep(PACE)
            entered = time.perf_counter()
            own.page.tap("#enter")
            until(own.page, ANSWERED, n + 1)
            verdicts.append(time.perf_counter() - entered)
            if n % (READINGS // PHOTOS) == 0:
                entered = time.perf_counter()
                own.take_photo(picture(n))
                own.wait_sent()
                photos.append(time.perf_counter() - entered)
        whole = time.perf_counter() - began - sum(photos)
        browser.close()
    served.kill()
    with Logbook(folder / "logbook.db") as log:
        assert len(log.live(Reading)) == READINGS
        assert [e.fact.dimension for e in log.live(Placement)] == ["d1"] * PHOTOS
    return whole, verdicts, photos


def stream(folder: Path) -> tuple[float, list[float]]:
    """Seconds of the whole, waits for the verdict."""
    waits = []
    with Terminal("read", "pin", "10", "d1", folder=folder) as t:
        t.expect("pin-1 d1 mm> ")
        began = time.perf_counter()
        for n in range(READINGS):
            for sign in text_of(n):
                time.sleep(PACE)
                t.type(sign)
            time.sleep(PACE)
            entered = time.perf_counter()
            last = n + 1 == READINGS
            t.answer("\n", "with Enter> " if last else f"pin-{n + 2} d1 mm> ")
            waits.append(time.perf_counter() - entered)
        whole = time.perf_counter() - began
        t.type("\n")
        t.ended()
    with Logbook(folder / "logbook.db") as log:
        assert len(log.live(Reading)) == READINGS
    return whole, waits


def line(name: str, whole: float, waits: list[float]) -> str:
    """One row of the table."""
    return (
        f"{name:8} {whole / READINGS:12.2f} {1000 * median(waits):18.0f} {1000 * max(waits):12.0f}"
    )


def main() -> None:
    """Both sittings, each on a build of its own."""
    print("         s a reading   median wait, ms     longest")
    for name in ("phone", "stream"):
        with tempfile.TemporaryDirectory() as folder:
            build = Path(folder)
            (build / "build.toml").write_text(large_plan(READINGS, 1), encoding="utf-8")
            create(build / "logbook.db")
            if name == "stream":
                print(line(name, *stream(build)))
                continue
            whole, verdicts, photos = phone(build)
            print(line(name, whole, verdicts))
            print(f"a photo: median {median(photos):.2f} s, longest {max(photos):.2f} s")


if __name__ == "__main__":
    main()
