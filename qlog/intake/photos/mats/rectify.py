"""A photo of a mat made into one picture for every piece: rectified, white-balanced, with a scale.

Three corners and more are wanted, and all of them have to lie where one flat sheet seen in
perspective has them; else nothing is cut, and the photo stays whole.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from qlog.frozen import frozen
from qlog.intake.photos.mats.mat_places import Box, MatLayout
from qlog.intake.photos.photo_file import Oddity
from qlog.intake.photos.slate import Slate, outlines

if TYPE_CHECKING:
    from PIL.Image import Image as PilImage

#: Longest side at which the photo is cut.
_LONGEST = 5000
#: Corners' codes may lie so far from where a flat sheet has them, in millimetres: a twentieth of
#: the smallest place.
_BENT = 2.0
#: Corners that have to be seen.
_CORNERS = 3
#: Pixels a millimetre of a picture that is cut out.
_FINEST, _COARSEST = 20.0, 3.0
#: The grey that bare paper gets, and how much of the light that the paper has anywhere is enough.
_PAPER, _DARKEST = 235.0, 0.02
#: A place is empty when so little of it differs from bare paper by more than that share.
_SPECK, _DIFFERS = 0.01, 0.12
#: The strip under a picture with its scale, and the scale's bar, in millimetres.
_STRIP, _BAR = 6.0, 10.0
#: The number in the corner of a place is no work.
_NUMBER = 9.0


@frozen
class Cut:
    """The picture of one piece, as a JPEG and in grey."""

    piece: int
    data: bytes
    size: tuple[int, int]  # of the JPEG, in pixels
    grey: PilImage


@frozen
class CutUp:
    """What a photo of a mat came to: its pictures, or in `why` what is wanting."""

    slate: Slate
    cuts: tuple[Cut, ...] = ()
    empty: tuple[int, ...] = ()
    why: Oddity | None = None


def cut_up(path: Path, own: str, known: dict[str, int]) -> CutUp | None:
    """The photo cut into pieces; None when it shows no mat of this build, or two.

    `own` is the id of this build, `known` the pieces of each of its parts. Raises PhotoError.
    """
    from qlog.logbook.photos.pixels import load

    picture = load(path, _LONGEST)
    seen = [
        (slate, points)
        for slate, points in outlines(picture.convert("L"))
        if slate.mat is not None and slate.build in ("", own) and slate.part in known
    ]
    mats = {(s.part, s.op, s.mat.first, s.mat.last, s.mat.paper) for s, _ in seen if s.mat}
    if len(mats) != 1:
        return None
    slate = seen[0][0]
    assert slate.mat is not None
    if slate.mat.last > known[slate.part]:
        return CutUp(slate, why=Oddity.MAT_TOO_LONG)
    layout = MatLayout(slate.mat.paper, slate.mat.last - slate.mat.first + 1)
    corners = {s.mat.corner: points for s, points in seen if s.mat is not None}
    if len(corners) != len(seen):
        return CutUp(slate, why=Oddity.MAT_TWICE)
    if len(corners) < _CORNERS:
        return CutUp(slate, why=Oddity.MAT_CORNERS)
    view = _view(layout, corners)
    if view is None:
        return CutUp(slate, why=Oddity.MAT_NOT_FLAT)
    return _pieces(picture.convert("RGB"), slate, layout, view)


def _view(layout: MatLayout, corners: dict[int, list[tuple[float, float]]]) -> Any:
    """From millimetres on the mat to pixels of the photo; None when no flat sheet looks so.

    The direct linear transformation over all corners of all codes (Hartley and Zisserman,
    Multiple View Geometry, algorithm 4.2).
    """
    import numpy as np

    on_mat, in_photo = [], []
    for number, points in corners.items():
        left, top, right, bottom = layout.corner(number)
        on_mat += [(left, top), (right, top), (right, bottom), (left, bottom)]
        in_photo += points
    to_unit, from_photo = _normal(np.array(on_mat)), _normal(np.array(in_photo))
    rows = []
    for (x, y), (u, v) in zip(_at(to_unit, on_mat), _at(from_photo, in_photo), strict=True):
        rows.append([-x, -y, -1, 0, 0, 0, u * x, u * y, u])
        rows.append([0, 0, 0, -x, -y, -1, v * x, v * y, v])
    solved = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)
    view = np.linalg.inv(from_photo) @ solved @ to_unit
    view /= view[2, 2]
    back = _at(np.linalg.inv(view), in_photo)
    off = np.linalg.norm(back - np.array(on_mat), axis=1)
    return view if float(off.max()) <= _BENT and np.linalg.det(view) > 0 else None


def _normal(points: Any) -> Any:
    """Brings points to the origin and to a mean distance of about one."""
    import numpy as np

    middle, scale = points.mean(axis=0), 1 / (points.std() or 1.0)
    return np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1]])


def _at(view: Any, points: Any) -> Any:
    import numpy as np

    flat = np.array(points, dtype=float)
    found = np.column_stack([flat, np.ones(len(flat))]) @ view.T
    return found[:, :2] / found[:, 2:]


def _pieces(picture: PilImage, slate: Slate, layout: MatLayout, view: Any) -> CutUp:
    """Every place cut out; those where nothing stands are told and left out."""
    import numpy as np

    assert slate.mat is not None
    middle = layout.size[0] / 2, layout.size[1] / 2
    a, b, c = _at(view, [middle, (middle[0] + 1, middle[1]), (middle[0], middle[1] + 1)])
    fine = min(_FINEST, max(float(np.linalg.norm(b - a)), float(np.linalg.norm(c - a))))
    if fine < _COARSEST:
        return CutUp(slate, why=Oddity.MAT_SMALL)
    light = _light(picture, layout, view)
    cuts, empty = [], []
    for index in range(layout.count):
        box = layout.cell(index)
        if not _inside(_at(view, [box[:2], (box[2], box[1]), box[2:], (box[0], box[3])]), picture):
            continue
        piece = slate.mat.first + index
        values = _balanced(_taken(picture, box, view, fine), box, light)
        if light is not None and _is_empty(values, fine):
            empty.append(piece)
            continue
        cuts.append(_made(piece, values, fine))
    return CutUp(slate, tuple(cuts), tuple(empty))


def _inside(points: Any, picture: PilImage) -> bool:
    """Whether a place lies in the photo, but for a hair's breadth."""
    edge = 0.01 * max(picture.size)
    return bool(
        points.min() >= -edge
        and points[:, 0].max() <= picture.width + edge
        and points[:, 1].max() <= picture.height + edge
    )


