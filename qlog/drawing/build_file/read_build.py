"""Reading the whole of build.toml: its head, materials, instruments, and what is for the record."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

from qlog.drawing import plan
from qlog.drawing.build_file.definitions import UNITS, Definitions
from qlog.drawing.build_file.entry import PlanTable
from qlog.drawing.build_file.mistakes import one_of
from qlog.drawing.build_file.read_assembly import AssemblyReader
from qlog.drawing.build_file.read_gift import GiftReader
from qlog.drawing.build_file.read_part import PartReader
from qlog.drawing.decision import DecisionRule, Rule
from qlog.drawing.named_files import FileKind
from qlog.drawing.units import HARDNESS, Unit, from_fahrenheit
from qlog.problem import ToSay
from qlog.sha256 import sha256

PHOTO_FORMATS = ("webp", "avif")
_MORE_UNITS = (Unit.GRAM, Unit.KILOGRAM, Unit.OUNCE, Unit.POUND, Unit.GLOSS)


class BuildReader:
    """Reads the file from top to bottom, noting every mistake and going on."""

    def __init__(self, top: PlanTable, known: Definitions, text: str) -> None:
        self.top = top
        self.known = known
        self.text = text
        self.gifts = GiftReader(known)

    def build(self) -> plan.Build:
        """The whole build, as far as it could be read."""
        top = self.top
        self.known.unit = UNITS[top.choice("units", "mm", UNITS)]
        self.known.general = self.known.general_class(top)
        usual_paper = "letter" if self.known.unit is Unit.INCH else "a4"
        materials, instruments = self._materials(), self._instruments()
        finishes = self.gifts.finishes(top)
        parts = PartReader(self.known).parts(top)
        assembly = AssemblyReader(self.known)
        joints, stacks = assembly.joints(top), assembly.stacks(top)
        groups, bans = assembly.groups(top), assembly.bans(top)
        build = plan.Build(
            title=top.text("title", required=True),
            maker=top.text("maker"),
            recipient=top.text("recipient"),
            occasion=top.text("occasion"),
            person=top.text("person"),
            unit=self.known.unit,
            general=self.known.general,
            decision=self._decision(),
            temperature=self._temperature(),
            paper=top.choice("paper", usual_paper, plan.PAPERS),
            language=self._language(),
            timezone=self._timezone(),
            photo_formats=self._photo_formats(),
            materials=materials,
            instruments=instruments,
            parts=parts,
            joints=joints,
            stacks=stacks,
            groups=groups,
            bans=bans,
            credits=tuple(self._credit(e) for e in top.entries("credit")),
            object_record=self._facts(),
            gift=self.gifts.gift(top, finishes, groups),
            folder=self.known.folder,
            revision=sha256(self.text.encode("utf-8")).hexdigest(),
            source=self.text,
        )
        top.close()
        return build

    def _decision(self) -> DecisionRule:
        rule = Rule(self.top.choice("rule", "guarded", [r.value for r in Rule]))
        conformance = self.top.number("conformance")
        if conformance is None:
            return DecisionRule(rule)
        if not Decimal("0.5") < conformance <= Decimal("0.999999"):
            what = ToSay("error.conformance_probability_decision", conformance=str(conformance))
            self.top.error("conformance", what, ToSay("error.above_most_usually"))
            return DecisionRule(rule)
        return DecisionRule(rule, conformance)

    def _temperature(self) -> plan.RoomTemperature | None:
        """The range of the room where it is measured: "20 ±3" (Celsius), "68 ±5 F"."""
        written = self.top.text("temperature")
        if not written:
            return None
        found = re.fullmatch(
            r"(-?\d{1,3}(?:\.\d{1,2})?)\s*(?:±|\+-|\+/-)\s*(\d{1,2}(?:\.\d{1,2})?)\s*(?:°?\s*([CF]))?",
            written.strip().replace("\N{MINUS SIGN}", "-").replace(",", "."),
        )
        if found is not None:
            middle, half = Decimal(found[1]), Decimal(found[2])
            if found[3] == "F":
                middle, half = from_fahrenheit(middle), from_fahrenheit(half + 32)
            if middle - half >= -20 and middle + half <= 60:
                return plan.RoomTemperature(middle, half)
        what = ToSay("error.temperature_range_room", written=written)
        self.top.error("temperature", what, ToSay("error.middle_how_far"))
        return None

    def _language(self) -> str:
        """The language of the words, "de" or "de-AT": one that there is a catalogue for."""
        written = self.top.text("language", plan.LANGUAGES[0])
        if written.lower().replace("_", "-").split("-")[0] in plan.LANGUAGES:
            return written
        what = ToSay("error.language_catalogue_words", written=written)
        self.top.error("language", what, " or ".join(f'"{name}"' for name in plan.LANGUAGES))
        return plan.LANGUAGES[0]

    def _timezone(self) -> str:
        name = self.top.text("timezone")
        if not name or _is_zone(name):
            return name
        from zoneinfo import ZoneInfo, available_timezones

        try:
            ZoneInfo(name)
        except (KeyError, OSError, ValueError):
            self.top.error(
                "timezone",
                ToSay("error.timezone_known", name=name),
                one_of(name, sorted(available_timezones()))
                if "/" in name
                else ToSay("error.iana_name_such"),
            )
            return ""
        return name

    def _photo_formats(self) -> tuple[str, ...]:
        formats = self.top.texts("photo-formats")
        for index, name in enumerate(formats):
            if name not in PHOTO_FORMATS:
                self.known.notes.error(
                    ("photo-formats", index),
                    ToSay("error.photo_format_can", name=name),
                    one_of(name, PHOTO_FORMATS),
                    name,
                )
        return formats

    def _materials(self) -> tuple[plan.Material, ...]:
        for id, entry in self.top.named("material"):
            self.known.good_id(entry.place, id, "material")
            expansion = entry.number("expansion")
            kind = entry.text("kind")
            if kind and expansion is None:
                from qlog.drawing.standards import expansion as table

                try:
                    expansion = table.coefficient(kind)
                except table.UnknownMaterial as error:
                    entry.error("kind", error.what, error.accepted)
            self.known.materials[id] = plan.Material(
                id, entry.text("name", id), expansion, entry.text("care")
            )
            entry.close()
        return tuple(self.known.materials.values())

    def _instruments(self) -> tuple[plan.Instrument, ...]:
        for id, entry in self.top.named("instrument"):
            self.known.good_id(entry.place, id, "instrument")
            self.known.instruments[id] = plan.Instrument(
                id,
                entry.text("name", id),
                entry.text("kind", id.replace("-", " ")),
                self._instrument_unit(entry),
                entry.number("step"),
                entry.number("error"),
                entry.number("expansion"),
                entry.text("note"),
            )
            entry.close()
        return tuple(self.known.instruments.values())

    def _instrument_unit(self, entry: PlanTable) -> Unit:
        known = {
            **UNITS,
            "deg": Unit.DEGREE,
            "um": Unit.MICROMETRE,
            "µm": Unit.MICROMETRE,
            "uin": Unit.MICROINCH,
            "µin": Unit.MICROINCH,
            "": Unit.NONE,
            **{unit.value: unit for unit in (*HARDNESS, *_MORE_UNITS)},
        }
        default = "inch" if self.known.unit is Unit.INCH else "mm"
        if entry.get("unit") == "":
            return Unit.NONE
        return known[entry.choice("unit", default, known)]

    def _facts(self) -> tuple[tuple[str, str], ...]:
        entry = self.top.entry("object")
        if entry is None:
            return ()
        facts = tuple((label, entry.text(label)) for label in entry.data)
        entry.close()
        return facts

    def _credit(self, entry: PlanTable) -> plan.Credit:
        who, what = entry.text("who", required=True), entry.text("what", required=True)
        portrait = self.gifts.file(
            entry.at("portrait"), "portrait", entry.text("portrait"), FileKind.PICTURE
        )
        credit = plan.Credit(who, what, portrait)
        entry.close()
        return credit


def _is_zone(name: str) -> bool:
    """Whether the system has that time zone, asked without loading `zoneinfo`.

    Where its files lie elsewhere (Windows has none at all) the answer is no, and `zoneinfo` is
    asked itself.
    """
    if not all(part.strip(".") for part in name.split("/")):
        return False
    try:
        with (Path("/usr/share/zoneinfo") / name).open("rb") as file:
            return file.read(4) == b"TZif"
    except (OSError, ValueError):
        return False
