"""Words at the head of columns and rows, English and German, and what they mean."""

from __future__ import annotations

import re

from qlog.intake.typed.places import plain

COLUMNS = {
    "part": ("part", "drawing", "bauteil", "werkstück", "zeichnung"),
    "op": (
        "op", "operation", "op no", "operation no", "after op", "step", "arbeitsgang",
        "arbeitsschritt", "ag", "schritt",
    ),
    "dimension": (
        "dimension", "dim", "feature", "characteristic", "merkmal", "maß", "mass", "abmessung",
    ),
    "piece": (
        "piece", "pieces", "piece no", "piece number", "workpiece", "no", "nr", "number", "",
        "serial", "serial no", "serial number", "pc", "stück", "stück nr", "stücknummer", "teil nr",
        "teilenummer", "nummer", "lfd nr", "seriennummer",
    ),
    "value": (
        "value", "reading", "measured", "measured value", "actual", "actual size", "size", "result",
        "wert", "messwert", "istmaß", "istwert", "ist", "gemessen", "ergebnis",
    ),
    "unit": ("unit", "units", "einheit"),
    "instrument": (
        "instrument", "gauge", "gage", "measured with", "messmittel", "messgerät", "prüfmittel",
        "gemessen mit",
    ),
    "made": (
        "made", "date", "time", "when", "measured on", "date and time", "datum", "zeit",
        "zeitpunkt", "gemessen am", "messdatum", "datum und zeit",
    ),
    "temperature": (
        "temperature", "temp", "temperature c", "temp c", "c", "temperatur", "temperatur c",
    ),
    "note": (
        "note", "notes", "remark", "remarks", "comment", "comments", "bemerkung", "bemerkungen",
        "anmerkung", "notiz", "kommentar",
    ),
}  # fmt: skip
COLUMN_OF = {plain(word): column for column, words in COLUMNS.items() for word in words}

SECOND_HEADERS = {
    "nominal": (
        "nominal", "nominal size", "drawing size", "basic size", "nennmaß", "sollmaß", "soll",
    ),
    "lower": (
        "lower", "lower limit", "min", "minimum", "smallest", "untere grenze", "unteres grenzmaß",
        "kleinstmaß", "mindestmaß",
    ),
    "upper": (
        "upper", "upper limit", "max", "maximum", "largest", "obere grenze", "oberes grenzmaß",
        "größtmaß", "höchstmaß",
    ),
    "limits": ("limits", "tolerance", "tol", "callout", "drawing", "toleranz", "grenzen"),
    "unit": COLUMNS["unit"],
    "instrument": COLUMNS["instrument"],
}  # fmt: skip
SECOND_HEADER_OF = {plain(word): row for row, words in SECOND_HEADERS.items() for word in words}

#: Rows and columns worked out from the readings: nothing was measured in them.
SUMMARIES = frozenset(map(plain, (
    "mean", "average", "avg", "min", "max", "minimum", "maximum", "smallest", "largest", "range",
    "spread", "stdev", "std dev", "std", "s", "standard deviation", "sum", "count", "n", "total",
    "mittelwert", "mittel", "durchschnitt", "spannweite", "streuung", "standardabweichung", "summe",
    "anzahl", "median", "kleinster", "größter", "deviation", "abweichung", "difference",
    "differenz",
)))  # fmt: skip

#: Columns that hold no reading: who measured, and what somebody made of it.
NO_READINGS = frozenset(map(plain, (
    "operator", "inspector", "measured by", "checked by", "initials", "name", "prüfer", "bediener",
    "gemessen von", "kürzel", "geprüft von", "verdict", "status", "ok", "pass", "good", "result",
    "ergebnis", "urteil", "bewertung", "i o", "io", "in tolerance", "accepted",
)))  # fmt: skip
VERDICTS = frozenset(map(plain, (
    "", "ok", "nok", "not ok", "good", "bad", "pass", "fail", "passed", "failed", "i o", "n i o",
    "io", "nio", "in", "out", "gut", "schlecht", "yes", "no", "ja", "nein", "x",
)))  # fmt: skip

NOT_MEASURED = frozenset((
    "", "-", "--", "–", "—", "?", "n/a", "na", "n.a.", "#n/a", "#nv", "k.a.", "k. a.", "none",
    "not measured", "nicht gemessen", "entfällt", "tbd", "open", "offen", "fehlt",
))  # fmt: skip
SKIPPED = frozenset(("skipped", "skip", "on purpose", "übersprungen", "ausgelassen"))
CANNOT = frozenset((
    "cannot", "cannot measure", "cannot be measured", "unreachable", "nicht messbar",
))  # fmt: skip
SCRAPPED = frozenset(("scrap", "scrapped", "rejected", "ausschuss"))

_REPEAT = r"(1st|2nd|3rd|first|second|third|erste[rs]?|zweite[rs]?|dritte[rs]?|#?[1-5]\.?)"


def split_heading(text: str) -> tuple[str, str]:
    """A heading and the unit in brackets behind it: `Bore (mm)`."""
    match = re.fullmatch(r"(.*?)\s*[(\[]([^()\[\]]*)[)\]]\s*", text, re.DOTALL)
    return (match[1], match[2]) if match else (text, "")


def column_of(heading: str) -> str | None:
    """What a column of that heading holds, by its own word; None for no word known here."""
    return COLUMN_OF.get(plain(split_heading(heading)[0]))


def is_repeat(text: str) -> bool:
    """Whether a cell under a heading only counts readings: `1st`, `2nd`, `2.`."""
    counted = re.fullmatch(_REPEAT + r"(?:\s+(reading|measurement|messung))?", text.casefold())
    return counted is not None


def without_repeat(text: str) -> str:
    """A heading without the count behind it: `bore` of `bore 2nd`."""
    return re.sub(r"[\s_-]+\(?" + _REPEAT + r"\)?\s*$", "", text, flags=re.IGNORECASE)
