"""Every command that `status` prints can be typed as it stands, in whatever state the build is."""

import re
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path

from qlog.logbook.store import create
from qlog.words.catalogue import Texts, load
from tests.conftest import SMALL_PLAN, Ran, run_qlog
from tests.odd_photos import jpeg

PLATED = """
  [[part.op]]
  number = 30
  name = "plate"
  kind = "plating"
  sent-out = "the platers"
"""
HEIGHT = '  [[part.dim]]\n  id = "height"'
PLAN = (
    SMALL_PLAN.replace(HEIGHT, PLATED + HEIGHT, 1)
    + """
[[item]]
id = "set"
name = "Set"
count = 2
takes = { cup = 1, ring = 1 }
"""
)

#: What happens to the build, line by line; after each the suggestions are looked at. A line that
#: begins with @ edits build.toml: what stands there, and what shall.
STORY = """
start cup 10 -n "speed 900"
done cup 20 1 --override "set up twice"
read cup 10 height 1 32.01
read cup 10 height 2 32.41
read cup 10 height 3 32.00
done cup 10 1-3
read cup 20 bore 1 22.049
read cup 20 bore 2 22.09
done cup 20 2,3
piece cup-2 rework --op 20 --why "a step left"
piece cup-2 use-as-is --why "never seen"
piece cup-4 scrap --why "fell"
piece cup-3 scrap --why "fell too"
setup cup 20 1 re-touch
gauge check micrometer 10 10.1
read cup 20 bore 1 22.03 --again
send cup 30 1 --to "the platers"
back cup 30
note cup "a photo is missing" --op 10
@ Ø22 +0.05/0 | Ø22 +0.02/0
@ id = "bore" | id = "socket"
read ring 10 outside 1 "25.41 mm"
read ring 10 outside 2 1.0005
done ring 10
done cup 10
done cup 30
assemble set-1 cup-1 ring-1
""".strip().splitlines()


def typed(hint: str, photo: Path) -> list[str]:
    """A hint with its placeholders filled in, as somebody would."""
    value = "32.02" if "height" in hint else "ok" if "look" in hint else "22.03"
    for name, put in (
        ("--why ...", "--why tested"), ("VALUE", value), ("PIECES", "1"),
        ("INSTRUMENT", "micrometer"), ("NEW", "socket"),
        ("PIECE", "1"), ("PART", "cup"), ("OP", "20"), ("FILE", str(photo)), ("WHO", "platers"),
        ("...", "tested"),
    ):  # fmt: skip
        hint = hint.replace(name, put)
    return shlex.split(hint)[1:]


def run(folder: Path, *words: str) -> Ran:
    return run_qlog("--build", str(folder), *words, stdin="")


def states(folder: Path) -> Iterator[str]:
    """The build after each line of the story."""
    yield "begun"
    plan = folder / "build.toml"
    for line in STORY:
        if line.startswith("@ "):
            old, new = line[2:].split(" | ")
            text = plan.read_text(encoding="utf-8")
            assert old in text
            plan.write_text(text.replace(old, new, 1), encoding="utf-8")
        else:
            words = shlex.split(line)
            ran = run(folder, *words)
            assert ran.status != 2 or "no reading of" in ran.err, (line, ran.err)
        yield line


def commands(text: str) -> list[str]:
    """The commands of a text, with a star for every word to be filled in."""
    found = re.findall(r"`(qlog [^`]+)`", re.sub(r'"[^"]+"', "*", text))
    return sorted(re.sub(r"\b[A-ZÄÖÜ]{2,}\b", "*", hint) for hint in found)


def test_german_prints_the_same_commands() -> None:
    english, german = load("en").texts, load("de").texts
    assert isinstance(english, Texts) and isinstance(german, Texts)
    told = {key: text for key, text in english.whole().items() if "`qlog " in text}
    assert len(told) > 20
    german.whole()
    other = {k: (v, german[k]) for k, v in told.items() if commands(v) != commands(german[k])}
    assert other == {}


def test_every_command_that_status_prints_can_be_typed(tmp_path: Path) -> None:
    folder = tmp_path / "b"
    folder.mkdir()
    (folder / "build.toml").write_text(PLAN, encoding="utf-8")
    create(folder / "logbook.db")
    photo = jpeg(tmp_path / "IMG_1.jpg")
    seen: set[str] = set()
    refused = []
    for state in states(folder):
        said = run(folder, "status").out + run(folder).out
        for hint in re.findall(r"`(qlog [^`]+)`", re.sub(r"\s+", " ", said)):
            kind = re.sub(r"\d+", "0", hint)
            if kind in seen or "qlog status" in hint:
                continue
            seen.add(kind)
            copy = tmp_path / "copy"
            shutil.copytree(folder, copy)
            ran = run(copy, *typed(hint, photo))
            if ran.status == 2:
                refused.append((state, hint, ran.err))
            shutil.rmtree(copy)
    assert refused == [], "\n".join(map(str, refused))
    assert len(seen) >= 10, sorted(seen)
