"""Times of a command: `--made` as typed, asked about when it has not come yet; and the present."""

from __future__ import annotations

from qlog.drawing.plan import Build


def made_time(build: Build, text: str | None) -> str | None:
    """ISO 8601 with offset; None where none was given. Raises Problem when it is no time.

    A time to come is asked about on a terminal, and is a warning anywhere else.
    """
    if text is None:
        return None
    from qlog.cli.terminal.prompt import Keyboard, on_terminal
    from qlog.intake.typed.times import moment
    from qlog.problem import Problem, ToSay

    found = moment(text, build.timezone)
    if not found.ahead:
        return found.iso
    from qlog.cli.terminal.say import say_warning
    from qlog.words.catalogue import words_of

    words = words_of(build)
    said = words("made.ahead", time=text)
    if not on_terminal():
        say_warning(words("made.taken", said=said), words)
        return found.iso
    with Keyboard(words) as keyboard:
        answer = keyboard.ask(f"{words('made.ask', said=said)}> ", "kd")
    if answer != "k":
        raise Problem(ToSay("error.nothing_entered_give"))
    return found.iso


def time_built(build: Build, entered: str | None) -> str:
    """The present time in the build's zone, ISO 8601 with offset, for a record that is built now.

    SOURCE_DATE_EPOCH (reproducible-builds.org) takes its place where it is set. A clock that
    stands behind the newest entry (`entered`) gives the time of that: nothing is dated before
    what it holds.
    """
    import os
    from datetime import UTC, datetime

    from qlog.logbook.photos.capture_time import zone_named

    given = os.environ.get("SOURCE_DATE_EPOCH", "")
    now = datetime.fromtimestamp(int(given), UTC) if given.isdecimal() else datetime.now(UTC)
    if entered is not None:
        now = max(now, datetime.fromisoformat(entered))
    return now.astimezone(zone_named(build.timezone)).isoformat(timespec="seconds")
