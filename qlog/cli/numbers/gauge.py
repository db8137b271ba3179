"""`qlog gauge`: can the instrument be trusted, and how far?"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened

if TYPE_CHECKING:
    from qlog.drawing.plan import Instrument
    from qlog.review.instrument.gauge_study import StudyView
    from qlog.study.gauge.repeatability import Check


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
    from qlog.cli.terminal.prompt import Keyboard
    from qlog.cli.terminal.questions import settled
    from qlog.cli.terminal.when import made_time
    from qlog.counting import count
    from qlog.intake.bench.gauge_checks import check_gauge, check_question
    from qlog.intake.typed.places import instrument_of
    from qlog.review.instrument.instrument_views import suspect_readings

    with opened(ctx) as o:
        used = instrument_of(o.build, instrument)
        sure: list[str] = []
        with Keyboard() as keyboard:
            for text in readings:
                kept = settled(
                    keyboard, f"{used.id} on {reference}", text,
                    lambda t: check_question(used, reference, t, allowed),
                )  # fmt: skip
                if kept is None:
                    return 2
                sure.append(kept)
        readings = tuple(sure)
        checked = check_gauge(
            o.logbook, used, reference, readings, allowed=allowed, note=note,
            made=made_time(o.build, made),
        )  # fmt: skip
        found = checked.found
        doubted = suspect_readings(o.logbook, used.id)
    verdict = "fit for use" if found.fit else "NOT fit for use"
    unit = used.unit.symbol
    click.echo(
        f"{used.name}: worst error {found.worst_error:+f} {unit}, allowed {found.limit:f} {unit}: "
        f"{verdict}"
    )
    if said := _offset(used, found):
        click.echo(said)
    if doubted:
        total = count(len(doubted), "reading", "readings")
        click.echo(f"{total} since its last good check are suspect:")
        for entry in doubted:
            f = entry.fact
            click.echo(f"  {f.part}-{f.piece} {f.dimension} after op {f.op}: {f.typed}")
    return int(not found.fit)


def _offset(instrument: Instrument, found: Check) -> str:
    """What to do about an instrument that reads to one side; nothing is corrected by itself."""
    from qlog.study.conformity.uncertainty import stated
    from qlog.study.gauge.repeatability import offset

    amount = offset(found.errors, instrument.step)
    if amount is None:
        return ""
    size = f"{stated(abs(amount)):f} {instrument.unit.symbol}"
    side, undo = ("large", "take off") if amount > 0 else ("small", "add")
    return (
        f"  it reads {size} {side}: set it anew and check again, or {undo} {size} before you type "
        "a reading (-n says so). qlog corrects nothing by itself: the offset is in the uncertainty"
    )


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
    from qlog.cli.terminal.prompt import Keyboard
    from qlog.cli.terminal.questions import settled
    from qlog.intake.bench.gauge_checks import (
        check_name,
        enter_trial,
        trial_question,
        trials_left,
    )
    from qlog.intake.bench.readings import ReadingError
    from qlog.intake.typed.places import dimension_of, instrument_of, part_of, pieces_of
    from qlog.logbook.facts import Trial
    from qlog.review.instrument.instrument_views import studies_of

    with opened(ctx) as o, Keyboard() as keyboard:
        used, owner = instrument_of(o.build, instrument), part_of(o.build, part)
        dimension = dimension_of(owner, dim)
        if dimension.callout.attribute:
            raise click.UsageError(f"{dim} passes or fails; a study needs numbers")
        title = name or f"{used.id} {owner.id} {dimension.id}"
        check_name(o.logbook, title, used, owner, dimension)
        numbers = list(owner.pieces[:5]) if pieces is None else pieces_of(owner, pieces)
        taken: list[int] = []
        while todo := trials_left(o.logbook, title, numbers, repeats, person):
            trial, piece = todo[0]
            text = keyboard.ask(
                f"{owner.id}-{piece} {dimension.id}, reading {trial}> ", "uq", value=True
            )
            if text is None or text.lower() == "q":
                break
            if text.lower() == "u":
                if taken:
                    o.logbook.withdraw(taken.pop(), "undone at the bench")
                else:
                    click.echo("  nothing to undo in this sitting")
                continue
            try:
                sure = settled(
                    keyboard, f"{owner.id}-{piece} {dimension.id}", text,
                    lambda t: trial_question(used, dimension, t),
                )  # fmt: skip
                if sure is None:
                    continue
                text = sure
                entry = enter_trial(
                    o.logbook, title, used, owner, dimension, person, piece, trial, text
                )
                taken.append(entry.id)
            except ReadingError as error:
                if not sys.stdin.isatty():
                    raise
                click.echo(f"  {error}", err=True)
        left = len(trials_left(o.logbook, title, numbers, repeats, person))
        view = next(
            (v for v in studies_of(o.build, o.logbook.live(Trial)) if v.name == title), None
        )
    if left:
        click.echo(f"{left} readings left; the same command goes on")
    if view is None:
        click.echo("too few readings to say anything: at least two of each piece")
        return 0
    _print_study(view)
    return 0


def _print_study(view: StudyView) -> None:
    result, unit = view.result, view.unit.symbol
    click.echo(
        f"{view.name}: {view.trials} readings, {result.pieces} pieces, "
        f"{result.people} {'person' if result.people == 1 else 'people'}"
    )
    low, high = result.repeatability_interval.low, result.repeatability_interval.high
    click.echo(
        f"  repeatability    s = {result.repeatability:.3g} {unit} (95 %: {low:.3g} to {high:.3g})"
    )
    if result.reproducibility is not None:
        click.echo(f"  between people   s = {result.reproducibility:.3g} {unit}")
    if result.piece_spread is not None:
        click.echo(f"  between pieces   s = {result.piece_spread:.3g} {unit}")
    if result.share_of_tolerance is not None:
        click.echo(
            f"  6 s of measuring takes {result.share_of_tolerance * 100:.0f} % of the tolerance"
        )
    if result.fitness is not None:
        click.echo(f"  for this dimension: {result.fitness.value}")


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
    from qlog.cli.terminal.say import words_for
    from qlog.cli.terminal.tables import print_table
    from qlog.cli.terminal.text import required
    from qlog.intake.bench.readings import instrument_for
    from qlog.intake.typed.places import dimension_of, part_of
    from qlog.intake.typed.temperatures import celsius
    from qlog.problem import Problem
    from qlog.review.instrument.budget import dimension_budget
    from qlog.study.conformity.uncertainty import stated, two_digits

    with opened(ctx) as o:
        owner = part_of(o.build, part)
        dimension = dimension_of(owner, dim)
        used = instrument_for(o.build, dimension, instrument)
        if used is None:
            raise Problem(f"no instrument named for {part} {dim}; give --instrument")
        warm = None if temperature is None else celsius(temperature)
        found = dimension_budget(o.build, o.logbook, owner, dimension, used, temperature=warm)
    unit = found.requirement.callout.unit.symbol
    asked = required(found.requirement.callout, words_for(o.build))
    click.echo(f"{owner.id} {dimension.name}  {asked}  with {used.name}")
    print_table(
        ("source", "value", "as", "u", "share", ""),
        [
            (
                c.source,
                f"{stated(c.value):f}",
                c.distribution.value,
                f"{two_digits(c.contribution):f}" if c.counts else "-",
                f"{found.budget.share(c) * 100:.0f} %" if c.counts else "-",
                c.note,
            )
            for c in found.budget.components
        ],
        right=(1, 3, 4),
    )
    total = found.budget
    click.echo(
        f"  combined u = {two_digits(total.combined):f} {unit}, "
        f"U = {two_digits(total.expanded):f} {unit} (k = {total.k:.2f}, {total.coverage:.0%})"
    )
    click.echo(f"  guard band {two_digits(found.guard):f} {unit} at each limit by the guarded rule")
    if found.unstated:
        click.echo(
            '  no temperature in it: state the range of your room, such as temperature = "20 ±3" '
            "in build.toml, or -t C for one piece"
        )
    if found.usable is not None and found.share is not None:
        if found.usable > 0:
            click.echo(
                f"  {two_digits(found.usable):f} {unit} of the tolerance can be proven in; U takes "
                f"{found.share * 100:.0f} % of it"
            )
        else:
            click.echo(
                "  nothing can be proven in: the instrument is too coarse for this dimension"
            )
