"""`qlog phone`: the code on the screen, one address, and nothing of it in any other command."""

import subprocess
import sys
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from qlog.intake.photos.slate import terminal_code
from tests.conftest import run_qlog
from tests.phone.driven import Served


def as_picture(code: str) -> Image.Image:
    """The characters of the code as a light screen shows them, eight pixels a square."""
    rows = []
    for line in code.splitlines():
        rows.append([c in "█▀" for c in line])
        rows.append([c in "█▄" for c in line])
    image = Image.new("L", (len(rows[0]), len(rows)), 0)
    image.putdata([255 if light else 0 for row in rows for light in row])
    return image.resize((image.width * 8, image.height * 8), Image.Resampling.NEAREST)


def test_the_code_on_the_screen_is_the_address_with_the_key(build_dir: Path) -> None:
    served = Served(build_dir)
    served.kill()
    [code] = zxingcpp.read_barcodes(as_picture(terminal_code(served.url)))
    assert code.text == served.url
    assert served.url.startswith(f"http://127.0.0.1:{served.port}/come-in/")
    assert len(terminal_code(served.url).splitlines()) <= 24  # a usual terminal shows it whole


@pytest.mark.parametrize("address", ["0.0.0.0", "example.org", "::"])
def test_more_than_one_address_is_refused(build_dir: Path, address: str) -> None:
    ran = run_qlog("--build", str(build_dir), "phone", "--address", address)
    assert ran.status == 2
    assert "192.168.1.20" in ran.err or "name the one" in ran.err


@pytest.mark.parametrize("words", [["--help"], ["status"], ["phone", "--help"], ["read", "--help"]])
def test_no_other_command_loads_the_server(build_dir: Path, words: list[str]) -> None:
    program = (
        "import sys\nfrom qlog.cli.main import main\n"
        "try: main(sys.argv[1:])\nexcept SystemExit: pass\n"
        "print({'flask', 'waitress', 'werkzeug'} & set(sys.modules), file=sys.stderr)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program, "--build", str(build_dir), *words],
        capture_output=True, text=True, encoding="utf-8", check=True,
    )  # fmt: skip
    assert ran.stderr.strip().splitlines()[-1] == "set()"
