"""DEVELOPERS.md names every module with what it says of itself.

Run as a script, it writes that list anew:

    python tests/test_developers.py
"""

import ast
from pathlib import Path

TOP = Path(__file__).parent.parent
PAGE = TOP / "DEVELOPERS.md"
BEGIN, END = "<!-- modules: begin -->", "<!-- modules: end -->"


def first_line(path: Path) -> str:
    """The first line of a module's docstring."""
    text = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
    assert text, f"{path} does not say what it is"
    return " ".join(text.split("\n\n")[0].split())


def modules() -> str:
    """One line a module, room by room."""
    parts = [BEGIN]
    package = TOP / "qlog"
    rooms = [
        "",
        "drawing",
        "study",
        "logbook",
        "intake",
        "review",
        "words",
        "record",
        "manual",
        "cli",
    ]
    for room in rooms:
        folder = package / room
        paths = sorted(folder.glob("*.py") if room == "" else folder.rglob("*.py"))
        own = [p for p in paths if p.name != "__init__.py" or (room and p.parent != folder)]
        parts.append(f"\n**qlog/{room}**")
        if room:
            parts.append(f"\n{first_line(folder / '__init__.py')}\n")
        else:
            parts.append("")
        for path in own:
            parts.append(f"- `{path.relative_to(folder).as_posix()}` {first_line(path)}")
    return "\n".join([*parts, "", END])


def test_every_module_is_named_with_what_it_says_of_itself() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert modules() in page, "run `python tests/test_developers.py` to write the list anew"


def test_every_package_of_pyproject_has_its_reason() -> None:
    page = PAGE.read_text(encoding="utf-8").split("## Dependencies")[1]
    for line in (TOP / "pyproject.toml").read_text(encoding="utf-8").splitlines():
        name = line.strip().strip('",').split(">=")[0].split(";")[0]
        if line.startswith('  "') and ">=" in line:
            assert f"`{name}`" in page, f"{name}: say why in DEVELOPERS.md"


if __name__ == "__main__":
    old = PAGE.read_text(encoding="utf-8")
    head, rest = old.split(BEGIN)
    PAGE.write_text(head + modules() + rest.split(END)[1], encoding="utf-8", newline="\n")
    # The manual's generated parts are lists of the same kind: one call writes all of them.
    import test_manual

    test_manual.write()
