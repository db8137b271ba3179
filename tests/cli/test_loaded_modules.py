"""A reading at the bench loads what it needs: importing what a command does not use is a defect."""

import subprocess
import sys
from pathlib import Path

import pytest

from qlog.logbook.facts import Reading
from qlog.logbook.store import Logbook
from tests.conftest import SMALL_PLAN, run_qlog

#: What no bench command may load: slow to import, and meant for photos, pages and batches.
HEAVY = {
    "PIL", "exifread", "jinja2", "markupsafe", "numpy", "pi_heif", "rich", "scipy", "segno",
    "sqlite_utils", "tree_sitter", "tree_sitter_toml", "zxingcpp",
    "asyncio", "csv", "email", "json", "logging", "python_calamine", "statistics", "unittest",
    "zoneinfo",
}  # fmt: skip

#: What one reading does without, though other commands at the bench may load it.
UNUSED = {"dataclasses", "locale", "tempfile"}

#: The rooms' modules that one reading may load; a new one has to be put here on purpose.
OWN = {
    "cli": {
        "bench", "bench.read", "context", "main", "terminal", "terminal.echo",
        "terminal.say", "terminal.text", "usage",
    },
    "drawing": {
        "build_file", "build_file.kept", "build_file.mistakes", "callouts", "callouts.callout",
        "decimals", "decision", "derived", "gift", "limits", "plan", "units",
    },
    "intake": {
        "bench", "bench.batch_so_far", "bench.readings", "bench.stream",
        "entry_checks", "entry_checks.examine", "entry_checks.questions", "entry_checks.slips",
        "entry_checks.surroundings", "typed", "typed.parse", "typed.places",
    },
    "logbook": {
        "chain", "facts", "log_file", "measured", "opening", "part_log", "queries", "schema",
        "store",
    },
    "review": {"instrument", "instrument.experience", "instrument.judging"},
    "study": {"conformity", "conformity.uncertainty", "conformity.verdict"},
    "words": {"catalogue", "en", "en.one_reading", "values"},
    "": {"frozen", "problem", "sha256", "worked_out"},
}  # fmt: skip


def loaded(folder: Path, *words: str) -> set[str]:
    code = (
        "import sys; from qlog.cli.main import main\n"
        f"try: main(['--build', {str(folder)!r}, *{list(words)!r}])\n"
        "except SystemExit as stop: assert stop.code in (0, 1), stop.code\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, encoding="utf-8", check=False
    )
    assert ran.returncode == 0, ran.stderr
    return set(ran.stderr.splitlines()[-1].split())


@pytest.fixture
def bored(build_dir: Path) -> Path:
    assert run_qlog("--build", str(build_dir), "done", "cup", "10").status == 0
    return build_dir


@pytest.mark.parametrize("kept", [True, False], ids=["plan kept", "plan read"])
@pytest.mark.parametrize(
    "words",
    [
        ("read", "cup", "20", "bore", "3", "22.031"),
        ("read", "cup", "20", "bore", "3", "22.031", "-t", "24"),
        ("read", "cup", "20"),
        ("done", "cup", "20"),
        ("setup", "cup", "20", "2", "tool"),
        ("piece", "cup-2", "scrap", "--why", "dropped"),
        ("correct", "--help"),
    ],
)
def test_bench_commands_load_nothing_heavy(
    bored: Path, words: tuple[str, ...], kept: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not kept:
        monkeypatch.setenv("QLOG_CACHE", "")
    modules = loaded(bored, *words)
    assert {m.partition(".")[0] for m in modules} & HEAVY == set()


def test_a_repeatability_study_keeps_the_bench_light(bored: Path) -> None:
    words = ("gauge", "study", "micrometer", "cup", "bore", "--pieces", "1-2", "--repeats", "2")
    typed = "22.020\n22.030\n22.021\n22.031\n"
    assert run_qlog("--build", str(bored), *words, stdin=typed).status == 0
    modules = loaded(bored, "read", "cup", "20", "bore", "3", "22.031")
    assert "qlog.study.gauge.repeatability" in modules
    assert {m.partition(".")[0] for m in modules} & (HEAVY - {"statistics"}) == set()


def test_one_reading_loads_these_modules_and_no_others(bored: Path) -> None:
    modules = loaded(bored, "read", "cup", "20", "bore", "3", "22.031")
    own = {m.removeprefix("qlog.") for m in modules if m.startswith("qlog.")}
    allowed = {f"{room}.{m}" if room else m for room, names in OWN.items() for m in names}
    assert own - allowed - {r for r in OWN if r} == set()
    assert modules & UNUSED == set()
    assert "cli.bench.read" in own


@pytest.fixture(scope="module")
def whole_batches(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two batches of ten that creep, so that trends, forecasts and their joint chance are made."""
    folder = tmp_path_factory.mktemp("batches") / "b"
    assert run_qlog("new", str(folder)).status == 0
    plan = SMALL_PLAN.replace("needed = 3\nspare = 1", "needed = 12\nspare = 2")
    (folder / "build.toml").write_text(plan, encoding="utf-8")
    with Logbook(folder / "logbook.db") as log:
        for piece in range(1, 11):
            for op, dimension, value in (
                (10, "height", f"32.{piece:02d}"),
                (20, "bore", f"22.0{2 * piece + 10 + piece % 2}"),
            ):
                unit = "mm"
                log.append(Reading("cup", op, dimension, piece, value, value, unit, "micrometer"))
    return folder


@pytest.mark.parametrize("words", [("status",), ("drift",), ("spread",), ("spread", "cup")])
def test_a_study_of_batches_loads_no_library_of_numerics(
    whole_batches: Path, words: tuple[str, ...]
) -> None:
    modules = loaded(whole_batches, *words)
    assert {m.partition(".")[0] for m in modules} & {"numpy", "scipy"} == set()
