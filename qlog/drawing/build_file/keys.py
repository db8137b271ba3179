"""Every key of build.toml as data: type, unit, default, bounds and an example, for the reference.

The readers decide; a test reads every example, holds every default against what the readers take,
and finds a key that the readers know and this table does not.
"""

from __future__ import annotations

from qlog.drawing.build_file import bounds
from qlog.frozen import frozen

REQUIRED = "required"


@frozen
class Key:
    """One key of a table; `example` is a TOML value as it is typed."""

    name: str
    kind: (
        str  # "text", "id", "whole number", "number", "yes or no", "callout", "limits", "list ..."
    )
    default: str  # what holds when it is not written; REQUIRED, or "" for nothing
    example: str
    meaning: str
    unit: str = ""

    @property
    def required(self) -> bool:
        """Whether the file is refused without it."""
        return self.default == REQUIRED


@frozen
class KeyTable:
    """One kind of table: its header as it is typed, and its keys in the order of the file."""

    path: str  # as in `bounds`: "part.dim"; "" for the head of the file
    header: str
    meaning: str
    keys: tuple[Key, ...]


def bound(table: KeyTable, key: Key) -> str:
    """The least and the most of a key in words; "" where there is nothing to say."""
    if key.kind == "whole number":
        least, most = bounds.whole(table.path, key.name)
        return f"{least} to {most}"
    if key.kind == "number":
        found = bounds.number(table.path, key.name)
        return f"{found[0]:f} to {found[1]:f}" if found else ""
    if key.kind in ("text", "id", "callout", "limits"):
        return f"to {bounds.longest(table.path, key.name)} characters"
    if key.kind.startswith("list"):
        return f"to {bounds.ENTRIES} entries"
    return ""


def markdown() -> str:
    """The whole reference as Markdown: a section and a table of keys for each kind of table."""
    parts: list[str] = []
    for table in TABLES:
        parts += [f"## `{table.header}`" if table.header else "## Head of the file", ""]
        parts += [
            table.meaning,
            "",
            "| key | type | unit | default | bounds | example | what it is |",
        ]
        parts.append("|---|---|---|---|---|---|---|")
        for key in table.keys:
            default = key.default if key.required or not key.default else f"`{key.default}`"
            cells = (
                f"`{key.name}`", key.kind, key.unit, default, bound(table, key),
                f"`{key.example}`", key.meaning,
            )  # fmt: skip
            parts.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
        parts.append("")
    return "\n".join(parts)


_HEAD = KeyTable(
    "",
    "",
    "Above the first table. `title` and one `[[part]]` are all that a build needs.",
    (
        Key("title", "text", REQUIRED, '"Eight table candlesticks"', "what the set is called"),
        Key("maker", "text", "", '"A home workshop"', "who makes it, as the record shows it"),
        Key("recipient", "text", "", '"The choir"', "whom it is for"),
        Key("person", "text", "", '"Ada"', "who enters, where nobody else is said: `--person`"),
        Key("occasion", "text", "", '"The hundredth season"', "what it is given for"),
        Key("units", "choice", '"mm"', '"inch"',
            'unit of callouts that name none: "mm", "inch" or "in"'),
        Key("general", "text", '""', '"ISO 2768-m"',
            "tolerance of a dimension that carries none: `ISO 2768-f`, `-m`, `-c`, `-v`; a title "
            "block by decimals, `.XX ±.01, .XXX ±.005, angles ±1°, fractions ±1/64`; or one for "
            "every size, `ISO 22081 ±0.1, angles ±0.5°`"),
        Key("rule", "choice", '"guarded"', '"simple"',
            '"guarded": limits narrowed by the uncertainty (ISO 14253-1); "simple": as they are'),
        Key("conformance", "number", "0.95", "0.99",
            "probability that a reading called good is good; above 0.5, 0.999999 at most"),
        Key("temperature", "text", '""', '"20 ±3"',
            "where it is measured when no temperature is given: middle and range; part and "
            "instrument grow differently, and what that leaves goes into every uncertainty",
            "°C"),
        Key("language", "choice", '"en"', '"de"', 'of screen, paper and record: "en", "de"'),
        Key("paper", "choice", "by the units", '"letter"',
            'paper that sheets, cards and the record are printed on: "a4" or "letter"'),
        Key("timezone", "text", '""', '"Europe/Berlin"',
            "IANA time zone of photos whose camera does not say; else the computer's"),
        Key("photo-formats", "list of texts", "[]", '["webp", "avif"]',
            "photo formats in the record besides JPEG"),
        Key("dedication", "text", "", '"For those who sing here."', "stands on the cover"),
        Key("ask", "text", "", '"The maker, as long as there is one; then any turner."',
            "whom to ask when something breaks, for the recipient"),
        Key("safety", "list of texts", "[]", '["candle"]',
            "how use can hurt: `candle`, `blade`, `small parts` have a caution of their own; "
            "or a sentence"),
        Key("address", "text", "", '"https://example.org/candlesticks/"',
            "where the recipient's edition is published: codes on the cards lead there"),
    ),
)  # fmt: skip

