"""Templates compiled by an earlier command give the same pages, and another text another page."""

import subprocess
import sys
from pathlib import Path

import pytest

RENDER = """
import sys
from pathlib import Path
from jinja2 import Environment
from qlog.record.publish import templates
from qlog.words.catalogue import load
compiled = []
real = Environment.compile
Environment.compile = lambda self, source, name=None, *a, **k: (
    compiled.append(name), real(self, source, name, *a, **k))[1]
templates.folder = lambda: Path(sys.argv[1])
words = load(sys.argv[2])
print(templates.environment(words).get_template("page.html").render(n="4.5"), len(compiled))
templates.keep_compiled(words)
"""


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("QLOG_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


def rendered(folder: Path, language: str = "en") -> tuple[str, bool]:
    """What a process of its own makes of the page, and whether it compiled it."""
    ran = subprocess.run(
        [sys.executable, "-c", RENDER, str(folder), language],
        capture_output=True, text=True, encoding="utf-8", check=True,
    )  # fmt: skip
    text, _, compiled = ran.stdout.rpartition(" ")
    return text, compiled.strip() != "0"


def test_a_template_is_compiled_once_for_each_text_and_language(
    cache: Path, tmp_path: Path
) -> None:
    page = tmp_path / "page.html"
    page.write_text('{{ "1.5" | num }} {{ n | num }}', encoding="utf-8")
    assert rendered(tmp_path) == ("1.5 4.5", True)
    assert rendered(tmp_path) == ("1.5 4.5", False)
    assert rendered(tmp_path, "de") == ("1,5 4,5", True)
    assert rendered(tmp_path, "de") == ("1,5 4,5", False)
    page.write_text('{{ "2.5" | num }} {{ n | num }}', encoding="utf-8")
    assert rendered(tmp_path) == ("2.5 4.5", True)


def test_what_was_altered_or_is_open_to_others_is_not_run(cache: Path, tmp_path: Path) -> None:
    (tmp_path / "page.html").write_text("{{ n }}", encoding="utf-8")
    rendered(tmp_path)
    (path,) = cache.glob("*.templates")
    sound = path.read_bytes()
    path.write_bytes(sound[:-1] + bytes([sound[-1] ^ 1]))
    assert rendered(tmp_path) == ("4.5", True)
    assert path.read_bytes() != sound[:-1] + bytes([sound[-1] ^ 1])
    if sys.platform != "win32":
        path.chmod(0o666)
        assert rendered(tmp_path) == ("4.5", True)
