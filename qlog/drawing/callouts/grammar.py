"""The grammar of callouts: every accepted form with an example, for the reference section.

`reading` implements it; a test reads every example.
"""

from __future__ import annotations

from qlog.frozen import frozen


@frozen
class Form:
    """One accepted form of a callout: an example that is read, and what it means."""

    example: str
    meaning: str


def forms() -> tuple[Form, ...]:
    """Every accepted form, in the order of the reference section."""
    return _FORMS


_FORMS = (
    Form("12 ±0.05", "size with equal deviations; also `12 +-0.05` and `12 +/-0.05`"),
    Form("12 +0.02/-0.01", "upper and lower deviation; a zero may stand without sign"),
    Form("12 +0.05/+0.02", "both deviations on one side of nominal"),
    Form("11.95..12.05", "the two limits themselves; also `11.95 to 12.05`"),
    Form("12 max", "upper limit only; also `max 12` and `≤ 12`"),
    Form("12 min", "lower limit only; also `min 12` and `≥ 12`"),
    Form("12", "no tolerance: takes the general tolerance ISO 2768-1 of the build or the part"),
    Form("12 ±0,05", "decimal comma, in every form"),
    Form("Ø8 ±0.02", "diameter; also `⌀8`, `dia 8`; SØ8 for a sphere"),
    Form("Ø8 H7", "ISO 286-1 class of a hole (capital) or a shaft (small): D to S, d to s, JS, js"),
    Form("Ø8 H7 (+0.015/0)", "class with its deviations, which are held against the table"),
    Form("Ø8 h6 Ⓔ", "with the envelope requirement of ISO 14405-1; also `Ø8 h6 (E)`"),
    Form("8 h9", "class on a width or a length"),
    Form("R5 ±0.1", "radius; SR5 for a sphere; without tolerance the edge table of ISO 2768-1"),
    Form("0.5 x 45° ±0.1", "chamfer, the tolerance on its height; also `0.5 ±0.1 x 45 deg`"),
    Form("depth 5 ±0.1", "depth; also `↧5 ±0.1` and `5 ±0.1 deep`"),
    Form("45° ±0.5°", "angle in degrees; also `45 deg +-0.5`"),
    Form("45°30' +10'/0", "angle in degrees, minutes and seconds"),
    Form("60° side 20", "angle without tolerance: ISO 2768-1 by the length of its shorter side"),
    Form("0.375 in ±.002", "inches; a zero before the point may be missing"),
    Form('3/8" +.002/-.000', "inch fraction with a denominator from 2 to 128"),
    Form("1 1/2 in ±1/64", "mixed number, fraction as deviation"),
    Form("Ra 0.8", "roughness in µm, upper limit; also Rz, Rq, Rt; `Ra 0.8 max`, `Ra 32 µin`"),
    Form("Ra 0.4..0.8", "roughness between two limits; `Ra 0.4 min` for a lower one"),
    Form("M6-6H", "metric thread, read with a go/no-go gauge; also `M6`, `M6x1-6g`"),
    Form("M6-6g major", "metric thread measured: 6g `major`, `pitch`; 6H `minor`, `pitch`"),
    Form("1/4-20 UNC-2B", "unified inch thread, go/no-go; also `#10-32 UNF-2A`"),
    Form("runout 0.02 to A", "geometric tolerance from zero, datums if any; also `↗ 0.02`"),
    Form("position Ø0.1 to A B", "geometric tolerance with a round zone"),
    Form("go/no-go: plug 8 H7", "a gauge or a mating part that goes or does not"),
    Form("by eye: no scratches at arm's length", "looked at, passed or not"),
    Form("count 4", "a number of like things; also `4x`, `count 3..5`"),
)


def markdown() -> str:
    """The forms as a Markdown table: the reference section carries it word for word."""
    rows = [f"| `{_cell(form.example)}` | {_cell(form.meaning)} |" for form in _FORMS]
    return "\n".join(["| written | what it asks for |", "|---|---|", *rows]) + "\n"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
