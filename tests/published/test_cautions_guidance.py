"""Cautions by kind of operation, held against the hazards that public guidance names for each.

Read for this test, in the publisher's text or a reprint of it: HSE HSG129 (engineering workshops),
HSE EIS2 (emery cloth on lathes), US Army TC 9-524 (machine tools), HSE WIS23 (wood dust), DGUV
Regel 109-001 (grinding, brushing and polishing aluminium), OSHA 29 CFR 1910.242(b) (compressed
air), 1910.151(c) (corrosives) and the scope of 1910.122 to 126 (dipping and coating). From memory:
OSHA 1910.94, .95, .107, .147, .212, .213, .215, .217, .218, .242, .252, .253, .333; HSE HSG17
(abrasive wheels), INDG297 (gas welding), HSG139 (compressed gases), HSG103 (combustible dusts),
INDG248 (solvents), HSG39 (compressed air); DGUV Vorschrift 11 (laser), DGUV Information 209-010
and 209-016 (welding). The wording of the cautions is the project's own.
"""

import re

import pytest

from qlog.review.cautions.caution import Caution
from qlog.review.cautions.recognise import cautions_for
from qlog.words.catalogue import load
from qlog.words.ready import caution_texts

#: Hazard -> how a sentence about it is known, in English and in German.
HAZARDS = {
    "eyes": (r"eye protection", r"Schutzbrille"),
    "hair": (r"long hair", r"lange Haare"),
    "entangled": (r"no gloves, rings or loose sleeves", r"keine Handschuhe, Ringe"),
    "swarf": (r"swarf .* never fingers", r"Wirrspäne .* nie mit den Fingern"),
    "drawbar": (r"drawbar", r"Anzugsstange"),
    "break-through": (r"breaks through", r"Durchbruch"),
    "wrapped": (r"never wrapped round", r"nie um Werkstück oder Finger gewickelt"),
    "wheel": (r"ring it .* stand aside", r"Klang prüfen.* daneben stehen"),
    "grabs": (r"buffing wheel grabs", r"Schwabbelscheibe reißt"),
    "sparks": (r"sparks fly", r"Funken fliegen"),
    "dust": (r"dust", r"staub"),
    "explosive dust": (r"dust .*explode", r"staub .*explodier"),
    "noise": (r"hearing protection", r"Gehörschutz"),
    "hot": (r"hot metal|molten metal", r"heißes metall|schmelze"),
    "molten": (r"molten metal .* damp", r"Schmelze .* Feuchtigkeit"),
    "fire": (r"extinguisher", r"Löscher"),
    "quench oil": (r"oil flares", r"Öl flammt"),
    "salts": (r"hot salts", r"Heiße Salze"),
    "fumes": (r"fumes|mist", r"Dämpfe|nebel"),
    "arc": (r"arc burns", r"Lichtbogen"),
    "gas": (r"gas bottles", r"Gasflaschen"),
    "acid": (r"acids and lyes", r"Säuren und Laugen"),
    "eye wash": (r"eye wash", r"Augendusche"),
    "disposal": (r"nothing down the drain", r"nichts in den Abfluss"),
    "solvent": (r"no flame or spark", r"keine Flamme, kein Funke"),
    "adhesive": (r"adhesives", r"Klebstoffe"),
    "oily rags": (r"drying oil", r"trocknendem Öl"),
    "isocyanates": (r"isocyanates", r"Isocyanate"),
    "electricity": (r"unplug", r"Stecker ziehen"),
    "stored energy": (r"springs", r"Federn"),
    "press": (r"out of the press", r"aus der Presse"),
    "blow": (r"line of blow", r"Schlagrichtung"),
    "at skin": (r"never at skin", r"nie auf Haut"),
    "silica": (r"no quartz", r"kein Quarz"),
    "laser": (r"wavelength", r"Wellenlänge"),
    "stroke": (r"whole stroke", r"ganzen Hub"),
    "saw": (r"blade sharp", r"Blatt scharf"),
    "cut": (r"edges", r"Kanten"),
    "cracks": (r"cracks", r"Risse"),
    "licensed": (r"licensed shop", r"Fachbetrieb"),
}

