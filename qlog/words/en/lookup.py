"""The pages and answers in which something is looked up, in English."""

TEXTS: dict[str, str] = {
    "pieces.read": "{n} of {of}",
    "pieces.worst": "Worst verdict",
    "pieces.last": "Last worked on",
    "pieces.mark": "Mark",
    "pieces.built_into": "Built into",
    "pieces.judged_by": "Judged by",
    "pieces.revision": "Drawing",
    "pieces.corrected": "{date}: {name} corrected from {old} to {new}. {reason}",
}
