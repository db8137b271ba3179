"""`qlog spread`: how far each dimension spreads over its batch."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.terminal.say import on_screen, say_line
from qlog.cli.terminal.text import limits_of, rounded, rule_of
from qlog.study.batch.capability import Capability, NoIndex
from qlog.study.conformity.verdict import Verdict, show
from qlog.words.catalogue import words_of
from qlog.words.values import decimals_of, fixed, limits_text, places, sample_text, source_text

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from qlog.drawing.limits import Limits
    from qlog.drawing.plan import Build
    from qlog.review.part.batch import SeriesView
    from qlog.review.views import ReadingView
    from qlog.study.batch.capability import Capability, NoIndex
    from qlog.study.batch.intervals import Interval
    from qlog.study.batch.summary import Summary
    from qlog.words.catalogue import Words


#: Decimals of a limit that was converted from the other unit of length.
_MOST_PLACES = 7
#: Columns of the table, as the catalogue names them.
COLUMNS = (
    "dimension", "limits", "n", "mean", "median", "smallest", "largest", "spread", "s",
    "tolerance", "used", "low", "high", "not_proven", "where",
)  # fmt: skip


@click.command("spread")
@click.argument("part", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command(ctx: click.Context, part: str | None, as_json: bool) -> int:
    """Show n, mean, median, smallest, largest, spread, standard deviation and counts out.

    The strip shows where the readings sit: `|` are the limits, `:` the middle, `o` one reading, a
    digit that many. With PART it also gives what so few pieces tell of the process: intervals,
    capability or why there is none, and how much may be out. The exit status is 1 when anything is
    out.

    \b
    Example:
      qlog spread
      qlog spread cup
    """
    from qlog.cli.numbers.what_next import say_homeless
    from qlog.intake.typed.places import part_of
    from qlog.review.whole import picture_from

    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part).id
        picture = picture_from(o.build, o.logbook, studied=as_json or owner is not None)
    views = [v for v in picture.parts if owner in (None, v.part.id)]
    series = [s for v in views for s in v.series if s.readings]
    if as_json:
        from qlog.cli.terminal.say import say_json

        say_json("spread", {"dimensions": [_row_json(s) for s in series]})
    else:
        _print(o.build, series, told=owner is not None)
        lost = [h for h in picture.homeless if h.readings and owner in (None, h.part)]
        say_homeless(lost, words_of(o.build))
    return int(any(s.out_low or s.out_high or s.failed for s in series))


def _print(build: Build, series: list[SeriesView], *, told: bool) -> None:
    words = words_of(build)
    if not series:
        say_line(words("spread.none"))
        return
    for id in dict.fromkeys(s.part.id for s in series):
        own = [s for s in series if s.part.id == id]
        say_line(f"\n{id}: {own[0].part.name}")
        _print_table(own, words)
        if told:
            _print_told(own, words)
    say_line(f"\n{words('sitting.verdicts', rule=rule_of(build, words))}")
    if not told:
        say_line(words("spread.more"))


def _print_table(own: list[SeriesView], words: Words) -> None:
    from qlog.cli.terminal.tables import print_grid

    def row(
        name: str, asked: str, stats: Summary, like: Decimal, counts: Sequence[int | str],
        sits: str, limits: Limits,
    ) -> tuple[str, ...]:  # fmt: skip
        finest = decimals_of(like)

        def shown(text: str) -> str:
            return on_screen(words.number(text, limits.unit.symbol))

        share = "-" if stats.share_used is None else f"{fixed(100 * stats.share_used, 0)} %"
        return (
            name,
            asked,
            str(stats.n),
            shown(rounded(stats.mean, like)),
            shown(rounded(stats.median, like)),
            shown(show(stats.minimum, limits, finest)),
            shown(show(stats.maximum, limits, finest)),
            shown(fixed(stats.spread, finest)),
            shown(rounded(stats.s, like)),
            _tolerance(stats.tolerance, like, shown),
            share,
            *(str(count) for count in counts),
            sits,
        )

    def earlier(limits: Limits) -> str:
        """Limits of another revision, which may have been converted and then have no end."""
        return on_screen(limits_text(words, limits, min(places(limits, None), _MOST_PLACES)))

    rows = []
    for s in own:
        name, asked = _name(s, words), limits_of(s.callout, words)
        if not s.by_limits:
            counts = words("spread.counts", passed=s.passed, failed=s.failed)
            rows.append((name, asked, str(len(s.readings)), *[""] * 11, counts))
            continue
        like, present = _like(s), s.counted_with_summary
        for group in (present, *(b for b in s.by_limits if b is not present)):
            if group.summary is None:
                continue
            now = group.limits == s.limits
            left = set(group.pieces) - group.scrapped
            rows.append(
                row(
                    name if now else words("spread.earlier", name=name),
                    asked + (" *" if s.callout.general else "") if now else earlier(group.limits),
                    group.summary,
                    like,
                    *_judged([r for r in s.readings if r.piece in left]),
                    group.limits,
                )
            )
        if s.scrapped is not None:
            label = words("spread.scrapped", name=name)
            gone = {piece for group in s.by_limits for piece in group.scrapped}
            judged = _judged([r for r in s.readings if r.piece in gone])
            rows.append(row(label, "", s.scrapped, like, *judged, s.limits))
    print_grid([words(f"spread.col.{key}") for key in COLUMNS], rows, right=range(2, 14))
    general = list(dict.fromkeys(source_text(s.callout, words) for s in own if s.callout.general))
    if general:
        say_line(f"  {words('spread.general', source=', '.join(general))}")


def _tolerance(width: Decimal | None, like: Decimal | None, shown: Callable[[str], str]) -> str:
    """The tolerance in full, or rounded where a conversion left it without an end."""
    if width is None:
        return "-"
    text = f"{width:f}"
    return shown(text if len(text.partition(".")[2]) <= _MOST_PLACES else rounded(width, like))


def _judged(readings: Sequence[ReadingView]) -> tuple[tuple[int, int, int], str]:
    """How many are low, high and not proven, and where all of them sit."""
    from qlog.cli.terminal.text import strip

    found = [r.judgement for r in readings if r.judgement is not None]
    verdicts = [judgement.verdict for judgement in found]
    low, high, unproven = map(verdicts.count, (Verdict.LOW, Verdict.HIGH, Verdict.NOT_PROVEN))
    shares = [judgement.share for judgement in found if judgement.share is not None]
    middle = not any(judgement.ends_at_zero for judgement in found)
    return (low, high, unproven), strip(shares, middle=middle) if shares else ""


def _print_told(own: list[SeriesView], words: Words) -> None:
    """What the pieces say of the process that made them, at 95 %."""
    from qlog.words.trend import no_process_text

    say_line(f"  {words('spread.estimates')}")
    for s in own:
        study = s.study
        if study is None:
            continue
        said = [] if s.sample is None else [sample_text(s.sample, words)]
        if study.counted is not None:
            failing = study.counted.failing
            said.append(
                words(
                    "spread.failing",
                    failed=s.failed,
                    n=study.counted.n,
                    low=_percent(failing.low),
                    high=_percent(failing.high),
                )
            )
        if why := no_process_text(study, words):
            said.append(why)
        if study.mean_interval is not None:
            mean = words("spread.mean", **_between(study.mean_interval, s, words))
            said.append(mean if study.error_known else f"{mean} ({words('fact.without_error')})")
        if study.s_interval is not None:
            said.append(words("spread.s", **_between(study.s_interval, s, words)))
        if study.counted is None and study.fraction_out_at_most is not None:
            said.append(words("spread.out_at_most", share=_percent(study.fraction_out_at_most)))
        if said:
            say_line(f"    {_name(s, words)}: {'; '.join(said)}")
        if study.capability is not None:
            say_line(f"      {_index(study.capability, words)}")


def _name(s: SeriesView, words: Words) -> str:
    return words("spread.name", dimension=s.dimension.id, op=s.operation.number)


def _like(s: SeriesView) -> Decimal:
    """One of the last place that the readings are shown with."""
    return Decimal(1).scaleb(-max(r.places for r in s.readings if r.value is not None))


def _between(interval: Interval, s: SeriesView, words: Words) -> dict[str, object]:
    like = _like(s)
    ends, unit = {"low": interval.low, "high": interval.high}, s.limits.unit.symbol
    return {k: words.number(rounded(Decimal(repr(v)), like), unit) for k, v in ends.items()}


def _percent(share: float) -> str:
    return f"{share * 100:.0f} %"


def _index(found: Capability | NoIndex, words: Words) -> str:
    if isinstance(found, NoIndex):
        text = words(
            "spread.no_index", why=words(f"no_index.{found.reason.name.lower()}", least=found.least)
        )
        if found.proven is None:
            return text
        proven = words.number(f"{found.proven:.2f}")
        return f"{text} {words('spread.proven', n=found.n, proven=proven)}"
    said = []
    if found.cp is not None and found.cp_interval is not None:
        said.append(words("spread.cp", **_indexed(found.cp, found.cp_interval, words)))
    said.append(
        words(
            "spread.cpk",
            least=words.number(f"{found.cpk_at_least:.2f}"),
            **_indexed(found.cpk, found.cpk_interval, words),
        )
    )
    return words("spread.index", indices=", ".join(said), n=found.n)


def _indexed(value: float, interval: Interval, words: Words) -> dict[str, object]:
    shown = {"value": value, "low": interval.low, "high": interval.high}
    return {key: words.number(f"{number:.2f}") for key, number in shown.items()}


def _row_json(s: SeriesView) -> dict[str, object]:
    stats = s.summary
    text = (
        None
        if stats is None
        else {
            "mean": str(stats.mean),
            "median": str(stats.median),
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
        "limits_from": s.callout.source,
        "n": len(s.readings),
        "statistics": text,
        "confidence_95": _told_json(s),
        "out_low": s.out_low,
        "out_high": s.out_high,
        "not_proven": s.not_proven,
        "passed": s.passed,
        "failed": s.failed,
        "run_rules": _signals_json(s),
        "readings": [_reading_json(r) for r in s.readings],
    }


def _told_json(s: SeriesView) -> dict[str, object] | None:
    study = s.study
    if study is None:
        return None
    index = study.capability
    return {
        "mean": _pair(study.mean_interval),
        "standard_deviation": _pair(study.s_interval),
        "fraction_out_at_most": study.fraction_out_at_most,
        "fraction_failing": None if study.counted is None else _pair(study.counted.failing),
        "capability": {
            "cp": index.cp,
            "cp_interval": _pair(index.cp_interval),
            "cpk": index.cpk,
            "cpk_interval": _pair(index.cpk_interval),
            "cpk_at_least": index.cpk_at_least,
        }
        if isinstance(index, Capability)
        else None,
        "no_capability": index.reason.value if isinstance(index, NoIndex) else None,
    }


def _pair(interval: Interval | None) -> list[float] | None:
    return None if interval is None else [interval.low, interval.high]


def _signals_json(s: SeriesView) -> list[dict[str, object]]:
    """What the run rules point at, setup by setup; the trend test decides, not this."""
    if s.study is None:
        return []
    return [
        {
            "rule": signal.rule.text,
            "setup": stretch.setup,
            "pieces": list(stretch.pieces[signal.first : signal.last + 1]),
            "false_alarm_a_point": signal.rule.false_alarm,
            "source": signal.rule.source,
        }
        for stretch in s.study.control
        if stretch.control is not None
        for signal in stretch.control.signals
    ]


def _reading_json(r: ReadingView) -> dict[str, object]:
    judged = r.judgement
    return {
        "piece": r.piece,
        "typed": r.typed,
        "verdict": r.word,
        "rule": None if judged is None else judged.rule_used.value,
        "standard_uncertainty": None if r.uncertainty is None else str(r.uncertainty),
        "probability_of_conformance": None if judged is None else judged.conformance_probability,
    }