_OBJECT = KeyTable(
    "object",
    "[object]",
    "Facts for the recipient, each under a label of your own.",
    (Key("*", "text", "", '"Turned and polished by hand"', 'any label: `"Marks" = "1 to 8"`'),),
)

_CREDIT = KeyTable(
    "credit",
    "[[credit]]",
    "Who did what, as the recipient reads it.",
    (
        Key("who", "text", REQUIRED, '"The maker"', "person or workshop"),
        Key("what", "text", REQUIRED, '"drawings and turning"', "what they did"),
        Key("portrait", "text", "", '"letter/maker.jpg"',
            "a picture of them; people are shown only where it is named here"),
    ),
)  # fmt: skip

_MATERIAL = KeyTable(
    "material",
    "[material.NAME]",
    "A material; parts refer to it by its name.",
    (
        Key("name", "text", "NAME", '"brass CW614N"', "as the record shows it"),
        Key("kind", "text", "", '"brass C36000 free-cutting"',
            "looks the thermal expansion up in the table that ships with qlog"),
        Key("expansion", "number", "", "20.5", "thermal expansion; goes before `kind`", "1e-6/K"),
        Key("care", "text", "", '"Keep it dry."', "how to care for it, for the recipient"),
    ),
)  # fmt: skip

_INSTRUMENT = KeyTable(
    "instrument",
    "[instrument.NAME]",
    "What takes readings; dimensions refer to it by its name.",
    (
        Key("name", "text", "NAME", '"Micrometer 0-25 mm"', "as screen and record show it"),
        Key("kind", "text", "NAME", '"micrometer"',
            "caliper, micrometer, bore gauge, plug gauge, eye ...: entry checks hang on it"),
        Key("unit", "choice", "that of the build", '"um"',
            '"mm", "inch", "deg", "um", "uin", "HRC" ..., "g", "kg", "oz", "lb", "GU", "" '
            "for go/no-go"),
        Key("step", "number", "", "0.001", "smallest step of the display", "of the instrument"),
        Key("error", "number", "", "0.004", "largest permissible error, plus and minus",
            "of the instrument"),
        Key("expansion", "number", "", "11.5", "its own thermal expansion", "1e-6/K"),
        Key("note", "text", "", '"certificate in the drawer"', "for the maker"),
    ),
)  # fmt: skip

