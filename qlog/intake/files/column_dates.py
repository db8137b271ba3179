"""Times of making in a file: what a single one leaves open, the whole column decides."""

from __future__ import annotations

from collections.abc import Iterable

from qlog.intake.files.table import Assumed, Bad, Guess
from qlog.intake.typed.dates import day_number, order_of, slashed, slashed_iso
from qlog.intake.typed.parse import TypedError
from qlog.intake.typed.times import moment
from qlog.problem import ToSay


class Dates:
    """The times of one file. `zone` is the plan's, `said` what the user said of the order."""

    def __init__(self, zone: str) -> None:
        self._zone = zone
        self._texts: tuple[str, ...] = ()
        self._said: bool | None = None

    def of_column(self, texts: Iterable[str], said: bool | None) -> None:
        """Take note of all times of the file, and of what was said of day and month."""
        self._texts = tuple(texts)
        self._said = said

    def read(self, text: str) -> tuple[str, Assumed | None]:
        """A time as ISO 8601 with offset, and what had to be assumed for it. Raises Bad."""
        assumed = None
        plain = text
        if slashed(text) is not None:
            found = order_of(self._texts)
            day_first = found if self._said is None else self._said
            if day_first is None:
                raise Bad(text, ToSay("error.day_month_first"), ToSay("error.write_say_map"))
            plain = slashed_iso(text, day_first=day_first)
            if self._said is None:
                guess = Guess.DAY_FIRST if day_first else Guess.MONTH_FIRST
                assumed = Assumed(guess, text, plain)
        elif (counted := day_number(text)) is not None:
            plain, assumed = counted, Assumed(Guess.DAY_NUMBERS, text, counted)
        try:
            return moment(plain, self._zone).iso, assumed
        except TypedError as error:
            raise Bad(text, error.what, error.accepted) from error
