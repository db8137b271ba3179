"""The picture of the phone for the README: the demo's cups, five sockets read.

    python -m tests.browser.phone_picture

writes demo/phone.jpg anew, from the page as it is now.
"""

import shutil
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from qlog.logbook.store import create
from tests.browser.conftest import FLAGS, chromium
from tests.conftest import run_qlog
from tests.phone.driven import Served, hand

DEMO = Path(__file__).parent.parent.parent / "demo"


def main() -> None:
    """Read five sockets as in the README's stream, and keep what the phone shows then."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copyfile(DEMO / "build.toml", folder / "build.toml")
        create(folder / "logbook.db")
        assert run_qlog("--build", name, "done", "cup", "10").status == 0
        served = Served(folder)
        try:
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
                size = {"width": 360, "height": 740}
                own = hand(browser, "cup", 20, viewport=size, device_scale_factor=1.5)
                own.come_in(served.url)
                for text in ("22.046", "22.041", "22.036", "22.033", "22.029"):
                    own.type(text)
                    own.wait_sent()
                for sign in "22.02":
                    own.page.tap(f'#pad [data-key="{sign}"]')
                own.page.wait_for_timeout(300)
                own.page.screenshot(path=DEMO / "phone.jpg", type="jpeg", quality=85)
                browser.close()
        finally:
            served.kill()


if __name__ == "__main__":
    main()
