"""One part's readings as a results document of QIF 3.0 (ISO 23952:2020), for other programs.

The document holds what was asked (characteristics with their limits), with what it was measured,
the pieces, and every live reading with its judged size, its uncertainty and its verdict. The
pieces' geometry is not in it: a plan has callouts and no model.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from uuid import NAMESPACE_URL, uuid5
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from qlog.drawing.limits import Limits
from qlog.drawing.plan import Instrument
from qlog.record.readings.qif_kinds import SI_NAMES, UNITS, Characteristic, form_of, unit_name
from qlog.review.part.batch import Batch, SeriesView
from qlog.review.picture import Picture
from qlog.review.views import PieceView, ReadingView, Slot, SlotView, Standing
from qlog.study.conformity.uncertainty import two_digits
from qlog.study.conformity.verdict import Verdict

NAMESPACE = "http://qifstandards.org/xsd/qif3"

_STATUS = {
    Verdict.GOOD: "PASS",
    Verdict.HIGH: "FAIL",
    Verdict.LOW: "FAIL",
    Verdict.NOT_PROVEN: "INDETERMINATE",
}
#: What no XML document may hold (XML 1.0, 2.2), wherever a text of the log has it.
_NOT_XML = "[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"
_GAPS = (Slot.SKIPPED, Slot.CANNOT)


class _Document:
    """A document being written: hands out ids, and keeps what is asked only once."""

    def __init__(self, batch: Batch) -> None:
        self.batch = batch
        self.last = 0
        self.devices: dict[str, str] = {}
        self.pieces: dict[int, str] = {}
        self.items: dict[tuple[object, ...], tuple[str, Characteristic]] = {}
        self.forms: list[tuple[SeriesView, Characteristic]] = []

    def id(self) -> str:
        """The next id."""
        self.last += 1
        return str(self.last)

    def limits_of(self, series: SeriesView, reading: ReadingView | None) -> Limits:
        """The limits that decided a reading, or today's."""
        judged = None if reading is None else reading.limits
        return judged or series.limits

    def collect(self) -> None:
        """Every characteristic of the part with every set of limits that readings met."""
        for series in self.batch.series:
            for limits in dict.fromkeys(
                [series.limits, *(self.limits_of(series, r) for r in _each(series.slots))]
            ):
                form = form_of(series.callout, limits, today=limits == series.limits)
                self.items[_key(series, limits)] = ("", form)
                self.forms.append((series, form))


def _key(series: SeriesView, limits: Limits) -> tuple[object, ...]:
    return series.dimension.id, series.operation.number, limits


def _each(slots: Iterable[SlotView]) -> Iterable[ReadingView]:
    for slot in slots:
        if slot.reading is not None:
            yield slot.reading
            yield from slot.reading.beside


def qif_document(picture: Picture, part: str, version: str) -> str:
    """The document of one part as text; the same log gives the same text.

    `version` is the program's. Limits and sizes are exact decimals in the drawing's units, the
    uncertainty is the standard uncertainty. Raises KeyError for a part that is not in the plan.
    """
    batch = picture.part(part)
    document = _Document(batch)
    document.collect()
    root = Element("QIFDocument", xmlns=NAMESPACE, versionQIF="3.0.0")
    name = SubElement(root, "QPId")
    header = SubElement(root, "Header")
    SubElement(SubElement(header, "Application"), "Name").text = f"qlog {version}"
    SubElement(header, "Description").text = f"{picture.build.title}: {batch.part.name}"
    standard = document.id()
    norm = SubElement(SubElement(root, "StandardsDefinitions", n="1"), "Standard", id=standard)
    SubElement(SubElement(norm, "Organization"), "StandardsOrganizationEnum").text = "ISO"
    SubElement(norm, "Designator").text = "129-1"
    _units(root, document)
    _devices(root, document, picture.build.instruments)
    _part(root, document)
    _asked(root, document, standard)
    _results(root, document)
    root.set("idMax", str(document.last))
    name.text = str(uuid5(NAMESPACE_URL, tostring(root, "unicode")))
    indent(root)
    text = re.sub(_NOT_XML, "\ufffd", tostring(root, "unicode"))
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'


