"""Every `--json` answer against its schema, which knows each field and no other."""

import json
import re
import subprocess
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from qlog.cli.terminal.say import VERSIONS
from qlog.manual import text
from tests.conftest import run_qlog
from tests.kills import make_bench

#: What is asked, where the name alone is no question.
LINES = {"cut": "cut cup=30 pin=20x3 --bar 300 --kerf 2", "find": "find cup sour"}
SCHEMAS = files("qlog.manual") / "schemas"


def schema(command: str) -> Any:
    name = f"{command.replace(' ', '-')}.json"
    return json.loads((SCHEMAS / name).read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def worked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A build with readings, photos, a joint, items, a spare that was scrapped, a kept match."""
    bench = make_bench(tmp_path_factory.mktemp("shapes"))
    for line in (
        f"photo add {bench.given}/card",
        "piece cup-5 scrap --why dropped",
        "match --keep",
    ):
        assert run_qlog("--build", str(bench.build), *line.split()).status in (0, 1)
    return bench.build


def test_there_is_a_schema_for_every_answer_and_none_besides() -> None:
    assert {f"{c.replace(' ', '-')}.json" for c in VERSIONS} == {p.name for p in SCHEMAS.iterdir()}
    for command, version in VERSIONS.items():
        shape = schema(command)
        Draft202012Validator.check_schema(shape)
        assert shape["properties"]["form"]["const"] == f"qlog {command}"
        assert shape["properties"]["version"]["const"] == version
        assert f"| `qlog {command}` |" in text("json")
        for field in _objects(shape):
            assert field["additionalProperties"] is False or field["additionalProperties"], command
            assert all(p.get("description") for p in field.get("properties", {}).values()), command


def test_every_command_that_has_json_says_it_in_a_form() -> None:
    sources = Path(files("qlog.cli").joinpath("."))  # type: ignore[arg-type]
    said = [p.read_text("utf-8") for p in sources.rglob("*.py") if p.name != "say.py"]
    assert sorted(re.findall(r'say_json\(\s*"([^"]+)"', "".join(said))) == sorted(
        [*VERSIONS, "plan"]  # a plan, or its mistakes
    )
    assert not [text for text in said if "json.dump" in text]


def _objects(shape: Any) -> list[Any]:
    found = [shape] if isinstance(shape, dict) and "additionalProperties" in shape else []
    below = shape.values() if isinstance(shape, dict) else shape if isinstance(shape, list) else ()
    return found + [one for part in below for one in _objects(part)]


def held(command: str, said: str) -> Any:
    answer = json.loads(said)
    assert [e.message for e in Draft202012Validator(schema(command)).iter_errors(answer)] == []
    assert list(answer)[:2] == ["form", "version"]
    return answer


@pytest.mark.parametrize("command", VERSIONS)
def test_an_answer_is_as_its_schema_says(command: str, worked: Path, build_dir: Path) -> None:
    for build in (worked, build_dir):  # and of a build in which nothing was done yet
        ran = run_qlog("--build", str(build), *LINES.get(command, command).split(), "--json")
        if ran.status == 2:  # there is no item to match pieces for, no pin to cut
            assert (command in ("match", "cut"), build, ran.out) == (True, build_dir, "")
        else:
            held(command, ran.out)


def test_the_mistakes_of_a_plan_are_an_answer_too(build_dir: Path) -> None:
    (build_dir / "build.toml").write_text("title = 3\n[[part]]\n", encoding="utf-8")
    ran = run_qlog("--build", str(build_dir), "plan", "--json")
    assert ran.status == 1
    assert held("plan", ran.out)["mistakes"]


def test_the_mistakes_of_a_plan_are_words_of_its_language_in_a_process_of_their_own(
    build_dir: Path,
) -> None:
    """Asked of another process: in this one everything is loaded already."""
    for language, what in (("en", "title is not a text"), ("de", "title ist kein Text")):
        plan = f'language = "{language}"\ntitle = 3\n'
        (build_dir / "build.toml").write_text(plan, encoding="utf-8")
        asked = "from qlog.cli.main import main; main()"
        words = [
            sys.executable,
            "-X",
            "utf8",
            "-c",
            asked,
            "--build",
            str(build_dir),
            "plan",
            "--json",
        ]
        ran = subprocess.run(words, capture_output=True, text=True, encoding="utf-8", check=False)
        assert what in [m["what"] for m in held("plan", ran.stdout)["mistakes"]]


def test_an_unknown_command_is_told_in_words_in_a_process_of_its_own() -> None:
    words = [sys.executable, "-c", "from qlog.cli.main import main; main()", "statsu"]
    ran = subprocess.run(words, capture_output=True, text=True, encoding="utf-8", check=False)
    assert "no command 'statsu'; did you mean status?" in ran.stderr


def test_what_is_exact_is_text_and_times_have_their_offset(worked: Path) -> None:
    spread = json.loads(run_qlog("--build", str(worked), "spread", "--json").out)["dimensions"]
    bore = next(d for d in spread if d["dimension"] == "bore")
    assert bore["statistics"]["mean"] == "12.0125"
    photos = json.loads(run_qlog("--build", str(worked), "photo", "list", "--json").out)["photos"]
    assert {p["taken_offset"] for p in photos} == {"+01:00"}
