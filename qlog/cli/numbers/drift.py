"""`qlog drift`: is a dimension creeping across the batch?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.terminal.say import on_screen, say_line
from qlog.words.catalogue import words_of
from qlog.words.values import with_unit

if TYPE_CHECKING:
    from qlog.drawing.plan import Build
    from qlog.review.part.batch import SeriesView
    from qlog.review.part.charts.deviations import DeviationView, ToolDrift
    from qlog.review.part.series_study import SeriesStudy, SetupStudy
    from qlog.review.picture import Picture
    from qlog.study.drift.trend_test import SetupDrift
    from qlog.words.catalogue import Words

#: Where the robust twin speaks up beside a silent trend test: a build has some forty batches.
TWIN_LEVEL = 0.01


@click.command("drift")
@click.argument("part", required=False)
@click.option("--all", "all_setups", is_flag=True, help="Every setup, not only the running one.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command(ctx: click.Context, part: str | None, all_setups: bool, as_json: bool) -> int:
    """Say of every dimension whether it drifts, worst first, and why it is silent where it is.

    A trend test decides, with at most 1 % false alarms over a whole batch; a new setup starts a
    new trend. Kendall's exact test looks once more at a finished batch and decides nothing. The
    exit status is 1 when something drifts or is out.

    \b
    Example:
      qlog drift
      qlog drift cup
    """
    from qlog.intake.typed.places import part_of
    from qlog.review.part.drift_order import urgency
    from qlog.review.whole import picture_from

    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part).id
        picture = picture_from(o.build, o.logbook)
    found = [
        (s, s.study)
        for v in picture.parts
        if owner in (None, v.part.id)
        for s in v.series
        if s.study is not None and s.study.setups
    ]
    found.sort(key=lambda pair: urgency(*pair))
    if as_json:
        words = words_of(o.build)
        deviations = picture.deviations if owner is None else ()
        from qlog.cli.terminal.say import say_json

        say_json(
            "drift",
            {
                "dimensions": [_json(s, study, words) for s, study in found],
                "machines": [_machine_json(v, d, words) for v in deviations for d in v.drifts],
            },
        )
    else:
        _print(o.build, found, all_setups)
        if owner is None:
            _print_machines(o.build, picture)
    machines = owner is None and any(d.found.speaks for v in picture.deviations for d in v.drifts)
    return int(machines or any(study.drifting or s.out_low or s.out_high for s, study in found))


def _print_machines(build: Build, picture: Picture) -> None:
    """What a tool does over the pieces of several parts, where there are enough to tell."""
    from qlog.words.trend import machine_text

    words = words_of(build)
    mark = words("weight.warn")
    for view in picture.deviations:
        for tool in view.drifts:
            if tool.found.drift.looks:
                said = click.style(mark, fg="yellow") if tool.found.speaks else " " * len(mark)
                say_line(f"{said}  {machine_text(view, tool, words)}")


def _print(build: Build, found: list[tuple[SeriesView, SeriesStudy]], all_setups: bool) -> None:
    from qlog.words.trend import setup_text

    words = words_of(build)
    if not found:
        say_line(words("drift.none"))
    mark = words("weight.warn")
    for series, study in found:
        name = f"{series.part.id} {series.dimension.name}"
        said = click.style(mark, fg="yellow") if study.drifting else " " * len(mark)
        say_line(f"{said}  {name}: {setup_text(series, study.setups[-1], study.step, words)}")
        earlier = study.setups if all_setups else study.setups[:-1]
        below = [
            words(
                "drift.in_setup",
                number=setup.setup.number,
                text=setup_text(series, setup, study.step, words),
            )
            for setup in earlier
            if all_setups or setup.drift.found
        ]
        below += [_jump(series, setup, words) for setup in study.setups[1:]]
        below.append(_kendall(series, study, words))
        for line in below:
            if line:
                say_line(f"{' ' * len(mark)}  {line}")


def _jump(series: SeriesView, setup: SetupStudy, words: Words) -> str:
    from qlog.words.entries import cause_text

    against = setup.against_last
    if against is None or not against.found:
        return ""
    return words(
        "drift.level_moved",
        number=setup.setup.number,
        cause=cause_text(setup.setup.cause, words),
        piece=series.part.named(setup.setup.first_piece),
        amount=with_unit(words.number(f"{against.difference:+.3g}"), series.limits.unit.symbol),
    )


def _kendall(series: SeriesView, study: SeriesStudy, words: Words) -> str:
    """Kendall's test of the finished batch, where it has something to say beside the trend test.

    It knows up and down alone: beside a jump, a settling or a change in how it was read, nothing.
    """
    twin = study.kendall
    if twin is None or study.setups[-1].pieces[-1] < series.part.pieces[-1]:
        return ""
    if study.drifting and not study.setups[-1].drift.goes_on:
        return ""
    if not study.drifting and twin.p > TWIN_LEVEL:
        return ""
    if twin.p > TWIN_LEVEL:
        said = words("kendall.silent")
    else:
        way = words(f"kendall.{'up' if twin.score > 0 else 'down'}")
        said = words("kendall.agrees" if study.drifting else "kendall.alone", way=way)
    return words(
        "kendall.line",
        said=said,
        p=words.number(f"{twin.p:.2g}"),
        slope=with_unit(words.number(f"{twin.slope:+.2g}"), series.limits.unit.symbol),
    )


def _json(series: SeriesView, study: SeriesStudy, words: Words) -> dict[str, object]:
    from qlog.words.trend import setup_text

    return {
        "part": series.part.id,
        "dimension": series.dimension.id,
        "op": series.operation.number,
        "unit": series.limits.unit.value,
        "drifting": study.drifting,
        "sentence": on_screen(setup_text(series, study.setups[-1], study.step, words)),
        "setups": [_setup_json(s) for s in study.setups],
        "kendall": None
        if study.kendall is None
        else {
            "score": study.kendall.score,
            "p": study.kendall.p,
            "slope_per_piece": study.kendall.slope,
        },
        "out_low": series.out_low,
        "out_high": series.out_high,
    }


def _machine_json(view: DeviationView, tool: ToolDrift, words: Words) -> dict[str, object]:
    """The machine's entry stands after those of dimensions, and has no part and no dimension."""
    from qlog.words.trend import machine_text

    return {
        "part": None,
        "dimension": None,
        "op": None,
        "unit": view.unit.value,
        "drifting": tool.found.speaks,
        "sentence": on_screen(machine_text(view, tool, words)),
        "machine": view.machine,
        "tool": tool.tool,
        "instrument": view.instrument,
        "parts": list(tool.parts),
        "pieces": tool.pieces,
        "aimed": tool.found.aimed,
        **_drift_json(tool.found.drift),
    }


