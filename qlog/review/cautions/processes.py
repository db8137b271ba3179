"""The table of processes, in the groups of DIN 8580, with stems in both languages and cautions.

A stem stands at the beginning of a word; `*` before it lets it stand anywhere in one (German
compounds), a full stop behind it ends the word. Stems are written as `recognise.plain` makes them.
Processes and groups: DIN 8580 (from memory); the cautions: common practice and the public guidance
named in `tests/published/test_cautions_guidance.py`.
"""

from __future__ import annotations

from enum import Enum

from qlog.frozen import frozen
from qlog.review.cautions.caution import Caution as Mind


class ProcessGroup(Enum):
    """Main groups of DIN 8580, and what lies outside them."""

    PRIMARY_SHAPING = 1
    FORMING = 2
    SEPARATING = 3
    JOINING = 4
    COATING = 5
    CHANGING_PROPERTIES = 6
    OTHER = 7


@frozen
class Process:
    """One process: how it is recognised, and what can hurt there. No cautions: harmless."""

    id: str
    group: ProcessGroup
    stems: tuple[str, ...]
    cautions: tuple[Mind, ...]
    only_as_kind: tuple[str, ...] = ()  # whole kinds that would mean little within a name
    makes_dust: bool = False  # of the part's material


_TURN = (Mind.SPINDLE, Mind.SWARF)
_DRILL = (Mind.SPINDLE, Mind.BREAKTHROUGH)
_MILL = (Mind.SPINDLE, Mind.CUTTER)
_HEAT = (Mind.HOT, Mind.FUMES, Mind.FLAME)
_BATH = (Mind.EYES, Mind.ACID, Mind.FUMES, Mind.DISPOSAL)
_G = ProcessGroup

