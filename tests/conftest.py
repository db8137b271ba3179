"""What every test may use: a small build of its own, and the command line run in-process."""

import gc
import io
import os
import sys
from collections.abc import Callable, Generator, Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import settings

# What is compiled is kept, also where the environment has switched that off: the workers, and some
# hundred commands run as processes of their own, would compile qlog anew each time, for as long as
# many of them run. Said before anything of qlog is imported, and handed on to all of them.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

import qlog.words.problems  # noqa: E402, F401 - what is raised is then said in English

# The same examples in every run, and no time limit on a busy machine.
settings.register_profile("same", derandomize=True, deadline=None)
settings.load_profile("same")


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Look for no garbage while ten thousand tests are collected, nor again and again in them."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


#: Invented, like everything in the demo: two small parts with few pieces.
SMALL_PLAN = """\
title = "Two small parts"
units = "mm"
general = "ISO 2768-m"
rule = "simple"

[material.brass]
name = "brass"
expansion = 20

[instrument.caliper]
name = "caliper"
kind = "caliper"
step = 0.01
error = 0.03

[instrument.micrometer]
name = "micrometer"
kind = "micrometer"
step = 0.001
error = 0.002

[[part]]
id = "cup"
name = "Cup"
material = "brass"
needed = 3
spare = 1

  [[part.op]]
  number = 10
  name = "turn outside"
  kind = "turning"
  photos = 1

  [[part.op]]
  number = 20
  name = "bore"
  kind = "boring"

  [[part.dim]]
  id = "height"
  name = "height"
  callout = "32 ±0.1"
  op = 10
  instrument = "caliper"
  measures = "length"

  [[part.dim]]
  id = "bore"
  name = "socket"
  callout = "Ø22 +0.05/0"
  op = 20
  instrument = "micrometer"
  measures = "inside"

  [[part.dim]]
  id = "look"
  name = "look"
  callout = "by eye: no scratches"
  op = 20

[[part]]
id = "ring"
name = "Ring"
needed = 2
spare = 0

  [[part.op]]
  number = 10
  name = "part off"
  kind = "parting"

  [[part.dim]]
  id = "outside"
  name = "outside diameter"
  callout = "1 in ±.002"
  op = 10
  instrument = "micrometer"
"""


@pytest.fixture(scope="session", autouse=True)
def kept_plans(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Plans are kept in a folder of the tests, never in that of the person who runs them."""
    folder = tmp_path_factory.mktemp("cache")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("QLOG_CACHE", str(folder))
        yield folder


@pytest.fixture(scope="session", autouse=True)
def power_stays() -> Iterator[None]:
    """Nobody pulls the plug on a test: this process does not wait for the disk."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("qlog.logbook.log_file.SYNCHRONOUS", "OFF")
        patch.setattr(os, "fsync", lambda _: None)
        yield


@pytest.fixture(scope="session")
def empty_logbook(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A logbook just made: every one is the same to the byte, and making it takes a while."""
    from qlog.logbook.store import create

    path = tmp_path_factory.mktemp("empty") / "logbook.db"
    create(path)
    return path.read_bytes()


@dataclass(frozen=True)
class Ran:
    """What a command said and how it ended."""

    status: int
    out: str
    err: str


@pytest.fixture
def build_dir(tmp_path: Path, empty_logbook: bytes) -> Path:
    """A folder with the small plan and an empty logbook."""
    folder = tmp_path / "build"
    folder.mkdir()
    (folder / "build.toml").write_text(SMALL_PLAN, encoding="utf-8", newline="\n")
    (folder / "logbook.db").write_bytes(empty_logbook)
    return folder


def run_qlog(*words: str, stdin: str = "") -> Ran:
    """Run the command line in this process, as `qlog WORDS` would."""
    from qlog.cli.main import main

    out, err, before = io.StringIO(), io.StringIO(), sys.stdin
    sys.stdin = io.StringIO(stdin)
    status = 0
    try:
        with redirect_stdout(out), redirect_stderr(err):
            main(list(words))
    except SystemExit as stop:
        status = stop.code if isinstance(stop.code, int) else 1
    finally:
        sys.stdin = before
    return Ran(status, out.getvalue(), err.getvalue())


@pytest.fixture
def run(build_dir: Path) -> Iterator[Callable[..., Ran]]:
    """The command line on the small build."""
    yield lambda *words, stdin="": run_qlog("--build", str(build_dir), *words, stdin=stdin)
