"""The sheet for the bench: one page of A4 and of Letter, and a photo of it finds its place."""

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser

from qlog.intake.photos.slate import find_in
from tests.browser.test_html_valid import complaints
from tests.conftest import Ran

#: Points: the sizes of ISO 216 A4 and of US Letter, ANSI/ASME Y14.1 size A.
SIZES = {"a4": (595.3, 841.9), "letter": (612.0, 792.0)}


def sheet(folder: Path, run: Callable[..., Ran], *words: str) -> Path:
    path = folder / "sheet.html"
    assert run("sheet", *words, "--out", str(path)).status == 0
    return path


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_one_page_of_the_paper_asked_for(
    browser: Browser, build_dir: Path, run: Callable[..., Ran], paper: str
) -> None:
    path = sheet(build_dir, run, "cup", "20", "--paper", paper)
    page = browser.new_page()
    page.goto(path.as_uri())
    pdf = page.pdf(prefer_css_page_size=True, print_background=True)
    page.close()
    width, height = SIZES[paper]
    text = pdf.decode("latin-1")
    boxes = [line for line in text.splitlines() if "/MediaBox" in line]
    assert len(boxes) == 1, boxes
    found = boxes[0].split("[")[1].split("]")[0].split()
    assert float(found[2]) == pytest.approx(width, abs=1)
    assert float(found[3]) == pytest.approx(height, abs=1)


def test_a_photo_of_the_sheet_says_where_it_belongs(
    browser: Browser, build_dir: Path, run: Callable[..., Ran]
) -> None:
    path = sheet(build_dir, run, "cup", "20")
    page = browser.new_page(viewport={"width": 800, "height": 1100}, device_scale_factor=2)
    page.goto(path.as_uri())
    picture = Image.open(io.BytesIO(page.screenshot())).convert("L")
    page.close()
    (found,) = find_in(picture)
    assert (found.part, found.op, found.sheet) == ("cup", 20, True)


def test_what_stands_on_it(browser: Browser, build_dir: Path, run: Callable[..., Ran]) -> None:
    run("piece", "cup-2", "scrap", "--why", "dropped")
    path = sheet(build_dir, run, "cup", "20")
    page = browser.new_page()
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("requestfailed", lambda request: complaints.append(request.url))
    page.goto(path.as_uri())
    heads = page.locator("thead th").all_inner_texts()
    assert any("socket" in h and "Ø22 +0.05/0" in h and "22.00 to 22.05" in h for h in heads)
    rows = page.locator("tbody tr")
    assert rows.count() == 4
    assert "scrapped" in rows.nth(1).inner_text()
    assert rows.nth(0).locator("td").nth(0).inner_text() == ""
    care = page.locator(".care li").all_inner_texts()
    assert "machine's manual" in care[-1]
    # A pencil needs room: 8 mm at 96 dots an inch.
    cell = rows.nth(0).locator("td").nth(0).bounding_box()
    assert cell is not None and cell["height"] >= 8 * 96 / 25.4
    page.set_viewport_size({"width": 360, "height": 740})
    page.close()
    assert complaints == []


def test_an_operation_without_readings_still_has_a_sheet(
    build_dir: Path, run: Callable[..., Ran]
) -> None:
    plan = build_dir / "build.toml"
    extra = '  [[part.op]]\n  number = 30\n  name = "polish"\n  kind = "polishing"\n\n'
    text = plan.read_text("utf-8").replace("  [[part.dim]]", f"{extra}  [[part.dim]]", 1)
    plan.write_text(text, encoding="utf-8")
    assert run("sheet", "cup", "30").status == 0
    written = (build_dir / "sheet-cup-op30.html").read_text("utf-8")
    assert "Nothing is measured after this operation." in written
    assert run("sheet", "cup", "99").status == 2


def test_it_is_valid_in_both_languages(
    tmp_path: Path, build_dir: Path, run: Callable[..., Ran]
) -> None:
    files = [tmp_path / "en.html", tmp_path / "de.html"]
    assert run("sheet", "cup", "20", "--out", str(files[0])).status == 0
    plan = build_dir / "build.toml"
    plan.write_text('language = "de"\n' + plan.read_text("utf-8"), encoding="utf-8")
    assert run("sheet", "cup", "20", "--out", str(files[1])).status == 0
    assert "Das Blatt mit diesem Code fotografieren" in files[1].read_text("utf-8")
    assert "Betriebsanleitung" in files[1].read_text("utf-8")
    assert complaints(*files) == []
