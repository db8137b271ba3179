"""Sheets: one series of readings as its page shows it, in words, figures and a chart."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from qlog.record.charts import chart as charts
from qlog.record.charts.chart import Shape
from qlog.record.charts.control_charts import ReadBy, read_by
from qlog.record.charts.overlays import Layers, capability_texts, layers_of, percent_of
from qlog.record.pages.shapes import shape_of, worst
from qlog.review.part.batch import SeriesView
from qlog.review.part.charts.runs import acceptance_runs, instrument_runs, sitting_runs
from qlog.review.picture import PartView
from qlog.review.views import Correction, PieceView, ReadingView, Slot, SlotView, Standing
from qlog.study.batch.intervals import Interval
from qlog.words.catalogue import Words
from qlog.words.values import (
    decimals_of,
    fixed,
    limits_text,
    places,
    value_text,
    verdict_name,
    verdict_word,
    with_unit,
)


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
    chance: str  # chance that the true size is in (JCGM 106); empty without an uncertainty
    word: str
    shape: Shape | None
    instrument: str
    setup: int
    outlier: bool
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
    read_by: ReadBy | None

    @property
    def href(self) -> str:
        """Its page, relative to the record."""
        return f"dimensions/{self.key}.html"


def sheet_of(key: str, series: SeriesView, view: PartView, words: Words) -> Sheet:
    """Lay out one series of a part; `key` is the file name of its page."""
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
        read_by=read_by(
            key,
            series,
            {row.piece.number: row.anchor for row in rows},
            words,
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
    found += ["band"] * bool(data.bands)
    found += ["trend"] * bool(data.trends)
    found += ["forecast"] * any(t.ahead is not None for t in data.trends)
    found += ["outlier"] * any(p.outlier for p in points)
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
    if series.callout.attribute:
        return words("limits.attribute")
    return limits_text(words, series.limits)


def _row(slot: SlotView, series: SeriesView, piece: PieceView, layers: Layers, words: Words) -> Row:
    reading = slot.reading
    finest = places(series.limits, series.instrument)
    symbol = series.limits.unit.symbol
    value = beyond = from_middle = uncertainty = word = chance = ""
    shape = None
    if reading is not None:
        value = value_text(words, series, reading)
        word, shape = verdict_word(words, reading), shape_of(reading)
        judged = reading.judgement
        if judged is not None and judged.beyond:
            text = fixed(judged.beyond, max(finest, decimals_of(judged.beyond)))
            beyond = words("row.beyond", amount=with_unit(words.number(text), symbol))
        if judged is not None and judged.deviation_from_middle is not None:
            from_middle = words.number(signed(judged.deviation_from_middle, finest))
        if reading.uncertainty is not None:
            text = words.number(fixed(2 * reading.uncertainty, finest + 1))
            uncertainty = words("row.uncertainty", amount=text)
        if judged is not None and judged.conformance_probability is not None:
            chance = _chance(judged.conformance_probability, words)
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
        chance=chance,
        word=word,
        shape=shape,
        instrument=(reading.instrument or "") if reading is not None else "",
        setup=reading.setup if reading is not None else 0,
        outlier=slot.piece in layers.outliers,
        remarks=_remarks(slot, reading, series, layers, words),
    )


def _chance(chance: float, words: Words) -> str:
    """A chance in percent that is never rounded to certainty."""
    if chance > 0.999:
        return words("row.chance_above")
    if chance < 0.001:
        return words("row.chance_below")
    return words("fact.percent", value=words.number(fixed(100 * chance, 1)))


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
        if reading.unguarded:
            said.append(words("row.uncertainty_unknown"))
        for other in reading.beside:
            said.append(
                words(
                    "row.beside",
                    value=other.typed,
                    instrument=other.instrument or words("row.no_instrument"),
                    word=verdict_word(words, other),
                )
            )
        if reading.raw is not None:
            raw = fixed(reading.raw, max(places(series.limits, None), decimals_of(reading.raw)))
            said.append(words("row.raw", value=words.number(raw)))
        if reading.today is not None:
            said.append(words("row.today", verdict=verdict_name(words, reading.today)))
        if slot.piece in layers.outliers:
            said.append(words("row.outlier"))
        if reading.note:
            said.append(reading.note)
    return ". ".join(said)


def signed(value: Decimal, decimals: int) -> str:
    """A number with its sign, zero without one."""
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
                outlier=row.outlier,
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
    steps = _steps(series, places_of, words)
    beyond = [n for n in layers.ahead if n not in places_of]
    places_of |= {n: len(series.slots) + k for k, n in enumerate(beyond)}
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
        levels=(*levels, *_acceptance(series, places_of, words), *layers.levels),
        number=lambda value, decimals: words.number(fixed(value, decimals)),
        unit=series.limits.unit.symbol,
        stretches=tuple(stretches),
        bands=tuple(_bands(series, places_of, words)),
        trends=layers.trends(places_of),
        ahead=tuple(str(n) for n in beyond),
        upper=None if series.limits.upper is None else float(series.limits.upper),
        lower=None if series.limits.lower is None else float(series.limits.lower),
        steps=steps,
    )


def _steps(
    series: SeriesView, places_of: Mapping[int, int], words: Words
) -> tuple[charts.Step, ...]:
    """The limits over the order of making, where not all readings were judged by today's."""
    if all(step.limits == series.limits for step in series.steps):
        return ()
    finest = places(series.limits, series.instrument)
    found: list[charts.Step] = []
    for at, step in enumerate(series.steps):
        lower, upper = step.limits.lower, step.limits.upper
        told = step.limits != series.limits  # today's stand at the edge of the chart
        last = len(series.steps) - 1
        found.append(
            charts.Step(
                first=0 if at == 0 else places_of[step.first_piece],
                last=places_of[step.last_piece]
                if at == last
                else places_of[series.steps[at + 1].first_piece] - 1,
                lower=None if lower is None else float(lower),
                upper=None if upper is None else float(upper),
                lower_text=words.number(fixed(lower, finest)) if told and lower is not None else "",
                upper_text=words.number(fixed(upper, finest)) if told and upper is not None else "",
            )
        )
    return tuple(found)


