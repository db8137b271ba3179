"""`qlog drift`: is a dimension creeping across the batch?"""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened

if TYPE_CHECKING:
    from qlog.review.part.batch import SeriesView
    from qlog.review.part.series_study import SeriesStudy, SetupStudy

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
    from qlog.review.assemble import assemble
    from qlog.review.part.drift_order import urgency

    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part).id
        picture = assemble(o.build, o.logbook)
    found = [
        (s, s.study)
        for v in picture.parts
        if owner in (None, v.part.id)
        for s in v.series
        if s.study is not None and s.study.setups
    ]
    found.sort(key=lambda pair: urgency(*pair))
    if as_json:
        json.dump([_json(s, study) for s, study in found], sys.stdout, indent=2, ensure_ascii=False)
        click.echo()
    else:
        _print(found, all_setups)
    return int(any(study.drifting or s.out_low or s.out_high for s, study in found))


def _print(found: list[tuple[SeriesView, SeriesStudy]], all_setups: bool) -> None:
    if not found:
        click.echo("no sizes read yet; `qlog read PART OP` enters them")
    for series, study in found:
        mark = click.style("!!", fg="red") if study.drifting else "  "
        click.echo(f"{mark} {study.sentence}")
        earlier = study.setups if all_setups else study.setups[:-1]
        for setup in earlier:
            if all_setups or setup.drift.found:
                click.echo(f"     setup {setup.setup.number}: {setup.sentence}")
        for setup in study.setups[1:]:
            _print_jump(series, setup)
        _print_twin(series, study)


def _print_jump(series: SeriesView, setup: SetupStudy) -> None:
    against = setup.against_last
    if against is not None and against.found:
        unit = series.limits.unit.symbol
        click.echo(
            f"     setup {setup.setup.number} ({setup.setup.cause}) begins at "
            f"{series.part.id}-{setup.setup.first_piece}: the level moved by "
            f"{against.difference:+.3g} {unit} (Welch's t test, 1 %)"
        )


def _print_twin(series: SeriesView, study: SeriesStudy) -> None:
    """Kendall's test of the finished batch, where it has something to say beside the trend test."""
    twin = study.kendall
    if twin is None or study.setups[-1].pieces[-1] < series.part.pieces[-1]:
        return
    if study.drifting or twin.p <= TWIN_LEVEL:
        way = "rising" if twin.score > 0 else "falling" if twin.score < 0 else "level"
        word = "agrees" if study.drifting and twin.p <= TWIN_LEVEL else "alone finds"
        said = f"{word}: {way}" if twin.p <= TWIN_LEVEL else "does not see it"
        click.echo(
            "     Kendall's test of the finished batch, which one outlier reading cannot sway, "
            f"{said} (p = {twin.p:.2g}, {twin.slope:+.2g} {series.limits.unit.symbol} a piece)"
        )


def _json(series: SeriesView, study: SeriesStudy) -> dict[str, object]:
    return {
        "part": series.part.id,
        "dimension": series.dimension.id,
        "op": series.operation.number,
        "unit": series.limits.unit.value,
        "drifting": study.drifting,
        "sentence": study.sentence,
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


def _setup_json(setup: SetupStudy) -> dict[str, object]:
    drift, outlook = setup.drift, setup.forecast
    return {
        "setup": setup.setup.number,
        "cause": setup.setup.cause,
        "pieces": list(setup.pieces),
        "status": drift.status.value,
        "slope_per_piece": drift.slope,
        "slope_95": [drift.slope_low, drift.slope_high],
        "change": drift.change,
        "matters_from": drift.matters_from,
        "found_at": drift.found_at,
        "cause_read": drift.cause.value,
        "reason": drift.reason,
        "looks": [
            {"piece": k.piece, "t": k.t, "df": k.df, "p": k.p, "level": k.level}
            for k in drift.looks
        ],
        "forecast": None
        if outlook is None
        else {
            "model": outlook.model.value,
            "next": {
                "piece": outlook.next.piece,
                "expected": outlook.next.expected,
                "low": outlook.next.low,
                "high": outlook.next.high,
                "chance_in": outlook.next.chance_in,
            },
            "leaves": outlook.leaves,
            "may_leave": outlook.may_leave,
            "good_left": outlook.good_left,
            "chance_all_in": outlook.chance_all,
        },
    }
