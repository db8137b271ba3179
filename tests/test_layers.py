"""The rooms import one way only: nothing reaches up to a room that stands above it."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "qlog"

#: Room -> the other rooms that it may import. The single modules of FOR_ALL serve all of them.
MAY_IMPORT = {
    "__main__": {"cli"},
    "drawing": set(),
    "study": {"drawing"},
    "logbook": {"drawing"},
    "intake": {"drawing", "logbook", "study"},
    "review": {"drawing", "logbook", "study"},
    "words": {"drawing", "logbook", "study", "intake", "review"},
    "record": {"drawing", "logbook", "study", "review", "words"},
    "phone": {"drawing", "logbook", "study", "intake", "review", "words", "record"},
    "manual": set(),
    "cli": {
        "drawing",
        "logbook",
        "study",
        "intake",
        "review",
        "words",
        "record",
        "phone",
        "manual",
    },
}
FOR_ALL = {
    "problem", "counting", "frozen", "plain_file", "sha256", "worked_out", "writing", "",
}  # fmt: skip


def room_of(path: Path) -> str:
    relative = path.relative_to(PACKAGE)
    return relative.parts[0] if len(relative.parts) > 1 else relative.stem


def imported_rooms(path: Path) -> set[str]:
    """Rooms that a module imports anywhere in it, also inside functions."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names = [node.module or ""]
            if node.module == "qlog":
                names = [f"qlog.{alias.name}" for alias in node.names]
        for name in names:
            if name == "qlog" or name.startswith("qlog."):
                found.add([*name.split("."), ""][1])
    return found


MODULES = sorted(PACKAGE.rglob("*.py"))


def imported_files(path: Path) -> set[Path]:
    """The project's own modules that a module imports anywhere in it, also inside functions."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        else:
            continue
        for name in names:
            place = PACKAGE.parent.joinpath(*name.split("."))
            for file in (place.with_suffix(".py"), place / "__init__.py"):
                if file.is_file() and file != path:
                    found.add(file)
    return found


def circle_of(files: dict[Path, set[Path]]) -> list[Path]:
    """Files that import one another in a circle; empty when there is none."""
    done: set[Path] = set()

    def walk(file: Path, way: list[Path]) -> list[Path]:
        if file in way:
            return way[way.index(file) :]
        if file in done:
            return []
        for other in sorted(files.get(file, ())):
            if found := walk(other, [*way, file]):
                return found
        done.add(file)
        return []

    return next((found for file in sorted(files) if (found := walk(file, []))), [])


#: Rooms in which files still import one another in a circle.
NOT_YET: set[str] = set()


@pytest.mark.parametrize("room", sorted(set(MAY_IMPORT) - {"__main__"} - NOT_YET))
def test_no_files_of_a_room_import_one_another_in_a_circle(room: str) -> None:
    files = {path: imported_files(path) for path in (PACKAGE / room).rglob("*.py")}
    assert not [path.relative_to(PACKAGE).as_posix() for path in circle_of(files)]


def test_a_circle_of_files_is_seen() -> None:
    one, two, three = Path("1"), Path("2"), Path("3")
    assert circle_of({one: {two}, two: {three}, three: {two}}) == [two, three]
    assert circle_of({one: {two}, two: {three}, three: set()}) == []


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_imports_run_one_way(path: Path) -> None:
    room = room_of(path)
    if room in {"__init__", *FOR_ALL}:
        assert not imported_rooms(path) - {"frozen", "problem", "sha256", "__version__", ""}
        return
    allowed = MAY_IMPORT[room] | {room} | FOR_ALL | {"__version__"}
    assert not imported_rooms(path) - allowed


def test_every_room_is_known_and_says_what_lives_there() -> None:
    rooms = {p.parent.name for p in PACKAGE.glob("*/__init__.py")}
    assert rooms == set(MAY_IMPORT) - {"__main__"}
    for room in rooms:
        text = ast.get_docstring(ast.parse((PACKAGE / room / "__init__.py").read_text("utf-8")))
        assert text and text.count(".") >= 1 and len(text) > 80


def test_the_layer_test_sees_an_upward_import(tmp_path: Path) -> None:
    bad = tmp_path / "bad.py"
    bad.write_text("def f():\n    from qlog.cli.main import main\n", encoding="utf-8")
    assert imported_rooms(bad) == {"cli"}