def _units(root: Element, document: _Document) -> None:
    """The units of all numbers: the first of a quantity is the file's, others stand beside it."""
    used = dict.fromkeys(form.limits.unit for _, form in document.forms)
    made = SubElement(root, "FileUnits")
    primary = SubElement(made, "PrimaryUnits")
    others: list[Element] = []
    for quantity in sorted(SI_NAMES):
        of = [u for u in used if u in UNITS and UNITS[u][1] == quantity]
        for number, unit in enumerate(of):
            called, _, factor = UNITS[unit]
            one = Element(f"{quantity}Unit")
            SubElement(one, "SIUnitName").text = SI_NAMES[quantity]
            SubElement(one, "UnitName").text = called
            SubElement(SubElement(one, "UnitConversion"), "Factor").text = f"{factor:f}"
            (others if number else primary).append(one)
    if others:
        SubElement(made, "OtherUnits", n=str(len(others))).extend(others)
    own = dict.fromkeys(
        form.limits.unit for _, form in document.forms if form.stem == "UserDefinedUnit"
    )
    if own:
        listed = SubElement(made, "UserDefinedUnits", n=str(len(own)))
        for unit in own:
            one = SubElement(listed, "UserDefinedUnit")
            SubElement(one, "WhatIsMeasured").text = next(
                f.callout.kind.value for _, f in document.forms if f.limits.unit is unit
            )
            SubElement(one, "UnitName").text = unit_name(unit)


def _devices(root: Element, document: _Document, known: Iterable[Instrument]) -> None:
    ids = {r.instrument for s in document.batch.series for r in _each(s.slots) if r.instrument}
    used = [i for i in known if i.id in ids]
    if not used:
        return
    resources = SubElement(root, "MeasurementResources")
    listed = SubElement(resources, "MeasurementDevices", n=str(len(used)))
    for instrument in used:
        document.devices[instrument.id] = document.id()
        one = SubElement(listed, "MeasurementDevice", id=document.devices[instrument.id])
        SubElement(one, "Name").text = instrument.id
        SubElement(one, "Description").text = instrument.name


def _part(root: Element, document: _Document) -> None:
    part = document.batch.part
    product = SubElement(root, "Product")
    id = document.id()
    made = SubElement(SubElement(product, "PartSet", n="1"), "Part", id=id, label=part.name)
    SubElement(made, "ModelNumber").text = part.id
    SubElement(SubElement(product, "RootPart"), "Id").text = id


def _asked(root: Element, document: _Document, standard: str) -> None:
    """Definitions, nominals and items: what the drawing asks, once for each set of limits."""
    if not document.forms:  # a part without dimensions yet: the standard has no empty list
        return
    made = SubElement(root, "Characteristics")
    SubElement(made, "FormalStandardId").text = standard
    n = str(len(document.forms))
    groups = [
        SubElement(made, f"Characteristic{what}", n=n)
        for what in ("Definitions", "Nominals", "Items")
    ]
    for series, form in document.forms:
        ids = [document.id() for _ in groups]
        definition, nominal, item = (
            SubElement(group, f"{form.stem}Characteristic{what}", id=id)
            for group, what, id in zip(groups, ("Definition", "Nominal", "Item"), ids, strict=True)
        )
        asked = series.callout.text if form.today else "limits of an earlier drawing"
        SubElement(definition, "Description").text = asked
        SubElement(definition, "Name").text = series.dimension.id
        form.define(definition)
        SubElement(nominal, "CharacteristicDefinitionId").text = ids[0]
        form.aim(nominal)
        _said(item, {"op": str(series.operation.number)})
        SubElement(item, "Description").text = series.dimension.name
        SubElement(item, "Name").text = series.dimension.id
        SubElement(item, "CharacteristicNominalId").text = ids[1]
        document.items[_key(series, form.limits)] = (ids[2], form)


def _said(into: Element, texts: dict[str, str]) -> None:
    """Texts that the standard has no place for, as attributes of our own."""
    said = {name: text for name, text in texts.items() if text}
    if said:
        listed = SubElement(into, "Attributes", n=str(len(said)))
        for name, text in said.items():
            SubElement(listed, "AttributeStr", name=name, value=text)


def _results(root: Element, document: _Document) -> None:
    touched = [
        piece
        for piece in document.batch.pieces
        if piece.standing is not Standing.UNCUT
        or any(slot.slot in _GAPS for _, slot in _slots(document, piece))
    ]
    if not touched:
        return
    results = SubElement(root, "Results")
    measured = SubElement(results, "MeasurementResultsSet", n=str(len(touched)))
    for piece in touched:
        document.pieces[piece.number] = document.id()
    for piece in touched:
        _measured(measured, document, piece)
    sets = SubElement(SubElement(results, "ActualComponentSets", n="1"), "ActualComponentSet")
    sets.set("n", str(len(touched)))
    for piece in touched:
        one = SubElement(sets, "ActualComponent", id=document.pieces[piece.number])
        _said(one, {"standing": piece.standing.value})
        SubElement(one, "SerialNumber").text = piece.name
        _inspected(SubElement(one, "Status"), document, piece)