def _acceptance(
    series: SeriesView, places_of: Mapping[int, int], words: Words
) -> Iterator[charts.Level]:
    """The acceptance limits over the pieces for which they hold."""
    finest = places(series.limits, series.instrument) + 1
    for run in acceptance_runs(series):
        for value in (run.upper, run.lower):
            if value is not None:
                yield charts.Level(
                    float(value),
                    words.number(fixed(value, finest)),
                    words("chart.guard"),
                    charts.Line.GUARD,
                    places_of[run.first_piece],
                    places_of[run.last_piece],
                )


def _bands(series: SeriesView, places_of: Mapping[int, int], words: Words) -> Iterator[charts.Band]:
    """Where another instrument or another sitting begins."""
    instruments, sittings = instrument_runs(series), sitting_runs(series)
    for run in instruments:
        yield charts.Band(places_of[run.first_piece], places_of[run.last_piece], run.name, 0)
    for run in sittings:
        yield charts.Band(
            places_of[run.first_piece],
            places_of[run.last_piece],
            words.date(run.name),
            1 if instruments else 0,
        )


def _facts(series: SeriesView, words: Words) -> tuple[Fact, ...]:
    """The batch in figures, each with what it must be read with."""
    if series.summary is None:
        if not series.callout.attribute:
            return ()
        facts = [Fact(words("fact.passed"), str(series.passed))]
        counted = series.study.counted if series.study is not None else None
        note = ""
        if counted is not None:
            note = words(
                "fact.failing",
                low=words.number(fixed(100 * counted.failing.low, 0)),
                high=words.number(fixed(100 * counted.failing.high, 0)),
                share=percent_of(counted.failing),
            )
        return (*facts, Fact(words("fact.failed"), str(series.failed), note))
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
            share=percent_of(found),
        )

    study = series.study
    told_apart = study is not None and study.told_apart
    why = ""
    if study is not None and not study.one_process:
        several = "fact.told_apart" if told_apart else "fact.several_setups"
        why = words("fact.drifts" if study.drifting and not told_apart else several)
    of_mean = why or interval(None if study is None else study.mean_interval, 1)
    if of_mean and not why and study is not None and not study.error_known:
        of_mean = f"{of_mean}; {words('fact.without_error')}"
    facts = [
        Fact(words("fact.n"), str(s.n)),
        Fact(
            words("fact.mean"),
            value(s.mean, 1),
            of_mean,
        ),
        Fact(words("fact.median"), value(s.median, 1)),
        Fact(words("fact.smallest"), value(s.minimum)),
        Fact(words("fact.largest"), value(s.maximum)),
        Fact(words("fact.spread"), value(s.spread)),
    ]
    if s.s is not None:
        scatter = interval(None if study is None else study.s_interval, 2)
        facts.append(Fact(words("fact.s"), value(s.s, 2), scatter))
    if s.tolerance is not None:
        facts.append(Fact(words("fact.tolerance"), value(s.tolerance)))
    if s.share_used is not None:
        percent = fixed(100 * s.share_used, 0)
        facts.append(Fact(words("fact.share"), words("fact.percent", value=percent)))
    index, index_note = capability_texts(series, words)
    if index:
        facts.append(Fact(words("fact.cpk"), index, index_note))
    present = series.counted_with_summary
    facts += [
        Fact(words("fact.low"), str(present.out_low)),
        Fact(words("fact.high"), str(present.out_high)),
    ]
    if present.not_proven:
        facts.append(Fact(words("fact.not_proven"), str(present.not_proven)))
    facts += _apart(series, value, words)
    study = series.study
    if study is not None and study.fraction_out_at_most is not None:
        percent = words.number(fixed(100 * study.fraction_out_at_most, 0))
        facts.append(
            Fact(
                words("fact.out_at_most"),
                words("fact.percent", value=percent),
                words("fact.out_at_most_says"),
            )
        )
    if study is not None and study.kendall is not None:
        p = study.kendall.p
        shown = words("fact.kendall_below") if p < 0.001 else words.number(fixed(p, 3))
        facts.append(Fact(words("fact.kendall"), shown, words("fact.kendall_says")))
    return tuple(facts)