PROCESSES: tuple[Process, ...] = (
    Process("casting", _G.PRIMARY_SHAPING,
            ("cast.", "casting", "molten", "pour", "giess", "*guss", "gegossen", "schmelz"),
            (Mind.EYES, Mind.MOLTEN, Mind.HOT, Mind.FUMES, Mind.LICENSED)),
    Process("resin casting", _G.PRIMARY_SHAPING,
            ("resin", "epoxy", "potting", "giessharz", "harz", "epoxid", "vergiess"),
            (Mind.EYES, Mind.ADHESIVE, Mind.FUMES, Mind.DISPOSAL)),
    Process("sintering", _G.PRIMARY_SHAPING,
            ("sinter", "additive", "3d print", "3d druck", "pulverbett"),
            (Mind.EYES, Mind.HOT, Mind.FUMES, Mind.METAL_DUST)),
    Process("forging", _G.FORMING, ("forg", "schmied", "*schmied", "blacksmith", "warmumform"),
            (Mind.EYES, Mind.HOT, Mind.FORMING, Mind.NOISE, Mind.FUMES, Mind.FLAME)),
    Process("bending", _G.FORMING,
            ("bend", "bieg", "*bieg", "abkant", "folding", "straighten", "richten", "ausricht"),
            (Mind.EYES, Mind.FORMING, Mind.STORED_ENERGY, Mind.EDGES)),
    Process("hammering", _G.FORMING,
            ("hammer", "planish", "raising", "peen", "swag", "treiben", "haemmern", "getrieben"),
            (Mind.EYES, Mind.FORMING, Mind.NOISE)),
    Process("metal spinning", _G.FORMING,
            ("spinning", "metal spin", "spun", "druecken", "metalldrueck", "drueckwalz"),
            (Mind.SPINDLE, Mind.MANDREL)),
    Process("rolling", _G.FORMING, ("rolling", "roll form", "walz", "*walzen"),
            (Mind.EYES, Mind.FORMING)),
    Process("knurling", _G.FORMING, ("knurl", "raendel", "kordel"), _TURN),
    Process("punching", _G.SEPARATING, ("punch", "blanking", "nibbl", "stanz", "*stanz", "lochen"),
            (Mind.EYES, Mind.PRESS, Mind.EDGES, Mind.NOISE), only_as_kind=("stamp",)),
    Process("shearing", _G.SEPARATING,
            ("shear", "guillotin", "snip", "scheren", "scherschneid", "tafelscher", "blechscher"),
            (Mind.EYES, Mind.PRESS, Mind.EDGES)),
    Process("turning", _G.SEPARATING,
            ("turn.", "turning", "turned", "form turn", "lathe", "dreh", "*drehen", "*gedreht",
             "facing", "face.", "faced", "plandreh", "thread", "gewinde", "boring", "bore.",
             "bored", "recess", "groov", "einstech", "freistich"),
            _TURN, makes_dust=True),
    Process("parting off", _G.SEPARATING,
            ("parting", "part off", "parted off", "cut off", "cutoff", "abstech", "abgestoch"),
            (*_TURN, Mind.PARTING), only_as_kind=("part",)),
    Process("turning on a mandrel", _G.SEPARATING,
            ("mandrel", "form turn", "arbor", "expanding", "dorn", "*spanndorn", "formdreh"),
            (Mind.SPINDLE, Mind.MANDREL)),
    Process("woodturning", _G.SEPARATING, ("woodturn", "wood turn", "drechsel", "*drechsel"),
            (Mind.SPINDLE, Mind.WOODTURNING, Mind.WOOD_DUST, Mind.NOISE)),
    Process("drilling", _G.SEPARATING,
            ("drill", "bohr", "*bohr", "countersink", "counterbor", "senken", "versenk", "ansenk",
             "spot fac", "zentrier"),
            _DRILL, makes_dust=True),
    Process("reaming", _G.SEPARATING, ("ream", "reib", "aufreib", "ausreib"), _DRILL),
    Process("tapping", _G.SEPARATING,
            ("tap.", "tapping", "tapped", "gewindebohr", "gewindeschneid", "die cutting"), _DRILL),
    Process("milling", _G.SEPARATING,
            ("mill.", "milling", "milled", "fraes", "*fraes", "indexing", "index.", "teilapparat",
             "hobbing", "fly cut", "slotting", "routing", "router", "gravierfraes"),
            _MILL, makes_dust=True),
    Process("sawing", _G.SEPARATING,
            ("saw", "saeg", "*saeg", "bandsaw", "hacksaw", "ablaeng", "zugeschnitten",
             "zuschnitt", "cut to length"),
            (Mind.EYES, Mind.SAW, Mind.EDGES, Mind.NOISE), makes_dust=True),
    Process("shaping and planing", _G.SEPARATING,
            ("shaper", "shaping", "planing", "planer", "broach", "hobel", "*hobeln", "raeumen",
             "*raeumen", "nutenstoss", "stossen"),
            (Mind.EYES, Mind.RECIPROCATING, Mind.SWARF)),
    Process("filing", _G.SEPARATING,
            ("file.", "filing", "filed", "feil", "*feilen", "scraping", "scraper", "schab",
             "chisel", "meissel", "carv", "schnitz"),
            (Mind.EYES, Mind.EDGES), makes_dust=True),
    Process("deburring", _G.SEPARATING,
            ("deburr", "debur", "break edge", "entgrat", "kanten brech", "kantenbrech"),
            (Mind.EYES, Mind.EDGES)),
    Process("grinding", _G.SEPARATING,
            ("grind", "ground", "schleif", "*rundschleif", "*flachschleif", "*planschleif",
             "*anschleif", "*abschleif", "*nachschleif", "einschleif", "nassschleif", "feinschleif",
             "werkzeugschleif", "schliff", "sharpen", "schaerf", "linish"),
            (Mind.SPINDLE, Mind.WHEEL, Mind.SPARKS, Mind.DUST, Mind.NOISE), makes_dust=True),
    Process("sanding", _G.SEPARATING,
            ("sand.", "sanding", "sanded", "emery", "abrasive cloth", "schmirgel", "bandschleif",
             "belt grind", "belt finish"),
            (Mind.SPINDLE, Mind.ABRASIVE, Mind.DUST, Mind.NOISE), makes_dust=True),
    Process("honing and lapping", _G.SEPARATING,
            ("hone.", "honing", "honed", "lap.", "lapping", "lapped", "honen", "gehont", "laepp",
             "*laepp"),
            (Mind.EYES, Mind.ABRASIVE, Mind.SOLVENT)),
    Process("polishing", _G.SEPARATING,
            ("polish", "polier", "handpolier", "hochglanz", "spiegelpolier", "feinpolier"),
            (Mind.SPINDLE, Mind.ABRASIVE, Mind.DUST), makes_dust=True),
    Process("buffing", _G.SEPARATING,
            ("buff", "mop.", "wire brush", "wire wheel", "schwabbel", "*schwabbel", "polierscheib",
             "drahtbuerst"),
            (Mind.SPINDLE, Mind.BUFF, Mind.DUST, Mind.NOISE), makes_dust=True),
    Process("tumbling", _G.SEPARATING,
            ("tumbl", "barrel finish", "vibratory", "gleitschleif", "trommel"),
            (Mind.EYES, Mind.NOISE, Mind.DISPOSAL)),
    Process("blasting", _G.SEPARATING,
            ("blast", "*blast", "strahlen", "*strahlen", "gestrahlt"),
            (Mind.EYES, Mind.BLAST, Mind.DUST, Mind.NOISE, Mind.COMPRESSED_AIR), makes_dust=True),
    Process("water jet cutting", _G.SEPARATING, ("water jet", "waterjet", "wasserstrahl"),
            (Mind.EYES, Mind.JET, Mind.STORED_ENERGY, Mind.NOISE, Mind.LICENSED)),
    Process("laser work", _G.SEPARATING, ("laser", "*laser"),
            (Mind.LASER, Mind.FUMES, Mind.FLAME)),
    Process("spark erosion", _G.SEPARATING,
            ("edm.", "spark ero", "wire ero", "erodier", "*erodier", "funkenero"),
            (Mind.EYES, Mind.ELECTRICITY, Mind.FUMES, Mind.FLAME)),
    Process("thermal cutting", _G.SEPARATING,
            ("flame cut", "thermal cut", "oxy", "plasma", "gas cut", "brennschneid",
             "autogen", "brennen"),
            (Mind.EYES, Mind.ARC, Mind.GAS, Mind.HOT, Mind.FUMES, Mind.FLAME, Mind.NOISE)),
    Process("etching", _G.SEPARATING, ("etch", "aetz", "*aetz"), (*_BATH,)),
    Process("electropolishing", _G.SEPARATING,
            ("electropolish", "electro polish", "elektropolier", "elektrolytisch"),
            (*_BATH, Mind.ELECTRICITY, Mind.LICENSED)),
    Process("pickling", _G.SEPARATING, ("pickl", "descal", "beiz", "*beizen", "acid", "saeure"),
            (*_BATH,)),
    Process("degreasing", _G.SEPARATING,
            ("degreas", "solvent", "white spirit", "acetone", "entfett", "loesemittel", "aceton"),
            (Mind.EYES, Mind.SOLVENT, Mind.DISPOSAL)),
    Process("cleaning", _G.SEPARATING,
            ("clean", "wash.", "washing", "ultrasonic", "reinig", "wasch", "putzen", "ultraschall"),
            (Mind.EYES, Mind.SOLVENT, Mind.DISPOSAL)),
    Process("blowing off", _G.SEPARATING,
            ("compressed air", "blow.", "blowing", "air gun", "druckluft", "pressluft", "abblas",
             "ausblas"),
            (Mind.EYES, Mind.COMPRESSED_AIR, Mind.STORED_ENERGY, Mind.NOISE)),
    Process("pressing", _G.JOINING,
            ("press.", "pressing", "pressed", "press fit", "force fit", "interference fit",
             "pressen",
             "*pressen", "*presst", "presspass", "pressverb"),
            (Mind.EYES, Mind.PRESS, Mind.STORED_ENERGY)),
    Process("shrinking", _G.JOINING, ("shrink", "schrumpf", "*schrumpf", "heat fit", "cold fit"),
            (Mind.EYES, Mind.HOT, Mind.STORED_ENERGY)),
    Process("riveting", _G.JOINING,
            ("rivet", "niet", "vernieten", "staking", "crimp", "verstemm"),
            (Mind.EYES, Mind.FORMING, Mind.NOISE)),
    Process("welding", _G.JOINING, ("weld", "schweiss", "*schweiss", "tig.", "mig.", "wig."),
            (Mind.EYES, Mind.ARC, Mind.HOT, Mind.FUMES, Mind.FLAME, Mind.GAS, Mind.ELECTRICITY,
             Mind.LICENSED)),
    Process("brazing", _G.JOINING, ("braz", "silver solder", "hartloet", "hard solder"),
            (Mind.EYES, *_HEAT, Mind.GAS, Mind.DISPOSAL)),
    Process("soldering", _G.JOINING, ("solder", "loet", "weichloet", "verloet"),
            (Mind.EYES, *_HEAT, Mind.ELECTRICITY)),
    Process("gluing", _G.JOINING,
            ("glu", "bond", "adhes", "kleb", "*kleb", "verkleb", "leim", "verleim", "cement",
             "threadlock", "retaining compound", "schraubensicher"),
            (Mind.EYES, Mind.ADHESIVE, Mind.SOLVENT, Mind.DISPOSAL)),
    Process("assembly", _G.JOINING,
            ("assembl", "fitting", "screw", "bolt", "montage", "montier", "*montage",
             "zusammenbau", "zusammensetz", "fuegen",
             "schraub", "verschraub", "einbau"),
            (Mind.EDGES, Mind.STORED_ENERGY)),
    Process("plating", _G.COATING,
            ("plating", "plated", "electroplat", "galvan", "*galvan", "vernick", "verchrom",
             "verzink", "vergold", "versilber", "verkupfer", "nickel plat", "chrom plat",
             "gilding"),
            (*_BATH, Mind.ELECTRICITY, Mind.LICENSED), only_as_kind=("plate",)),
    Process("anodising", _G.COATING,
            ("anodi", "eloxal", "eloxier", "*eloxier", "hard coat"),
            (*_BATH, Mind.ELECTRICITY, Mind.LICENSED)),
    Process("blackening", _G.COATING,
            ("blacken", "black oxid", "bruenier", "*bruenier", "schwaerz", "phosphat", "patin",
             "chemical blu",
             "hot blu", "browning"),
            (*_BATH, Mind.SALTS, Mind.LICENSED), only_as_kind=("black",)),
    Process("lacquering", _G.COATING,
            ("lacquer", "paint", "varnish", "spray", "powder coat", "lack.", "lackier", "klarlack",
             "anstrich", "streichen", "spritzen", "pulverbesch", "primer", "grundier"),
            (Mind.EYES, Mind.SPRAY, Mind.SOLVENT, Mind.FLAME, Mind.DISPOSAL)),
    Process("oiling and waxing", _G.COATING,
            ("oiling", "oiled", "oil.", "wax", "oelen", "geoelt", "einoel", "wachs", "*wachsen",
             "linseed", "leinoel", "shellac", "schellack"),
            (Mind.OILY_RAGS, Mind.SOLVENT)),
    Process("heat bluing", _G.CHANGING_PROPERTIES,
            ("blu.", "bluing", "blueing", "blued", "heat blu", "blau anlassen", "anlassfarb",
             "blaeuen", "geblaeut"),
            (Mind.EYES, *_HEAT, Mind.SALTS), only_as_kind=("blue",)),
    Process("hardening", _G.CHANGING_PROPERTIES,
            ("harden", "haert", "*haert", "quench", "abschreck", "verguet", "heat treat",
             "waermebehand", "*waermebehand", "solution treat"),
            (Mind.EYES, Mind.HOT, Mind.FUMES, Mind.QUENCH, Mind.FLAME, Mind.SALTS, Mind.LICENSED),
            only_as_kind=("heat",)),
    Process("carburising", _G.CHANGING_PROPERTIES,
            ("carburi", "carbonitr", "case harden", "aufkohl", "einsatzhaert",
             "carbonitrier"),
            (Mind.EYES, Mind.HOT, Mind.FUMES, Mind.QUENCH, Mind.FLAME, Mind.GAS, Mind.SALTS,
             Mind.LICENSED)),
    Process("nitriding", _G.CHANGING_PROPERTIES, ("nitrid", "nitrier", "*nitrier", "nitrocarb"),
            (Mind.EYES, Mind.HOT, Mind.FUMES, Mind.GAS, Mind.SALTS, Mind.LICENSED)),
    Process("tempering", _G.CHANGING_PROPERTIES,
            ("temper.", "tempering", "tempered", "anlassen", "angelassen", "ageing", "auslager"),
            (Mind.EYES, *_HEAT)),
    Process("annealing", _G.CHANGING_PROPERTIES,
            ("anneal", "normalis", "normaliz", "stress reliev", "glueh", "*glueh", "ausglueh"),
            (Mind.EYES, *_HEAT)),
    Process("inspection", _G.OTHER,
            ("inspect", "measur", "check", "photograph", "pack", "weigh", "messen", "messung",
             "vermess", "pruef", "*pruef", "kontroll", "sicht", "fotograf", "verpack", "wiegen"),
            ()),
    Process("marking", _G.OTHER,
            ("mark.", "marking", "marked", "scrib", "engrav", "number", "layout", "anreiss",
             "gravier", "beschrift", "kennzeichn", "markier", "nummerier", "sign."),
            ()),
)  # fmt: skip
