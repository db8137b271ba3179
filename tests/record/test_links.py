"""Every page of both editions: links, images and ids, and nothing that points outside."""

from collections import Counter
from dataclasses import dataclass, field
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from posixpath import dirname, join, normpath
from urllib.parse import unquote, urlsplit

import pytest

from qlog.record.publish import manifest, templates
from tests.demo_record import EDITIONS, Demo

URLS = {("a", "href"), ("link", "href"), ("script", "src"), ("img", "src"), ("image", "href")}
IDREFS = ("aria-labelledby", "aria-describedby", "aria-controls", "for", "headers")


@dataclass
class Parsed(HTMLParser):
    """What a page names."""

    urls: list[tuple[str, str]] = field(default_factory=list)  # tag, address
    ids: list[str] = field(default_factory=list)
    refs: list[str] = field(default_factory=list)
    images: list[dict[str, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        HTMLParser.__init__(self, convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if "id" in given:
            self.ids.append(given["id"])
        for name in IDREFS:
            self.refs += given.get(name, "").split()
        for name, value in given.items():
            if (tag, name) in URLS:
                self.urls.append((tag, value))
            if name == "srcset":
                self.urls += [("img", part.split()[0]) for part in value.split(", ")]
        if tag == "img":
            self.images.append(given)


@cache
def parsed(path: Path) -> Parsed:
    page = Parsed()
    page.feed(path.read_text(encoding="utf-8"))
    page.close()
    return page


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_link_leads_somewhere_inside(shown: Demo, edition: str) -> None:
    folder = shown.edition(edition)
    files = set(manifest.files_of(folder))
    broken, count = [], 0
    for page in shown.pages(edition):
        for _, url in parsed(folder / page).urls:
            count += 1
            parts = urlsplit(url)
            target = normpath(join(dirname(page), unquote(parts.path))) if parts.path else page
            outside = parts.scheme or parts.netloc or parts.path.startswith("/")
            there = not outside and target in files
            if not there or (parts.fragment and parts.fragment not in parsed(folder / target).ids):
                broken.append((page, url))
    assert count > 300
    assert broken == []


@pytest.mark.parametrize("edition", EDITIONS)
def test_ids_are_unique_and_what_is_named_is_there(shown: Demo, edition: str) -> None:
    folder = shown.edition(edition)
    for page in shown.pages(edition):
        found = parsed(folder / page)
        twice = [name for name, n in Counter(found.ids).items() if n > 1]
        assert twice == [], page
        assert set(found.refs) <= set(found.ids), page


#: How the file of a photo of more than 960 pixels, and of fewer, ends that is opened large.
LARGEST = ("-1920.jpg", "-960.jpg")


@pytest.mark.parametrize("edition", EDITIONS)
def test_images_have_their_size_and_say_what_they_show(shown: Demo, edition: str) -> None:
    folder = shown.edition(edition)
    seen = 0
    for page in shown.pages(edition):
        for image in parsed(folder / page).images:
            seen += 1
            assert int(image["width"]) > 0 and int(image["height"]) > 0, page
            # A drawing, and what is opened large, is one file.
            alone = "drawings/" in image["src"] or image["src"].endswith(LARGEST)
            assert alone or ("srcset" in image and "sizes" in image), page
            # A tile's picture stands beside the name that it would repeat.
            assert image["alt"] or image.get("alt") == "", page
            assert "/" not in image["alt"] and ".jpg" not in image["alt"].lower(), page
    assert seen > 20


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_file_is_reached_from_the_first_page(shown: Demo, edition: str) -> None:
    folder = shown.edition(edition)
    reached, ahead = set(), {"index.html"}
    while ahead:
        page = ahead.pop()
        reached.add(page)
        if not page.endswith(".html"):
            continue
        for _, url in parsed(folder / page).urls:
            path = unquote(urlsplit(url).path)
            target = normpath(join(dirname(page), path)) if path else page
            if target not in reached:
                ahead.add(target)
    beside = {manifest.NAME, manifest.MARKER, "READ ME FIRST.txt", "readings.json", "readings.csv"}
    beside |= {p.name for p in (templates.folder() / "static").glob("serif*")}
    assert set(manifest.files_of(folder)) - reached <= beside


@pytest.mark.parametrize("edition", EDITIONS)
def test_no_absolute_path_and_no_address_is_written(shown: Demo, edition: str) -> None:
    folder = shown.edition(edition)
    for path in manifest.files_of(folder):
        if path == "serif-licence.txt":  # it has to stay as its authors wrote it
            continue
        if path.endswith((".html", ".css", ".js", ".txt", ".csv", ".json", ".sha256")):
            text = (folder / path).read_text(encoding="utf-8")
            assert str(shown.folder) not in text, path
            assert "file://" not in text and "https://" not in text, path
            assert "http://" not in text, path
