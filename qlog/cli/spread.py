"""`qlog spread`: how far each dimension spreads over its batch."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened

if TYPE_CHECKING:
    from qlog.review.picture import SeriesView


@click.command("spread")
@click.argument("part", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command(ctx: click.Context, part: str | None, as_json: bool) -> int:
    """Show n, mean, smallest, largest, spread, standard deviation and counts out.

    The strip shows where the readings sit: `|` are the limits, `:` the middle, `o` one reading, a
    digit that many. The exit status is 1 when anything is out.

    \b
    Example:
      qlog spread
      qlog spread cup
    """
    from qlog.intake.places import part_of
    from qlog.review.assemble import assemble

    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part).id
        picture = assemble(o.build, o.logbook, studied=False)
    views = [v for v in picture.parts if owner in (None, v.part.id)]
    series = [s for v in views for s in v.series if s.readings]
    if as_json:
        json.dump([_row_json(s) for s in series], sys.stdout, indent=2, ensure_ascii=False)
        click.echo()
    else:
        _print(series)
    return int(any(s.out_low or s.out_high or s.failed for s in series))


def _print(series: list[SeriesView]) -> None:
    from qlog.cli.strip import strip
    from qlog.cli.tables import print_table
    from qlog.cli.text import number, required, rounded

    if not series:
        click.echo("no readings yet; `qlog read PART OP` enters them")
        return
    for id in dict.fromkeys(s.part.id for s in series):
        own = [s for s in series if s.part.id == id]
        click.echo(f"\n{id}: {own[0].part.name}")
        rows = []
        for s in own:
            name = f"{s.dimension.id} op {s.operation.number}"
            if s.summary is None:
                counts = f"{s.passed} pass, {s.failed} fail"
                rows.append(
                    (name, required(s.callout), str(len(s.readings)), *[""] * 7, "", "", counts)
                )
                continue
            stats = s.summary
            like = min((r.value for r in s.readings if r.value is not None), key=_digits)
            share = "-" if stats.share_used is None else f"{stats.share_used * 100:.0f} %"
            places = [r.judgement.share for r in s.readings if r.judgement is not None]
            known = [p for p in places if p is not None]
            rows.append(
                (
                    name,
                    required(s.callout),
                    str(stats.n),
                    rounded(stats.mean, like),
                    number(stats.minimum),
                    number(stats.maximum),
                    number(stats.spread),
                    rounded(stats.s, like),
                    number(stats.tolerance),
                    share,
                    str(s.out_low),
                    str(s.out_high),
                    strip(known) if known else "",
                )
            )
        print_table(
            (
                "dimension", "limits", "n", "mean", "smallest", "largest", "spread", "std dev",
                "tol", "used", "low", "high", "where they sit",
            ),
            rows,
            right=tuple(range(2, 12)),
            keep=(0, 1, 12),
        )  # fmt: skip


def _digits(value: object) -> int:
    exponent = getattr(value, "as_tuple")().exponent  # noqa: B009
    return exponent if isinstance(exponent, int) else 0


def _row_json(s: SeriesView) -> dict[str, object]:
    stats = s.summary
    text = (
        None
        if stats is None
        else {
            "mean": str(stats.mean),
            "smallest": str(stats.minimum),
            "largest": str(stats.maximum),
            "spread": str(stats.spread),
            "standard_deviation": None if stats.s is None else str(stats.s),
            "tolerance": None if stats.tolerance is None else str(stats.tolerance),
            "share_used": None if stats.share_used is None else str(stats.share_used),
        }
    )
    return {
        "part": s.part.id,
        "dimension": s.dimension.id,
        "op": s.operation.number,
        "unit": s.limits.unit.value,
        "n": len(s.readings),
        "statistics": text,
        "out_low": s.out_low,
        "out_high": s.out_high,
        "not_proven": s.not_proven,
        "passed": s.passed,
        "failed": s.failed,
        "readings": [{"piece": r.piece, "typed": r.typed, "verdict": r.word} for r in s.readings],
    }
