"""Cautions by kind of operation: short, in our words, beside every operation that can hurt.

Grounds: public guidance (HSE HSG129 and EIS2, US Army TC 9-524, OSHA) and common practice. They
remind; the machine's manual, local rules and trained people come first, and every list says so.
"""

from __future__ import annotations

_ANY = {
    "en": "Eye protection on; no gloves, rings, loose sleeves or hair near anything that turns. "
    "Key out of the chuck. Stop the spindle before you measure or clear chips.",
    "de": "Schutzbrille auf; keine Handschuhe, Ringe, weiten Ärmel oder offenen Haare an drehenden "
    "Teilen. Schlüssel aus dem Futter. Spindel steht, bevor gemessen oder Späne entfernt werden.",
}

_LAST = {
    "en": "The machine's manual, local rules and trained people come first.",
    "de": "Betriebsanleitung, örtliche Vorschriften und ausgebildete Leute gehen vor.",
}

_BY_KIND: dict[str, dict[str, str]] = {
    "turning": {
        "en": "Break the chip. Stop, then take stringy swarf with a hook or pliers, never fingers.",
        "de": "Span brechen. Anhalten, dann Wirrspäne mit Haken oder Zange, nie mit den Fingern.",
    },
    "parting": {
        "en": "Short overhang, blade on centre. Let the piece drop into a tray: it is hot and "
        "sharp.",
        "de": "Kurze Auskragung, Stahl auf Mitte. Das Teil in eine Schale fallen lassen: es ist "
        "heiß und scharf.",
    },
    "polishing": {
        "en": "Abrasive on a backing, never wrapped round the work or the fingers; no gloves.",
        "de": "Schleifmittel auf einem Träger, nie um Werkstück oder Finger gewickelt; keine "
        "Handschuhe.",
    },
    "drilling": {
        "en": "Clamp the piece. Ease off as the drill breaks through. Power off before tapping "
        "by hand.",
        "de": "Werkstück spannen. Beim Durchbruch nachgeben. Vor dem Gewindeschneiden von Hand "
        "ausschalten.",
    },
    "milling": {
        "en": "Spanner off the drawbar. Brush for chips, never a hand or a rag. Deburr before "
        "you handle the piece.",
        "de": "Schlüssel von der Anzugsstange. Späne mit dem Pinsel, nie mit Hand oder Lappen. "
        "Entgraten, bevor das Teil angefasst wird.",
    },
    "mandrel": {
        "en": "Check the grip and the direction of the thread. Start slow. Face shield.",
        "de": "Sitz und Gewinderichtung prüfen. Langsam anlaufen lassen. Gesichtsschutz.",
    },
    "heat": {
        "en": "Hot salts, fumes and quench oil are work for a licensed shop unless you are "
        "trained for them.",
        "de": "Heiße Salze, Dämpfe und Abschrecköl gehören in einen Fachbetrieb, wenn man nicht "
        "dafür ausgebildet ist.",
    },
    "chemistry": {
        "en": "Fresh air; gloves, but off at the machine; no flame; rags into a lidded bin.",
        "de": "Frische Luft; Handschuhe, aber nicht an der Maschine; keine Flamme; Lappen in "
        "einen Behälter mit Deckel.",
    },
}

#: Kinds of operation as they are written in build.toml, and the cautions that go with them.
_KINDS: dict[str, tuple[str, ...]] = {
    "turning": ("turning",),
    "facing": ("turning",),
    "boring": ("turning",),
    "threading": ("turning",),
    "knurling": ("turning",),
    "parting": ("turning", "parting"),
    "polishing": ("polishing",),
    "grinding": ("polishing",),
    "sanding": ("polishing",),
    "drilling": ("drilling",),
    "reaming": ("drilling",),
    "tapping": ("drilling",),
    "milling": ("milling",),
    "indexing": ("milling",),
    "sawing": ("milling",),
    "form turning": ("turning", "mandrel"),
    "spinning": ("mandrel",),
    "heat treatment": ("heat",),
    "hardening": ("heat",),
    "blackening": ("heat", "chemistry"),
    "plating": ("heat", "chemistry"),
    "soldering": ("heat", "chemistry"),
    "cleaning": ("chemistry",),
    "gluing": ("chemistry",),
    "assembly": (),
    "inspection": (),
    "marking": (),
}

#: Kinds at which nothing can hurt more than anywhere.
_HARMLESS = {"assembly", "inspection", "marking"}

#: Kinds that need no machine: the caution for turning spindles would only be noise there.
_NO_MACHINE = {
    "assembly",
    "inspection",
    "marking",
    "gluing",
    "cleaning",
    "blackening",
    "plating",
    "heat treatment",
    "hardening",
    "soldering",
}


def cautions_for(kind: str, language: str = "en") -> tuple[str, ...]:
    """Cautions for a kind of operation, the general one first, the deferring one last.

    A kind of several words gets those of all the kinds named in it ("drilling and tapping"); one
    that is not known gets the general caution: too much is better than none. A language that is
    not known gets English.
    """
    name = " ".join("".join(c if c.isalpha() else " " for c in kind.lower()).split())
    code = language if language in _ANY else "en"
    found = [name] if name in _KINDS else [k for k in _KINDS if f" {k} " in f" {name} "]
    if found and all(k in _HARMLESS for k in found):
        return ()
    lines = [] if found and all(k in _NO_MACHINE for k in found) else [_ANY[code]]
    keys = dict.fromkeys(key for k in found for key in _KINDS[k])
    lines += [_BY_KIND[key][code] for key in keys]
    return (*lines, _LAST[code])


def kinds() -> tuple[str, ...]:
    """The kinds of operation that have cautions of their own."""
    return tuple(sorted(_KINDS))
