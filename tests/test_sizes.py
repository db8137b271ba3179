"""Functions, classes and rooms stay small enough to be read at once."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "qlog"
FUNCTION, CLASS, ROOM = 80, 300, 15  # lines, lines, modules with `__init__`

MODULES = sorted(PACKAGE.rglob("*.py"))
ROOMS = sorted({path.parent for path in MODULES})


def lines_of(path: Path) -> dict[str, tuple[int, int]]:
    """Lines of every function and class of a module, beside how many it may have."""
    found = {}
    where = path.relative_to(PACKAGE).as_posix()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            most = CLASS if isinstance(node, ast.ClassDef) else FUNCTION
            assert node.end_lineno is not None
            name, lines = f"{where}:{node.name}", node.end_lineno - node.lineno + 1
            found[name] = (max(lines, found.get(name, (0, 0))[0]), most)
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_functions_and_classes_are_short(path: Path) -> None:
    too_long = {name: n for name, (n, most) in lines_of(path).items() if n > most}
    assert not too_long


@pytest.mark.parametrize("room", ROOMS, ids=lambda p: p.relative_to(PACKAGE.parent).as_posix())
def test_a_room_holds_few_modules(room: Path) -> None:
    assert len(list(room.glob("*.py"))) <= ROOM


@pytest.mark.parametrize("room", ROOMS, ids=lambda p: p.relative_to(PACKAGE.parent).as_posix())
def test_a_room_says_what_lives_there(room: Path) -> None:
    assert ast.get_docstring(ast.parse((room / "__init__.py").read_text(encoding="utf-8")))


def test_a_class_name_stands_once() -> None:
    """One name, one meaning: whoever reads it knows what it is without its module."""
    found: dict[str, list[str]] = {}
    for path in MODULES:
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef):
                found.setdefault(node.name, []).append(path.relative_to(PACKAGE).as_posix())
    assert {name: where for name, where in found.items() if len(where) > 1} == {}


#: Names that stand in several rooms, each time about the same thing.
MIRRORED = {
    # a command, and what it shows or does
    "add", "backup", "match", "merge", "phone", "photos", "plan", "restore", "stock", "stream",
    "verify",
    # what is known, and how it is said
    "findings", "fits", "history", "keepsake", "maker", "problems", "questions", "ready",
    "settings", "trend",
    # rules, sums and standing of one thing; the plan and the log of one act
    "control_charts", "derived", "renaming",
}  # fmt: skip


def test_a_module_name_means_one_thing() -> None:
    """The languages hold the same modules; else a name stands again only where it is mirrored."""
    languages = {PACKAGE / "words" / "de", PACKAGE / "words" / "en"}
    seen: dict[str, set[Path]] = {}
    for path in MODULES:
        if path.stem != "__init__":
            seen.setdefault(path.stem, set()).add(path.parent)
    twice = {name for name, rooms in seen.items() if len(rooms) > 1 and rooms != languages}
    assert twice == MIRRORED