def _slots(document: _Document, piece: PieceView) -> list[tuple[SeriesView, SlotView]]:
    return [
        (s, slot) for s in document.batch.series for slot in s.slots if slot.piece == piece.number
    ]


def _inspected(into: Element, document: _Document, piece: PieceView) -> None:
    """How the piece stands: it passes when every reading that is asked is there and good.

    One that is being cut again is neither: its readings are of what it was.
    """
    slots = [slot for _, slot in _slots(document, piece) if slot.slot is not Slot.SPARED]
    found = [_status(slot.reading) if slot.reading else "" for slot in slots]
    if piece.standing is Standing.REWORK:
        status = "REWORK"
    elif "FAIL" in found:
        status = "FAIL"
    elif found and all(one == "PASS" for one in found):
        status = "PASS"
    else:
        status = "UNKNOWN" if any(found) else "NOT_MEASURED"
    SubElement(into, "InspectionStatusEnum").text = status


def _status(reading: ReadingView) -> str:
    if reading.verdict is None:
        return "PASS" if reading.passed else "FAIL"
    limits = reading.limits
    if limits is None or (limits.lower is None and limits.upper is None):
        return "NOT_ANALYZED"
    return _STATUS[reading.verdict]


def _measured(into: Element, document: _Document, piece: PieceView) -> None:
    made = SubElement(into, "MeasurementResults", id=document.id())
    rows: list[tuple[SeriesView, SlotView, ReadingView | None]] = []
    for series, slot in _slots(document, piece):
        rows += [(series, slot, reading) for reading in _each([slot])]
        if slot.slot in _GAPS:
            rows.append((series, slot, None))
    if rows:
        outer = SubElement(made, "MeasuredCharacteristics")
        listed = SubElement(outer, "CharacteristicMeasurements", n=str(len(rows)))
        for series, slot, reading in rows:
            _measurement(listed, document, series, slot, reading)
    _inspected(SubElement(made, "InspectionStatus"), document, piece)
    components = SubElement(made, "ActualComponentIds", n="1")
    SubElement(components, "Id").text = document.pieces[piece.number]


def _measurement(
    into: Element,
    document: _Document,
    series: SeriesView,
    slot: SlotView,
    reading: ReadingView | None,
) -> None:
    item, form = document.items[_key(series, document.limits_of(series, reading))]
    made = SubElement(into, f"{form.stem}CharacteristicMeasurement", id=document.id())
    if reading is None:
        _said(made, {"gap": slot.slot.value})
        if slot.why:
            SubElement(made, "Description").text = slot.why
    else:
        raws = "; ".join(f"{r.name}={r.typed} {r.unit.value}" for r in reading.raws)
        _said(made, {"typed": reading.typed, "unit": reading.unit, "computed": raws,
                     "suspect": "yes" if reading.suspect else ""})  # fmt: skip
        if reading.note:
            SubElement(made, "Description").text = reading.note
    status = SubElement(SubElement(made, "Status"), "CharacteristicStatusEnum")
    status.text = "NOT_ANALYZED" if reading is None else _status(reading)
    SubElement(made, "CharacteristicItemId").text = item
    if reading is not None:
        SubElement(made, "TimeStamp").text = datetime.fromisoformat(reading.made).isoformat()
    SubElement(made, "ActualComponentId").text = document.pieces[slot.piece]
    if reading is not None:
        if reading.instrument in document.devices:
            devices = SubElement(made, "MeasurementDeviceIds", n="1")
            SubElement(devices, "Id").text = document.devices[reading.instrument]
        _value(made, form, reading)


def _value(into: Element, form: Characteristic, reading: ReadingView) -> None:
    if form.stem == "UserDefinedAttribute":
        SubElement(into, "Value").text = reading.word if reading.value is None else reading.typed
        return
    if reading.value is None:
        return
    value = form.number(into, form.value, Decimal(reading.value))
    if reading.uncertainty is not None:  # what is known of the bias is in the size already
        value.set("combinedUncertainty", f"{two_digits(reading.uncertainty):f}")
        value.set("meanError", "0")
