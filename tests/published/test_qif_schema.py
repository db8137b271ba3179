"""Results documents against the schema of QIF 3.0 (ISO 23952:2020), as its publisher ships it.

The schema files and their licence stand in `data/qif`. They draw the W3C's schema of digital
signatures from the network; nothing here is signed, so that one is replaced by an empty type.
"""

from __future__ import annotations

import functools
import re
import tarfile
from decimal import Decimal
from pathlib import Path

import pytest
from lxml import etree

from qlog.drawing.build_file.load import load
from qlog.drawing.callouts.grammar import FORMS
from qlog.drawing.plan import Build
from qlog.logbook.facts import Disposition, Done, Gap, Reading
from qlog.logbook.store import Logbook, create
from qlog.record.readings.qif import NAMESPACE, qif_document
from qlog.review.whole import picture_from
from tests.conftest import run_qlog
from tests.demo_record import example

FILES = Path(__file__).parent / "data" / "qif" / "qif-3.0-schema.tar.xz"
T = f"{{{NAMESPACE}}}"
UNSIGNED = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
  targetNamespace="http://www.w3.org/2000/09/xmldsig#">
  <xs:complexType name="SignatureType"/></xs:schema>"""


class _Published(etree.Resolver):
    def __init__(self, texts: dict[str, bytes]) -> None:
        self.texts = texts

    def resolve(self, url: str, _id: str, context: object) -> object:
        name = url.rsplit("/", 1)[-1]
        text = UNSIGNED.encode() if "xmldsig" in name else self.texts[name]
        return self.resolve_string(text, context, base_url=f"qif:///schema/{name}")


@functools.cache
def schema() -> etree.XMLSchema:
    """The published schema, read without a network."""
    with tarfile.open(FILES) as archive:
        texts = {m.name: archive.extractfile(m).read() for m in archive}  # type: ignore[union-attr]
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Published(texts))
    top = etree.fromstring(
        texts["QIFDocument.xsd"], parser, base_url="qif:///schema/QIFDocument.xsd"
    )
    return etree.XMLSchema(top)


def held(text: str) -> etree._Element:
    """The document, held against the schema with all its keys and references."""
    root = etree.fromstring(text.encode())
    schema().assertValid(root)
    return root


def plan_of(folder: Path, callouts: list[str], head: str = 'units = "mm"\n') -> Build:
    """A plan of one part with a dimension for every callout, and its empty logbook."""
    dims = "".join(
        f"  [[part.dim]]\n  id = \"d{n}\"\n  name = \"number {n}\"\n  callout = '''{callout}'''\n"
        "  op = 10\n"
        for n, callout in enumerate(callouts, 1)
    )
    (folder / "build.toml").write_text(
        f'title = "All forms"\n{head}general = "ISO 2768-m"\nrule = "simple"\n\n'
        '[[part]]\nid = "thing"\nname = "Thing"\nneeded = 2\n'
        f'  [[part.op]]\n  number = 10\n  name = "turn"\n  kind = "turning"\n{dims}',
        encoding="utf-8",
    )
    create(folder / "logbook.db")
    return load(folder / "build.toml")


def reading(build: Build, number: int, piece: int) -> Reading:
    """A reading on the upper limit, else on the lower one, of dimension `number`."""
    callout = build.parts[0].dimensions[number - 1].requirements[0].callout
    limits = callout.limits
    value = limits.upper if limits.upper is not None else limits.lower
    text = "go" if callout.attribute else f"{value if value is not None else 31:f}"
    return Reading("thing", 10, f"d{number}", piece, text, text, callout.unit.value)


@pytest.mark.parametrize("part", ["foot", "tall-stem", "low-stem", "cup", "pan"])
def test_the_example_build_is_a_valid_results_document(part: str) -> None:
    picture = example()[1]
    root = held(qif_document(picture, part, "1"))
    wanted = [r for s in picture.part(part).series for slot in s.slots if slot.reading
              for r in (slot.reading, *slot.reading.beside)]  # fmt: skip
    measured = [e for e in root.iter() if str(e.tag).endswith("CharacteristicMeasurement")]
    values = [e for e in measured if e.find(f"{T}Value") is not None
              or e.find(f"{T}RoughnessAverageValue") is not None]  # fmt: skip
    assert wanted and len(values) == len(wanted)
    word = {"good": "PASS", "pass": "PASS", "not proven": "INDETERMINATE"}
    asked = sorted(word.get(r.word, "FAIL") for r in wanted)
    found = sorted(e.findtext(f"{T}Status/{T}CharacteristicStatusEnum") or "" for e in values)
    assert found == asked


def test_limits_sizes_and_uncertainties_are_those_of_the_log() -> None:
    picture = example()[1]
    root = held(qif_document(picture, "cup", "1"))

    bore = next(s for s in picture.part("cup").series if s.dimension.id == "bore")
    wanted = {r.typed: r for one in bore.readings for r in (one, *one.beside)}
    ids = {e.get("id") for e in root.iter() if str(e.tag).endswith("Item")
           and e.findtext(f"{T}Name") == "bore"}  # fmt: skip
    rows = [e for e in root.iter(f"{T}DiameterCharacteristicMeasurement")
            if e.findtext(f"{T}CharacteristicItemId") in ids]  # fmt: skip
    assert len(rows) == sum(1 + len(r.beside) for r in bore.readings)
    for element in rows:
        typed, value = element.find(f".//{T}AttributeStr[@name='typed']"), element.find(f"{T}Value")
        assert typed is not None and value is not None
        asked = wanted[typed.get("value") or ""]
        assert Decimal(value.text or "") == asked.value
        assert value.get("linearUnit") == "mm"
        stated, exact = Decimal(value.get("combinedUncertainty") or "0"), asked.uncertainty
        assert exact is not None and exact <= stated <= exact * Decimal("1.1")
    upper = root.find(f".//{T}DiameterCharacteristicDefinition[{T}Name='bore']//{T}MaxValue")
    assert upper is not None and Decimal(upper.text or "") == bore.limits.upper


def test_every_form_of_callout_is_a_valid_document(tmp_path: Path) -> None:
    callouts = [form.example for form in FORMS]
    build = plan_of(tmp_path, callouts)
    with Logbook(tmp_path / "logbook.db", revision=build.revision, source=build.source) as log:
        for number in range(1, len(callouts) + 1):
            log.append(reading(build, number, 1), made="2026-04-18T19:30:00+02:00")
        log.append(Gap("thing", 10, "d1", 2, "cannot", "no \x0b tool <&> reaches it"),
                   made="2026-04-18T19:40:00+02:00")  # fmt: skip
        text = qif_document(picture_from(build, log, studied=False), "thing", "1")
    root = held(text)
    judged = [d for d in build.parts[0].dimensions if not d.requirements[0].callout.raw]
    assert len(root.findall(f".//{T}CharacteristicItems/*")) == len(judged)
    kinds = {re.sub(r"Characteristic\w+", "", e.tag.removeprefix(T))
             for e in root.findall(f".//{T}CharacteristicItems/*")}  # fmt: skip
    assert {"Diameter", "Length", "Radius", "Depth", "Angle", "Thickness", "SurfaceTexture",
            "CircularRunout", "Position", "UserDefinedMass"} <= kinds  # fmt: skip
    statuses = {e.text for e in root.iter(f"{T}CharacteristicStatusEnum")}
    assert statuses == {"PASS", "NOT_ANALYZED"}


def test_an_inch_drawing_keeps_its_unit(tmp_path: Path) -> None:
    build = plan_of(tmp_path, ["Ø.500 ±.002", "Ra 32", "12 mm ±0.1"], 'units = "in"\n')
    with Logbook(tmp_path / "logbook.db", revision=build.revision, source=build.source) as log:
        log.append(Reading("thing", 10, "d1", 1, ".5025", "0.5025", "in"),
                   made="2026-04-18T19:30:00+02:00")  # fmt: skip
        root = held(qif_document(picture_from(build, log, studied=False), "thing", "1"))
    value = root.find(f".//{T}DiameterCharacteristicMeasurement/{T}Value")
    assert value is not None
    assert (value.text, value.get("linearUnit")) == ("0.5025", "inch")
    assert root.findtext(f".//{T}DiameterCharacteristicMeasurement/{T}Status/*") == "FAIL"
    factors = {e.findtext(f"{T}UnitName"): e.findtext(f"{T}UnitConversion/{T}Factor")
               for e in root.iter(f"{T}LinearUnit")}  # fmt: skip
    assert factors == {"inch": "0.0254", "uin": "0.0000000254", "mm": "0.001"}


def test_a_part_without_dimensions_is_a_valid_document(tmp_path: Path) -> None:
    build = plan_of(tmp_path, [])
    with Logbook(tmp_path / "logbook.db", revision=build.revision, source=build.source) as log:
        log.append(Done("thing", 10, 1))
        root = held(qif_document(picture_from(build, log, studied=False), "thing", "1"))
    assert root.find(f"{T}Characteristics") is None
    assert root.findtext(f".//{T}ActualComponent/{T}Status/*") == "NOT_MEASURED"


def test_a_piece_that_is_cut_again_neither_passes_nor_fails_by_what_it_was(tmp_path: Path) -> None:
    build = plan_of(tmp_path, ["Ø22 ±0.1"])
    with Logbook(tmp_path / "logbook.db", revision=build.revision, source=build.source) as log:
        for number, size in ((1, "22.2"), (2, "22.05")):
            log.append(Done("thing", 10, number))
            log.append(Reading("thing", 10, "d1", number, size, size, "mm"))
            log.append(Disposition("thing", number, 10, "rework", "a burr"))
        root = held(qif_document(picture_from(build, log, studied=False), "thing", "1"))
    found = [e.text for e in root.findall(f".//{T}ActualComponent/{T}Status/*")]
    assert found == ["REWORK", "REWORK"]
    assert [e.text for e in root.iter(f"{T}CharacteristicStatusEnum")] == ["FAIL", "PASS"]


def test_a_document_that_is_not_sound_is_refused_by_the_schema() -> None:
    text = qif_document(example()[1], "cup", "1")
    for before, after in (
        ("<CharacteristicItemId>", "<CharacteristicItemId>9"),  # points nowhere
        ('linearUnit="mm"', 'linearUnit="ell"'),  # a unit that the file does not name
        ("PASS", "FINE"),
    ):
        assert before in text
        assert not schema().validate(etree.fromstring(text.replace(before, after, 1).encode()))


def test_the_command_writes_it_and_says_what_does_not_go_together(tmp_path: Path) -> None:
    build = str(example()[0])
    file = tmp_path / "cup.qif"
    assert run_qlog("--build", build, "export", "cup", "--qif", "-o", str(file)).status == 0
    held(file.read_text(encoding="utf-8").removeprefix('<?xml version="1.0" encoding="UTF-8"?>\n'))
    assert run_qlog("--build", build, "export", "--qif").status == 2
    assert run_qlog("--build", build, "export", "cup", "--qif", "--wide").status == 2
    assert run_qlog("--build", build, "export", "cup", "--qif", "-o", "cup.xlsx").status == 2
