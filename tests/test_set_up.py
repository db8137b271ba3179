"""`.ci/set_up.py`: what a bare machine lacks is named once, in one line, or installed."""

import importlib.util
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

TOP = Path(__file__).parent.parent


@pytest.fixture
def set_up() -> ModuleType:
    spec = importlib.util.spec_from_file_location("set_up", TOP / ".ci/set_up.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def having(*names: str) -> Callable[[str], str | None]:
    return lambda name: f"/usr/bin/{name}" if name in names else None


@pytest.fixture
def bare(set_up: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> ModuleType:
    """A machine with Python and no more."""
    monkeypatch.setattr(set_up.importlib.util, "find_spec", lambda _: None)
    monkeypatch.setattr(set_up.shutil, "which", having())
    monkeypatch.setattr(set_up, "FONTS", tmp_path / "fonts")
    monkeypatch.setattr(set_up, "loads", lambda _: False)
    monkeypatch.setattr(set_up.sys, "platform", "linux")
    monkeypatch.delenv("CHROMIUM", raising=False)
    return set_up


def test_a_bare_debian_lacks_these_and_no_others(
    bare: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bare.shutil, "which", having("apt-get"))
    assert bare.missing(tests=False) == ["python3-venv"]
    assert bare.missing(tests=True) == [
        "python3-venv", "chromium-headless-shell", "fonts-dejavu-core", "libatomic1",
    ]  # fmt: skip


def test_another_browser_of_the_family_does(
    bare: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bare.shutil, "which", having("/opt/browser"))
    monkeypatch.setenv("CHROMIUM", "/opt/browser")
    assert bare.missing(tests=True) == ["python3-venv", "libatomic1"]


def test_without_a_package_manager_one_line_says_what_is_missing(
    bare: ModuleType, capsys: pytest.CaptureFixture[str]
) -> None:
    assert bare.main(["--tests"]) == 1
    said = capsys.readouterr().err.splitlines()
    assert len(said) == 1
    assert said[0].startswith("missing: python3-venv chromium-headless-shell libatomic1 ")


def test_who_is_not_root_is_told_the_command(
    bare: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bare.shutil, "which", having("apt-get"))
    monkeypatch.setattr(bare.os, "geteuid", lambda: 1000, raising=False)
    assert bare.install(["chromium"]) == (
        "missing: chromium; install with: sudo apt-get install chromium"
    )


@pytest.mark.parametrize(
    ("known", "browser"), [(True, "chromium-headless-shell"), (False, "chromium")]
)
def test_root_on_debian_installs_them(
    bare: ModuleType, monkeypatch: pytest.MonkeyPatch, known: bool, browser: str
) -> None:
    """A release that has no browser without a window gets the one with it."""
    called: list[list[str]] = []

    class Ran:
        stderr = "E: Unable to locate package"

        def __init__(self, returncode: int) -> None:
            self.returncode = returncode

    def ran(words: list[str], **how: object) -> Ran:
        called.append(words)
        return Ran(100 * ("--simulate" in words and not known))

    monkeypatch.setattr(bare.shutil, "which", having("apt-get"))
    monkeypatch.setattr(bare.os, "geteuid", lambda: 0, raising=False)
    monkeypatch.setattr(bare.subprocess, "run", ran)
    assert bare.install(["python3-venv", "chromium-headless-shell"]) == ""
    assert [words[2] for words in called] == ["update", "install", "install"]
    assert called[2][-2:] == ["python3-venv", browser]


@pytest.mark.parametrize(
    ("user", "there", "calls"),
    [(0, "chromium", 2), (0, "chromium-headless-shell", 0), (1000, "chromium", 0)],
)
def test_the_quickest_browser_comes_beside_another_and_its_absence_is_no_error(
    bare: ModuleType, monkeypatch: pytest.MonkeyPatch, user: int, there: str, calls: int
) -> None:
    called: list[tuple[str, ...]] = []

    def apt(*words: str) -> str:
        called.append(words)
        return "" if words == ("update",) else "failed"

    monkeypatch.setattr(bare.shutil, "which", having("apt-get", there))
    monkeypatch.setattr(bare.os, "geteuid", lambda: user, raising=False)
    monkeypatch.setattr(bare, "_apt", apt)
    assert bare.hasten() is None
    assert len(called) == calls
    assert not calls or called[-1][-1] == "chromium-headless-shell"


def test_what_could_not_be_installed_is_said_with_its_reason(
    bare: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Ran:
        returncode = 100
        stderr = "E: no network"

    monkeypatch.setattr(bare.shutil, "which", having("apt-get"))
    monkeypatch.setattr(bare.os, "geteuid", lambda: 0, raising=False)
    monkeypatch.setattr(bare.subprocess, "run", lambda *_, **__: Ran)
    assert bare.install(["libatomic1"]) == (
        "missing: libatomic1; `apt-get update` failed: E: no network"
    )


def test_an_older_python_is_refused_in_one_line(
    set_up: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(set_up, "OLDEST", (99, 0))
    assert set_up.main([]) == 1
    assert capsys.readouterr().err.startswith("missing: Python 3.11 or later; this is ")


def test_the_browser_tests_look_for_the_same_names(set_up: ModuleType) -> None:
    from tests.browser.conftest import BROWSERS

    assert set_up.BROWSERS == BROWSERS
