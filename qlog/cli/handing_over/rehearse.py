"""`qlog record --rehearse`: what the recipient will see, to be approved, changed or hidden."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.terminal.say import say_line
from qlog.problem import Problem, ToSay
from qlog.words.catalogue import words_of

if TYPE_CHECKING:
    from qlog.logbook.facts import Said
    from qlog.record.keepsake.lines import Line, Lines
    from qlog.review.picture import Picture
    from qlog.words.catalogue import Words

ALL = "all"
#: What is not ready is told in so many lines after a build; the page has all of them.
_TOLD = 8


def rehearsal(
    ctx: click.Context,
    out: Path | None,
    approve: Sequence[str],
    hide: Sequence[str],
    change: Sequence[tuple[str, str]],
) -> int:
    """Enter what was decided, then write the page; 1 as long as a line is open."""
    from qlog import __version__
    from qlog.cli.terminal.say import progress
    from qlog.cli.terminal.when import time_built
    from qlog.intake.bench.decisions import enter_said
    from qlog.record.publish.build import build_record
    from qlog.record.publish.editions import rehearsed
    from qlog.review.whole import picture_from
    from qlog.writing import own_folder

    with opened(ctx) as o:
        words = words_of(o.build)
        picture = picture_from(o.build, o.logbook, mated=True)
        decided = decisions(rehearsed(picture, words), approve, hide, change)
        if decided:
            new = enter_said(o.logbook, decided)
            say_line(words.count("rehearsal.entered", new))
            picture = picture_from(o.build, o.logbook, mated=True)
    base = out if out is not None else own_folder(o.build.folder, "record")
    folder = base / words("folder.rehearsal")
    with progress(words("nav.rehearsal")) as advance:
        build_record(
            picture, edition="rehearsal", out=folder, originals=o.build.folder,
            made_at=time_built(o.build, picture.entered), version=__version__, progress=advance,
        )  # fmt: skip
    lines = rehearsed(picture, words)
    left = len(lines.open())
    say_line(f"{folder / 'index.html'}: {words.count('rehearsal.left', left, of=len(lines.met))}")
    for line in not_ready_lines(picture, words):
        say_line(line)
    return int(left > 0)


def not_ready_lines(picture: Picture, words: Words) -> tuple[str, ...]:
    """What is to be looked at before the set is given away, as far as a screen holds it."""
    from qlog.record.keepsake.not_ready import not_ready
    from qlog.record.publish.editions import rehearsed

    found = not_ready(picture, words, rehearsed(picture, words))
    if not found:
        return ()
    more = len(found) - _TOLD
    told = [f"  {line}" for line in found[:_TOLD]]
    told += [f"  {words.count('lack.more', more)}"] if more > 0 else []
    return (words("lack.head"), *told)


def decisions(
    lines: Lines, approve: Sequence[str], hide: Sequence[str], change: Sequence[tuple[str, str]]
) -> list[Said]:
    """What was asked for, by the codes of the page. Raises Problem for a code that is not there."""
    from qlog.logbook.facts import Said
    from qlog.record.keepsake.lines import State

    by_code = {line.code: line for line in lines.met.values()}
    found: dict[str, Said] = {}

    def take(line: Line, state: State, words: str) -> None:
        if line.key in found and found[line.key].decision != state:
            raise Problem(
                ToSay(
                    "error.named_twice_be",
                    code=line.code,
                    decision=found[line.key].decision,
                    state=state,
                )
            )
        found[line.key] = Said(line.key, state.value, words, line.stands)

    for code, words in change:
        if not words.strip():
            raise Problem(ToSay("error.words_were_given", code=code))
        take(_named(by_code, code), State.CHANGED, words.strip())
    for code in _codes(hide):
        take(_named(by_code, code), State.HIDDEN, "")
    for code in _codes(approve):
        if code == ALL:
            for line in lines.open():
                if line.key not in found:
                    take(line, State.APPROVED, "")
        else:
            take(_named(by_code, code), State.APPROVED, "")
    return list(found.values())


def _codes(given: Sequence[str]) -> list[str]:
    return [code for one in given for code in one.replace(",", " ").split()]


def _named(by_code: dict[str, Line], code: str) -> Line:
    line = by_code.get(code.lower())
    if line is None:
        raise Problem(ToSay("error.line_code_words", code=code))
    return line
