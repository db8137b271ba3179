"""Make .venv ready: `python3 .ci/set_up.py` to use qlog, with `--tests` to test it.

Needs nothing but Python. On Debian and its relatives, run as root, it installs the system packages
that are missing; anywhere else it says in one line what is missing. Run again, it goes on.
"""

from __future__ import annotations

import ctypes
import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
OLDEST = (3, 11)
#: As tests/browser looks for it, the quickest first; CHROMIUM may name another.
BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
FONTS = Path("/usr/share/fonts/truetype/dejavu")


def missing(tests: bool) -> list[str]:
    """Debian's names of what this machine lacks."""
    found = []
    if importlib.util.find_spec("ensurepip") is None:
        found.append("python3-venv")
    if tests:
        named = os.environ.get("CHROMIUM")
        if not any(shutil.which(name) for name in (named, *BROWSERS) if name):
            found.append(BROWSERS[0])
        if sys.platform == "linux" and shutil.which("apt-get") and not FONTS.is_dir():
            found.append("fonts-dejavu-core")
        if sys.platform == "linux" and not loads("libatomic.so.1"):
            found.append("libatomic1")  # what drives the browser is linked against it
    return found


def loads(library: str) -> bool:
    """Whether a shared library is there."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def install(packages: list[str]) -> str:
    """Install Debian packages; where that cannot be, one line that says what is missing."""
    names = " ".join(packages)
    if shutil.which("apt-get") is None:
        return f"missing: {names} (a browser of that family may be named in CHROMIUM); install it"
    if os.geteuid() != 0:
        return f"missing: {names}; install with: sudo apt-get install {names}"
    why = _apt("update")
    if not why and BROWSERS[0] in packages and _apt("install", "--simulate", BROWSERS[0]):
        # Earlier releases have the whole browser alone, which does as well, and takes longer.
        packages = [BROWSERS[1] if name == BROWSERS[0] else name for name in packages]
    why = why or _apt("install", "-y", "--no-install-recommends", *packages)
    return f"missing: {' '.join(packages)}; {why}" if why else ""


def hasten() -> None:
    """Install the quickest browser beside another that is there, where that can be done at once.

    The tests find the same with either, and take longer without it.
    """
    named = os.environ.get("CHROMIUM") or shutil.which(BROWSERS[0])
    if not named and shutil.which("apt-get") and os.geteuid() == 0 and not _apt("update"):
        _apt("install", "-y", "--no-install-recommends", BROWSERS[0])


def _apt(*words: str) -> str:
    """Run apt-get; why it failed, or nothing."""
    environment = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    ran = subprocess.run(
        ["apt-get", "-qq", *words], env=environment, capture_output=True, text=True, check=False
    )
    if not ran.returncode:
        return ""
    return f"`apt-get {words[0]}` failed: {' '.join(ran.stderr.split())[-300:]}"


def make_environment(tests: bool) -> int:
    """The virtual environment with qlog in it, and with what the tests use."""
    home = TOP / ".venv"
    python = home / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")
    sound = python.exists() and not _status(python, "-m", "pip", "--version", quiet=True)
    if not sound and (failed := _status(sys.executable, "-m", "venv", "--clear", home)):
        return failed
    return _status(python, "-m", "pip", "install", "-q", f"{TOP}[dev]" if tests else TOP)


def _status(*words: str | Path, quiet: bool = False) -> int:
    out = subprocess.DEVNULL if quiet else None
    return subprocess.run([*map(str, words)], stdout=out, stderr=out, check=False).returncode


def main(words: list[str]) -> int:
    """0 when all is ready, 1 when something is missing, 2 for a call that is not understood."""
    if sys.version_info < OLDEST:
        print(f"missing: Python 3.11 or later; this is {sys.version.split()[0]}", file=sys.stderr)
        return 1
    if words not in ([], ["--tests"]):
        print("use: python3 .ci/set_up.py [--tests]", file=sys.stderr)
        return 2
    tests = bool(words)
    lacking = missing(tests)
    if lacking and (said := install(lacking)):
        print(said, file=sys.stderr)
        return 1
    if tests:
        hasten()
    return 1 if make_environment(tests) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
