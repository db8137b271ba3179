"""Charts: from plain values to places on paper. The only module that turns a value into a point.

Everything is in user units of the picture, y downwards, rounded to a tenth; templates draw it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from enum import StrEnum

from qlog.frozen import frozen


class Shape(StrEnum):
    """How a reading is drawn: each verdict has its own shape, so that colour is never needed."""

    GOOD = "good"  # disc
    HIGH = "high"  # triangle pointing up
    LOW = "low"  # triangle pointing down
    OPEN = "open"  # diamond, hollow: not proven
    FAIL = "fail"  # cross: a check that failed


class LineKind(StrEnum):
    """What a level line stands for."""

    LIMIT = "limit"
    GUARD = "guard"  # limit narrowed by the uncertainty
    CONTROL = "control"  # control limit: mean ± 3 s
    ZONE = "zone"  # one and two standard deviations from the centre
    CENTRE = "centre"


@frozen
class Point:
    """One reading in the order of making; values in the unit of the chart."""

    label: str  # what stands below: the piece's number
    value: float
    shape: Shape
    tip: str  # what is told when it is pointed at
    href: str = ""  # the table's line
    bar: float | None = None  # half length of the uncertainty bar
    gone: bool = False  # the piece was scrapped
    outlier: bool = False  # does not fit its neighbours


@frozen
class Level:
    """A line across the chart."""

    value: float
    text: str  # the value as it is written
    name: str  # what it is, in words
    line: LineKind = LineKind.LIMIT
    first: int | None = None  # places over which it stands; None: over all
    last: int | None = None


@frozen
class Stretch:
    """Pieces made in one setup, by their place in the order, counted from 0."""

    first: int
    last: int
    text: str
    cause: str = ""


@frozen
class Band:
    """A bracket below the pieces, by their places: read with one instrument, in one sitting."""

    first: int
    last: int
    text: str
    row: int  # 0 is the upper row of brackets


@frozen
class LimitStretch:
    """Pieces in a row that were judged by the same limits, by their place in the order."""

    first: int
    last: int
    lower: float | None
    upper: float | None
    lower_text: str  # the limits as they are written; empty where there is none
    upper_text: str


@frozen
class Trend:
    """A straight line from one place in the order to another; `ahead` is forecast, not read."""

    first: int
    last: int
    at_first: float
    at_last: float
    ahead: int | None = None
    at_ahead: float | None = None
    text: str = ""


@frozen
class ChartPaper:
    """The paper of a chart: `name` keeps ids apart when the same chart is drawn twice."""

    name: str
    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    room: float  # least distance between two pieces
    text: float  # size of the writing
    names: bool  # write the level's names at the right


WIDE = ChartPaper("wide", 760, 380, 64, 150, 60, 46, 26, 13, names=True)
#: Height of a row of brackets.
ROW = 20
NARROW = ChartPaper("narrow", 344, 320, 64, 10, 58, 46, 25, 13, names=False)


@frozen
class Mark:
    """A point on paper, with the column in which a finger or pointer finds it."""

    x: float
    y: float
    shape: Shape
    label: str
    tip: str
    href: str
    column: float  # left edge
    column_width: float
    bar_top: float | None
    bar_bottom: float | None
    gone: bool
    outlier: bool


@frozen
class LevelLine:
    """A level line on paper; `text_y` is moved so that no two writings touch."""

    y: float
    text_y: float
    text: str
    name: str
    line: LineKind
    left: float  # where it begins: a limit that is newer than some readings begins after them
    right: float
    named: bool  # whether its value and its name stand at the right edge


@frozen
class Zone:
    """What lies between the limits over some pieces, with the limits as they were."""

    left: float
    right: float
    top: float
    bottom: float
    upper: bool  # whether there is a limit at its upper edge, and at its lower one
    lower: bool
    upper_text: str
    lower_text: str


@frozen
class Tick:
    """A mark at the left edge."""

    y: float
    text: str


@frozen
class Ahead:
    """The label below a piece that is only forecast."""

    x: float
    text: str


@frozen
class Divider:
    """Where a setup begins, and the writing over its stretch."""

    x: float | None  # None before the first piece: nothing was changed there
    text_x: float
    text: str
    cause: str


@frozen
class Bracket:
    """A band on paper; `text` is empty where there is no room for it."""

    left: float
    width: float
    middle: float
    y: float
    text: str


@frozen
class Segment:
    """A line from point to point."""

    x1: float
    y1: float
    x2: float
    y2: float
    forecast: bool


@frozen
class Chart:
    """A whole chart on paper."""

    layout: ChartPaper
    width: float
    height: float
    left: float
    right: float  # x of the plot's right edge
    top: float
    bottom: float  # y of the plot's lower edge
    zone_top: float | None  # between the limits; None when there is no limit at all
    zone_bottom: float | None
    zones: tuple[Zone, ...]  # where the limits changed among the readings: one for each of them
    rules: tuple[LevelLine, ...]
    ticks: tuple[Tick, ...]
    marks: tuple[Mark, ...]
    dividers: tuple[Divider, ...]
    bands: tuple[Bracket, ...]
    segments: tuple[Segment, ...]
    path: str  # the readings joined in the order of making, one stroke a setup
    ahead: tuple[Ahead, ...]  # pieces that are only forecast
    unit: str
    plot_height: float
    column_height: float  # of the columns in which points are found, labels below included
    piece_y: float  # where the pieces are named
    axis_y: float  # where the name of the axis stands
    tip_x: float  # where the words of the point at hand begin


@frozen
class ChartData:
    """The values of a chart, before they have a place."""

    points: tuple[Point | None, ...]  # by place in the order of making; None where nothing was read
    levels: tuple[Level, ...]
    number: Callable[[float, int], str]  # value and decimals to text
    unit: str
    stretches: tuple[Stretch, ...] = ()
    bands: tuple[Band, ...] = ()
    trends: tuple[Trend, ...] = ()
    ahead: tuple[str, ...] = ()  # labels of places beyond the last
    joined: bool = True  # whether a line joins the points
    upper: float | None = None  # the limits, between which the zone lies
    lower: float | None = None
    steps: tuple[LimitStretch, ...] = ()  # where not all readings were judged by those limits


def draw(data: ChartData, layout: ChartPaper, scale: tuple[float, float] | None = None) -> Chart:
    """Give every value of a chart its place on paper.

    `scale` is the smallest and the largest value that the height stands for; without it the
    values set it. Raises ValueError when there is nothing to draw.
    """
    count = len(data.points) + len(data.ahead)
    if scale is None and not any(p is not None for p in data.points):
        raise ValueError("a chart needs at least one reading")
    width = max(layout.width, layout.left + layout.right + count * layout.room)
    rows = max((band.row + 1 for band in data.bands), default=0)
    right, bottom = width - layout.right, layout.height - layout.bottom
    step = (right - layout.left) / count
    low, high = range_of(data) if scale is None else scale

    def x(place: float) -> float:
        return round(layout.left + (place + 0.5) * step, 1)

    def y(value: float) -> float:
        share = (value - low) / (high - low)
        return round(bottom - share * (bottom - layout.top), 1)

    zone_top = zone_bottom = None
    if not data.steps and (data.upper is not None or data.lower is not None):
        zone_top = layout.top if data.upper is None else y(data.upper)
        zone_bottom = bottom if data.lower is None else y(data.lower)
    return Chart(
        layout=layout,
        width=round(width, 1),
        height=layout.height + rows * ROW,
        left=layout.left,
        right=round(right, 1),
        top=layout.top,
        bottom=bottom,
        zone_top=zone_top,
        zone_bottom=zone_bottom,
        zones=_zones(data.steps, y, layout, bottom, step),
        rules=_rules(data, y, layout, right, step),
        ticks=_ticks(data, low, high, y, layout),
        marks=_marks(data.points, x, y, layout.left, step),
        dividers=_dividers(data.stretches, x, step) if data.joined else (),
        bands=_brackets(data.bands, layout, bottom, step),
        segments=_segments(data.trends, x, y),
        path=_path(data, x, y) if data.joined else "",
        ahead=tuple(Ahead(x(len(data.points) + n), text) for n, text in enumerate(data.ahead)),
        unit=data.unit,
        plot_height=round(bottom - layout.top, 1),
        column_height=round(bottom - layout.top + 24, 1),
        piece_y=bottom + 18,
        axis_y=bottom + 38 + rows * ROW,
        tip_x=layout.left if layout.names else 4,
    )


def _zones(
    steps: Sequence[LimitStretch],
    y: Callable[[float], float],
    layout: ChartPaper,
    bottom: float,
    step: float,
) -> tuple[Zone, ...]:
    return tuple(
        Zone(
            left=round(layout.left + one.first * step, 1),
            right=round(layout.left + (one.last + 1) * step, 1),
            top=layout.top if one.upper is None else y(one.upper),
            bottom=bottom if one.lower is None else y(one.lower),
            upper=one.upper is not None,
            lower=one.lower is not None,
            upper_text=one.upper_text,
            lower_text=one.lower_text,
        )
        for one in steps
    )


def _marks(
    points: Sequence[Point | None],
    x: Callable[[float], float],
    y: Callable[[float], float],
    left: float,
    step: float,
) -> tuple[Mark, ...]:
    return tuple(
        Mark(
            x=x(place),
            y=y(point.value),
            shape=point.shape,
            label=point.label,
            tip=point.tip,
            href=point.href,
            column=round(left + place * step, 1),
            column_width=round(step, 1),
            bar_top=None if point.bar is None else y(point.value + point.bar),
            bar_bottom=None if point.bar is None else y(point.value - point.bar),
            gone=point.gone,
            outlier=point.outlier,
        )
        for place, point in enumerate(points)
        if point is not None
    )


def _brackets(
    bands: Sequence[Band], layout: ChartPaper, bottom: float, step: float
) -> tuple[Bracket, ...]:
    found = []
    for band in bands:
        left = layout.left + band.first * step + 3
        width = (band.last - band.first + 1) * step - 6
        fits = len(band.text) * layout.text * 0.55 <= width
        found.append(
            Bracket(
                round(left, 1),
                round(width, 1),
                round(left + width / 2, 1),
                bottom + 24 + (band.row + 1) * ROW,
                band.text if fits else "",
            )
        )
    return tuple(found)


def range_of(data: ChartData) -> tuple[float, float]:
    """Everything that is drawn, with a little air; never empty."""
    values = [lv.value for lv in data.levels]
    values += [v for s in data.steps for v in (s.lower, s.upper) if v is not None]
    for point in data.points:
        if point is not None:
            values += [point.value - (point.bar or 0), point.value + (point.bar or 0)]
    for trend in data.trends:
        values += [trend.at_first, trend.at_last]
        if trend.at_ahead is not None:
            values.append(trend.at_ahead)
    low, high = min(values), max(values)
    air = (high - low) * 0.08 or abs(high) * 0.001 or 1.0
    return low - air, high + air


def _begins(data: ChartData, left: float, right: float, step: float) -> float:
    """Where today's limits begin: after the readings that were judged by others."""
    if not data.steps:
        return left
    last = data.steps[-1]
    if (last.lower, last.upper) == (data.lower, data.upper):
        return round(left + last.first * step, 1)
    return min(right, round(left + (last.last + 1) * step, 1))


