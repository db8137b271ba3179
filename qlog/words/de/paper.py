"""Sheets for the bench, in German."""

TEXTS: dict[str, str] = {
    "paper.op": "Arbeitsgang {op}: {name}",
    "paper.code": "Das Blatt mit diesem Code fotografieren",
    "paper.safety": "Achtung",
    "paper.readings": "Messwerte",
    "paper.piece": "Stück",
    "paper.setup": "Neu eingerichtet",
    "paper.remark": "Bemerkung",
    "paper.scrapped": "Ausschuss",
    "paper.notes": "Notizen",
    "paper.nothing": "Nach diesem Arbeitsgang wird nichts gemessen.",
    "paper.date": "Datum",
    "paper.who": "Wer",
    "paper.temperature": "Temperatur des Stücks, °C",
    "paper.gauge": "Messmittel geprüft mit",
    "paper.after": "Danach: qlog read {part} {op}, und qlog photo add mit dem Foto dieses Blattes.",
}