_PART = KeyTable(
    "part",
    "[[part]]",
    "One drawing, made `needed` + `spare` times; its pieces are called ID-1, ID-2 ...",
    (
        Key("id", "id", REQUIRED, '"cup"', "typed at the bench: small letters, digits, hyphens"),
        Key("name", "text", "id", '"Cup"', "as screen and record show it"),
        Key("material", "text", "", '"brass"', "NAME of a material"),
        Key("needed", "whole number", REQUIRED, "8", "pieces that the set needs"),
        Key("spare", "whole number", "0", "2", "pieces made besides"),
        Key("drawing", "text", "", '"TC-03"', "number of the drawing"),
        Key("image", "text", "", '"drawings/cup.svg"',
            "picture of the drawing (PNG, JPEG, SVG), as a path from build.toml on"),
        Key("story", "text", "", '"Holds the candle."', "a sentence for the recipient"),
        Key("finish", "text", "", '"nickel"', "NAME of a finish that it ends in"),
        Key("handled", "yes or no", "false", "true",
            "made to be touched, as a knob is: no advice then to handle it little"),
        Key("again", "text", "", '"Press the stem in last."',
            "what somebody must know who makes one more, for the recipient"),
        Key("general", "text", "that of the build", '"ISO 2768-f"',
            "tolerance of its dimensions that carry none"),
        Key("marks", "list of texts", "[]", '["A", "B", "C"]',
            'what is punched or written on piece 1, 2 ...: they are called by it; or a run, '
            '`"A..H"`, `"41..48"`'),
        Key("mark-place", "text", "", '"on the rim"', "where the mark stands on the piece"),
    ),
)  # fmt: skip

_OP = KeyTable(
    "part.op",
    "[[part.op]]",
    "One step of the part's route, below its [[part]], in the order of the work.",
    (
        Key("number", "whole number", REQUIRED, "20", "its number; numbers rise"),
        Key("name", "text", REQUIRED, '"bore socket"', "what is done"),
        Key("kind", "text", "", '"boring"',
            "turning, boring, milling, polishing, plating ...: cautions hang on it"),
        Key("machine", "text", "", '"lathe"', "where"),
        Key("tool", "text", "", '"boring bar"', "with what"),
        Key("photos", "whole number", "0", "1", "photos wanted of the batch"),
        Key("photos-each", "whole number", "0", "1", "photos wanted of every piece"),
        Key("sent-out", "text", "", '"the plating shop"', "who does it, when not done here"),
        Key("irreversible", "yes or no", "false", "true",
            "asks for enough good pieces before it begins"),
        Key("story", "text", "", '"Black as the night."', "a sentence for the recipient"),
        Key("title", "text", "name", '"The hole for the candle"',
            "what the story calls it, for people"),
        Key("layer", "limits", "", '"5..8 um"', "layer that a finish puts on, as ordered"),
        Key("only", "list of whole numbers", "all pieces", "[1, 2]", "the pieces that get it"),
    ),
)  # fmt: skip

_DIM = KeyTable(
    "part.dim",
    "[[part.dim]]",
    "One thing the drawing asks for, below its [[part]], in the order of the drawing.",
    (
        Key("id", "id", REQUIRED, '"socket"', "typed at the bench"),
        Key("name", "text", "id", '"socket bore"', "as screen and record show it"),
        Key("callout", "callout", REQUIRED, '"Ø22 +0.05/0"', "as on the drawing"),
        Key("op", "whole number", REQUIRED, "20", "number of the operation after which it is read"),
        Key("before", "table", "", '{ op = 10, callout = "Ø21.9 +0.05/0" }',
            "other limits after an earlier operation"),
        Key("until", "list of tables", "[]", '[{ piece = 5, callout = "Ø22 +0.02/0" }]',
            "other limits for the first pieces, by an earlier drawing: `qlog revise` writes it"),
        Key("scatter", "list of tables", "[]", '[{ s = 0.003, df = 18, from = "last year" }]',
            "scatter of an earlier build, used to look for drift: `qlog learn` writes it"),
        Key("instrument", "text", "", '"bore-gauge"', "NAME of an instrument"),
        Key("from", "table", "", '{ rule = "wall", outside = "pin", inside = "bore" }',
            "computed from readings of other dimensions: `qlog manual derived`"),
        Key("measures", "choice", "by the callout", '"inside"',
            '"outside", "inside", "length" or "depth"'),
        Key("at", "list of two numbers", "", "[0.4, 0.2]",
            "where on the drawing picture: from left, from top, 0 to 1"),
        Key("visible", "yes or no", "false", "true", "the recipient sees it: items match in it"),
        Key("unreachable-after", "whole number", "", "20",
            "number of the last operation after which it can be measured"),
        Key("every", "whole number", "1", "3",
            "read on the first piece of a setup and on every third behind it; on all, once one "
            "of them is out"),
        Key("note", "text", "", '"let it cool first"', "for the bench"),
    ),
)  # fmt: skip