def _rules(
    data: ChartData, y: Callable[[float], float], layout: ChartPaper, right: float, step: float
) -> tuple[LevelLine, ...]:
    begins = _begins(data, layout.left, right, step)
    newest = max((lv.last for lv in data.levels if lv.last is not None), default=None)
    ordered = sorted(data.levels, key=lambda lv: -lv.value)
    named = [lv for lv in ordered if lv.last in (None, newest)]
    spread_out = spread([y(lv.value) for lv in named], layout.text * 1.25)
    places = dict(zip(map(id, named), spread_out, strict=True))

    def left(level: Level) -> float:
        if level.first is not None:
            return round(layout.left + level.first * step, 1)
        return begins if level.line is LineKind.LIMIT else layout.left

    return tuple(
        LevelLine(
            y(lv.value),
            round(places.get(id(lv), y(lv.value)) + layout.text * 0.35, 1),
            lv.text,
            lv.name,
            lv.line,
            left(lv),
            round(right if lv.last is None else layout.left + (lv.last + 1) * step, 1),
            named=id(lv) in places,
        )
        for lv in ordered
    )


def _ticks(
    data: ChartData, low: float, high: float, y: Callable[[float], float], layout: ChartPaper
) -> tuple[Tick, ...]:
    """Round values at the left edge; none that would touch a limit written there."""
    values, decimals = round_values(low, high, 5)
    taken = [y(lv.value) for lv in data.levels if lv.line is LineKind.LIMIT]
    ticks = []
    for value in values:
        place = y(value)
        if layout.names or all(abs(place - other) > layout.text * 1.1 for other in taken):
            ticks.append(Tick(place, data.number(value, decimals)))
    return tuple(ticks)


