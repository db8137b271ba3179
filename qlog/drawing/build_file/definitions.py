"""What a build.toml has defined so far, and the readers that every table shares."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

from qlog.drawing import general_tolerance
from qlog.drawing.build_file.entry import PlanTable
from qlog.drawing.build_file.mistakes import Notes, Place, one_of
from qlog.drawing.callouts.callout import Callout, CalloutError, NoTolerance
from qlog.drawing.callouts.reading import parse, parse_limits
from qlog.drawing.gift import Finish
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Dimension, Instrument, Material, Part
from qlog.drawing.units import Unit
from qlog.problem import ToSay

UNITS = {"mm": Unit.MM, "inch": Unit.INCH, "in": Unit.INCH}

#: Names that Windows keeps for devices: a page or a card of that name could not be written there.
_DEVICES = frozenset(("con", "prn", "aux", "nul")) | {f"{p}{n}" for p in ("com", "lpt")
                                                     for n in range(10)}  # fmt: skip
_ID = r"(?=.*[a-z])[a-z0-9]+(?:-[a-z0-9]+)*\Z"


class Definitions:
    """What was defined above in the file: later tables refer to it by id."""

    def __init__(self, notes: Notes, folder: Path, line_of: Callable[[Place], int]) -> None:
        self.notes = notes
        self.folder = folder
        self.line_of = line_of
        self.unit = Unit.MM
        self.general = ""
        self.materials: dict[str, Material] = {}
        self.instruments: dict[str, Instrument] = {}
        self.finishes: dict[str, Finish] = {}
        #: Ids as written, for those too that could not be read: one mistake, one message.
        self.parts: dict[str, Part | None] = {}
        self.dimensions: dict[str, dict[str, Dimension | None]] = {}
        #: Where joints (their fit), stacks and items stand, by what they are and their id.
        self.places: dict[tuple[str, str], Place] = {}

    def finish_of(self, entry: PlanTable) -> str:
        """The finish that a part names, "" for none."""
        finish = entry.text("finish")
        if finish and finish not in self.finishes:
            accepted = one_of(finish, self.finishes) if self.finishes else f"[finish.{finish}]"
            entry.error("finish", ToSay("error.finish_known", finish=finish), accepted)
        return finish

    def general_class(self, entry: PlanTable, default: str = "") -> str:
        """The general tolerance at `general`, as `general_tolerance` keeps it; "" for none."""
        if entry.get("general") is None:
            return default
        written = entry.text("general")
        if not written:
            return ""
        try:
            text, form = general_tolerance.canonical(written)
        except CalloutError as error:
            entry.error("general", error.what, error.accepted)
            return default
        if form:
            entry.notes.warn(
                entry.at("general"),
                ToSay("error.iso_form_position", form=form),
                ToSay("error.iso_every_form", text=text),
                written,
            )
        return text

    def id(self, entry: PlanTable, what: str, taken: dict[str, Any]) -> str:
        """The id of a table, noted when it is missing, unsafe to type or taken."""
        id = entry.text("id", required=True)
        if not id:
            return f"?{len(taken)}"
        self.good_id(entry.at("id"), id, what)
        if id in taken:
            entry.error("id", ToSay("error.id_used_twice", what=what, id=id), ToSay("error.id_own"))
        return id

    def good_id(self, place: Place, id: str, what: str) -> None:
        """Note an id that needs quoting or shifting at the bench, or that no file can have."""
        if id in _DEVICES:
            self.notes.error(
                place,
                ToSay("error.id_name_device", what=what, id=id),
                ToSay("error.another_one_such", id=id),
                id,
            )
        if not re.match(_ID, id):
            tidy = re.sub(r"[^a-z0-9]+", "-", id.lower()).strip("-")
            self.notes.error(
                place,
                ToSay("error.id_cannot_be", what=what, id=id),
                ToSay("error.id_letters_such", tidy=tidy)
                if re.match(_ID, tidy)
                else ToSay("error.id_letters"),
                id,
            )

    def callout(self, entry: PlanTable, key: str, general: str | None) -> Callout | None:
        """A callout; `general` is None where the general tolerance cannot hold."""
        value = entry.get(key)
        if isinstance(value, (int, Decimal)) and not isinstance(value, bool):
            value = str(value)
        elif not (text := entry.text(key, required=True)):
            return None
        else:
            value = text
        try:
            return parse(value, unit=self.unit, general=general or "")
        except CalloutError as error:
            accepted = error.accepted
            if general is None and isinstance(error, NoTolerance):
                accepted = ToSay("error.limits_of_its_own", value=value)
            entry.error(key, ToSay("error.of_key", key=key, text=value, what=error.what), accepted)
            return None

    def limits(self, entry: PlanTable, key: str) -> Limits | None:
        """Bare limits such as a clearance or a layer."""
        text = entry.text(key)
        if not text:
            return None
        try:
            return parse_limits(text, unit=self.unit)
        except CalloutError as error:
            what = ToSay("error.of_key", key=key, text=text, what=error.what)
            entry.error(key, what, error.accepted)
            return None
