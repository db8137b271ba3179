"""The wheel holds what the folders hold, and the README's commands are those that CI runs."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    out = tmp_path_factory.mktemp("wheel")
    # Hatchling is called directly: isolation would fetch it from a registry.
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(out)],
        cwd=TOP,
        check=True,
        capture_output=True,
    )
    return zipfile.ZipFile(next(out.glob("*.whl")))


def files_under(folder: str, *skip: str) -> dict[str, bytes]:
    found = {}
    for path in sorted((TOP / folder).rglob("*")):
        name = path.relative_to(TOP).as_posix()
        hidden = any(p.startswith(".") or p == "__pycache__" for p in name.split("/"))
        if path.is_file() and not hidden and not name.startswith(skip):
            found[name] = path.read_bytes()
    return found


def test_wheel_holds_exactly_package_templates_and_demo(wheel: zipfile.ZipFile) -> None:
    wanted = files_under("qlog")
    wanted |= {f"qlog/{k}": v for k, v in files_under("site_templates").items()}
    wanted |= {
        "qlog/demo_build" + k.removeprefix("demo"): v
        for k, v in files_under("demo", "demo/render/", "demo/make_readings.py").items()
    }
    inside = {n: wheel.read(n) for n in wheel.namelist() if ".dist-info/" not in n}
    assert sorted(inside) == sorted(wanted)
    assert inside == wanted


def test_wheel_carries_licence_types_and_entry_point(wheel: zipfile.ZipFile) -> None:
    names = wheel.namelist()
    assert "qlog/py.typed" in names
    assert any(n.endswith("licenses/LICENSE") for n in names)
    points = next(n for n in names if n.endswith("entry_points.txt"))
    assert b"qlog = qlog.__main__:main" in wheel.read(points)


def test_readme_commands_are_one_line_each_and_those_of_ci() -> None:
    readme = (TOP / "README.md").read_text(encoding="utf-8")
    ci = (TOP / ".ci" / "run").read_text(encoding="utf-8")
    test_line = next(x for x in readme.splitlines() if x.endswith("/pytest"))
    assert test_line in ci.splitlines()
    demo_line = next(x for x in readme.splitlines() if x.endswith("qlog demo") and "venv" in x)
    assert demo_line.startswith("python3 .ci/set_up.py && ")
    assert test_line.startswith("python3 .ci/set_up.py --tests && ")
