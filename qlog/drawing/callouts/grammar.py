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


#: Every accepted form, in the order of the reference section.
FORMS = (
    Form("12 ±0.05", "size with equal deviations; also `12 +-0.05` and `12 +/-0.05`"),
    Form("12 +0.02/-0.01", "upper and lower deviation; a zero may stand without sign"),
    Form("12 +0.05/+0.02", "both deviations on one side of nominal"),
    Form("12 +0.05", "one deviation, the other is zero; also `12 -0.05`"),
    Form("12 (±0.05)", "the tolerance in brackets"),
    Form(
        "12 ±50 µm",
        "deviations in micrometres; on an inch size `.500 in ±2 thou`, `.500 in ±5 tenths`",
    ),
    Form("11.95..12.05", "the two limits themselves; also `11.95 to 12.05`, `11.95-12.05`"),
    Form("12.05/11.95", "the two limits, one above the other on the drawing"),
    Form("12 max", "upper limit only; also `max 12` and `≤ 12`"),
    Form("12 min", "lower limit only; also `min 12` and `≥ 12`"),
    Form("12", "no tolerance: takes the general tolerance of the build or the part"),
    Form("12 ±0,05", "decimal comma, in every form"),
    Form("Ø8 ±0.02", "diameter; also `⌀8`, `dia 8`, `8 DIA`; SØ8 for a sphere"),
    Form(
        "Ø8 H7", "ISO 286-1 class of a hole (A to ZC) or a shaft (a to zc), IT1 to IT18, to 3150 mm"
    ),
    Form(
        "Ø8 H7 (+0.015/0)",
        "class with its deviations or limits, which are held against the "
        "table; also `Ø8 H7 +0.015/0`, `Ø8 H7 8.015/8.000`",
    ),
    Form("Ø8 h6 Ⓔ", "with the envelope requirement of ISO 14405-1; also `Ø8 h6 (E)`"),
    Form("8 h9", "class on a width or a length"),
    Form("□10 ±0.1", "square; also `SQ 10 ±0.1`, `10 SQ ±0.1`"),
    Form("AF 17 0/-0.2", "width across flats; also `17 AF 0/-0.2`, `SW 17 h13`"),
    Form(
        "R5 ±0.1",
        "radius; also `5R`; SR5 for a sphere; without tolerance the edge table of ISO 2768-1",
    ),
    Form(
        "0.5 x 45° ±0.1",
        "chamfer, the tolerance on its height; also `0.5 ±0.1 x 45 deg`, `0.5x45`, `C0.5 ±0.1`",
    ),
    Form("depth 5 ±0.1", "depth; also `↧5 ±0.1` and `5 ±0.1 deep`"),
    Form("45° ±0.5°", "angle in degrees; also `45 deg +-0.5`, `45±0.5°`"),
    Form("45°30' +10'/0", "angle in degrees, minutes and seconds"),
    Form("60° side 20", "angle without tolerance: ISO 2768-1 by the length of its shorter side"),
    Form("0.375 in ±.002", "inches; a zero before the point may be missing"),
    Form('3/8" +.002/-.000', "inch fraction with a denominator from 2 to 128"),
    Form("1 1/2 in ±1/64", "mixed number, fraction as deviation"),
    Form(
        "Ra 0.8",
        "roughness in µm, upper limit; also Rz, Rq, Rt; `Ra 0.8 max`, `Ra 32 µin`; on an "
        "inch drawing whole numbers from 4 on are µin, what may be either is asked",
    ),
    Form(
        "Ra 0.4..0.8",
        "roughness between two limits, also `Ra 0.4-0.8`; `Ra 0.4 min` for a lower one",
    ),
    Form(
        "M6-6H",
        "metric thread, read with a go/no-go gauge; also `M6`, `M6x1-6g`, `M6 6H`, `M8X1 LH`",
    ),
    Form(
        "M6-6g major",
        "metric thread measured: 6g `major`, `pitch`; 6H `minor`, `pitch`; M1 to M64 "
        "with the pitches of ISO 965-1",
    ),
    Form(
        "1/4-20 UNC-2B",
        "unified inch thread, go/no-go; also `1/4-20`, `#10-32 UNF-2A`, `8-32`, `3/8-16 UNC 2B`",
    ),
    Form(
        "1/4-20 UNC-2B pitch",
        "unified thread measured, UNC, UNF and UNEF by ASME B1.1: 1A to 3A "
        "`major`, `pitch`; 1B to 3B `minor`, `pitch`",
    ),
    Form(
        "G 1/2 A",
        "pipe, trapezoidal and Whitworth threads, gauged: also `1/4-18 NPT`, `Rp 3/4`, "
        "`Tr 20x4-7e`, `1/4 BSP`",
    ),
    Form(
        "runout 0.02 to A",
        "geometric tolerance from zero, datums if any; also `↗ 0.02`, `0.02 TIR`",
    ),
    Form("surface profile 0.1 to A", "and line profile; also `⌓ 0.1 A`, `profile of a line 0.05`"),
    Form("position Ø0.1 to A B", "geometric tolerance with a round zone"),
    Form("taper 1:10", "taper, read with a gauge; also `MT2`"),
    Form("taper 1:10 ±0.0005", "taper measured: change of diameter over length, 0.1 here"),
    Form(
        "58..62 HRC",
        "hardness: HRC, HRB, HRA, HV10, HBW, HK, Shore A, D; also `HRC 58-62`, `240 HV10 min`",
    ),
    Form("CHD 0.8 +0.4/0", "case depth; also `case 0.5-0.8`, `case depth .020-.030 in`"),
    Form(
        "plating 8..12 µm",
        "thickness of a layer, with its unit; also `nickel 8 µm min`, `coating .0002-.0004 in`",
    ),
    Form("mass 250 ±5 g", "mass in g, kg, oz or lb; also `250 g ±5 g`, `1.2 kg max`"),
    Form("gloss 60° 80..90 GU", "gloss; also `85 GU min`"),
    Form("knurl RAA 1", "knurls are looked at; also `diamond knurl 33 TPI`"),
    Form(
        "reading 31.5",
        "a reading without limits, about that size, from which another is computed (`from`); "
        "also with Ø or °, and `reading` alone",
    ),
    Form("go/no-go: plug 8 H7", "a gauge or a mating part that goes or does not"),
    Form("by eye: no scratches at arm's length", "looked at, passed or not"),
    Form(
        "4x Ø5 ±0.1",
        "the same for several features, one reading a piece is asked for; also "
        "`4 x Ø5`, `Ø5 ±0.1 (4 PLCS)`; TYP and THRU may stand with any callout",
    ),
    Form("count 4", "a number of like things; also `4x`, `count 3..5`"),
)


def markdown() -> str:
    """The forms as a Markdown table: the reference section carries it word for word."""
    rows = [f"| `{_cell(form.example)}` | {_cell(form.meaning)} |" for form in FORMS]
    return "\n".join(["| written | what it asks for |", "|---|---|", *rows]) + "\n"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