def _dividers(
    stretches: Sequence[Stretch], x: Callable[[float], float], step: float
) -> tuple[Divider, ...]:
    return tuple(
        Divider(
            x=None if stretch.first == 0 else round(x(stretch.first) - step / 2, 1),
            text_x=round(x(stretch.first) - step / 2 + 4, 1),
            text=stretch.text,
            cause=stretch.cause,
        )
        for stretch in stretches
    )


def _segments(
    trends: Sequence[Trend], x: Callable[[float], float], y: Callable[[float], float]
) -> tuple[Segment, ...]:
    lines = []
    for t in trends:
        lines.append(Segment(x(t.first), y(t.at_first), x(t.last), y(t.at_last), forecast=False))
        if t.ahead is not None and t.at_ahead is not None:
            lines.append(Segment(x(t.last), y(t.at_last), x(t.ahead), y(t.at_ahead), forecast=True))
    return tuple(lines)


def _path(data: ChartData, x: Callable[[float], float], y: Callable[[float], float]) -> str:
    starts = {stretch.first for stretch in data.stretches}
    pen, strokes = False, []
    for place, point in enumerate(data.points):
        if place in starts:
            pen = False
        if point is not None and not point.gone:
            strokes.append(f"{'L' if pen else 'M'}{x(place)} {y(point.value)}")
            pen = True
    return " ".join(strokes)


