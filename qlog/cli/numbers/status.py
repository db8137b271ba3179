"""`qlog status`: what next, what is missing, what is out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.terminal.say import on_screen, say_line
from qlog.words.catalogue import words_of

if TYPE_CHECKING:
    from qlog.review.findings.kinds import Finding
    from qlog.review.part.batch import Batch
    from qlog.review.picture import Picture
    from qlog.review.views import CellView, PieceView
    from qlog.words.catalogue import Words


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
    from qlog.review.whole import picture_from

    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part).id
        picture = picture_from(o.build, o.logbook)
    views = [v for v in picture.parts if owner in (None, v.part.id)]
    findings = [f for f in picture.findings if owner in (None, f.place.part)]
    if as_json:
        from qlog.cli.terminal.say import say_json

        say_json("status", _json(picture, views, findings))
    else:
        _print(picture, views, findings, owner)
        _print_log(picture)
    return int(any(f.weight != "note" for f in findings))


def _print(
    picture: Picture, views: list[Batch], findings: list[Finding], owner: str | None
) -> None:
    from qlog.cli.numbers.what_next import print_next
    from qlog.cli.terminal.text import rule_of

    words = words_of(picture.build)
    nexts = [n for n in picture.next if owner in (None, n.part)]
    print_next(picture, nexts, words)
    for title, own in (
        ("status.missing", [f for f in findings if f.of_evidence]),
        ("status.findings", [f for f in findings if not f.of_evidence]),
    ):
        if own:
            say_line(f"\n{words(title)}")
            _print_findings(own, words)
    for view in views:
        _print_grid(view, picture, words)
    _print_larger(picture, words)
    if any(_touched(v) for v in views):
        say_line(f"\n{words('status.legend')}")
        if any(v.part.dimensions for v in views):
            say_line(words("sitting.verdicts", rule=rule_of(picture.build, words)))


def _print_log(picture: Picture) -> None:
    """What the log comes to, and a reminder of the backup that a week of work is without."""
    from qlog.logbook.keeping.backup import last_backup, unsaved_since
    from qlog.logbook.log_file import FILE_NAME

    words = words_of(picture.build)
    if picture.head.sum:
        head = words("status.head", entry=picture.head.entries, sum=picture.head.sum)
        say_line(f"\n{head}")
    days = unsaved_since(picture.build.folder, picture.build.folder / FILE_NAME)
    if days is None:
        return
    last = last_backup(picture.build.folder)
    since = words("status.no_backup")
    if last is not None:
        since = words("status.last_backup", date=words.date(last.when[:10]))
    say_line(f"{since}: {words('status.back_up', n=days)}")


def _print_findings(findings: list[Finding], words: Words) -> None:
    """One finding a line, with its weight in a word before it and what to do below it."""
    from qlog.review.findings.of_build import told_together
    from qlog.words.findings import say

    colours = {"bad": "red", "warn": "yellow", "note": "white"}
    marks = {weight: words(f"weight.{weight}") for weight in colours}
    wide = max(map(len, marks.values()))
    for finding in told_together(findings):
        weight = finding.weight.value
        said = say(finding, words)
        mark = click.style(f"{marks[weight]:{wide}}", fg=colours[weight])
        say_line(f"  {mark}  {said.text}")
        if said.remedy:
            say_line(f"  {'':{wide}}  {said.remedy}")


def _print_larger(picture: Picture, words: Words) -> None:
    """How many of the items that hold others are whole, of each kind."""
    for number, group in enumerate(g for g in picture.build.groups if g.holds):
        own = [item for item in picture.items if item.group == group.id]
        whole = sum(item.complete for item in own)
        told = words("status.larger", item=group.id, whole=whole, count=len(own))
        say_line(told if number else f"\n{told}")


def _in_items(item: str, picture: Picture, words: Words) -> str:
    """An item with those that it is in, the innermost first."""
    inside = {view.id: view.inside for view in picture.items}
    chain = [item]
    while inside.get(chain[-1]):
        chain.append(inside[chain[-1]])
    return ", ".join(map(words.item, chain))


def _print_grid(view: Batch, picture: Picture, words: Words) -> None:
    part = view.part
    if not _touched(view):
        told = words("status.not_begun", part=part.id, live=view.live, needed=part.needed)
        say_line(f"\n{told}")
        return
    margin = "over" if view.margin > 0 else "none_over" if view.margin == 0 else "too_few"
    told = words(
        "status.line",
        part=part.id,
        finished=view.finished,
        needed=part.needed,
        live=view.live,
        scrapped=words("status.scrapped", n=view.scrapped) if view.scrapped else "",
        margin=words(f"status.{margin}", n=abs(view.margin)),
    )
    say_line(f"\n{told}")
    header = "".join(f"{o.operation.number:>4}" for o in view.ops)
    say_line(f"  {'':12}{header}")
    remade = {e.fact.piece for e in view.remade}
    for piece in view.pieces:
        cells = "".join(f"{_mark(piece, cell):>4}" for cell in piece.cells)
        named = piece.standing.value not in ("live", "uncut")
        state = words(f"standing.{piece.standing.name.lower()}") if named else ""
        if piece.number in remade and not state:
            state = words("status.remade")
        if piece.item:
            state = words("status.built_in", item=_in_items(piece.item, picture, words))
        say_line(f"  {piece.name:12}{cells}  {state}".rstrip())


def _touched(view: Batch) -> bool:
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


def _json(picture: Picture, views: list[Batch], findings: list[Finding]) -> dict[str, object]:
    from qlog.words.findings import kind_key, say
    from qlog.words.stock import next_text

    words = words_of(picture.build)
    said = [(f, say(f, words)) for f in findings]
    return {
        "title": picture.build.title,
        "next": [
            {"part": n.part, "op": n.op, "step": n.step.value, "text": next_text(n, words)}
            for n in picture.next
        ],
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
                        "number": p.number,
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
                "kind": kind_key(type(f)).replace("_", " "),
                "part": f.place.part or None,
                "op": f.place.op,
                "piece": f.place.piece,
                "dimension": f.place.dimension,
                "text": on_screen(text.text),
                "remedy": on_screen(text.remedy),
            }
            for f, text in said
        ],
        "unplaced": len(picture.unplaced),
        "entries": picture.head.entries,
    }
