"""Reasons and remarks that qlog itself enters: fixed texts in the log, worded when they are shown.

Such a text is a name and no sentence: logs hold it as it was entered first, so it never changes.
Whoever types the same means the same. How each is said stands in the catalogues, as `own.*`.
"""

from __future__ import annotations

from enum import StrEnum


class Own(StrEnum):
    """What qlog enters by itself, in a column that else holds what somebody typed."""

    # Why a reading replaces another as one more measurement; with any other reason it is the same
    # one, put right: it was made no later than what it replaces.
    READ_AGAIN = "read again"
    AFTER_REWORK = "read after rework"
    SECOND = "second reading of the file"
    SET_ANEW = "set anew"
    UNDONE = "undone at the bench"
    SCRAPPED = "scrapped"
    OTHER_PIECES = "measured with other pieces in it"
    ENTERED_TWICE = "merge: entered on both computers"
    OTHER_HOLDS = "merge: the other one holds"
    RENAMED = "called otherwise"
    REHEARSED = "decided anew in a rehearsal"
    # Why a photo's place changed.
    PLACED = "placed by hand"
    CONFIRMED = "confirmed"
    CAPTION = "caption"
    SHOWN = "shown to"
    COVER = "cover"
    OTHER_COVER = "another cover was chosen"
    BEST = "chosen as the best"
    OTHER_BEST = "another one was chosen"
    APART = "told apart by hand"
    KNOWN_MORE = "more is known by now"
    TAKEN_AGAIN = "taken in again for this place"
    EARLIER_TOO = "holds for earlier photos as well"
    # Remarks: with a reading, and before the readings of a check.
    STRAIGHT_OFF = "straight off the machine"
    READINGS = "readings"