def _drift_json(drift: SetupDrift) -> dict[str, object]:
    return {
        "status": drift.status.value,
        "slope_per_piece": drift.slope,
        "slope_95": [drift.slope_low, drift.slope_high],
        "change": drift.change,
        "matters_from": drift.matters_from,
        "found_at": drift.found_at,
        "shape": drift.shape.value,
        "jumped_after": drift.jumped_at,
        "coincides_with": None if drift.coincides is None else drift.coincides.change.value,
        "cause_read": drift.cause.value,
        "looks": [
            {"piece": k.piece, "t": k.t, "df": k.df, "p": k.p, "level": k.level}
            for k in drift.looks
        ],
    }


def _setup_json(setup: SetupStudy) -> dict[str, object]:
    outlook = setup.forecast
    return {
        "setup": setup.setup.number,
        "cause": setup.setup.cause,
        "pieces": list(setup.pieces),
        **_drift_json(setup.drift),
        "retouch": None
        if setup.retouch is None
        else {
            "after": setup.retouch.after,
            "by": setup.retouch.by,
            "earlier_rate": setup.retouch.earlier,
        },
        "forecast": None
        if outlook is None
        else {
            "model": outlook.model.value,
            "next": {
                "piece": outlook.next.piece,
                "expected": outlook.next.expected,
                "low": outlook.next.low,
                "high": outlook.next.high,
                "probability_inside": outlook.next.chance_inside,
            },
            "leaves": outlook.leaves,
            "leaves_between": None if outlook.between is None else list(outlook.between),
            "may_leave": outlook.may_leave,
            "good_left": outlook.good_left,
            "probability_all_inside": outlook.chance_all,
        },
    }
