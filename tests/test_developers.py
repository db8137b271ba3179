"""DEVELOPERS.md names every room with what it says of itself, and stays short.

Run as a script, it writes that list anew, and the generated parts of the manual with it:

    python tests/test_developers.py
"""

import ast
import re
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent
PAGE = TOP / "DEVELOPERS.md"
BEGIN, END = "<!-- rooms: begin -->", "<!-- rooms: end -->"
ROOMS = (
    "drawing", "study", "logbook", "intake", "review", "words", "record", "phone", "manual", "cli",
)  # fmt: skip
LONGEST = 250


def said(path: Path) -> list[str]:
    """The paragraphs of a module's docstring, each on one line."""
    text = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
    assert text, f"{path} does not say what it is"
    return [" ".join(paragraph.split()) for paragraph in text.split("\n\n")]


def rooms() -> str:
    """One line a room and one a room inside it."""
    package = TOP / "qlog"
    lines = []
    for room in ROOMS:
        for path in sorted((package / room).rglob("__init__.py")):
            name = path.parent.relative_to(package).as_posix()
            line = f"`{name}` {said(path)[0]}"
            lines.append(f"- **{line}" if name == room else f"  - {line}")
            lines[-1] = lines[-1].replace(f"**`{name}`", f"**`{name}`**")
    return "\n".join([BEGIN, "", *lines, "", END])


def test_every_room_is_named_with_what_it_says_of_itself() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert rooms() in page, "run `python tests/test_developers.py` to write the list anew"
    assert {p.parent.name for p in (TOP / "qlog").glob("*/__init__.py")} <= set(ROOMS)


@pytest.mark.parametrize("path", sorted((TOP / "qlog").rglob("*.py")), ids=lambda p: str(p)[-60:])
def test_every_module_says_in_one_line_what_it_does(path: Path) -> None:
    first = said(path)[0]
    assert 15 < len(first) < 110
    assert first.endswith((".", "?"))


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_the_page_is_read_in_one_sitting(name: str) -> None:
    assert len((TOP / name).read_text(encoding="utf-8").splitlines()) <= LONGEST


def test_every_module_that_is_named_is_there() -> None:
    page = PAGE.read_text(encoding="utf-8")
    named = set(re.findall(r"`((?:[a-z_]+/)+[a-z_]+\.py)`", page))
    assert len(named) >= 10
    missing = [n for n in sorted(named) if not any((t / n).is_file() for t in (TOP, TOP / "qlog"))]
    assert missing == []


def test_every_package_of_pyproject_has_its_reason() -> None:
    page = PAGE.read_text(encoding="utf-8").split("## Dependencies")[1]
    for line in (TOP / "pyproject.toml").read_text(encoding="utf-8").splitlines():
        name = line.strip().strip('",').split(">=")[0].split(";")[0]
        if line.startswith('  "') and ">=" in line:
            assert f"`{name}`" in page, f"{name}: say why in DEVELOPERS.md"


if __name__ == "__main__":
    old = PAGE.read_text(encoding="utf-8")
    head, rest = old.split(BEGIN)
    PAGE.write_text(head + rooms() + rest.split(END)[1], encoding="utf-8", newline="\n")
    import test_manual

    test_manual.write()