_BEFORE = KeyTable(
    "part.dim.before",
    "before = { }",
    "Limits of a dimension after an operation before the finish.",
    (
        Key("op", "whole number", REQUIRED, "10", "number of the operation"),
        Key("callout", "callout", REQUIRED, '"Ø21.9 +0.05/0"', "what holds there"),
    ),
)

_FROM = KeyTable(
    "part.dim.from",
    "from = { }",
    "How a dimension is computed; each name of the rule is a dimension that is read, or a size.",
    (
        Key("rule", "text", REQUIRED, '"wall"', "name of the rule"),
        Key("*", "text", "", '"22 ±0.01"', "a dimension of the part, or a known size"),
    ),
)

_UNTIL = KeyTable(
    "part.dim.until",
    "until = [{ }]",
    "Limits of the finished size for the pieces up to one.",
    (
        Key("piece", "whole number", REQUIRED, "5", "the last piece that they hold for"),
        Key("callout", "callout", REQUIRED, '"Ø22 +0.02/0"', "what holds for it"),
    ),
)

_SCATTER = KeyTable(
    "part.dim.scatter",
    "scatter = [{ }]",
    "How a dimension scattered in an earlier build, at most once for an operation.",
    (
        Key("s", "number", REQUIRED, "0.003", "standard deviation", "of the callout"),
        Key("df", "whole number", REQUIRED, "18", "its degrees of freedom"),
        Key("op", "whole number", "that of the dimension", "20", "the operation it was read after"),
        Key("from", "text", "", '"last year\'s set"', "the build that showed it"),
    ),
)

_JOINT = KeyTable(
    "joint",
    "[[joint]]",
    "Two dimensions that must fit; either `clearance` or `fit` is written.",
    (
        Key("id", "id", REQUIRED, '"sliding"', "typed at the bench"),
        Key("name", "text", "id", '"cup on stem"', "as screen and record show it"),
        Key("inside", "text", REQUIRED, '"cup.bore"', "part.dimension that measures inside"),
        Key("outside", "text", REQUIRED, '"cup.pin"', "part.dimension that measures outside"),
        Key("clearance", "limits", "", '"0.01..0.05"', "inside - outside; interference below 0"),
        Key("fit", "text", "", '"H7/g6"', "an ISO 286 fit in place of `clearance`"),
        Key("apart", "text", "", '"The cup lifts off."', "how it comes apart, for the recipient"),
    ),
)  # fmt: skip

_STACK = KeyTable(
    "stack",
    "[[stack]]",
    "Dimensions that add up to an overall size.",
    (
        Key("id", "id", REQUIRED, '"height"', "typed at the bench"),
        Key("name", "text", "id", '"overall height"', "as screen and record show it"),
        Key("add", "list of texts", REQUIRED, '["cup.height"]', "part.dimension, one or several"),
        Key("subtract", "list of texts", "[]", '["cup.pin"]', "part.dimension that comes off"),
        Key("callout", "callout", REQUIRED, '"30 ±0.4"', "what the sum has to be"),
    ),
)

_ITEM = KeyTable(
    "item",
    "[[item]]",
    "Finished things that are alike, put together from pieces.",
    (
        Key("id", "id", REQUIRED, '"bright"', "items are called ID-1, ID-2 ..."),
        Key("name", "text", "id", '"Bright candlestick"', "as the record shows it"),
        Key("count", "whole number", REQUIRED, "4", "how many"),
        Key("takes", "table", REQUIRED, "{ cup = 1 }",
            "ids of parts, or of other items, and how many go into one"),
        Key("only", "table", "", "{ cup = [1, 2, 3, 4] }", "pieces reserved for these items"),
        Key("marks", "list of texts", "[]", '["No. 1", "No. 2"]',
            'what stands on the items, in their order: the title of each, and the address of its '
            'page; or a run, `"No. 1..No. 4"`'),
        Key("mark-place", "text", "", '"under the foot"', "where the mark stands on the item"),
    ),
)  # fmt: skip

