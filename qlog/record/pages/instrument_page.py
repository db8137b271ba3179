"""Instruments and their checks, as their page shows them."""

from __future__ import annotations

from decimal import Decimal

from qlog.logbook.facts import Entry, GaugeCheck
from qlog.record.charts.overlays import percent_of
from qlog.record.pages.dimension.figures import Labelled
from qlog.record.pages.dimension.table_rows import signed
from qlog.review.instrument.gauge_study import StudyView
from qlog.review.picture import Picture
from qlog.review.views import ReadingView
from qlog.words.catalogue import Words
from qlog.words.entries import own_text
from qlog.words.values import decimals_of, fixed, with_unit


def instruments(picture: Picture, words: Words) -> list[dict[str, object]]:
    """Every instrument of the build: what it is, what it read, how its checks came out."""
    listed: list[dict[str, object]] = []
    for view in picture.instruments:
        i = view.instrument
        symbol, none = i.unit.symbol, words("value.none")
        step = none if i.step is None else with_unit(words.number(i.step), symbol)
        error = none if i.error is None else with_unit(f"±{words.number(i.error)}", symbol)
        listed.append(
            {
                "view": view,
                "facts": (
                    Labelled(words("instrument.kind"), i.kind or none),
                    Labelled(words("instrument.step_label"), step),
                    Labelled(words("instrument.error_label"), error),
                    Labelled(words("instrument.readings"), str(view.readings)),
                ),
                "checks": [_check(entry, words) for entry in view.checks],
                "used": _used(i.id, picture, words),
                "lines": [_study(study, picture, words) for study in view.studies],
            }
        )
    return listed


#: Dimensions that are named one by one; more are counted part by part.
_NAMED = 12


def _used(instrument: str, picture: Picture, words: Words) -> list[str]:
    """What an instrument read: dimension by dimension, or how many of each part."""
    read: list[tuple[str, dict[str, str]]] = []  # parts and dimensions may share their names
    for part in picture.parts:
        own = {
            series.dimension.id: series.dimension.name
            for series in part.series
            if any(_read_with(r, instrument) for r in series.readings)
        }
        if own:
            read.append((part.part.name, own))
    if sum(len(own) for _, own in read) <= _NAMED:
        return [f"{part}: {name}" for part, own in read for name in own.values()]
    return [f"{part} ({words.count('n.dimensions', len(own))})" for part, own in read]


def _read_with(reading: ReadingView, instrument: str) -> bool:
    """Whether it was taken with the instrument, beside another one or for a computed size."""
    named = [reading.instrument, *(r.instrument for r in reading.beside)]
    return instrument in named or any(r.instrument == instrument for r in reading.raws)


def _study(study: StudyView, picture: Picture, words: Words) -> str:
    """What a repeatability study found."""
    found = study.result
    part = picture.build.part(study.part)

    def size(number: float) -> str:
        return with_unit(words.number(fixed(number, 4)), study.unit.symbol)

    said = words(
        "instrument.study",
        part=part.name,
        name=part.dimension(study.dimension).name,
        trials=study.trials,
        pieces=found.pieces,
        people=words.count("n.people", found.people),
        s=size(found.repeatability),
        low=size(found.repeatability_interval.low),
        high=size(found.repeatability_interval.high),
        share=percent_of(found.repeatability_interval),
    )
    if found.share_of_tolerance is not None:
        percent = fixed(100 * found.share_of_tolerance, 0)
        said = f"{said} {words('instrument.study_share', percent=percent)}"
    return said


def _check(entry: Entry[GaugeCheck], words: Words) -> dict[str, object]:
    fact = entry.fact
    finest = max(decimals_of(Decimal(v)) for v in (fact.reading, fact.reference, fact.allowed))
    error = signed(fact.error, finest)
    return {
        "made": entry.made,
        "reference": with_unit(words.number(fact.reference), fact.unit),
        "reading": with_unit(words.number(fact.reading), fact.unit),
        "error": with_unit(words.number(error), fact.unit),
        "allowed": with_unit(f"±{words.number(fact.allowed)}", fact.unit),
        "fit": bool(fact.fit),
        "note": own_text(fact.note, words),
    }