def _apart(
    series: SeriesView, value: Callable[[Decimal, int], str], words: Words
) -> Iterator[Fact]:
    """What the figures leave out: readings judged by other limits, and scrapped pieces."""
    for other in series.by_limits:
        s = other.summary
        if other is series.counted_with_summary or s is None:
            continue
        yield Fact(
            words("fact.judged_by", limits=limits_text(words, other.limits)),
            words("fact.judged_by_says", n=s.n, mean=value(s.mean, 1), spread=value(s.spread, 0)),
            words("fact.judged_by_out", low=other.out_low, high=other.out_high),
        )
    gone = series.scrapped
    if gone is not None:
        yield Fact(
            words("fact.scrapped"),
            value(gone.minimum, 0)
            if gone.n == 1
            else words(
                "fact.judged_by_says",
                n=gone.n,
                mean=value(gone.mean, 1),
                spread=value(gone.spread, 0),
            ),
            words("fact.scrapped_says"),
        )


def _verdicts(series: SeriesView, words: Words) -> str:
    """How many of each verdict: `9 in, 1 out high`; counts, never a share of a small batch."""
    counted: dict[str, int] = {}
    for reading in series.readings:
        word = verdict_word(words, reading)
        counted[word] = counted.get(word, 0) + 1
    if not counted:
        return words("verdict.none")
    return ", ".join(words("verdict.count", n=n, word=word) for word, n in counted.items())
