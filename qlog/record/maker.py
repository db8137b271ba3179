"""The maker's edition: every page of it, in one explicit list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from qlog.drawing.plan import Feature
from qlog.logbook.facts import Entry, GaugeCheck
from qlog.record import charts
from qlog.record.charts import Shape
from qlog.record.gallery import Gallery, Shown, item_name
from qlog.record.layers import Layers, layers_of
from qlog.record.method import conditions, method
from qlog.record.page import Link, Page, series_key
from qlog.record.phrases import Phrase, phrases
from qlog.record.wording import (
    decimals_of,
    fixed,
    limits_text,
    places,
    shape_of,
    value_text,
    verdict_name,
    verdict_word,
    with_unit,
    worst,
)
from qlog.record.words import Words
from qlog.review.picture import (
    CellView,
    Correction,
    OpView,
    PartView,
    Picture,
    PieceView,
    ReadingView,
    SeriesView,
    Slot,
    SlotView,
    Standing,
    Weight,
)
from qlog.study.intervals import Interval

MINUS = "\N{MINUS SIGN}"
#: Pieces side by side in a block of the measurement report, so that it fits a portrait sheet.
REPORT_COLUMNS = 10


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a dimension's table: a piece and its reading, or why there is none."""

    anchor: str
    piece: PieceView
    slot: Slot
    slot_word: str
    why: str
    reading: ReadingView | None
    value: str
    beyond: str  # how far over a limit, empty when it is not
    from_middle: str
    uncertainty: str
    word: str
    shape: Shape | None
    instrument: str
    setup: int
    freak: bool
    remarks: str


@dataclass(frozen=True, slots=True)
class Fact:
    """A label and what stands beside it."""

    label: str
    text: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that the pages show of one series."""

    key: str  # file name of its page
    series: SeriesView
    heading: str
    limits: str
    rows: tuple[Row, ...]
    asked: tuple[Fact, ...]  # what the drawing asks for and how it is read
    facts: tuple[Fact, ...]  # the batch in figures
    shapes: tuple[Shape, ...]  # verdicts that the chart's key explains
    lines: tuple[str, ...]  # lines that it explains
    setups: tuple[str, ...]
    wide: charts.Chart | None
    narrow: charts.Chart | None
    strip: charts.Strip | None
    verdicts: str  # "9 in, 1 out high"
    shape: Shape
    layers: Layers
    described: str  # the chart in a sentence
    corrections: tuple[tuple[Row, Correction], ...]

    @property
    def href(self) -> str:
        """Its page, relative to the record."""
        return f"dimensions/{self.key}.html"


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of the route grid in a shape and in words."""

    shape: str
    words: str
    short: str
    href: str


@dataclass(frozen=True, slots=True)
class PartSheet:
    """Everything that the pages show of one part."""

    view: PartView
    material: str
    sheets: tuple[Sheet, ...]
    grid: tuple[tuple[PieceView, str, tuple[Cell, ...]], ...]
    drawing: charts.Drawing | None
    findings: tuple[Phrase, ...]
    photos: Mapping[int, tuple[Shown, ...]]  # by operation
    loose: tuple[Shown, ...]  # photos of the part, of no operation
    covers: tuple[Shown, ...]
    counts: str
    facts: tuple[Fact, ...]
    op_lines: Mapping[int, str]
    next: str  # what to do next, empty when all is done


@dataclass(frozen=True, slots=True)
class ReportBlock:
    """Part of a measurement report: so many pieces side by side."""

    title: str
    pieces: tuple[PieceView, ...]
    lines: tuple[tuple[Sheet, tuple[tuple[str, Shape | None, str], ...]], ...]


@dataclass(frozen=True, slots=True)
class LifeStep:
    """One operation in the life of a piece."""

    op: OpView
    cell: Cell
    readings: tuple[tuple[Sheet, Row], ...]
    lines: tuple[str, ...]  # decisions and notes
    photos: tuple[Shown, ...]