def _taken(picture: PilImage, box: Box, view: Any, fine: float) -> Any:
    """What lies in a box of the mat, seen from straight above, so many pixels a millimetre."""
    import numpy as np
    from PIL import Image

    left, top, right, bottom = box
    size = max(1, round((right - left) * fine)), max(1, round((bottom - top) * fine))
    shift = np.array([[1 / fine, 0, left], [0, 1 / fine, top], [0, 0, 1]])
    way = view @ shift
    way = (way / way[2, 2]).ravel()[:8]
    out = picture.transform(size, Image.Transform.PERSPECTIVE, tuple(way), Image.Resampling.BICUBIC)
    return np.asarray(out, dtype=np.float32)


def _light(picture: PilImage, layout: MatLayout, view: Any) -> Any:
    """The light on bare paper over the mat, a plane for each colour; None when it cannot be told.

    The patches tell whether what was measured is paper: each row has to get lighter as printed.
    """
    import numpy as np

    def level(box: Box) -> Any:
        return np.median(_linear(_taken(picture, box, view, 3.0)).reshape(-1, 3), axis=0)

    patches = [level(box).mean() for box, _ in layout.patches()]
    half = len(patches) // 2
    rows = [patches[:half], patches[half:]]
    good = [bool(np.all(np.diff(row) > 0)) for row in rows]
    whites = layout.whites()
    found = []
    for index, box in enumerate(whites):
        row = index // 2
        seen = level(box)
        if good[row] and seen.mean() >= rows[row][-1]:
            found.append(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2, seen))
    if not found or min(seen.min() for _, _, seen in found) < _DARKEST:
        return None
    values = np.array([seen for _, _, seen in found])
    if len(found) < 3:
        return np.vstack([np.zeros((2, 3)), values.mean(axis=0)])
    places = np.array([(x, y, 1.0) for x, y, _ in found])
    return np.linalg.lstsq(places, values, rcond=None)[0]


def _linear(values: Any) -> Any:
    return (values / 255.0) ** 2.2


def _balanced(values: Any, box: Box, light: Any) -> Any:
    """The picture as it would look in even, white light."""
    import numpy as np

    if light is None:
        return values
    high, wide = values.shape[:2]
    x = np.linspace(box[0], box[2], wide, dtype=np.float32)[None, :, None]
    y = np.linspace(box[1], box[3], high, dtype=np.float32)[:, None, None]
    a, b, c = light.astype(np.float32)
    paper = 255.0 * np.maximum(a * x + b * y + c, _DARKEST) ** np.float32(1 / 2.2)
    return np.clip(values * (_PAPER / paper), 0, 255)


def _is_empty(values: Any, fine: float) -> bool:
    """Whether nothing stands there: bare paper but for the number and the lines around."""
    import numpy as np

    edge = max(1, round(2 * fine))
    inner = values[edge:-edge, edge:-edge]
    apart = np.abs(inner / _PAPER - 1).max(axis=2) > _DIFFERS
    number = round(_NUMBER * fine)
    apart[:number, : 2 * number] = False
    return float(apart.mean()) < _SPECK


def _made(piece: int, values: Any, fine: float) -> Cut:
    """The JPEG of one piece, with a bar of ten millimetres in a strip below."""
    import numpy as np
    from PIL import Image, ImageDraw, ImageFont

    shown = Image.fromarray(np.rint(values).astype(np.uint8))
    strip = round(_STRIP * fine)
    whole = Image.new("RGB", (shown.width, shown.height + strip), "white")
    whole.paste(shown, (0, 0))
    draw = ImageDraw.Draw(whole)
    at, thick = shown.height + strip // 2, max(1, strip // 8)
    end = strip // 2 + round(_BAR * fine)
    draw.rectangle((strip // 2, at - thick, end, at + thick), fill="black")
    font = ImageFont.load_default(max(8, strip // 2))
    draw.text((end + strip // 3, at), f"{_BAR:.0f} mm", fill="black", font=font, anchor="lm")
    out = BytesIO()
    whole.save(out, "JPEG", quality=92)
    return Cut(piece, out.getvalue(), whole.size, shown.convert("L"))
