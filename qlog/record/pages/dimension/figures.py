"""What the drawing asks for and the batch in figures, each a label and a text."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from qlog.drawing.callouts.callout import AS_WRITTEN
from qlog.drawing.derived import Input
from qlog.drawing.formulas import RULES
from qlog.frozen import frozen
from qlog.record.charts.overlays import capability_texts, percent_of
from qlog.review.instrument.judging import ends_at_zero
from qlog.review.part.batch import SeriesView
from qlog.study.batch.intervals import Interval
from qlog.words.catalogue import Words
from qlog.words.problems import in_words
from qlog.words.trend import no_process_text
from qlog.words.values import fixed, limits_text, places, sample_text, source_text, with_unit


@frozen
class Labelled:
    """A label and what stands beside it."""

    label: str
    text: str
    note: str = ""


def _known(given: Input, words: Words) -> str:
    """A size that was known beforehand, with what it may be off by."""
    symbol = given.unit.symbol
    within = f" ±{words.number(given.half, symbol)}" if given.half else ""
    said = f"{words.number(given.value or 0, symbol)}{within}"
    return f"{given.name} {with_unit(said, symbol)}"


def asked(series: SeriesView, words: Words) -> tuple[Labelled, ...]:
    """What the drawing asks for, after which operation, and how it is read."""
    callout, instrument = series.callout, series.instrument
    symbol = series.limits.unit.symbol
    facts = [
        Labelled(words("col.callout"), callout.text),
        Labelled(words("col.limits"), requirement(series, words)),
    ]
    if series.limits.width is not None:
        finest = places(series.limits, None)
        width = words.number(fixed(series.limits.width, finest))
        facts.append(Labelled(words("fact.tolerance"), with_unit(width, symbol)))
    written = callout.source == AS_WRITTEN
    source = words("source.as_written") if written else source_text(callout, words)
    facts.append(Labelled(words("dimension.from"), source))
    derived = series.dimension.derived
    if derived is not None:
        rule = RULES[derived.rule]
        facts.append(Labelled(words("dimension.formula"), rule.formula))
        facts.append(Labelled(words("dimension.formula_source"), in_words(words, rule.source)))
        known = [_known(i, words) for i in derived.inputs if i.value is not None]
        facts.append(Labelled(words("dimension.known"), words.list(known)))
    after = words("op.named", op=series.operation.number, name=series.operation.name)
    facts.append(Labelled(words("dimension.after"), after))
    if instrument is not None:
        own = instrument.unit.symbol
        known = [
            words(f"instrument.{what}", **{what: with_unit(words.number(value), own)})
            for what, value in (("step", instrument.step), ("error", instrument.error))
            if value is not None
        ]
        facts.append(Labelled(words("col.instrument"), instrument.name, ", ".join(known)))
    return tuple(facts)


def requirement(series: SeriesView, words: Words) -> str:
    """The limits in words, or that it passes or fails."""
    if series.callout.attribute:
        return words("limits.attribute")
    return limits_text(words, series.limits)


def facts_of(series: SeriesView, words: Words) -> tuple[Labelled, ...]:
    """The batch in figures, each with what it must be read with."""
    if series.summary is None:
        passed = _passed(series, words) if series.callout.attribute else ()
        return (*passed, *_sample(series, words))
    s = series.summary
    written = _Written(series, words)
    value = written.value
    facts = [
        Labelled(words("fact.n"), str(s.n)),
        Labelled(words("fact.mean"), value(s.mean, 1), _of_mean(series, words)),
        Labelled(words("fact.median"), value(s.median, 1)),
        Labelled(words("fact.smallest"), written.reading(s.minimum)),
        Labelled(words("fact.largest"), written.reading(s.maximum)),
        Labelled(words("fact.spread"), written.reading(s.spread)),
    ]
    if s.s is not None:
        found = None if series.study is None else series.study.s_interval
        scatter = written.interval(found, 2)
        facts.append(Labelled(words("fact.s"), value(s.s, 2), scatter))
    if s.tolerance is not None:
        facts.append(Labelled(words("fact.tolerance"), value(s.tolerance)))
    if s.share_used is not None:
        percent = fixed(100 * s.share_used, 0)
        one = ends_at_zero(series.callout.kind, series.limits.lower)
        key = "fact.limit_used" if one else "fact.share"
        facts.append(Labelled(words(key), words("fact.percent", value=percent)))
    index, index_note = capability_texts(series, words)
    if index:
        facts.append(Labelled(words("fact.cpk"), index, index_note))
    present = series.counted_with_summary
    facts += [
        Labelled(words("fact.low"), str(present.out_low)),
        Labelled(words("fact.high"), str(present.out_high)),
    ]
    if present.not_proven:
        facts.append(Labelled(words("fact.not_proven"), str(present.not_proven)))
    return (
        *facts,
        *_sample(series, words),
        *_apart(written),
        *_of_the_process(series, words),
    )


def _sample(series: SeriesView, words: Words) -> tuple[Labelled, ...]:
    """How many of the batch were read, where not all are, and what that proves."""
    found = series.sample
    if found is None:
        return ()
    read = words("sample.of", read=found.read, pieces=found.pieces)
    return (Labelled(words("sample.fact"), read, sample_text(found, words)),)


@frozen
class _Written:
    """How the figures of a series are written: in its unit, as fine as its limits."""

    series: SeriesView
    words: Words

    @property
    def finest(self) -> int:
        return places(self.series.limits, self.series.instrument)

    def reading(self, number: Decimal) -> str:
        """As fine as it was read: coarser, it could stand there as the limit that it exceeds."""
        read = max(r.places for r in self.series.readings if r.value is not None)
        return self.value(number, max(0, read - self.finest))

    def value(self, number: Decimal, more: int = 0) -> str:
        text = self.words.number(fixed(number, self.finest + more))
        return with_unit(text, self.series.limits.unit.symbol)

    def interval(self, found: Interval | None, more: int) -> str:
        if found is None:
            return ""
        symbol = self.series.limits.unit.symbol
        return self.words(
            "fact.interval",
            low=self.words.number(fixed(found.low, self.finest + more), symbol),
            high=self.words.number(fixed(found.high, self.finest + more), symbol),
            share=percent_of(found),
        )


def _passed(series: SeriesView, words: Words) -> tuple[Labelled, ...]:
    """Checks that pass or fail, with the interval of the share that fails."""
    counted = series.study.counted if series.study is not None else None
    note = ""
    if counted is not None:
        note = words(
            "fact.failing",
            low=words.number(fixed(100 * counted.failing.low, 0)),
            high=words.number(fixed(100 * counted.failing.high, 0)),
            share=percent_of(counted.failing),
        )
    return (
        Labelled(words("fact.passed"), str(series.passed)),
        Labelled(words("fact.failed"), str(series.failed), note),
    )


def _of_mean(series: SeriesView, words: Words) -> str:
    """The interval of the mean, or why it has none."""
    study = series.study
    if study is None:
        return ""
    if why := no_process_text(study, words):
        return why
    text = _Written(series, words).interval(study.mean_interval, 1)
    return text if study.error_known or not text else f"{text}; {words('fact.without_error')}"


def _of_the_process(series: SeriesView, words: Words) -> Iterator[Labelled]:
    """What holds for pieces still to be made, where there is one process."""
    study = series.study
    if study is not None and study.fraction_out_at_most is not None:
        percent = words.number(fixed(100 * study.fraction_out_at_most, 0))
        yield Labelled(
            words("fact.out_at_most"),
            words("fact.percent", value=percent),
            words("fact.out_at_most_says"),
        )
    if study is not None and study.kendall is not None:
        p = study.kendall.p
        shown = words("fact.kendall_below") if p < 0.001 else words.number(fixed(p, 3))
        yield Labelled(words("fact.kendall"), shown, words("fact.kendall_says"))


def _apart(written: _Written) -> Iterator[Labelled]:
    """What the figures leave out: readings judged by other limits, and scrapped pieces."""
    series, words, value, reading = written.series, written.words, written.value, written.reading
    for other in series.by_limits:
        s = other.summary
        if other is series.counted_with_summary or s is None:
            continue
        yield Labelled(
            words("fact.judged_by", limits=limits_text(words, other.limits)),
            words("fact.judged_by_says", n=s.n, mean=value(s.mean, 1), spread=reading(s.spread)),
            words("fact.judged_by_out", low=other.out_low, high=other.out_high),
        )
    gone = series.scrapped
    if gone is not None:
        about = {"n": gone.n, "mean": value(gone.mean, 1), "spread": reading(gone.spread)}
        said = reading(gone.minimum) if gone.n == 1 else words("fact.judged_by_says", **about)
        yield Labelled(words("fact.scrapped"), said, words("fact.scrapped_says"))