@dataclass(frozen=True, slots=True)
class History:
    """The whole life of a piece."""

    piece: PieceView
    standing: str
    item_name: str
    steps: tuple[LifeStep, ...]
    lines: tuple[str, ...]  # decisions and notes of no operation
    photos: tuple[Shown, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Findings of one weight."""

    key: str
    title: str
    findings: tuple[Phrase, ...]


def navigation(words: Words) -> tuple[Link, ...]:
    """The entries of the navigation, on every page of the edition."""
    return (
        Link("state", "index.html", words("nav.state")),
        Link("parts", "parts.html", words("nav.parts")),
        Link("fits", "fits.html", words("nav.fits")),
        Link("items", "items.html", words("nav.items")),
        Link("instruments", "instruments.html", words("nav.instruments")),
        Link("missing", "missing.html", words("nav.missing")),
        Link("corrections", "corrections.html", words("nav.corrections")),
        Link("report", "report.html", words("nav.report")),
        Link("method", "method.html", words("nav.method")),
    )


def pages(
    picture: Picture,
    words: Words,
    gallery: Gallery,
    drawings: Mapping[str, tuple[str, float, float]],
) -> tuple[Page, ...]:
    """Every page of the maker's edition.

    `drawings` gives, by part, the picture of its drawing in the record with its width and height.
    """
    parts = tuple(_part_sheet(view, picture, words, gallery, drawings) for view in picture.parts)
    findings = phrases(picture.findings, picture, words)
    common: dict[str, object] = {"parts": parts, "picture": picture, "build": picture.build}
    listed = [
        Page(
            "index.html",
            "maker/index.html",
            words("state.title"),
            {
                **common,
                "facts": _build_facts(picture, words),
                "groups": _groups(findings, words),
                "cover": gallery.of(p for p in picture.photos if p.cover == "build")[:1],
            },
            "state",
        ),
        Page("parts.html", "maker/parts.html", words("nav.parts"), common, "parts"),
        Page(
            "fits.html",
            "maker/fits.html",
            words("nav.fits"),
            {**common, **fits_context(picture, words)},
            "fits",
        ),
        Page(
            "items.html",
            "maker/items.html",
            words("nav.items"),
            {**common, "items": _items(picture, words, gallery)},
            "items",
        ),
        Page(
            "instruments.html",
            "maker/instruments.html",
            words("nav.instruments"),
            {**common, "instruments": _instruments(picture, words)},
            "instruments",
        ),
        Page(
            "missing.html",
            "maker/missing.html",
            words("nav.missing"),
            {
                **common,
                "missing": tuple(f for f in findings if f.kind in MISSING),
                "tray": gallery.of(picture.tray),
                "lost": [
                    (p, gallery.lost[p.sha256]) for p in picture.photos if p.sha256 in gallery.lost
                ],
            },
            "missing",
        ),
        Page(
            "corrections.html",
            "maker/corrections.html",
            words("nav.corrections"),
            {
                **common,
                "corrections": [
                    (s, *c) for part in parts for s in part.sheets for c in s.corrections
                ],
                "decisions": [
                    line for view in picture.parts for line in decisions(view.pieces, words)
                ],
                "overrides": _overrides(picture, words),
            },
            "corrections",
        ),
        Page("report.html", "maker/reports.html", words("nav.report"), common, "report"),
        Page(
            "method.html",
            "maker/method.html",
            words("nav.method"),
            {**common, **method(picture.build, words)},
            "method",
        ),
    ]
    for part in parts:
        id_, name = part.view.part.id, part.view.part.name
        context = {**common, "part": part}
        listed += [
            Page(f"parts/{id_}.html", "maker/part.html", name, context, "parts"),
            Page(
                f"pieces/{id_}.html",
                "maker/pieces.html",
                words("pieces.title", part=name),
                {**context, "histories": _histories(part, picture, gallery, words)},
                "parts",
            ),
            Page(
                f"report/{id_}.html",
                "maker/report.html",
                words("report.title", part=name),
                {
                    **context,
                    "blocks": _report_blocks(part, words),
                    "report_facts": _report_facts(part, picture, words),
                    "decisions": decisions(part.view.pieces, words),
                    "conditions": conditions(picture.build, words),
                },
                "report",
            ),
        ]
        listed += [
            Page(
                sheet.href,
                "maker/dimension.html",
                f"{name}: {sheet.heading}",
                {**context, "sheet": sheet},
                "parts",
            )
            for sheet in part.sheets
        ]
    return tuple(listed)


#: Findings that tell of evidence that is not there.
MISSING = frozenset({"reading missing", "photo missing", "order", "tray", "sent out"})


def _build_facts(picture: Picture, words: Words) -> tuple[Fact, ...]:
    build, none = picture.build, words("value.none")
    return (
        Fact(words("state.maker"), build.maker or none),
        Fact(words("state.for"), build.recipient or none),
        Fact(words("state.begun"), words.date(picture.first) or none),
        Fact(words("state.last"), words.date(picture.last) or none),
        Fact(words("state.entries"), str(picture.entries)),
        Fact(words("state.revisions"), str(picture.revisions)),
    )


def _groups(findings: Sequence[Phrase], words: Words) -> tuple[Group, ...]:
    """Findings by weight, worst first; weights without any are left out."""
    groups = []
    for weight in Weight:
        own = tuple(f for f in findings if f.weight is weight)
        if own:
            groups.append(Group(weight.value, words(f"state.{weight.value}"), own))
    return tuple(groups)


def _part_sheet(
    view: PartView,
    picture: Picture,
    words: Words,
    gallery: Gallery,
    drawings: Mapping[str, tuple[str, float, float]],
) -> PartSheet:
    sheets = tuple(_sheet(series_key(series, view), series, view, words) for series in view.series)
    material = next((m.name for m in picture.build.materials if m.id == view.part.material), "")
    by_op = {op.operation.number: gallery.of(op.photos) for op in view.ops}
    return PartSheet(
        view=view,
        material=material,
        sheets=sheets,
        grid=tuple(_grid_row(piece, view, words) for piece in view.pieces),
        drawing=_drawing(view, sheets, drawings),
        findings=phrases(view.findings, picture, words),
        photos=by_op,
        loose=gallery.of(p for p in view.photos if p.op not in by_op and p.cover != "part"),
        covers=gallery.of(p for p in view.photos if p.cover == "part"),
        counts=words(
            "part.counts",
            live=words.count("n.good_pieces", view.live),
            needed=view.part.needed,
            scrapped=view.scrapped,
        ),
        facts=_part_facts(view, material, words),
        op_lines={op.operation.number: _op_line(op, words) for op in view.ops},
        next=_next(view, picture, words),
    )


def _part_facts(view: PartView, material: str, words: Words) -> tuple[Fact, ...]:
    part = view.part
    facts = [Fact(words("part.number"), part.drawing)] if part.drawing else []
    if material:
        facts.append(Fact(words("part.material"), material))
    return (
        *facts,
        Fact(words("col.needed"), str(part.needed)),
        Fact(words("col.good"), str(view.live)),
        Fact(words("col.finished"), str(view.finished)),
        Fact(words("col.scrapped"), str(view.scrapped)),
        Fact(words("col.spares"), words.number(view.margin)),
    )


def _op_line(op: OpView, words: Words) -> str:
    operation = op.operation
    said = [words("op.done", done=op.done, open=op.open)]
    period = words.period(op.first, op.last)
    if period:
        said.append(period)
    said += [text for text in (operation.machine, operation.tool) if text]
    if operation.sent_out:
        said.append(words("op.sent_out", who=operation.sent_out))
    return " · ".join(said)


def _next(view: PartView, picture: Picture, words: Words) -> str:
    for line in picture.next:
        if line.part == view.part.id:
            operation = view.part.operation(line.op)
            return words("op.next", op=line.op, name=operation.name)
    return ""


def _sheet(key: str, series: SeriesView, view: PartView, words: Words) -> Sheet:
    layers = layers_of(series, words)
    pieces = {p.number: p for p in view.pieces}
    rows = tuple(_row(slot, series, pieces[slot.piece], layers, words) for slot in series.slots)
    data = _chart_data(series, rows, layers, words)
    wide = narrow = None
    if data is not None:
        wide, narrow = charts.draw(data, charts.WIDE), charts.draw(data, charts.NARROW)
    numeric = [(float(r.value), shape_of(r)) for r in series.readings if r.value is not None]
    lower, upper = series.limits.lower, series.limits.upper
    heading = words(
        "dimension.heading" if series.final else "dimension.heading_op",
        number=series.dimension.number,
        name=series.dimension.name,
        op=series.operation.number,
    )
    verdicts = _verdicts(series, words)
    return Sheet(
        key=key,
        series=series,
        heading=heading,
        limits=_requirement(series, words),
        rows=rows,
        asked=_asked(series, words),
        facts=_facts(series, words),
        shapes=tuple(dict.fromkeys(row.shape for row in rows if row.shape is not None)),
        lines=_lines(data),
        setups=tuple(
            words(
                "dimension.setup_line",
                number=setup.number,
                first=setup.first_piece,
                last=setup.last_piece,
                cause=setup.cause or words("dimension.setup_first"),
            )
            for setup in series.setups
            if len(series.setups) > 1
        ),
        wide=wide,
        narrow=narrow,
        strip=charts.strip(
            numeric,
            None if lower is None else float(lower),
            None if upper is None else float(upper),
        )
        if numeric
        else None,
        verdicts=verdicts,
        shape=worst(shape_of(r) for r in series.readings),
        layers=layers,
        described=words(
            "chart.described",
            part=view.part.name,
            name=series.dimension.name,
            limits=limits_text(words, series.limits),
            verdicts=verdicts,
        ),
        corrections=tuple(
            (row, correction)
            for row in rows
            if row.reading is not None
            for correction in row.reading.corrections
        ),
    )


def _lines(data: charts.ChartData | None) -> tuple[str, ...]:
    """Kinds of line that are in the chart, for its key."""
    if data is None:
        return ()
    points = [p for p in data.points if p is not None]
    found = [level.line.value for level in data.levels]
    found += ["bar"] * any(p.bar is not None for p in points)
    found += ["divider"] * (len(data.stretches) > 1)
    found += ["trend"] * bool(data.trends)
    found += ["forecast"] * any(t.ahead is not None for t in data.trends)
    found += ["freak"] * any(p.freak for p in points)
    found += ["gone"] * any(p.gone for p in points)
    return tuple(dict.fromkeys(found))


def _asked(series: SeriesView, words: Words) -> tuple[Fact, ...]:
    callout, instrument = series.callout, series.instrument
    symbol = series.limits.unit.symbol
    facts = [
        Fact(words("col.callout"), callout.text),
        Fact(words("col.limits"), _requirement(series, words)),
    ]
    if series.limits.width is not None:
        finest = places(series.limits, None)
        width = words.number(fixed(series.limits.width, finest))
        facts.append(Fact(words("fact.tolerance"), with_unit(width, symbol)))
    facts.append(
        Fact(words("dimension.from"), words.maybe(f"source.{callout.source}", callout.source))
    )
    facts.append(
        Fact(
            words("dimension.after"),
            words("op.named", op=series.operation.number, name=series.operation.name),
        )
    )
    if instrument is not None:
        step = (
            ""
            if instrument.step is None
            else words(
                "instrument.step",
                step=with_unit(words.number(instrument.step), instrument.unit.symbol),
            )
        )
        error = (
            ""
            if instrument.error is None
            else words(
                "instrument.error",
                error=with_unit(words.number(instrument.error), instrument.unit.symbol),
            )
        )
        facts.append(
            Fact(
                words("col.instrument"),
                instrument.name,
                ", ".join(text for text in (step, error) if text),
            )
        )
    return tuple(facts)


def _requirement(series: SeriesView, words: Words) -> str:
    if series.callout.counted:
        return words("limits.counted")
    return limits_text(words, series.limits)


def _row(slot: SlotView, series: SeriesView, piece: PieceView, layers: Layers, words: Words) -> Row:
    reading = slot.reading
    finest = places(series.limits, series.instrument)
    symbol = series.limits.unit.symbol
    value = beyond = from_middle = uncertainty = word = ""
    shape = None
    if reading is not None:
        value = value_text(words, series, reading)
        word, shape = verdict_word(words, reading), shape_of(reading)
        judged = reading.judgement
        if judged is not None and judged.beyond:
            text = fixed(judged.beyond, max(finest, decimals_of(judged.beyond)))
            beyond = words("row.beyond", amount=with_unit(words.number(text), symbol))
        if judged is not None and judged.deviation_from_middle is not None:
            from_middle = words.number(_signed(judged.deviation_from_middle, finest))
        if reading.uncertainty is not None:
            text = words.number(fixed(2 * reading.uncertainty, finest + 1))
            uncertainty = words("row.uncertainty", amount=text)
    return Row(
        anchor=f"{piece.name}",
        piece=piece,
        slot=slot.slot,
        slot_word=words(f"slot.{slot.slot.name.lower()}"),
        why=slot.why,
        reading=reading,
        value=value,
        beyond=beyond,
        from_middle=from_middle,
        uncertainty=uncertainty,
        word=word,
        shape=shape,
        instrument=(reading.instrument or "") if reading is not None else "",
        setup=reading.setup if reading is not None else 0,
        freak=slot.piece in layers.freaks,
        remarks=_remarks(slot, reading, series, layers, words),
    )


def _remarks(
    slot: SlotView,
    reading: ReadingView | None,
    series: SeriesView,
    layers: Layers,
    words: Words,
) -> str:
    said = []
    if reading is not None:
        if reading.corrections:
            said.append(words("row.corrected"))
        if reading.suspect:
            said.append(words("row.suspect"))
        if reading.raw is not None:
            raw = fixed(reading.raw, max(places(series.limits, None), decimals_of(reading.raw)))
            said.append(words("row.raw", value=words.number(raw)))
        if reading.today is not None:
            said.append(words("row.today", verdict=verdict_name(words, reading.today)))
        if slot.piece in layers.freaks:
            said.append(words("row.freak"))
        if reading.note:
            said.append(reading.note)
    return ". ".join(said)


def _signed(value: Decimal, decimals: int) -> str:
    text = fixed(value, decimals)
    return text if text.startswith("-") or not float(text) else f"+{text}"


def _chart_data(
    series: SeriesView, rows: Sequence[Row], layers: Layers, words: Words
) -> charts.ChartData | None:
    points: list[charts.Point | None] = []
    for row in rows:
        reading = row.reading
        if reading is None or reading.value is None:
            points.append(None)
            continue
        u = reading.uncertainty
        points.append(
            charts.Point(
                label=str(row.piece.number),
                value=float(reading.value),
                shape=shape_of(reading),
                tip=words("chart.tip", piece=row.piece.name, value=row.value, verdict=row.word),
                href=f"#{row.anchor}",
                bar=None if u is None or u == 0 else float(2 * u),
                gone=row.piece.standing is Standing.SCRAP,
                freak=row.freak,
            )
        )
    if not any(points):
        return None
    finest = places(series.limits, series.instrument)
    levels = [
        charts.Level(float(value), words.number(fixed(value, finest)), words(f"chart.{name}"))
        for value, name in ((series.limits.upper, "upper"), (series.limits.lower, "lower"))
        if value is not None
    ]
    places_of = {slot.piece: place for place, slot in enumerate(series.slots)}
    stretches = []
    if len(series.setups) > 1:
        for setup in series.setups:
            inside = [
                place
                for piece, place in places_of.items()
                if setup.first_piece <= piece <= setup.last_piece
            ]
            if inside:
                stretches.append(
                    charts.Stretch(
                        min(inside),
                        max(inside),
                        words("chart.setup", number=setup.number),
                        setup.cause,
                    )
                )
    return charts.ChartData(
        points=tuple(points),
        levels=(*levels, *layers.levels),
        number=lambda value, decimals: words.number(fixed(value, decimals)),
        unit=series.limits.unit.symbol,
        stretches=tuple(stretches),
        trends=layers.trends(places_of),
        ahead=tuple(str(n) for n in layers.ahead),
        upper=None if series.limits.upper is None else float(series.limits.upper),
        lower=None if series.limits.lower is None else float(series.limits.lower),
    )


def _facts(series: SeriesView, words: Words) -> tuple[Fact, ...]:
    """The batch in figures, each with what it must be read with."""
    if series.summary is None:
        if not series.callout.counted:
            return ()
        return (
            Fact(words("fact.passed"), str(series.passed)),
            Fact(words("fact.failed"), str(series.failed)),
        )
    s = series.summary
    finest = places(series.limits, series.instrument)
    symbol = series.limits.unit.symbol

    def value(number: Decimal, more: int = 0) -> str:
        return with_unit(words.number(fixed(number, finest + more)), symbol)

    def interval(found: Interval | None, more: int) -> str:
        if found is None:
            return ""
        return words(
            "fact.interval",
            low=words.number(fixed(found.low, finest + more)),
            high=words.number(fixed(found.high, finest + more)),
            share=f"{found.confidence:.0%}".rstrip("%"),
        )

    facts = [
        Fact(words("fact.n"), str(s.n)),
        Fact(words("fact.mean"), value(s.mean, 1), interval(s.mean_interval(), 1)),
        Fact(words("fact.smallest"), value(s.minimum)),
        Fact(words("fact.largest"), value(s.maximum)),
        Fact(words("fact.spread"), value(s.spread)),
    ]
    if s.s is not None:
        facts.append(Fact(words("fact.s"), value(s.s, 2), interval(s.s_interval(), 2)))
    if s.tolerance is not None:
        facts.append(Fact(words("fact.tolerance"), value(s.tolerance)))
    if s.share_used is not None:
        percent = fixed(100 * s.share_used, 0)
        facts.append(Fact(words("fact.share"), words("fact.percent", value=percent)))
    facts += [
        Fact(words("fact.low"), str(series.out_low)),
        Fact(words("fact.high"), str(series.out_high)),
    ]
    if series.not_proven:
        facts.append(Fact(words("fact.not_proven"), str(series.not_proven)))
    return tuple(facts)


def _verdicts(series: SeriesView, words: Words) -> str:
    """How many of each verdict: `9 in, 1 out high`; counts, never a share of a small batch."""
    counted: dict[str, int] = {}
    for reading in series.readings:
        word = verdict_word(words, reading)
        counted[word] = counted.get(word, 0) + 1
    if not counted:
        return words("verdict.none")
    return ", ".join(words("verdict.count", n=n, word=word) for word, n in counted.items())


def _grid_row(
    piece: PieceView, view: PartView, words: Words
) -> tuple[PieceView, str, tuple[Cell, ...]]:
    cells = tuple(_cell(cell, piece, view, words) for cell in piece.cells)
    return piece, words(f"standing.{piece.standing.name.lower()}"), cells


def _cell(cell: CellView, piece: PieceView, view: PartView, words: Words) -> Cell:
    said = []
    scrapped = piece.standing is Standing.SCRAP
    lacking = cell.done and (cell.readings < cell.wanted or cell.photos < cell.photos_wanted)
    if cell.bad:
        shape = "high"
        said.append(words("cell.bad"))
    elif cell.done and lacking:
        shape = "open"
        said.append(words("cell.lacking"))
    elif cell.done:
        shape = "in"
        said.append(words("cell.done"))
    elif scrapped:
        shape = "gone"
        said.append(words("cell.scrapped"))
    elif cell.due:
        shape = "due"
        said.append(words("cell.due"))
    else:
        shape = "later"
        said.append(words("cell.later"))
    if cell.wanted:
        said.append(words("cell.readings", n=cell.readings, wanted=cell.wanted))
    if cell.photos_wanted:
        said.append(words("cell.photos", n=cell.photos, wanted=cell.photos_wanted))
    if cell.override:
        said.append(words("cell.override", why=cell.override))
    short = f"{cell.readings}/{cell.wanted}" if cell.wanted and not scrapped else ""
    href = f"pieces/{view.part.id}.html#{piece.name}"
    return Cell(shape, ", ".join(said), short, href)


def _drawing(
    view: PartView, sheets: Sequence[Sheet], drawings: Mapping[str, tuple[str, float, float]]
) -> charts.Drawing | None:
    if view.part.id not in drawings:
        return None
    href, width, height = drawings[view.part.id]
    marks = []
    for sheet in sheets:
        dimension = sheet.series.dimension
        if dimension.at is not None and sheet.series.final:
            marks.append(
                (
                    *dimension.at,
                    dimension.number,
                    sheet.shape,
                    sheet.href,
                    f"{sheet.heading}, {sheet.series.callout.text}: {sheet.verdicts}",
                )
            )
    return charts.drawing(href, width, height, marks)


def _histories(
    part: PartSheet, picture: Picture, gallery: Gallery, words: Words
) -> tuple[History, ...]:
    known = {op.operation.number for op in part.view.ops}
    found = []
    for piece, standing, cells in part.grid:
        steps = []
        for op, cell in zip(part.view.ops, cells, strict=True):
            number = op.operation.number
            steps.append(
                LifeStep(
                    op,
                    cell,
                    tuple(
                        (sheet, row)
                        for sheet in part.sheets
                        if sheet.series.operation.number == number
                        for row in sheet.rows
                        if row.piece.number == piece.number
                    ),
                    _piece_lines(piece, frozenset({number}), words),
                    gallery.of(p for p in op.photos if p.piece == piece.number),
                )
            )
        elsewhere = {d.fact.op for d in piece.dispositions} | {n.fact.op for n in piece.notes}
        found.append(
            History(
                piece=piece,
                standing=standing,
                item_name=item_name(piece.item, picture.build) if piece.item else "",
                steps=tuple(steps),
                lines=_piece_lines(piece, frozenset(elsewhere - known), words),
                photos=gallery.of(
                    p for p in part.view.photos if p.piece == piece.number and p.op not in known
                ),
            )
        )
    return tuple(found)


def _piece_lines(piece: PieceView, ops: frozenset[int | None], words: Words) -> tuple[str, ...]:
    decided = [
        words(
            "decision.line_of_piece",
            date=words.date(entry.made),
            decision=words.maybe(f"decision.{entry.fact.decision}", entry.fact.decision),
            why=entry.fact.why,
        ).rstrip(": ")
        for entry in piece.dispositions
        if entry.fact.op in ops
    ]
    noted = [
        words("decision.note", date=words.date(entry.made), text=entry.fact.text)
        for entry in piece.notes
        if entry.fact.op in ops
    ]
    return (*decided, *noted)


def decisions(pieces: Sequence[PieceView], words: Words) -> list[str]:
    """What was decided about pieces, with the reason."""
    return [
        words(
            "decision.line",
            piece=piece.name,
            date=words.date(entry.made),
            decision=words.maybe(f"decision.{entry.fact.decision}", entry.fact.decision),
            why=entry.fact.why,
        ).rstrip(": ")
        for piece in pieces
        for entry in piece.dispositions
    ]


def _report_facts(part: PartSheet, picture: Picture, words: Words) -> tuple[Fact, ...]:
    view, build = part.view, picture.build
    numbers = [p.number for p in view.pieces]
    return (
        Fact(words("report.part"), view.part.name),
        Fact(words("part.number"), view.part.drawing or words("value.none")),
        Fact(words("report.revision"), build.revision[:12] or words("value.none")),
        Fact(words("part.material"), part.material or words("value.none")),
        Fact(words("report.pieces"), words("report.range", first=numbers[0], last=numbers[-1])),
        Fact(words("report.quantity"), str(view.live)),
        Fact(
            words("report.general"),
            f"ISO 2768-{build.general}" if build.general else words("value.none"),
        ),
        Fact(words("state.maker"), build.maker or words("value.none")),
    )


def _report_blocks(part: PartSheet, words: Words) -> tuple[ReportBlock, ...]:
    pieces = part.view.pieces
    blocks = []
    for start in range(0, len(pieces), REPORT_COLUMNS):
        block = pieces[start : start + REPORT_COLUMNS]
        numbers = {p.number for p in block}
        lines = []
        for sheet in part.sheets:
            by_piece = {row.piece.number: row for row in sheet.rows if row.piece.number in numbers}
            lines.append((sheet, tuple(_report_cell(by_piece.get(p.number)) for p in block)))
        title = words("report.block", first=block[0].number, last=block[-1].number)
        blocks.append(ReportBlock(title, block, tuple(lines)))
    return tuple(blocks)


def _report_cell(row: Row | None) -> tuple[str, Shape | None, str]:
    if row is None:
        return "", None, ""
    if row.reading is None:
        return "", None, row.slot_word
    # The unit stands once, in the requirement's column.
    return row.value.split("\N{NARROW NO-BREAK SPACE}")[0], row.shape, row.word


def _items(picture: Picture, words: Words, gallery: Gallery) -> list[dict[str, object]]:
    stacks = {stack.id: stack.name for stack in picture.build.stacks}
    return [
        {
            "item": item,
            "sizes": [
                f"{stacks.get(e.fact.stack, e.fact.stack)} "
                f"{with_unit(words.number(e.fact.typed), e.fact.unit)}"
                for e in item.sizes
            ],
            "photos": gallery.of(item.photos),
        }
        for item in picture.items
    ]


def _instruments(picture: Picture, words: Words) -> list[dict[str, object]]:
    listed: list[dict[str, object]] = []
    for view in picture.instruments:
        i = view.instrument
        symbol, none = i.unit.symbol, words("value.none")
        step = none if i.step is None else with_unit(words.number(i.step), symbol)
        error = none if i.error is None else with_unit(f"±{words.number(i.error)}", symbol)
        used = [
            f"{part.part.name}: {series.dimension.name}"
            for part in picture.parts
            for series in part.series
            if any(r.instrument == i.id for r in series.readings)
        ]
        listed.append(
            {
                "view": view,
                "facts": (
                    Fact(words("instrument.kind"), i.kind or none),
                    Fact(words("instrument.step_label"), step),
                    Fact(words("instrument.error_label"), error),
                    Fact(words("instrument.readings"), str(view.readings)),
                ),
                "checks": [_check(entry, words) for entry in view.checks],
                "used": list(dict.fromkeys(used)),
                "lines": (),
            }
        )
    return listed


def _check(entry: Entry[GaugeCheck], words: Words) -> dict[str, object]:
    fact = entry.fact
    finest = max(decimals_of(Decimal(v)) for v in (fact.reading, fact.reference, fact.allowed))
    error = _signed(Decimal(fact.reading) - Decimal(fact.reference), finest)
    return {
        "made": entry.made,
        "reference": with_unit(words.number(fact.reference), fact.unit),
        "reading": with_unit(words.number(fact.reading), fact.unit),
        "error": with_unit(words.number(error), fact.unit),
        "allowed": with_unit(f"±{words.number(fact.allowed)}", fact.unit),
        "fit": bool(fact.fit),
        "note": fact.note,
    }


def _overrides(picture: Picture, words: Words) -> list[str]:
    return [
        words("corrections.override", piece=piece.name, op=cell.op, why=cell.override)
        for part in picture.parts
        for piece in part.pieces
        for cell in piece.cells
        if cell.override
    ]


def fits_context(picture: Picture, words: Words) -> dict[str, object]:
    """Joints, stacks and matching, as far as the review has worked them out."""
    build = picture.build

    def named(feature: Feature) -> str:
        part = build.part(feature.part)
        return f"{part.name}, {part.dimension(feature.dimension).name}"

    return {
        "plan_joints": [
            {
                "id": joint.id,
                "name": joint.name,
                "facts": (
                    Fact(words("fits.inside"), named(joint.inside)),
                    Fact(words("fits.outside"), named(joint.outside)),
                    Fact(words("fits.clearance"), limits_text(words, joint.clearance)),
                ),
            }
            for joint in build.joints
        ],
        "plan_stacks": [
            {
                "id": stack.id,
                "name": stack.name,
                "facts": (
                    Fact(words("col.callout"), stack.callout.text),
                    Fact(
                        words("fits.terms"),
                        " ".join(
                            f"{'+' if sign > 0 else MINUS} {named(feature)}"
                            for sign, feature in stack.terms
                        ).removeprefix("+ "),
                    ),
                ),
            }
            for stack in build.stacks
        ],
    }
