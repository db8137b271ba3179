"""`qlog status`: what next, what is missing, what is out."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened

if TYPE_CHECKING:
    from qlog.review.picture import PartView, Picture
    from qlog.review.views import CellView, Finding, PieceView

LEGEND = "x done and read   r reading missing   ! out   . not yet   - not for this piece"


@click.command("status")
@click.argument("part", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command(ctx: click.Context, part: str | None, as_json: bool) -> int:
    """Show what to do next, then what is missing, what is out, and each piece's operations.

    Under the operations: `x` done and read, `r` done and a reading missing, `!` out of tolerance,
    `.` not yet, `-` not for this piece, blank after scrapping. The exit status is 1 when
    something is out, missing or in doubt.

    \b
    Example:
      qlog status
      qlog status cup
    """
    from qlog.intake.typed.places import part_of
    from qlog.review.assemble import assemble

    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part).id
        picture = assemble(o.build, o.logbook)
    views = [v for v in picture.parts if owner in (None, v.part.id)]
    findings = [f for f in picture.findings if owner in (None, f.part)]
    if as_json:
        json.dump(_json(picture, views, findings), sys.stdout, indent=2, ensure_ascii=False)
        click.echo()
    else:
        _print(picture, views, findings, owner)
        _print_log(picture)
    return int(any(f.weight != "note" for f in findings))


def _print(
    picture: Picture, views: list[PartView], findings: list[Finding], owner: str | None
) -> None:
    from qlog.cli.terminal.text import rule_of

    nexts = [n for n in picture.next if owner in (None, n.part)]
    click.echo("next")
    for line in nexts:
        click.echo(f"  {line.text}")
    if not nexts:
        click.echo("  nothing: every piece has had every operation")
    marks = {"bad": ("!!", "red"), "warn": ("??", "yellow"), "note": ("--", "white")}
    missing = ("reading missing", "photo missing", "order", "unplaced")
    for title, own in (
        ("missing", [f for f in findings if f.kind in missing]),
        ("out, in doubt, worth knowing", [f for f in findings if f.kind not in missing]),
    ):
        if not own:
            continue
        click.echo(f"\n{title}")
        for finding in own:
            mark, colour = marks[finding.weight.value]
            click.echo(f"  {click.style(mark, fg=colour)} {finding.text}")
            if finding.remedy:
                click.echo(f"     {finding.remedy}")
    for view in views:
        _print_grid(view)
    if any(_touched(v) for v in views):
        click.echo(f"\n{LEGEND}")
        click.echo(f"verdicts by the {rule_of(picture.build)}")


def _print_log(picture: Picture) -> None:
    """What the log comes to, and a reminder of the backup that a week of work is without."""
    from qlog.logbook.backup import last_backup, unsaved_since
    from qlog.logbook.log_file import FILE_NAME

    if picture.head.sum:
        click.echo(f"\nlog: entry {picture.head.entries}, sum {picture.head.sum}")
    days = unsaved_since(picture.build.folder, picture.build.folder / FILE_NAME)
    if days is None:
        return
    last = last_backup(picture.build.folder)
    since = "no backup was ever made" if last is None else f"the last backup is of {last.when[:10]}"
    click.echo(f"{since}: {days} days of work are on this disk only; `qlog backup DEST`")


def _print_grid(view: PartView) -> None:
    part = view.part
    over = f"{view.margin} over" if view.margin > 0 else "none over"
    over = over if view.margin >= 0 else f"{-view.margin} too few"
    scrapped = f", {view.scrapped} scrapped" if view.scrapped else ""
    if not _touched(view):
        click.echo(f"\n{part.id}: not begun; {view.live} pieces for {part.needed} needed")
        return
    click.echo(
        f"\n{part.id}: {view.finished} of {part.needed} finished; "
        f"{view.live} live{scrapped}, {over}"
    )
    header = "".join(f"{o.operation.number:>4}" for o in view.ops)
    click.echo(f"  {'':12}{header}")
    for piece in view.pieces:
        cells = "".join(f"{_mark(piece, cell):>4}" for cell in piece.cells)
        state = piece.standing.value if piece.standing not in ("live", "uncut") else ""
        if piece.item:
            state = f"in {piece.item}"
        click.echo(f"  {piece.name:12}{cells}  {state}".rstrip())


def _touched(view: PartView) -> bool:
    return any(p.standing != "uncut" for p in view.pieces)


def _mark(piece: PieceView, cell: CellView) -> str:
    if not cell.applies:
        return "-"
    if cell.bad:
        return "!"
    if cell.done:
        return "x" if cell.readings >= cell.wanted else "r"
    if piece.standing == "scrap" or not cell.due:
        return ""
    return "."


def _json(picture: Picture, views: list[PartView], findings: list[Finding]) -> dict[str, object]:
    return {
        "title": picture.build.title,
        "next": [{"part": n.part, "op": n.op, "text": n.text} for n in picture.next],
        "parts": [
            {
                "id": v.part.id,
                "needed": v.part.needed,
                "live": v.live,
                "scrapped": v.scrapped,
                "margin": v.margin,
                "finished": v.finished,
                "pieces": [
                    {
                        "name": p.name,
                        "standing": p.standing.value,
                        "item": p.item,
                        "done": [c.op for c in p.cells if c.done],
                        "out_after": [c.op for c in p.cells if c.bad],
                    }
                    for p in v.pieces
                ],
                "photos": {str(o.operation.number): len(o.photos) for o in v.ops},
                "photos_missing": {
                    str(o.operation.number): o.photos_missing for o in v.ops if o.photos_missing
                },
            }
            for v in views
        ],
        "findings": [
            {
                "weight": f.weight.value,
                "kind": f.kind,
                "part": f.part or None,
                "op": f.op,
                "piece": f.piece,
                "dimension": f.dimension,
                "text": f.text,
                "remedy": f.remedy,
            }
            for f in findings
        ],
        "unplaced": len(picture.unplaced),
        "entries": picture.head.entries,
    }