def round_values(low: float, high: float, about: int) -> tuple[list[float], int]:
    """Round values between two others, about so many, and the decimals that they need.

    Steps of 1, 2 or 5 times a power of ten. Raises ValueError when high is not above low.
    """
    if not high > low:
        raise ValueError(f"no values between {low} and {high}")
    rough = (high - low) / about
    power = math.floor(math.log10(rough))
    step = next(m for m in (1, 2, 5, 10) if m * 10.0**power >= rough * 0.999)
    if step == 10:
        step, power = 1, power + 1
    size = step * 10.0**power
    first, last = math.ceil(low / size - 1e-9), math.floor(high / size + 1e-9)
    decimals = max(0, -power)
    return [round(n * size, decimals) for n in range(first, last + 1)], decimals


def spread(places: Sequence[float], least: float) -> list[float]:
    """Move ascending places apart until no two are closer than `least`; order is kept.

    Neighbours that touch are moved together about their common middle.
    """
    groups: list[list[float]] = []  # middle of the wanted places, count
    for place in places:
        groups.append([place, 1])
        while len(groups) > 1:
            (a, n), (b, m) = groups[-2], groups[-1]
            if b - a >= least * (n + m) / 2:
                break
            groups[-2:] = [[(a * n + b * m) / (n + m), n + m]]
    moved = []
    for middle, count in groups:
        start = middle - least * (count - 1) / 2
        moved += [start + least * k for k in range(int(count))]
    return moved


@frozen
class Dot:
    """A reading in a strip."""

    x: float
    y: float
    shape: Shape
    tip: str = ""


@frozen
class ToleranceStrip:
    """Where a batch sits in its tolerance: limits at a quarter from each end."""

    width: float
    height: float
    middle: float
    low_x: float | None
    high_x: float | None
    good: str  # good readings as one path of strokes without length
    dots: tuple[Dot, ...]  # the others, each in its shape


