"""Sheets for the bench, in English."""

TEXTS: dict[str, str] = {
    "paper.op": "Operation {op}: {name}",
    "paper.code": "Photograph the sheet with this code",
    "paper.safety": "Mind",
    "paper.readings": "Readings",
    "paper.piece": "Piece",
    "paper.setup": "New setup",
    "paper.remark": "Remark",
    "paper.scrapped": "scrapped",
    "paper.notes": "Notes",
    "paper.nothing": "Nothing is measured after this operation.",
    "paper.date": "Date",
    "paper.who": "Who",
    "paper.temperature": "Temperature of the piece, °C",
    "paper.gauge": "Instrument checked with",
    "paper.after": "Afterwards: qlog read {part} {op}, and qlog photo add with the photo of this sheet.",
}
