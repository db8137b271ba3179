"""What is refused in a German build is refused in German: calls, files, the plan, the logbook."""

import re
from pathlib import Path

import pytest

from tests.cli.test_german_everywhere import ENGLISH, TYPED
from tests.conftest import run_qlog

#: Calls that are refused; FOLDER is that of the build.
REFUSED = """
read cup 20 bore 99 22.01
read ghost 10
read cup 99
read cup 20 depth 1 3
read cup 20 bore 1 abc
read cup 20 bore 1 22.01.3
read cup 20 bore 1 1e3
read cup 20 bore 1 22.01kg
read cup 20 look 1 22
read cup
read --csv FOLDER/none.csv
done cup 20 9
done cup 20 1
setup cup 30 1 tool
piece cup-9
piece cup-1 scrap
piece cup-1 remake
undo 99 --why x
correct cup 20 bore 1 22.01 --why x
correct cup 20 bore 1 22.01
send cup 20
send cup 20 --to x
back cup 20
note ghost x
stock ghost
cut cup
cut cup=abc
cut cup=31 --bar x
gauge check ghost 10 10.001
gauge study micrometer cup look
fit ghost
match
assemble tall-1 cup-1
assemble
photo place 3 cup
photo show nobody x
photo clock FOLDER/none.jpg
photo unplaced --accept 9
drawing cup
drawing cup FOLDER/build.toml
drawing cup --at bore=2,2
revise cup.bore
revise cup.bore Ø22
rename dim cup.bore
rename dim cup.ghost x
learn FOLDER
learn FOLDER/none
add op cup --number 20 --name x
export -o FOLDER/build.toml --wide
sheet cup 20 -o FOLDER/logbook.db
merge FOLDER
merge FOLDER/none
restore FOLDER/none FOLDER/again
backup FOLDER/photos
manual ghost
xyz
plan --json=3
read --ghost
read --ht
revise cup --spare x
revise cup --spare -1
record --hide x
export --csv fr
export -o
add joint cup.bore cup.height
gauge chek
sheet cup 20 -o FOLDER
photo show 1 x
stock a b
stock a b c
setup cup 20 1
setup cup 20 1 blunt
phone --port 99999999
restore FOLDER/nowhere x
new FOLDER/build.toml
record --check FOLDER
photo add FOLDER/nowhere.jpg
"""


@pytest.fixture
def german(build_dir: Path) -> Path:
    plan = build_dir / "build.toml"
    text = plan.read_text("utf-8").replace('units = "mm"', 'units = "mm"\nlanguage = "de"')
    plan.write_text(text, encoding="utf-8", newline="\n")
    return build_dir


#: How a call is written, which is the same in every language, and names of keys and tables.
NAMES = re.compile(
    r"hier bekannt: .*|es gibt: .*|\b(needed|place)\b( =| hat)|\((reading|entry)\)|"
    r"Aufruf: (?s:.*?)\n(?=Hilfe)|Möglich sind:(?:\n\t.*)+|keines von .*|\{[a-z|]+\}"
)


def left(said: str) -> list[str]:
    """English words in what was said, but for what is the same in every language."""
    lines = NAMES.sub(" ", said).splitlines()
    return [s for s in lines if ENGLISH.search(TYPED.sub(" ", s))]


def test_what_is_refused_is_refused_in_german(german: Path) -> None:
    wrong = {}
    for line in filter(None, REFUSED.split("\n")):
        call = [w.replace("FOLDER", str(german)) for w in line.split()]
        ran = run_qlog("--build", str(german), *call)
        assert ran.err or ran.out, line
        if english := left(ran.err):
            wrong[line] = english
    assert wrong == {}


def test_mistakes_of_the_plan_are_named_in_german(german: Path) -> None:
    plan = german / "build.toml"
    text = plan.read_text("utf-8")
    text = text.replace("Ø22 +0.05/0", "Ø22 H99").replace("32 ±0.1", "about").replace(
        'instrument = "caliper"', 'instrument = "ghost"'
    )  # fmt: skip
    plan.write_text(text + '\n[[part]]\nid = "cup"\nneeded = -1\nghost = 3\n', encoding="utf-8")
    for call in ("plan", "status"):
        ran = run_qlog("--build", str(german), call)
        assert len(ran.err.splitlines()) > 4 and left(ran.err) == []
    plan.write_text(text.replace("needed = 3", "needed ="), encoding="utf-8")
    assert left(run_qlog("--build", str(german), "plan").err) == []


def test_damage_is_named_in_german(german: Path) -> None:
    assert run_qlog("--build", str(german), "read", "cup", "20", "bore", "1", "22.01").status == 0
    import sqlite3

    with sqlite3.connect(german / "logbook.db", isolation_level=None) as db:
        for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type='trigger'").fetchall():
            db.execute(f'DROP TRIGGER "{name}"')
        db.execute("UPDATE reading SET value = '22.04'")
    db.close()
    ran = run_qlog("--build", str(german), "verify")
    assert ran.status == 1 and "nicht, wie er eingetragen wurde" in ran.err
    assert left(ran.err) == []
