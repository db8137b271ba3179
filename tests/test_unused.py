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


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def names_of(tree: ast.Module) -> dict[str, ast.stmt]:
    """Functions, classes and constants of a module itself."""
    found: dict[str, ast.stmt] = {}
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found[node.name] = node
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            named = [n for t in targets for n in ast.walk(t) if isinstance(n, ast.Name)]
            found |= {n.id: node for n in named if isinstance(n.ctx, ast.Store)}
    return found


def read_by(tree: ast.Module, module: str, modules: set[str]) -> set[tuple[str, str]]:
    """Module and name of everything that a module reads by its own name: its own, or imported."""
    within: dict[str, str] = {}
    names: dict[str, tuple[str, str]] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                whole, called = f"{node.module}.{alias.name}", alias.asname or alias.name
                if whole in modules:
                    within[called] = whole
                else:
                    names[called] = (node.module, alias.name)
    found = set()
    for node in tree.body:
        own = getattr(node, "name", None)  # what calls nothing but itself is not used
        for part in ast.walk(node):
            if isinstance(part, ast.Name) and isinstance(part.ctx, ast.Load) and part.id != own:
                found.add(names.get(part.id, (module, part.id)))
            elif isinstance(part, ast.Attribute) and isinstance(part.value, ast.Name):
                if part.value.id in within:
                    found.add((within[part.value.id], part.attr))
            elif isinstance(part, ast.Constant) and isinstance(part.value, str):  # a type as text
                words = re.findall(r"[A-Za-z_]\w*", part.value)
                found |= {names[word] for word in words if word in names}
    return found


def test_no_name_is_used_only_by_one_that_is_spelt_alike() -> None:
    trees = {
        module_of(path): ast.parse(path.read_text(encoding="utf-8"))
        for path in PACKAGE.rglob("*.py")
    }
    read = {pair for m, tree in trees.items() for pair in read_by(tree, m, set(trees))}
    idle = [
        f"{module}.{name}"
        for module, tree in trees.items()
        for name, node in names_of(tree).items()
        if (module, name) not in read
        and not getattr(node, "decorator_list", None)
        and not name.startswith("__")
        and name not in CALLED_FROM_ELSEWHERE | {"TEXTS", "FORMS", "TABLES"}
    ]
    assert not idle
