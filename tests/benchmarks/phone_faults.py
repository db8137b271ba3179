"""Random faults between two phones, a terminal and the laptop: is anything doubled or lost?

    python -m tests.benchmarks.phone_faults [1000] [seed]

Real Chromium with touch, `qlog phone` in a process of its own. Each fault goes with one reading:
no network, the page reloaded, the answer lost, the request sent twice or cut, a photo without
network, a terminal writing at once, the program killed, the laptop asleep. Runs with seeds of their
own add up: four of 250 are checked as often as one of 1,000, and a stop loses one of them.
"""

import io
import sys
import tempfile
import time
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

from qlog.logbook.store import create
from tests.browser.conftest import FLAGS, chromium
from tests.conftest import run_qlog
from tests.phone.driven import Faults, Served, hand, large_plan


def picture(seed: int) -> bytes:
    """A small JPEG of its own."""
    made = io.BytesIO()
    colour = (seed % 256, seed // 256 % 256, seed // 65536 % 256)
    image = Image.new("RGB", (64, 48), colour)
    image.putpixel((seed % 64, seed % 48), (255, 255, 255))
    image.save(made, "JPEG", comment=str(seed).encode())
    return made.getvalue()


def main(count: int, seed: int) -> None:
    """Run so many faults and say what became of them."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        pieces = 50
        dimensions = count // pieces + 2
        (folder / "build.toml").write_text(large_plan(pieces, dimensions), encoding="utf-8")
        create(folder / "logbook.db")
        run_qlog("--build", name, "done", "pin", "10")
        served = Served(folder)
        began = time.monotonic()
        try:
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
                hands = [hand(browser, "pin", 10), hand(browser, "pin", 20)]
                for own in hands:
                    own.page.set_default_timeout(600_000)  # a machine with other work
                    own.come_in(served.url)
                faults = Faults(served, hands, picture, seed)
                for n in range(1, count + 1):
                    faults.step()
                    if n % 50 == 0:
                        print(n, f"{time.monotonic() - began:.0f} s", faults.counted, flush=True)
                    if n % 250 == 0:
                        faults.check()
                faults.check()
                browser.close()
        finally:
            served.kill()
        typed = sum(len(own.typed) for own in hands)
        photos = sum(own.photos for own in hands)
        print(f"{count} faults, seed {seed}: {typed} readings, {photos} photos,")
        print(f"{faults.notes} notes; each is in the log once, none is missing")


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    main(*given, *(1000, 20)[len(given) :])
