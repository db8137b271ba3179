"""Every command on the example build in German: no English word on the screen or on a bench page.

Help texts may stay English, and so may what the maker wrote: names, notes, captions.
"""

import os
import re
import shutil
import sqlite3
import tomllib
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from qlog.cli.main import COMMANDS
from tests.conftest import run_qlog
from tests.demo_record import demo

#: English words that German does not have.
ENGLISH = re.compile(
    r"\b(the|and|of|with|pieces?|readings?|not|this|these|is|are|were|has|have|no|nothing|none|"
    r"missing|needed|limits?|rule|read|from|done|entered|left|out|good|yes|keep|drop|scrapped|note|"
    r"first|next|photos?|taken|by|it|its|all|each|every|to|at|for|one|entry|entries|pages?|files?|"
    r"cards?|open|print|place|placed|date|unknown|as|than|then|or|would|cannot|must)\b",
    re.I,
)
#: What is the same in every language: commands to type, words of commands, changes of the plan.
TYPED = re.compile(
    r"`[^`]*`|\bqlog [a-z].*|use-as-is|scrap\|rework|--[a-z-]+|.* -> .*|\S*[/\\]\S*|not ok"
)

#: What is no text on a page.
MARKUP = re.compile(r"<(style|script)>.*?</\1>|<svg.*?</svg>|<[^>]*>", re.DOTALL)

#: A call or two of every command but those of ELSEWHERE; the folder of the build is FOLDER.
CALLS = """
card cup 20 1-3
card --mat cup
correct cup 20 bore 3 22.04 --why x
cut cup=31.5 foot=30x4 --bar 2x500 --kerf 2 --facing 1
cut cup=31.5
done cup 10 1
drift
drift cup
find cup-1
find Juni
export -o FOLDER/out.csv
fit
fit slide-tall
fit --for tall-stem-6
gauge budget tall-stem spigot
gauge check micrometer 10 10.001
gauge study micrometer tall-stem spigot
match
match --keep --why x
note cup x
assemble tall-1 --size 180.04 --why x
assemble --as-matched
photo add FOLDER/new FOLDER/new/one.png
find cup-7
find 6. Juni
photo unplaced --sheet
photo list --sheet FOLDER/list.html
photo list cup 20
photo caption 14 x
photo caption 14 ""
photo show 14-15 maker
photo cover 14
photo cover 14 none
photo best 14
photo place 14 cup 20
photo place 14 cup 20 3
photo place 15 --item tall-1
photo place 15 --cover
photo clock
photo clock --show
piece cup-3
piece pan-6
plan
plan cup --both
read cup 20 bore 3 22.04
record --check FOLDER/../en
revise
revise cup.bore Ø22H8 --from 9 --why x
setup cup 20 3 tool
sheet cup 20
spread
spread cup
start cup 20
find cup bore gibtesnicht
find cup-99
find heute Fotos
status
stock
undo
backup
backup FOLDER/../away
verify
restore FOLDER/../away FOLDER/../again
"""

#: The first four begin a build or read the reference; the others are asked in German on the small
#: build, in `test_german_bench.py` and beside their own tests.
ELSEWHERE = {
    "new",
    "demo",
    "manual",
    "add",
    "rename",
    "drawing",
    "merge",
    "phone",
    "record",
    "send",
    "learn",
    "back",
}


@pytest.fixture(scope="module")
def german(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    source, folder = demo().folder, tmp_path_factory.mktemp("german") / "build"
    shutil.copytree(source, folder, copy_function=os.link, ignore=shutil.ignore_patterns("record"))
    shutil.copytree(source / "record" / "recipient", folder.parent / "en", copy_function=os.link)
    for name in ("build.toml", "logbook.db"):
        (folder / name).unlink()
        shutil.copy(source / name, folder / name)
    plan = folder / "build.toml"
    text = plan.read_text("utf-8").replace('language = "en"', 'language = "de"')
    text = text.replace('"No. 1..No. 4"', '"Nr. 1..Nr. 4"').replace(
        '"No. 5..No. 8"', '"Nr. 5..Nr. 8"'
    )
    plan.write_text(text, encoding="utf-8", newline="\n")
    (folder / "new").mkdir()
    from PIL import Image

    Image.new("L", (40, 30), 90).save(folder / "new" / "one.png")
    Image.new("L", (40, 30), 190).save(folder / "new" / "two.jpg", format="PNG")
    (folder / "new" / "list.txt").write_text("x", encoding="utf-8")
    yield folder


def own_words(folder: Path) -> list[str]:
    """What the maker wrote, in plan and logbook, the longest first."""
    found: set[str] = set()

    def collect(value: object) -> None:
        if isinstance(value, str):
            found.add(value)
        elif isinstance(value, dict):
            for key, one in value.items():
                found.add(key)
                collect(one)
        elif isinstance(value, list):
            for one in value:
                collect(one)

    collect(tomllib.loads((folder / "build.toml").read_text("utf-8")))
    with closing(sqlite3.connect(folder / "logbook.db")) as db:
        tables = [n for (n,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        for table in tables:
            if table != "revision":
                for row in db.execute(f'SELECT * FROM "{table}"'):
                    found |= {v for v in row if isinstance(v, str)}
    return sorted((w for w in found if len(w) > 1), key=len, reverse=True)


def english(text: str, own: list[str]) -> list[str]:
    left = []
    for line in text.splitlines():
        bare = TYPED.sub(" ", line)
        for word in own:
            bare = bare.replace(word, " ")
        if found := ENGLISH.search(bare):
            left.append(f"{found[0]!r} in: {line.strip()}")
    return left


def test_no_english_word_is_on_the_screen(german: Path) -> None:
    said = {}
    calls = [line.replace("FOLDER", str(german)) for line in CALLS.split("\n") if line]
    for call in calls:
        words = [w if w != '""' else "" for w in call.split()]
        ran = run_qlog("--build", str(german), *words)
        assert ran.status < 2, (call, ran.err)
        said[call] = ran.out + ran.err
    own = own_words(german)
    for page in sorted(german.glob("*.html")):
        said[page.name] = MARKUP.sub(" ", page.read_text("utf-8"))
    assert {k: v for call, text in said.items() for k, v in [(call, english(text, own))] if v} == {}


def test_every_command_is_called() -> None:
    called = {line.split()[0] for line in CALLS.split("\n") if line}
    assert called | ELSEWHERE == set(COMMANDS)
