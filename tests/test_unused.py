"""Nothing stands in the program that only a test uses."""

import ast
import re
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "qlog"

#: Names that another library calls, tables that `tests/test_manual.py` writes into the manual,
#: and members of enumerations that are made by their value.
CALLED_FROM_ELSEWHERE = {
    "list_commands", "get_command", "format_commands", "markdown", "command", "PERSON", "SITTING",
    # What a published table or a reference library is held against, one level below what is shown.
    "p_spread",
}  # fmt: skip


def used(tree: ast.Module) -> Counter[str]:
    """Names and attributes that a module reads, and words of its texts."""
    found: Counter[str] = Counter()
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            found[node.id] += 1
        elif isinstance(node, ast.Attribute):
            found[node.attr] += 1
    return found


def defined(body: list[ast.stmt]) -> list[tuple[str, int]]:
    """Functions, classes, fields and constants of a module and of its classes, with their lines."""
    found = []
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found.append((node.name, node.lineno))
        elif isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            found.append((node.targets[0].id, node.lineno))
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            found.append((node.target.id, node.lineno))
        if isinstance(node, ast.ClassDef):
            found += defined(node.body)
    return found


def test_every_name_is_used_by_the_program_itself() -> None:
    trees = {p: ast.parse(p.read_text(encoding="utf-8")) for p in PACKAGE.rglob("*.py")}
    known: Counter[str] = Counter()
    for tree in trees.values():
        known += used(tree)
    for folder in ("site_templates", "demo"):
        for path in (ROOT / folder).rglob("*"):
            if path.suffix in (".html", ".txt", ".js", ".css", ".py"):
                known.update(re.findall(r"[A-Za-z_]\w*", path.read_text(encoding="utf-8")))
    idle = [
        f"{path.relative_to(ROOT).as_posix()}:{line} {name}"
        for path, tree in trees.items()
        for name, line in defined(tree.body)
        if not known[name] and name not in CALLED_FROM_ELSEWHERE and not name.startswith("__")
    ]
    assert not idle
