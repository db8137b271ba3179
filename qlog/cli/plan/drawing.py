"""`qlog drawing`: the picture of a part's drawing, and where each dimension stands on it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from qlog.cli.context import build_folder
from qlog.intake.typed.places import dimension_of, part_of
from qlog.problem import Problem, ToSay
from qlog.writing import write_page, write_whole

if TYPE_CHECKING:
    from qlog.drawing.editing.plan_file import PlanFile
    from qlog.drawing.plan import Part
    from qlog.words.catalogue import Words

_TYPES = {".png": "image/png", ".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".svg": "image/svg+xml"}


@click.command("drawing")
@click.argument("part")
@click.argument("picture", required=False, type=click.Path(path_type=Path, dir_okay=False))
@click.option("--at", "places", multiple=True, metavar="DIM=X,Y", help=(
    "Where a dimension stands, from left and top, 0 to 1; the page writes these."))  # fmt: skip
@click.pass_context
def command(ctx: click.Context, part: str, picture: Path | None, places: tuple[str, ...]) -> None:
    """Give PART the PICTURE of its drawing, or mark where its dimensions stand on it.

    With PICTURE (PNG, JPEG, SVG) it is copied into the build's folder, and a page is written that
    needs no network: open it, click the place of each dimension in turn, and paste the line that
    it shows; that line writes the places into build.toml. Without PICTURE and --at the page is
    written for the picture that is there.

    \b
    Example:
      qlog drawing cup sketch.jpg
      qlog drawing cup --at bore=0.412,0.2 --at height=0.8,0.5
    """
    from qlog.drawing.editing.plan_file import PlanFile

    plan = PlanFile(build_folder(ctx.find_root().obj))
    owner = part_of(plan.build, part)
    if places:
        _place(plan, owner, places)
        return
    if picture is not None:
        _take(plan, owner, picture)
        owner = plan.build.part(owner.id)
    if not owner.image:
        raise click.UsageError(ToSay("error.picture_yet_qlog", owner=owner.id))
    _page(plan, owner)


def _take(plan: PlanFile, part: Part, picture: Path) -> None:
    """Copy the picture among the build's drawings, over no other, and name it in the plan."""
    if picture.suffix.lower() not in _TYPES:
        raise Problem(ToSay("error.picture_can_be", picture=picture.name))
    if picture.exists() and not picture.is_file():  # reading from a pipe would wait for ever
        raise Problem(ToSay("error.picture_cannot_open", picture=picture.name))
    data = picture.read_bytes()
    if not _shows(data, picture.suffix.lower()):
        raise Problem(ToSay("error.picture_cannot_open", picture=picture.name))
    inside = f"drawings/{part.id}{picture.suffix.lower()}"
    target = plan.folder / inside
    if target.exists() and target.read_bytes() != data:
        raise Problem(ToSay("error.there_already_another", target=target))

    def how(document: Any) -> None:
        next(p for p in document["part"] if p["id"] == part.id)["image"] = inside

    if part.image != inside:
        plan.change(how)  # it may refuse: nothing was made until here
    target.parent.mkdir(exist_ok=True)
    write_whole(data, target)
    if part.image != inside:
        plan.save()
    click.echo(f"{target}   {_words(plan)('drawing.picture', part=part.id)}")


def _shows(data: bytes, suffix: str) -> bool:
    """Whether a browser can show it: an SVG by its first element, a photo by being opened."""
    if suffix == ".svg":
        return b"<svg" in data[:4096]
    import io

    from PIL import Image

    try:
        with Image.open(io.BytesIO(data)) as opened:
            opened.verify()
            return opened.format in ("PNG", "JPEG", "MPO")  # as some phones write a JPEG
    except Exception:
        return False


def _words(plan: PlanFile) -> Words:
    from qlog.words.catalogue import words_of

    return words_of(plan.build)


def _page(plan: PlanFile, part: Part) -> None:
    import base64

    from qlog.cli.photos.bench_page import render
    from qlog.drawing.named_files import Fault, FileKind, fault, mistake

    picture = plan.folder / part.image
    if found := fault(plan.folder, part.image, FileKind.DRAWING):
        if found is not Fault.MISSING:
            raise Problem(mistake(part.image, found, FileKind.DRAWING))
        raise Problem(ToSay("error.there_qlog_drawing", picture=picture, part=part.id))
    if not part.dimensions:
        click.echo(_words(plan)("drawing.nothing", part=part.id))
        return
    data = base64.b64encode(picture.read_bytes()).decode("ascii")
    out = plan.folder / "drawings" / f"{part.id}-places.html"
    page = render(
        "places.html",
        t=_words(plan),
        part=part.name,
        id=part.id,
        picture=f"data:{_TYPES[picture.suffix.lower()]};base64,{data}",
        dimensions=[
            {"id": d.id, "name": d.name, "at": "" if d.at is None else f"{d.at[0]},{d.at[1]}"}
            for d in part.dimensions
        ],
    )
    write_page(page, out)
    click.echo(f"{out}   {_words(plan)('drawing.open')}")


def _place(plan: PlanFile, part: Part, places: tuple[str, ...]) -> None:
    """Write the places into the plan. Raises UsageError for what is no place."""
    from decimal import Decimal, InvalidOperation

    found: dict[str, list[float]] = {}
    for text in places:
        name, _, at = text.partition("=")
        try:
            x, y = (Decimal(v) for v in at.split(","))
        except (ValueError, InvalidOperation):
            raise click.UsageError(ToSay("error.place_write_example", text=text)) from None
        if not (0 <= x <= 1 and 0 <= y <= 1):
            raise click.UsageError(ToSay("error.lies_outside_picture", text=text))
        found[dimension_of(part, name).id] = [float(x), float(y)]

    def how(document: Any) -> None:
        owner = next(p for p in document["part"] if p["id"] == part.id)
        for dim in owner["dim"]:
            if dim["id"] in found:
                dim["at"] = found[dim["id"]]

    plan.change(how)
    plan.save()
    for name, (left, top) in found.items():
        about = {"part": part.id, "dimension": name, "left": left, "top": top}
        click.echo(_words(plan)("drawing.at", **about))
