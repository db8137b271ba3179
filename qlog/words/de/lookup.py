"""Die Seiten und Antworten, in denen nachgeschlagen wird, auf Deutsch."""

TEXTS: dict[str, str] = {
    "pieces.read": "{n} von {of}",
    "pieces.worst": "Schlechtestes Urteil",
    "pieces.last": "Zuletzt bearbeitet",
    "pieces.mark": "Zeichen",
    "pieces.built_into": "Eingebaut in",
    "pieces.judged_by": "Beurteilt nach",
    "pieces.revision": "Zeichnung",
    "pieces.corrected": "{date}: {name} von {old} auf {new} korrigiert. {reason}",
}
