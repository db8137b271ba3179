"""Sanity checks made on a reading at entry, each put as one short question.

Plain values in, questions out: nothing is converted, corrected or written here. Thresholds were
settled on simulated batches (`tests/benchmarks/entry_checks.py`); the mistakes themselves are
common practice at the bench, and where a rule has a source, its function names it.
"""

from qlog.intake.entry_checks.examine import examine, of_the_number
from qlog.intake.entry_checks.questions import (
    About,
    Check,
    Context,
    EarlierReading,
    Other,
    Question,
    Scope,
)

__all__ = [
    "About", "Check", "Context", "EarlierReading", "Other", "Question", "Scope", "examine",
    "of_the_number",
]  # fmt: skip
