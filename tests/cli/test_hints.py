"""Hints can be typed in every shell: no sign that only some know, no single quotes round a word."""

import ast
import ntpath
import re
import subprocess
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.drawing.build_file.mistakes import PlanError
from qlog.logbook.store import as_word
from tests.conftest import SMALL_PLAN

PACKAGE = Path(__file__).parents[2] / "qlog"


def texts() -> list[tuple[str, str]]:
    """Every text of the program with its file, f-strings with a 0 for each value."""
    found = []
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.append((path.name, node.value))
            elif isinstance(node, ast.JoinedStr):
                parts = [v.value if isinstance(v, ast.Constant) else "0" for v in node.values]
                found.append((path.name, "".join(map(str, parts))))
    return found


def test_no_hint_joins_commands_or_uses_single_quotes() -> None:
    hints = [(name, text) for name, text in texts() if "qlog " in text]
    assert len(hints) > 100
    assert [h for h in hints if "&&" in h[1]] == []
    assert [h for h in hints if re.search(r"`qlog [^`]*'[^`]*'[^`]*`", h[1])] == []


@pytest.mark.parametrize("text", ["8.03", "1 3/8", '5/16"', "it's", "a&b"])
def test_a_quoted_word_is_one_word_on_windows_and_elsewhere(text: str) -> None:
    import shlex

    word = as_word(text)
    assert shlex.split(word) == [text]
    # list2cmdline follows the rules of the C runtime by which Windows programs read their words.
    windows = subprocess.list2cmdline([text])
    inner = word[1:-1] if word.startswith('"') else word
    assert windows in (inner, f'"{inner}"')


@pytest.mark.parametrize("name", ["con", "aux", "nul", "com1", "lpt9"])
def test_a_device_of_windows_is_no_id(tmp_path: Path, name: str) -> None:
    assert ntpath.splitext(f"{name}.html")[0] == name
    plan = tmp_path / "build.toml"
    plan.write_text(SMALL_PLAN.replace('id = "ring"', f'id = "{name}"'), encoding="utf-8")
    with pytest.raises(PlanError) as error:
        load(plan)
    assert [m.what for m in error.value.mistakes] == [
        f'part id "{name}" is the name of a device on Windows, where no file can have it'
    ]