#: Kind in English, kind in German, hazards, and the guidance that names them.
GUIDANCE = [
    ("turning", "Drehen", "eyes hair entangled swarf", "HSG129; TC 9-524; 1910.212"),
    ("turn", "Längsdrehen", "eyes hair entangled swarf", "HSG129; TC 9-524"),
    ("facing", "Plandrehen", "eyes entangled swarf", "TC 9-524"),
    ("boring", "Ausdrehen", "eyes entangled swarf", "TC 9-524"),
    ("part off", "Abstechen", "entangled swarf", "TC 9-524"),
    ("threading", "Gewindedrehen", "entangled swarf", "TC 9-524"),
    ("knurling", "Rändeln", "entangled", "TC 9-524"),
    ("metal spinning", "Metalldrücken", "entangled", "1910.212"),
    ("woodturning", "Drechseln", "entangled cracks explosive dust noise", "1910.213; WIS23"),
    ("drilling", "Bohren", "entangled break-through", "HSG129; TC 9-524"),
    ("drill and tap", "Bohren und Gewindebohren", "entangled break-through", "TC 9-524"),
    ("countersinking", "Senken", "entangled break-through", "TC 9-524"),
    ("reaming", "Reiben", "entangled break-through", "TC 9-524"),
    ("tapping", "Gewindeschneiden", "entangled break-through", "TC 9-524"),
    ("milling", "Fräsen", "eyes entangled drawbar", "HSG129; TC 9-524"),
    ("gear hobbing", "Wälzfräsen", "entangled drawbar", "HSG129"),
    ("indexing", "Teilapparat", "entangled drawbar", "TC 9-524"),
    ("shaping", "Hobeln", "eyes stroke swarf", "TC 9-524; 1910.212"),
    ("broaching", "Räumen", "eyes stroke", "1910.212"),
    ("sawing", "Sägen", "eyes saw cut noise", "TC 9-524; 1910.213"),
    ("filing", "Feilen", "eyes cut", "1910.242; common practice"),
    ("deburring", "Entgraten", "eyes cut", "HSG129"),
    ("hand scraping", "Schaben", "eyes cut", "1910.242; common practice"),
    ("grinding", "Schleifen", "eyes wheel sparks dust noise", "HSG17; 1910.215; TC 9-524"),
    ("surface grinding", "Flachschleifen", "wheel sparks dust", "HSG17; 1910.215"),
    ("sharpening", "Schärfen", "wheel sparks dust", "HSG17; 1910.215"),
    ("sanding", "Schmirgeln", "entangled wrapped dust", "EIS2"),
    ("polish", "Polieren", "entangled wrapped dust", "EIS2; 1910.94"),
    ("hand polishing", "Polieren von Hand", "wrapped dust", "EIS2"),
    ("buffing", "Schwabbeln", "entangled grabs dust noise", "1910.94; 1910.212"),
    ("lapping", "Läppen", "eyes solvent", "INDG248; common practice"),
    ("honing", "Honen", "eyes solvent", "INDG248; common practice"),
    ("tumbling", "Gleitschleifen", "eyes noise disposal", "1910.95; common practice"),
    ("bead blasting", "Glasperlenstrahlen", "dust silica noise at skin", "1910.94; 1910.95"),
    ("compressed air", "Abblasen mit Druckluft", "eyes at skin noise stored energy",
     "1910.242(b); HSG39"),
    ("laser engraving", "Laserbeschriften", "laser fumes fire", "DGUV Vorschrift 11"),
    ("spark erosion", "Funkenerosion", "electricity fumes fire", "1910.333; common practice"),
    ("flame cutting", "Brennschneiden", "gas hot fire fumes arc", "INDG297; 1910.253"),
    ("casting", "Gießen", "eyes molten fumes licensed", "1910.133; common practice"),
    ("forging", "Schmieden", "eyes hot blow noise fire", "1910.218; 1910.95"),
    ("bending", "Biegen", "eyes blow stored energy", "1910.147; 1910.217"),
    ("punching", "Stanzen", "press cut noise", "1910.217; 1910.95"),
    ("pressing", "Einpressen", "eyes press stored energy", "1910.217; 1910.147"),
    ("shrink fitting", "Aufschrumpfen", "eyes hot stored energy", "common practice"),
    ("riveting", "Nieten", "eyes blow noise", "1910.95; 1910.242"),
    ("assembly", "Montage", "stored energy cut", "1910.147; common practice"),
    ("welding", "Schweißen", "eyes arc hot fumes fire gas electricity",
     "1910.252; DGUV 209-010, 209-016"),
    ("brazing", "Hartlöten", "eyes hot fumes fire gas", "INDG297; 1910.252; HSG139"),
    ("soldering", "Weichlöten", "hot fumes electricity", "DGUV 209-016"),
    ("gluing", "Kleben", "adhesive solvent disposal", "INDG248; common practice"),
    ("carburising", "Aufkohlen", "hot fumes quench oil fire gas licensed", "1910.122 to 126"),
    ("hardening", "Härten", "hot fumes quench oil fire licensed", "1910.122 to 126"),
    ("nitriding", "Nitrieren", "hot fumes gas licensed", "common practice"),
    ("tempering", "Anlassen", "eyes hot fumes fire", "1910.122 to 126"),
    ("annealing", "Weichglühen", "eyes hot fumes fire", "common practice"),
    ("heat bluing", "Bläuen", "eyes hot fumes fire", "common practice"),
    ("blackening", "Brünieren", "acid eye wash salts fumes disposal licensed",
     "1910.122 to 126; 1910.151(c)"),
    ("electroplating", "Galvanisieren",
     "acid eye wash fumes disposal electricity licensed", "1910.122 to 126; 1910.151(c)"),
    ("anodising", "Eloxieren", "acid eye wash fumes disposal electricity licensed",
     "1910.122 to 126; 1910.151(c)"),
    ("electropolishing", "Elektropolieren", "acid eye wash fumes disposal electricity",
     "1910.122 to 126; 1910.151(c)"),
    ("pickling", "Beizen", "acid eye wash fumes disposal", "1910.122 to 126; 1910.151(c)"),
    ("etching", "Ätzen", "acid eye wash fumes disposal", "1910.151(c)"),
    ("degreasing", "Entfetten", "eyes solvent disposal", "INDG248; 1910.122 to 126"),
    ("lacquering", "Lackieren", "eyes solvent isocyanates fire disposal", "1910.107"),
    ("oiling", "Ölen", "oily rags solvent", "common practice"),
]  # fmt: skip
NAMED = sorted(HAZARDS, key=len, reverse=True)


