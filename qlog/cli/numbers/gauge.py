"""`qlog gauge`: can the instrument be trusted, and how far?"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.terminal.prompt import Keyboard
from qlog.cli.terminal.say import on_screen, say_line
from qlog.frozen import frozen
from qlog.intake.bench.readings import ReadingError, instrument_for
from qlog.intake.typed.places import dimension_of, instrument_of, part_of, pieces_of
from qlog.problem import ToSay
from qlog.review.instrument.instrument_views import studies_of, suspect_readings
from qlog.study.conformity.uncertainty import UncertaintySource, stated, two_digits
from qlog.words.catalogue import words_of
from qlog.words.problems import in_words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from decimal import Decimal

    from qlog.cli.terminal.prompt import Keyboard
    from qlog.drawing.plan import Dimension, Instrument, Part
    from qlog.logbook.store import Logbook
    from qlog.review.instrument.budget import DimensionBudget
    from qlog.review.instrument.gauge_study import StudyView
    from qlog.study.conformity.uncertainty import BasisNote
    from qlog.study.gauge.repeatability import CheckResult
    from qlog.words.catalogue import Words


@click.group("gauge")
def command() -> None:
    """Check instruments, study their repeatability, print uncertainty budgets.

    \b
    Example:
      qlog gauge check caliper 10 10.01
    """


# A reading below zero must not be taken for an option.
@command.command("check", context_settings={"ignore_unknown_options": True})
@click.argument("instrument")
@click.argument("reference")
@click.argument("readings", nargs=-1, required=True, metavar="READING...")
@click.option("--allowed", metavar="ERROR", help="Largest error allowed, if not the plan's.")
@click.option("--note", "-n", default="", metavar="TEXT", help="Which block, which ring.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.pass_context
def check(
    ctx: click.Context,
    instrument: str,
    reference: str,
    readings: tuple[str, ...],
    allowed: str | None,
    note: str,
    made: str | None,
) -> int:
    """Record what INSTRUMENT shows on a REFERENCE: a gauge block, a setting ring, or 0.

    A failed check puts every reading since the last good one in doubt, here and on the record.
    The exit status is then 1.

    \b
    Example:
      qlog gauge check caliper 10 10.01
      qlog gauge check micrometer 0 0.000 0.001 -n "closed on itself"
    """
    from qlog.cli.terminal.questions import settled
    from qlog.cli.terminal.when import made_time
    from qlog.drawing.decimals import as_typed
    from qlog.intake.bench.gauge_checks import check_gauge, check_question
    from qlog.words.values import signed

    with opened(ctx) as o:
        used = instrument_of(o.build, instrument)
        sure: list[str] = []
        words = words_of(o.build)
        with Keyboard(words) as keyboard:
            for text in readings:
                kept = settled(
                    keyboard, f"{used.id} on {reference}", text,
                    lambda t: check_question(used, reference, t, allowed), words,
                )  # fmt: skip
                if kept is None:
                    return 2
                sure.append(kept)
        readings = tuple(sure)
        found = check_gauge(
            o.logbook, used, reference, readings, allowed=allowed, note=note,
            made=made_time(o.build, made),
        )  # fmt: skip
        doubted = suspect_readings(o.logbook, used.id)
    unit = used.unit.symbol
    say_line(
        words(
            "gauge.result",
            instrument=used.name,
            error=f"{signed(found.worst_error, words, unit)} {unit}",
            allowed=f"{words.number(found.limit, unit)} {unit}",
            verdict=words("gauge.fit" if found.fit else "gauge.unfit"),
        )
    )
    if said := _offset(used, found, words):
        say_line(f"  {said}")
    if doubted:
        since = "gauge.still_suspect" if found.fit else "gauge.suspect"
        say_line(words.count(since, len(doubted)))
        for entry in doubted:
            f = entry.fact
            about = {"dimension": f.dimension, "op": f.op, "typed": as_typed(f.typed)}
            say_line(f"  {words('gauge.doubted', piece=words.piece(f.part, f.piece), **about)}")
    return int(not found.fit)


def _offset(instrument: Instrument, found: CheckResult, words: Words) -> str:
    """What to do about an instrument that reads to one side; nothing is corrected by itself."""
    from qlog.study.gauge.repeatability import offset

    amount = offset(found.errors, instrument.step)
    if amount is None:
        return ""
    unit = instrument.unit.symbol
    size = f"{words.number(stated(abs(amount)), unit)} {unit}"
    return words("gauge.reads_large" if amount > 0 else "gauge.reads_small", size=size)


@command.command("study")
@click.argument("instrument")
@click.argument("part")
@click.argument("dim")
@click.option("--pieces", help="Pieces to read; by default the first five, or all there are.")
@click.option("--repeats", default=3, show_default=True, help="Times that each is read.")
@click.option("--person", default="me", show_default=True, help="Who reads.")
@click.option("--name", help="Name of the study; by default instrument, part and dimension.")
@click.pass_context
def study(
    ctx: click.Context,
    instrument: str,
    part: str,
    dim: str,
    pieces: str | None,
    repeats: int,
    person: str,
    name: str | None,
) -> int:
    """Read the same PIECES again and again; analysis of variance tells how well they repeat.

    Goes round all pieces before it repeats one. u takes the last reading back, q stops; called
    again it goes on where it was.
    Call it once more with another --person to see what people add.

    \b
    Example:
      qlog gauge study micrometer tall-stem spigot --pieces 1-5 --repeats 3
    """
    from qlog.intake.bench.gauge_checks import check_name, trials_left
    from qlog.logbook.facts import Trial

    with opened(ctx) as o, Keyboard(words := words_of(o.build)) as keyboard:
        used, owner = instrument_of(o.build, instrument), part_of(o.build, part)
        dimension = dimension_of(owner, dim)
        if dimension.callout.attribute:
            raise click.UsageError(ToSay("error.passes_fails_study_needs", dim=dim))
        title = name or f"{used.id} {owner.id} {dimension.id}"
        check_name(o.logbook, title, used, owner, dimension)
        numbers = list(owner.pieces[:5]) if pieces is None else pieces_of(owner, pieces)
        sitting = StudySitting(o.logbook, title, used, owner, dimension, person)
        _take_trials(keyboard, sitting, numbers, repeats, words)
        left = len(trials_left(o.logbook, title, numbers, repeats, person))
        view = next(
            (v for v in studies_of(o.build, o.logbook.live(Trial)) if v.name == title), None
        )
    if left:
        say_line(words("gauge.left", n=left))
    if view is None:
        say_line(words("gauge.too_few"))
        return 0
    _print_study(view, words)
    return 0


@frozen
class StudySitting:
    """Who reads what with which instrument, for one study."""

    logbook: Logbook
    title: str
    used: Instrument
    owner: Part
    dimension: Dimension
    person: str


def _take_trials(
    keyboard: Keyboard, sitting: StudySitting, numbers: Sequence[int], repeats: int, words: Words
) -> None:
    """Ask for reading after reading until none is left or the person stops."""
    from qlog.cli.terminal.questions import settled
    from qlog.intake.bench.gauge_checks import enter_trial, trial_question, trials_left
    from qlog.intake.bench.take_back import undo_entry

    s = sitting
    taken: list[int] = []
    while todo := trials_left(s.logbook, s.title, numbers, repeats, s.person):
        trial, piece = todo[0]
        place = f"{s.owner.named(piece)} {s.dimension.id}"
        text = keyboard.ask(
            f"{words('gauge.prompt', place=place, trial=trial)}> ", "uq", value=True
        )
        if text is None or text.lower() == "q":
            return
        if text.lower() == "u":
            if taken:
                undo_entry(s.logbook, taken.pop(), None)
            else:
                say_line(f"  {words('sitting.nothing_to_undo')}")
            continue
        try:
            sure = settled(
                keyboard, place, text, lambda t: trial_question(s.used, s.dimension, t), words
            )
            if sure is not None:
                entry = enter_trial(
                    s.logbook, s.title, s.used, s.owner, s.dimension, s.person, piece, trial, sure
                )
                taken.append(entry.id)
        except ReadingError as error:
            if not sys.stdin.isatty():
                raise
            click.echo(f"  {in_words(words, error)}", err=True)


def _print_study(view: StudyView, words: Words) -> None:
    result, unit = view.result, view.unit.symbol

    def number(value: float) -> str:
        return words.number(f"{value:.3g}", unit)

    people = words.count("n.people", result.people)
    say_line(
        words("gauge.study", name=view.name, n=view.trials, pieces=result.pieces, people=people)
    )
    interval = result.repeatability_interval
    low, high = number(interval.low), number(interval.high)
    s = f"{number(result.repeatability)} {unit}"
    lines = [words("gauge.repeatability", s=s, low=low, high=high)]
    for key, value in (
        ("gauge.people", result.reproducibility),
        ("gauge.pieces", result.piece_spread),
    ):
        if value is not None:
            lines.append(words(key, s=f"{number(value)} {unit}"))
    if result.share_of_tolerance is not None:
        share = words.number(f"{result.share_of_tolerance * 100:.0f}")
        lines.append(words("gauge.share", share=share))
    if result.fitness is not None:
        fitness = words(f"fitness.{result.fitness.name.lower()}")
        lines.append(words("gauge.fitness", fitness=fitness))
    for line in lines:
        say_line(f"  {line}")


@command.command("budget")
@click.argument("part")
@click.argument("dim")
@click.option("--instrument", "-i", metavar="ID", help="Instrument, if not the one in the plan.")
@click.option("--temperature", "-t", metavar="C", help="Temperature of the piece, in degrees C.")
@click.pass_context
def budget(
    ctx: click.Context, part: str, dim: str, instrument: str | None, temperature: str | None
) -> None:
    """Print what a reading of DIM is uncertain by, source by source, and what that leaves.

    \b
    Example:
      qlog gauge budget tall-stem spigot
    """
    from qlog.cli.terminal.tables import print_table
    from qlog.cli.terminal.text import required
    from qlog.drawing.formulas import RULES
    from qlog.intake.typed.temperatures import celsius
    from qlog.problem import Problem
    from qlog.review.instrument.budget import computed_budget, dimension_budget

    with opened(ctx) as o:
        owner = part_of(o.build, part)
        dimension = dimension_of(owner, dim)
        used = instrument_for(o.build, dimension, instrument)
        warm = None if temperature is None else celsius(temperature, o.build.unit)
        if dimension.derived is not None:
            found = computed_budget(o.build, o.logbook, owner, dimension)
        elif used is None:
            raise Problem(ToSay("error.instrument_named_give", part=part, dim=dim))
        else:
            found = dimension_budget(o.build, o.logbook, owner, dimension, used, temperature=warm)
    words, unit = words_of(o.build), found.requirement.callout.unit.symbol

    def number(value: Decimal) -> str:
        return on_screen(words.number(value, unit))

    asked = required(found.requirement.callout, words)
    derived = dimension.derived
    by = RULES[derived.rule].formula if derived is not None else used.name if used else ""
    about = {"part": owner.id, "dimension": dimension.name, "instrument": by}
    say_line(words("gauge.budget", limits=asked, **about))
    head = ("budget.source", "budget.value", "budget.as")
    print_table(
        (*(words(key) for key in head), "u", words("budget.share"), ""),
        [
            (
                _source(c.source, words),
                number(stated(c.value)),
                words(f"distribution.{c.distribution.name.lower()}"),
                number(two_digits(c.contribution)) if c.counts else "-",
                f"{found.budget.share(c) * 100:.0f} %" if c.counts else "-",
                on_screen(_basis(c.note, words, unit)),
            )
            for c in found.budget.components
        ],
        right=(1, 3, 4),
    )
    total = found.budget
    lines = [
        words(
            "gauge.combined",
            u=f"{number(two_digits(total.combined))} {unit}",
            expanded=f"{number(two_digits(total.expanded))} {unit}",
            k=words.number(f"{total.k:.2f}"),
            coverage=words.number(f"{total.coverage * 100:.0f}"),
        ),
        *_left(found, number, words, unit),
    ]
    for line in lines:
        say_line(f"  {line}")


def _left(
    found: DimensionBudget, number: Callable[[Decimal], str], words: Words, unit: str
) -> list[str]:
    """The guard that a budget leads to, and what it leaves of the tolerance."""
    from decimal import ROUND_FLOOR

    guard = f"{number(two_digits(found.guard))} {unit}"
    lines = [words("gauge.guard" if found.both else "gauge.guard.one", guard=guard)]
    if found.unstated:
        lines.append(words("gauge.unstated"))
    if found.usable is not None and found.share is not None:
        if found.usable > 0:
            usable = f"{number(two_digits(found.usable, rounding=ROUND_FLOOR))} {unit}"
            share = f"{found.share * 100:.0f}"
            lines.append(words("gauge.usable", usable=usable, share=share))
        else:
            lines.append(words("gauge.unusable"))
    return lines


def _source(source: str, words: Words) -> str:
    """What a component comes from; what a size is computed from stays as it was typed."""
    return (
        words(f"component.{UncertaintySource(source).name.lower()}")
        if source in set(UncertaintySource)
        else source
    )


def _basis(note: BasisNote | None, words: Words, unit: str) -> str:
    """What a component rests on, with its numbers."""
    if note is None:
        return ""

    own = unit if note.basis in ("checked", "worst_over", "half_step") else ""
    numbers = {name: words.number(n, own) for name, n in zip("abc", note.numbers, strict=False)}
    return words(f"basis.{note.basis}", **numbers)