_TAKES = KeyTable(
    "item.takes",
    "takes = { }",
    "What goes into one item.",
    (Key("*", "whole number", "", "1", "any part id, or the id of another item"),),
)

_ONLY = KeyTable(
    "item.only",
    "only = { }",
    "Pieces that are kept for the items of one group.",
    (Key("*", "list of whole numbers", "", "[1, 2, 3, 4]", "any part id of `takes`"),),
)

_KEEP = KeyTable(
    "keep",
    "[[keep]]",
    "Pieces kept together or apart when items are matched; one of the two is written.",
    (
        Key("together", "list of texts", "[]", '["cup-3", "cup-4"]', "pieces of one item"),
        Key("apart", "list of texts", "[]", '["cup-1", "cup-2"]', "pieces never in one item"),
    ),
)

_LETTER = KeyTable(
    "letter",
    "[letter]",
    "A letter from the maker, as text, as a picture of the sheet, or both. Files lie in the "
    "build's folder.",
    (
        Key("text", "text", "", '"letter/letter.txt"', "a plain text (UTF-8)"),
        Key("scan", "text", "", '"letter/letter.jpg"', "the sheet, photographed: JPEG or PNG"),
    ),
)  # fmt: skip

_VOICE = KeyTable(
    "voice",
    "[voice]",
    "A recording of the maker, played by the browser.",
    (
        Key("file", "text", REQUIRED, '"letter/voice.mp3"',
            "MP3 or M4A; tags and pictures in it are left out of the record"),
        Key("transcript", "text", "", '"letter/voice.txt"', "what is said in it, as a plain text"),
    ),
)  # fmt: skip

_CHAPTER = KeyTable(
    "chapter",
    "[[chapter]]",
    "A piece of the story that no operation tells.",
    (
        Key("title", "text", REQUIRED, '"Why eight"', "its heading"),
        Key("text", "text", "", '"It began with a lamp."', "an empty line begins a new paragraph"),
        Key("at", "text", '"beginning"', '"2026-07-24"',
            "where it stands: a day, `beginning`, `assembly`, `first use` or `handing over`"),
        Key("photos", "list of texts", "[]", '["letter/sketch.jpg", "photo 12"]',
            "pictures: JPEG or PNG; or photos of the log, by their number or their file's name"),
    ),
)  # fmt: skip

_MEMORY = KeyTable(
    "memory",
    "[[memory]]",
    "A photo and a line from those whom the set is for.",
    (
        Key("photo", "text", "", '"letter/first-evening.jpg"',
            "a picture, JPEG or PNG; or a photo of the log: `photo 12`"),
        Key("line", "text", REQUIRED, '"The first evening."', "what they say about it"),
        Key("item", "text", "", '"set-1"', "the item that it is of, by its id; else of all"),
    ),
)  # fmt: skip

_ACCEPTED = KeyTable(
    "accepted",
    "[[accepted]]",
    "Why a piece outside its drawing is in the set, said to those who receive it.",
    (
        Key("piece", "text", REQUIRED, '"cup-3"', "the piece"),
        Key("why", "text", REQUIRED, '"A hair taller, which nobody sees."', "in their words"),
    ),
)  # fmt: skip

_FINISH = KeyTable(
    "finish",
    "[finish.NAME]",
    "A surface that parts end in; parts refer to it by its name.",
    (
        Key("name", "text", "NAME", '"bright nickel"', "as the record shows it"),
        Key("kind", "choice", '""', '"nickel"',
            "advice on care hangs on it: nickel, chrome, wax, lacquer, paint, oil, bluing, "
            "anodising, bare"),
        Key("care", "text", "", '"Warm water and a soft cloth."', "in place of that advice"),
    ),
)  # fmt: skip

#: Every table, in the order of the file.
TABLES = (
    _HEAD, _OBJECT, _CREDIT, _LETTER, _VOICE, _CHAPTER, _MEMORY, _ACCEPTED, _MATERIAL, _FINISH,
    _INSTRUMENT, _PART, _OP, _DIM, _BEFORE, _FROM, _UNTIL, _SCATTER,
    _JOINT, _STACK, _ITEM, _TAKES, _ONLY, _KEEP,
)  # fmt: skip