def hazards_in(text: str) -> list[str]:
    """The hazards of a row; some have names of two words."""
    found = []
    for name in NAMED:
        if name in text:
            found.append(name)
            text = text.replace(name, "")
    assert not text.strip(), f"no such hazard: {text}"
    return found


def sentences(kind: str, language: str, **more: str) -> str:
    return " ".join(caution_texts(cautions_for(kind, **more), load(language)))


@pytest.mark.parametrize("column", [0, 1], ids=["en", "de"])
@pytest.mark.parametrize("row", GUIDANCE, ids=lambda row: row[0])
def test_a_kind_is_told_the_hazards_that_guidance_names(
    row: tuple[str, str, str, str], column: int
) -> None:
    text = sentences(row[column], ("en", "de")[column])
    for hazard in hazards_in(row[2]):
        assert re.search(HAZARDS[hazard][column], text, re.I), f"{row[column]}: {hazard} ({row[3]})"


@pytest.mark.parametrize("row", GUIDANCE, ids=lambda row: row[0])
def test_both_languages_agree_whether_anything_turns(row: tuple[str, str, str, str]) -> None:
    english, german = cautions_for(row[0]), cautions_for(row[1])
    assert (Caution.SPINDLE in english) == (Caution.SPINDLE in german)


def test_sixty_kinds_of_each_language_are_held() -> None:
    for column in (0, 1):
        assert len({row[column] for row in GUIDANCE}) >= 60


def test_every_hazard_is_asked_for_by_some_kind() -> None:
    asked = {hazard for row in GUIDANCE for hazard in hazards_in(row[2])}
    assert asked == set(HAZARDS)


@pytest.mark.parametrize(
    ("kind", "material", "english", "german"),
    [
        # DGUV Regel 109-001: fire and explosion when grinding, brushing, polishing aluminium.
        ("polishing", "aluminium 6082", "never mixed with steel", "nie mit Stahlstaub"),
        ("grinding", "Aluminium", "explode", "explodieren"),
        # HSG103, from memory: magnesium burns as chips too, and not to be put out with water.
        ("turning", "magnesium AZ31", "never with water", "nie mit Wasser"),
        # WIS23: fire or explosion, asthma; sawing, turning, sanding.
        ("sanding", "beech wood", "airways", "Atemwegen"),
        ("turning", "Eiche", "airways", "Atemwegen"),
        ("Sägen", "Holz", "airways", "Atemwegen"),
    ],
)
def test_explosive_dusts_go_by_the_material(
    kind: str, material: str, english: str, german: str
) -> None:
    assert english in sentences(kind, "en", material=material)
    assert german in sentences(kind, "de", material=material)
    assert english not in sentences(kind, "en", material="brass CW614N")
