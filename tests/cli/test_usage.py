"""What the library that reads the command line refuses, in the words of the catalogue."""

import ast
import errno
import inspect
import sqlite3
import string
from pathlib import Path

import click
import pytest

from qlog.cli.main import qlog
from qlog.cli.usage import MESSAGES
from qlog.problem import ToSay
from qlog.words.catalogue import languages, load
from qlog.words.problems import in_words
from tests.commands import commands
from tests.conftest import run_qlog

#: Messages that no call of qlog can meet: for the author of a command, for types that none uses,
#: and for those parts of the library that qlog has words of its own for.
NEVER = {
    "Aborted!", "Choice({choices})", "Commands", "Could not open file {filename!r}: {message}",
    "Error: {message}", "Invalid start character for option ({option})", "Missing command.",
    "Missing parameter: {param_name}", "Missing {param_type}",
    "Name '{name}' defined twice", "Options", "Positional arguments",
    "Try '{command} {option}' for help.", "Value must be an iterable.", "deprecated",
    "directory", "file", "path", "unknown error", "(dynamic)", "default: {default}",
    "env var: {var}", "{name} {filename!r} is not executable.", "{value!r} is not a valid UUID.",
    "{value!r} is not a valid boolean. Recognized values: {states}",
    "{value!r} does not match the format {format}.",
    "{value!r} does not match the formats {formats}.",
    "{len_type} values are required, but {len_value} was given.",
    "{len_type} values are required, but {len_value} were given.",
}  # fmt: skip


def messages() -> set[str]:
    """Every text that the library's readers of a call hand to gettext."""
    found = set()
    for module in (click.core, click.exceptions, click.parser, click.types):
        for node in ast.walk(ast.parse(inspect.getsource(module))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) in ("_", "ngettext"):
                found |= {a.value for a in node.args if isinstance(a, ast.Constant)}
    return {text for text in found if isinstance(text, str)}


def fields(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def test_every_message_of_the_library_that_a_user_meets_has_words() -> None:
    there = messages()
    assert set(MESSAGES) <= there
    author = ("eprecat", "'{name}'", "{decl", "was passed ({name})")  # to whoever writes a command
    left = there - set(MESSAGES) - NEVER
    assert {text for text in left if not any(word in text for word in author)} == set()


@pytest.mark.parametrize("language", languages())
def test_words_name_only_what_the_library_fills_in(language: str) -> None:
    for message, key in MESSAGES.items():
        assert fields(load(language)(f"usage.{key}")) <= fields(message), message


def test_no_option_is_of_a_type_whose_refusals_have_no_words() -> None:
    params = [p for command in (qlog, *dict(commands()).values()) for p in command.params]
    kinds = {type(p.type) for p in params}
    known = {"StringParamType", "IntParamType", "IntRange", "FloatRange", "Choice", "Path",
             "BoolParamType", "UnprocessedParamType"}  # fmt: skip
    assert len(params) > 200
    assert {kind.__name__ for kind in kinds} <= known


@pytest.mark.parametrize("language", languages())
def test_what_the_system_refuses_is_said_by_its_number(language: str, tmp_path: Path) -> None:
    """Errors made by the system itself; the names are those of POSIX.1-2017, <errno.h>."""
    words = load(language)
    with pytest.raises(OSError) as none:
        (tmp_path / "none").open()
    said = in_words(words, ToSay("error.cannot_be_read", error=none.value))
    assert words("os.ENOENT") in said and str(tmp_path) not in said
    unknown = OSError(errno.EDOM, "what the system says")
    assert in_words(words, unknown) == "what the system says"
    assert in_words(words, OSError("no number")) == "no number"
    held = PermissionError(errno.EACCES, "as Windows puts it")
    assert in_words(words, held) == words("os.EACCES")
    held.winerror = 32  # type: ignore[attr-defined,unused-ignore]  # ERROR_SHARING_VIOLATION
    assert in_words(words, held) == words("os.EBUSY")


@pytest.mark.parametrize("language", languages())
def test_what_the_database_refuses_is_said_by_its_number(language: str, tmp_path: Path) -> None:
    """Result codes of SQLite, sqlite.org/rescode.html: 26 no database, 14 cannot open."""
    words, odd = load(language), tmp_path / "odd.db"
    odd.write_bytes(b"no database at all, and long enough for a head " * 9)
    seen = {}
    for name, target in (("odd", str(odd)), ("none", f"file:{tmp_path}/no/x.db?mode=ro")):
        db = None
        with pytest.raises(sqlite3.Error) as error:
            db = sqlite3.connect(target, uri=target.startswith("file:"))
            db.execute("SELECT * FROM sqlite_master")
        if db is not None:
            db.close()
        seen[name] = in_words(words, error.value)
    assert seen == {"odd": words("sqlite.26"), "none": words("sqlite.14")}


def test_a_call_is_refused_in_the_language_of_its_build(build_dir: Path) -> None:
    at = ("--build", str(build_dir))
    english = run_qlog(*at, "revise", "cup", "--spare", "x")
    assert english.status == 2 and "Error: Invalid value for '--spare': 'x' is not" in english.err
    assert english.err.startswith("Usage: qlog revise [OPTIONS]")
    plan = build_dir / "build.toml"
    text = plan.read_text("utf-8").replace('units = "mm"', 'units = "mm"\nlanguage = "de"')
    plan.write_text(text, encoding="utf-8", newline="\n")
    for call, said in {
        "setup cup": "Fehler: Es fehlt 'OP'.",
        "revise cup --spare x": "Fehler: '--spare' geht so nicht: 'x' ist keine gültige Zahl.",
        "revise cup --spare -1": "Fehler: '--spare' geht so nicht: -1 liegt nicht in 0<=x<=1000.",
        "plan --jsn": "Fehler: Die Option '--jsn' gibt es nicht. War '--json' gemeint?",
        "stock a b": "Fehler: Ein Wort zu viel (b)",
        "gauge chek": "Fehler: Den Befehl 'chek' gibt es nicht. War 'check' gemeint?",
        "export -o": "Fehler: Die Option '-o' braucht einen Wert.",
    }.items():
        ran = run_qlog(*at, *call.split())
        assert ran.status == 2 and said in ran.err.splitlines(), call
    assert "Hilfe gibt `qlog setup --help`." in run_qlog(*at, "setup", "cup").err
    assert "Usage: qlog setup" in run_qlog(*at, "setup", "--help").out
    for group in ("gauge", "photo", "add"):  # alone they give their help, and only that
        alone = run_qlog(*at, group)
        assert (alone.status, alone.err) == (2, run_qlog(*at, group, "--help").out), group