def strip(
    readings: Sequence[tuple[float, Shape]],
    lower: float | None,
    upper: float | None,
    *,
    width: float = 180,
    height: float = 22,
) -> ToleranceStrip:
    """A batch in one line: readings between the limits, or between themselves without any."""
    values = [v for v, _ in readings] + [v for v in (lower, upper) if v is not None]
    low, high = min(values), max(values)
    if lower is not None and upper is not None and upper > lower:
        # The tolerance takes the same place on every line, so that lines compare at a glance.
        low, high = min(low, lower - (upper - lower) / 6), max(high, upper + (upper - lower) / 6)
    span = high - low or 1.0
    edge = height / 2

    def x(value: float) -> float:
        return round(edge + (value - low) / span * (width - 2 * edge), 1)

    return ToleranceStrip(
        width,
        height,
        height / 2,
        None if lower is None else x(lower),
        None if upper is None else x(upper),
        "".join(f"M{x(v):g} {height / 2:g}h0" for v, shape in readings if shape is Shape.GOOD),
        tuple(Dot(x(v), height / 2, shape) for v, shape in readings if shape is not Shape.GOOD),
    )


@frozen
class Balloon:
    """A numbered mark on a drawing picture."""

    x: float
    y: float
    number: int
    shape: Shape
    href: str
    tip: str


@frozen
class Drawing:
    """A drawing picture with its marks, in the picture's own units."""

    href: str
    width: float
    height: float
    scale: float  # of the marks, which are drawn for a picture 600 wide
    balloons: tuple[Balloon, ...]


def drawing(
    href: str,
    width: float,
    height: float,
    marks: Sequence[tuple[float, float, int, Shape, str, str]],
) -> Drawing:
    """Place numbered marks on a drawing picture; x and y are shares of its width and height.

    Marks that would lie on each other are moved apart, so that a finger finds each.
    """
    places = apart([(x * width, y * height) for x, y, *_ in marks], width, height)
    return Drawing(
        href,
        width,
        height,
        round(width / 600, 3),
        tuple(
            Balloon(round(x, 1), round(y, 1), number, shape, link, tip)
            for (x, y), (_, _, number, shape, link, tip) in zip(places, marks, strict=True)
        ),
    )


def apart(
    places: Sequence[tuple[float, float]], width: float, height: float
) -> list[tuple[float, float]]:
    """Marks moved until none touches another on a phone, as far as the picture has room."""
    least = 48 * width / 600  # 24 px across where the picture is a phone's 300 px wide
    found = [list(place) for place in places]
    for _ in range(40):
        touched = False
        for n, one in enumerate(found):
            for other in found[n + 1 :]:
                dx, dy = other[0] - one[0], other[1] - one[1]
                far = math.hypot(dx, dy)
                if far >= least:
                    continue
                touched = True
                ux, uy = (dx / far, dy / far) if far else (1.0, 0.0)
                push = (least - far) / 2 + 0.01
                for mark, way in ((one, -1), (other, 1)):
                    mark[0] = min(max(mark[0] + way * ux * push, 0), width)
                    mark[1] = min(max(mark[1] + way * uy * push, 0), height)
        if not touched:
            break
    return [(x, y) for x, y in found]


@frozen
class Span:
    """A stretch of sizes on a scale that several share, with the outermost two as marks."""

    width: float
    height: float
    middle: float
    x1: float
    x2: float
    bound_1: float  # the first stretch of all, which the others are held against
    bound_2: float
    dots: tuple[float, ...]


def spans(
    stretches: Sequence[tuple[float, float]],
    dots: Sequence[float] = (),
    *,
    width: float = 400,
    height: float = 24,
) -> tuple[Span, ...]:
    """Stretches on one scale; `dots` are drawn on the last of them."""
    if not stretches:
        return ()
    low = min(a for a, _ in stretches)
    high = max(b for _, b in stretches)
    size = high - low or 1.0

    def x(value: float) -> float:
        return round(8 + (value - low) / size * (width - 16), 1)

    first = stretches[0]
    return tuple(
        Span(
            width,
            height,
            height / 2,
            x(a),
            x(b),
            x(first[0]),
            x(first[1]),
            tuple(x(d) for d in dots) if n == len(stretches) - 1 else (),
        )
        for n, (a, b) in enumerate(stretches)
    )


@frozen
class ChartBar:
    """A share as a bar; the longest fills the width."""

    width: float
    height: float
    length: float


def bars(
    shares: Sequence[float], *, width: float = 400, height: float = 14
) -> tuple[ChartBar, ...]:
    """Shares of one whole as bars that compare."""
    longest = max(shares, default=0.0) or 1.0
    return tuple(ChartBar(width, height, round(share / longest * width, 1)) for share in shares)
