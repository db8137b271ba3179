"""Reading build.toml into the typed plan, with every mistake of the file in one run."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

from qlog.drawing.callout import Callout, CalloutError, Kind, parse, parse_fit, parse_limits
from qlog.drawing.entry import Entry
from qlog.drawing.limits import Limits
from qlog.drawing.mistakes import Mistake, Notes, Place, PlanError, one_of
from qlog.drawing.plan import (
    Ban,
    Build,
    Credit,
    Dimension,
    Feature,
    Instrument,
    ItemGroup,
    Joint,
    Material,
    Operation,
    Part,
    Requirement,
    Rule,
    Stack,
)
from qlog.drawing.units import Unit

__all__ = ["Mistake", "PlanError", "check", "load", "load_text"]

FILE_NAME = "build.toml"
PICTURES = (".png", ".jpg", ".jpeg", ".svg")
MEASURES = ("outside", "inside", "length", "depth")
PHOTO_FORMATS = ("webp", "avif")

_UNITS = {"mm": Unit.MM, "inch": Unit.INCH, "in": Unit.INCH}
_ID = re.compile(r"(?=.*[a-z])[a-z0-9]+(?:-[a-z0-9]+)*\Z")
_PIECE_LIKE = re.compile(r".*-[0-9]+\Z")
_PIECE = re.compile(r"(?P<part>.+)-(?P<number>[1-9][0-9]{0,3})\Z")
_GENERAL = re.compile(r"(?:ISO ?2768 ?(?:-1 ?)?[- ]? ?)?([fmcv])([HKL])?\Z")
_SIZES = (Kind.LENGTH, Kind.DIAMETER, Kind.RADIUS, Kind.DEPTH)


def load(path: Path, *, lines: bool = False) -> Build:
    """Read a build.toml, or the build.toml of a folder.

    `lines` fills in the `line` of parts, operations, dimensions and so on, which costs a second
    reading of the file; without it they are 0. Raises PlanError with every mistake of the file.
    """
    if path.is_dir():
        path = path / FILE_NAME
    return load_text(_text_of(path), path.parent, path.name, lines=lines)


def load_text(text: str, folder: Path, name: str = FILE_NAME, *, lines: bool = False) -> Build:
    """Read the text of a build.toml that belongs to `folder`. Raises PlanError."""
    notes = Notes()
    build = _reader(text, folder, name, notes, lines).build()
    if notes.serious:
        raise PlanError(_listed(notes, text, name))
    return build


def check(path: Path) -> tuple[Mistake, ...]:
    """Every mistake and warning of a build.toml, in the order of its lines; empty when it is fine.

    Warnings are about what can be read but should be looked at before cutting.
    """
    if path.is_dir():
        path = path / FILE_NAME
    try:
        text = _text_of(path)
        notes = Notes()
        reader = _reader(text, path.parent, path.name, notes, False)
    except PlanError as error:
        return error.mistakes
    from qlog.drawing.checks import before_cutting

    before_cutting(reader.build(), reader.places, notes)
    return _listed(notes, text, path.name)


def _listed(notes: Notes, text: str, name: str) -> tuple[Mistake, ...]:
    if not notes:
        return ()
    from qlog.drawing.positions import Lines

    return notes.listed(Lines(text).of, name)


def _text_of(path: Path) -> str:
    """The file as text. Raises PlanError when it cannot be had."""
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        mistake = Mistake(0, "", f"there is no {path}", "`qlog new` writes one", file=path.name)
        raise PlanError((mistake,)) from None
    except OSError as error:
        why = error.strerror or str(error)
        mistake = Mistake(0, "", f"{path} cannot be read: {why}", "", file=path.name)
        raise PlanError((mistake,)) from None
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        start = raw.rfind(b"\n", 0, error.start) + 1
        shown = raw[start:].split(b"\n", 1)[0].decode("utf-8", "replace").strip()
        mistake = Mistake(
            line, shown, "this line is not UTF-8", "save the file as UTF-8", file=path.name
        )
        raise PlanError((mistake,)) from None


def _reader(text: str, folder: Path, name: str, notes: Notes, lines: bool) -> _Reader:
    """A reader of the text. Raises PlanError when the text is no TOML."""
    try:
        data = tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        from qlog.drawing.syntax import syntax_mistakes

        raise PlanError(syntax_mistakes(text, str(error), name)) from None
    line_of: Callable[[Place], int] = _no_line
    if lines:
        from qlog.drawing.positions import Lines

        line_of = Lines(text).of
    return _Reader(Entry(data, (), notes), folder, text, line_of)


def _no_line(_: Place) -> int:
    return 0


class _Reader:
    """Reads the file from top to bottom; later tables refer to what was read before them."""

    def __init__(
        self, top: Entry, folder: Path, text: str, line_of: Callable[[Place], int]
    ) -> None:
        self.top = top
        self.notes = top.notes
        self.folder = folder
        self.text = text
        self.line_of = line_of
        self.unit = Unit.MM
        self.general = ""
        self.materials: dict[str, Material | None] = {}
        self.instruments: dict[str, Instrument | None] = {}
        #: Ids as written, for those too that could not be read: one mistake, one message.
        self.parts: dict[str, Part | None] = {}
        self.dimensions: dict[str, dict[str, Dimension | None]] = {}
        #: Whether the operations of the part at hand could all be read.
        self.route_is_sure = True
        #: Where joints (their fit), stacks and items stand, by what they are and their id.
        self.places: dict[tuple[str, str], Place] = {}

    def build(self) -> Build:
        """The whole build, as far as it could be read."""
        top = self.top
        title = top.text("title", required=True)
        maker, recipient = top.text("maker"), top.text("recipient")
        occasion = top.text("occasion")
        self.unit = _UNITS[top.choice("units", "mm", _UNITS)]
        self.general = self._general(top)
        rule = Rule(top.choice("rule", "guarded", [r.value for r in Rule]))
        conformance = top.number("conformance")
        if conformance is not None and not Decimal("0.5") <= conformance < 1:
            top.error(
                "conformance",
                f"conformance = {conformance} is no probability for a decision",
                "0.5 or more and below 1, usually 0.95",
            )
        language = top.text("language", "en")
        timezone = self._timezone()
        formats = self._photo_formats()
        materials = self._materials()
        instruments = self._instruments()
        parts = self._parts()
        joints = self._named_list("joint", self._joint)
        stacks = self._named_list("stack", self._stack)
        groups = self._named_list("item", self._group)
        self._enough(groups)
        bans = tuple(b for e in top.entries("keep") if (b := self._ban(e)) is not None)
        credits = tuple(self._credit(e) for e in top.entries("credit"))
        facts = self._facts()
        top.close()
        return Build(
            title=title,
            maker=maker,
            recipient=recipient,
            occasion=occasion,
            unit=self.unit,
            general=self.general,
            rule=rule,
            conformance=conformance if conformance is not None else Decimal("0.95"),
            language=language,
            timezone=timezone,
            materials=materials,
            instruments=instruments,
            parts=parts,
            joints=joints,
            stacks=stacks,
            groups=groups,
            bans=bans,
            credits=credits,
            object_record=facts,
            photo_formats=formats,
            folder=self.folder,
            revision=hashlib.sha256(self.text.encode("utf-8")).hexdigest(),
            source=self.text,
        )

    # --- the head of the file -----------------------------------------------------------

    def _general(self, entry: Entry, default: str = "") -> str:
        if entry.get("general") is None:
            return default
        written = entry.text("general")
        if not written:
            return ""
        match = _GENERAL.match(written)
        if match is None:
            entry.error(
                "general",
                f'general = "{written}" is no class of ISO 2768-1',
                '"ISO 2768-f", "ISO 2768-m", "ISO 2768-c", "ISO 2768-v", or "" for none',
            )
            return default
        if match.group(2):
            entry.notes.warn(
                entry.at("general"),
                f"{match.group(2)} of ISO 2768-2 (form and position) is not checked",
                f'"ISO 2768-{match.group(1)}", and every form or position that matters by itself',
                written,
            )
        return match.group(1)

    def _timezone(self) -> str:
        name = self.top.text("timezone")
        if not name:
            return ""
        from zoneinfo import ZoneInfo, available_timezones

        try:
            ZoneInfo(name)
        except (KeyError, OSError, ValueError):
            self.top.error(
                "timezone",
                f'timezone = "{name}" is not known',
                one_of(name, sorted(available_timezones()))
                if "/" in name
                else 'an IANA name such as "Europe/Berlin"',
            )
            return ""
        return name

    def _photo_formats(self) -> tuple[str, ...]:
        formats = self.top.texts("photo-formats")
        for index, name in enumerate(formats):
            if name not in PHOTO_FORMATS:
                self.notes.error(
                    ("photo-formats", index),
                    f'"{name}" is no photo format that can be made besides JPEG',
                    one_of(name, PHOTO_FORMATS),
                    name,
                )
        return formats

    def _materials(self) -> tuple[Material, ...]:
        for id, entry in self.top.named("material"):
            self.materials[id] = None
            self._good_id(entry.place, id, "material")
            expansion = entry.number("expansion")
            kind = entry.text("kind")
            if kind and expansion is None:
                from qlog.drawing import expansion as table

                try:
                    expansion = table.coefficient(kind)
                except table.UnknownMaterial as error:
                    entry.error("kind", error.what, error.accepted)
            self.materials[id] = Material(id, entry.text("name", id), expansion, entry.text("care"))
            entry.close()
        return tuple(m for m in self.materials.values() if m is not None)

    def _instruments(self) -> tuple[Instrument, ...]:
        for id, entry in self.top.named("instrument"):
            self._good_id(entry.place, id, "instrument")
            self.instruments[id] = Instrument(
                id,
                entry.text("name", id),
                entry.text("kind", id.replace("-", " ")),
                self._instrument_unit(entry),
                entry.number("step", least=Decimal(0)),
                entry.number("error", least=Decimal(0)),
                entry.number("expansion"),
                entry.text("note"),
            )
            entry.close()
        return tuple(i for i in self.instruments.values() if i is not None)

    def _instrument_unit(self, entry: Entry) -> Unit:
        known = {
            **_UNITS,
            "deg": Unit.DEGREE,
            "um": Unit.MICROMETRE,
            "µm": Unit.MICROMETRE,
            "uin": Unit.MICROINCH,
            "µin": Unit.MICROINCH,
            "": Unit.NONE,
        }
        default = "inch" if self.unit is Unit.INCH else "mm"
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

    def _credit(self, entry: Entry) -> Credit:
        credit = Credit(entry.text("who", required=True), entry.text("what", required=True))
        entry.close()
        return credit

    # --- parts --------------------------------------------------------------------------

    def _parts(self) -> tuple[Part, ...]:
        entries = self.top.entries("part")
        if not entries:
            self.notes.error((), "there is no part", "[[part]] with id, needed, operations")
        parts = [self._part(entry) for entry in entries]
        return tuple(parts)

    def _part(self, entry: Entry) -> Part:
        again = entry.data.get("id") in self.parts
        id = self._id(entry, "part", self.parts)
        if _PIECE_LIKE.match(id):
            entry.error(
                "id",
                f'part id "{id}" ends like a piece number',
                "an id that does not end in -number, because pieces are called foot-3",
            )
        self.parts.setdefault(id, None)
        material = entry.text("material") or None
        if material is not None and material not in self.materials:
            entry.error(
                "material", f'material "{material}" is not known', one_of(material, self.materials)
            )
        noted = len(self.notes)
        needed = entry.whole("needed", 1, least=1, required=True)
        spare = entry.whole("spare", 0)
        counted = len(self.notes) == noted
        general = self._general(entry, self.general)
        operations = self._operations(entry, needed + spare)
        numbers = [o.number for o in operations]
        known: dict[str, Dimension | None] = {}
        self.dimensions.setdefault(id, known)
        dimensions: list[Dimension] = []
        for index, dim in enumerate(entry.entries("dim")):
            dimension = self._dimension(dim, index + 1, numbers, general, known)
            if dimension is not None:
                dimensions.append(dimension)
        part = Part(
            id=id,
            name=entry.text("name", id),
            material=material,
            needed=needed,
            spare=spare,
            operations=operations,
            dimensions=tuple(dimensions),
            drawing=entry.text("drawing"),
            image=self._image(entry, any(d.at for d in dimensions)),
            story=entry.text("story"),
            general=general,
            line=self.line_of(entry.place),
        )
        entry.close()
        if counted and not again:
            self.parts[id] = part  # else nothing is said about how many pieces there are
        return part

    def _image(self, entry: Entry, positions: bool) -> str:
        image = entry.text("image")
        if not image:
            if positions:
                entry.notes.warn(
                    entry.place,
                    "dimensions have a position, but the part has no drawing picture",
                    'image = "drawings/part.svg"',
                )
            return ""
        path = Path(image)
        if path.is_absolute() or ".." in path.parts or "\\" in image or image[1:2] == ":":
            entry.error("image", f"{image} does not lie in the build's folder",
                        'a path from build.toml on, with /: "drawings/cup.svg"')  # fmt: skip
        elif path.suffix.lower() not in PICTURES:
            entry.error("image", f"{image} is no picture that can be shown", "PNG, JPEG or SVG")
        elif not (self.folder / path).is_file():
            entry.notes.warn(
                entry.at("image"), f"the drawing picture {image} is not there",
                f"a file {self.folder / path}", image,
            )  # fmt: skip
        return image

    def _operations(self, part: Entry, count: int) -> tuple[Operation, ...]:
        entries = part.entries("op")
        if not entries:
            part.notes.error(
                part.place, "the part has no operation", "[[part.op]] with number and name"
            )
        operations: list[Operation] = []
        for entry in entries:
            written = entry.get("number") is not None
            number = entry.whole("number", least=1, required=True)
            if written and number:
                if any(o.number == number for o in operations):
                    entry.error(
                        "number",
                        f"operation number {number} is used twice in this part",
                        f"a number of its own, such as {max(o.number for o in operations) + 10}",
                    )
                elif operations and number < max(o.number for o in operations):
                    entry.error(
                        "number",
                        f"operation {number} stands behind operation {operations[-1].number}",
                        "operations in the order in which they are done, numbers rising",
                    )
            name = entry.text("name", required=True)
            layer = None
            if entry.get("layer") is not None:
                layer = self._limits(entry, "layer")
            operations.append(
                Operation(
                    number=number,
                    name=name,
                    kind=entry.text("kind"),
                    machine=entry.text("machine"),
                    tool=entry.text("tool"),
                    photos=entry.whole("photos"),
                    photos_each=entry.whole("photos-each"),
                    sent_out=entry.text("sent-out"),
                    irreversible=entry.flag("irreversible"),
                    story=entry.text("story"),
                    layer=layer,
                    only=self._only(entry, count),
                    line=self.line_of(entry.place),
                )
            )
            entry.close()
        return tuple(operations)

    def _only(self, entry: Entry, count: int) -> tuple[int, ...]:
        """The pieces that get an operation, where it is not for all of them."""
        numbers = entry.list("only")
        wrong = [n for n in numbers if type(n) is not int or not 1 <= n <= count]
        if wrong or len(set(map(str, numbers))) != len(numbers):
            entry.error(
                "only",
                f"{wrong[0]} is no piece of this part" if wrong else "a piece is named twice",
                f"numbers from 1 to {count}, each once",
            )
            return ()
        return tuple(numbers)

    def _dimension(
        self,
        entry: Entry,
        number: int,
        route: list[int],
        general: str,
        known: dict[str, Dimension | None],
    ) -> Dimension | None:
        id = self._id(entry, "dimension", known)
        known.setdefault(id, None)
        callout = self._callout(entry, "callout", general)
        op = self._op(entry, "op", route)
        if op is None and entry.data.get("op") is None:
            entry.error("op", f'dimension "{id}" is tied to no operation',
                        f"op = {route[-1] if route else 10}, after which it is read")  # fmt: skip
        instrument = entry.text("instrument") or None
        if instrument is not None and instrument not in self.instruments:
            entry.error(
                "instrument",
                f'instrument "{instrument}" is not known',
                one_of(instrument, self.instruments),
            )
        requirements: list[Requirement] = []
        before = entry.entry("before")
        if before is not None:
            earlier = self._callout(before, "callout", general)
            earlier_op = self._op(before, "op", route)
            if before.data.get("op") is None:
                before.error("op", "the limits before the finish have no operation",
                             "before = { op = 20, callout = ... }")  # fmt: skip
            if op is not None and earlier_op is not None and earlier_op >= op:
                before.error(
                    "op",
                    f"the limits before the finish are read after operation {earlier_op}, "
                    f"not before {op}",
                    "an operation before the finish, and op = the finish",
                )
            before.close()
            if earlier is not None and earlier_op is not None:
                requirements.append(Requirement(earlier_op, earlier))
                if callout is not None and earlier.unit is not callout.unit:
                    before.error(
                        "callout",
                        f"{earlier.text} and {callout.text} are not in the same unit",
                        "both sets of limits in one unit",
                    )
        unreachable = self._op(entry, "unreachable-after", route)
        if unreachable is not None and op is not None and unreachable < op:
            entry.error(
                "unreachable-after",
                f"after operation {unreachable} it cannot be reached, but it is read after {op}",
                f"op = {unreachable} or earlier",
            )
        name, note = entry.text("name", id), entry.text("note")
        at, visible = self._at(entry), entry.flag("visible")
        measures = entry.choice("measures", "", ("", *MEASURES))
        entry.close()
        if callout is None or op is None:
            return None
        requirements.append(Requirement(op, callout))
        dimension = Dimension(
            id=id,
            name=name,
            requirements=tuple(requirements),
            instrument=instrument,
            number=number,
            at=at,
            visible=visible,
            unreachable_after=unreachable,
            measures=measures or _measures(callout),
            note=note,
            line=self.line_of(entry.place),
        )
        known[id] = dimension
        return dimension

    def _op(self, entry: Entry, key: str, route: list[int]) -> int | None:
        if entry.get(key) is None:
            return None
        number = entry.whole(key)
        if number not in route:
            if not self.route_is_sure:
                return None  # a mistake in the route is told already
            if isinstance(entry.data[key], (int, str)) and number:
                listed = ", ".join(str(n) for n in dict.fromkeys(route)) or "none"
                entry.error(key, f"the part has no operation {number}", f"one of its own: {listed}")
            elif entry.data[key] == 0:
                entry.error(key, "the part has no operation 0", "a number of its route")
            return None
        return number

    def _at(self, entry: Entry) -> tuple[float, float] | None:
        if entry.get("at") is None:
            return None
        values = entry.list("at")
        if len(values) == 2 and all(
            isinstance(v, (int, Decimal)) and not isinstance(v, bool) and 0 <= v <= 1
            for v in values
        ):
            return float(values[0]), float(values[1])
        entry.error(
            "at", "at is no place on the drawing",
            "at = [0.4, 0.2]: from left and from top, as fractions from 0 to 1",
        )  # fmt: skip
        return None

    # --- how parts come together --------------------------------------------------------

    def _named_list(self, key: str, read: Callable[[Entry, str], Any]) -> tuple[Any, ...]:
        found: dict[str, Any] = {}
        results = []
        for entry in self.top.entries(key):
            id = self._id(entry, key, found)
            found[id] = None
            self.places[key, id] = entry.place
            result = read(entry, id)
            entry.close()
            if result is not None:
                results.append(result)
        return tuple(results)

    def _joint(self, entry: Entry, id: str) -> Joint | None:
        name = entry.text("name", id)
        inside, inner = self._feature(entry, "inside")
        outside, outer = self._feature(entry, "outside")
        for key, dimension in (("inside", inner), ("outside", outer)):
            if dimension is not None and dimension.measures != key:
                written = entry.data[key]
                entry.error(
                    key,
                    f"{written} stands {key} in the joint, but measures "
                    + (f'"{dimension.measures}"' if dimension.measures else "no plain size"),
                    f'a dimension with measures = "{key}"',
                )
        clearance, fit = entry.text("clearance"), entry.text("fit")
        self.places["joint", id] = entry.at("fit" if fit else "clearance")
        limits: Limits | None = None
        if bool(clearance) == bool(fit):
            entry.error(
                "clearance" if clearance else "inside",
                "the joint has both clearance and fit"
                if clearance
                else "the joint has neither clearance nor fit",
                'clearance = "0.01..0.05" or fit = "H7/g6"',
            )
        elif clearance:
            limits = self._limits(entry, "clearance")
        else:
            limits = self._fit(entry, fit, inner, outer)
        if inside is None or outside is None or limits is None:
            return None
        text = clearance or fit
        return Joint(id, name, inside, outside, limits, text, self.line_of(entry.place))

    def _fit(
        self, entry: Entry, text: str, inner: Dimension | None, outer: Dimension | None
    ) -> Limits | None:
        if inner is None or outer is None:
            return None
        nominal = inner.callout.nominal
        if nominal is None or inner.callout.unit is not Unit.MM:
            entry.error(
                "fit",
                f"the fit {text} needs a nominal size in mm, which {inner.callout.text} has not",
                'clearance = "0.01..0.05"',
            )
            return None
        try:
            fit = parse_fit(text, nominal)
        except CalloutError as error:
            entry.error("fit", f'fit "{text}": {error.what}', error.accepted)
            return None
        for key, side, dimension in (("inside", fit.hole, inner), ("outside", fit.shaft, outer)):
            own, written = dimension.callout, entry.data[key]
            if own.nominal != side.nominal or (own.fit_class and own.fit_class != side.fit_class):
                entry.error(
                    "fit",
                    f"the fit {text} asks for {side}, but {written} is {own.text}",
                    f"{side} there, or the fit that is meant here",
                )
            elif own.limits != side.limits:
                entry.notes.warn(
                    entry.at("fit"),
                    f"the fit {text} asks for {side}, that is {side.limits}, "
                    f"but {written} is {own.text}",
                    f"{side} there, or the clearance that is meant here",
                    text,
                )
        return fit.clearance

    def _stack(self, entry: Entry, id: str) -> Stack | None:
        name = entry.text("name", id)
        terms: list[tuple[int, Feature]] = []
        for key, sign in (("add", 1), ("subtract", -1)):
            for index, written in enumerate(entry.list(key)):
                feature, _ = self._named_feature((*entry.at(key), index), written)
                if feature is not None:
                    terms.append((sign, feature))
        if not entry.data.get("add"):
            entry.error("add", "the stack adds nothing", 'add = ["foot.height", "stem.length"]')
        callout = self._callout(entry, "callout", None)
        if callout is not None and callout.kind not in _SIZES:
            entry.error("callout", f"{callout.text} is no size", 'callout = "180 ±0.2"')
        if callout is None or not terms:
            return None
        return Stack(id, name, tuple(terms), callout, self.line_of(entry.place))

    def _feature(self, entry: Entry, key: str) -> tuple[Feature | None, Dimension | None]:
        written = entry.text(key, required=True)
        return self._named_feature(entry.at(key), written) if written else (None, None)

    def _named_feature(
        self, place: Place, written: object
    ) -> tuple[Feature | None, Dimension | None]:
        """A dimension named as part.dimension; it must be a size."""
        if not isinstance(written, str) or written.count(".") != 1:
            self.notes.error(place, f"{written} is no dimension", '"part.dimension"', written)
            return None, None
        part, _, id = written.partition(".")
        if part not in self.parts:
            self.notes.error(
                place, f'part "{part}" is not known', one_of(part, self.parts), written
            )
            return None, None
        known = self.dimensions[part]
        if id not in known:
            self.notes.error(
                place, f'{part} has no dimension "{id}"',
                one_of(id, known), written,
            )  # fmt: skip
            return None, None
        dimension = known[id]
        if dimension is not None and dimension.callout.kind not in _SIZES:
            self.notes.error(
                place,
                f"{written} is {dimension.callout.text}, which is no size",
                "a length, diameter, radius or depth",
                written,
            )
            return None, None
        return Feature(part, id), dimension

    def _group(self, entry: Entry, id: str) -> ItemGroup | None:
        name = entry.text("name", id)
        count = entry.whole("count", 1, least=1, required=True)
        takes: list[tuple[str, int]] = []
        table = entry.entry("takes")
        if table is None or not table.data:
            if entry.data.get("takes") is None or table is not None:
                entry.error("takes", "the item takes no part", "takes = { foot = 1, stem = 1 }")
        else:
            for part in table.data:
                number = table.whole(part, least=1)
                if part not in self.parts:
                    table.error(part, f'part "{part}" is not known', one_of(part, self.parts))
                elif number:
                    takes.append((part, number))
        only = self._reserved(entry, count, dict(takes))
        return ItemGroup(id, name, count, tuple(takes), only, self.line_of(entry.place))

    def _reserved(
        self, entry: Entry, count: int, takes: dict[str, int]
    ) -> tuple[tuple[str, tuple[int, ...]], ...]:
        table = entry.entry("only")
        if table is None:
            return ()
        found: list[tuple[str, tuple[int, ...]]] = []
        for part in table.data:
            numbers = table.list(part)
            known = self.parts.get(part)
            if part not in takes:
                if part not in self.parts or takes:
                    table.error(part, f'the item takes no "{part}"', one_of(part, takes))
                continue
            if known is None:
                continue
            wrong = [n for n in numbers if type(n) is not int or n not in known.pieces]
            if wrong or len(set(map(str, numbers))) != len(numbers):
                table.error(
                    part,
                    f"{wrong[0]} is no piece of {part}" if wrong else "a piece is named twice",
                    f"numbers from 1 to {known.pieces[-1]}, each once",
                )
                continue
            if len(numbers) < count * takes[part]:
                table.error(
                    part,
                    f"{len(numbers)} pieces of {part} are reserved, "
                    f"but the items take {count * takes[part]}",
                    "at least as many pieces as the items take",
                )
            found.append((part, tuple(numbers)))
        return tuple(found)

    def _enough(self, groups: tuple[ItemGroup, ...]) -> None:
        """Whether the items together take no more of a part than are needed, and share no piece."""
        for id, part in self.parts.items():
            taken, reserved = 0, {}  # type: int, dict[int, str]
            for group in groups:
                own = dict(group.takes).get(id, 0) * group.count
                taken += own
                if part is not None and own and taken > part.needed:
                    self.notes.error(
                        (*self.places["item", group.id], "takes", id),
                        f"the items take {taken} of {id}, but only {part.needed} are needed",
                        f"needed = {taken} for {id}, or fewer items",
                        taken,
                    )
                for number in dict(group.only).get(id, ()):
                    other = reserved.setdefault(number, group.id)
                    if other != group.id:
                        self.notes.error(
                            (*self.places["item", group.id], "only", id),
                            f"{id}-{number} is reserved for {other} already",
                            "each piece for one group only",
                            number,
                        )

    def _ban(self, entry: Entry) -> Ban | None:
        together, apart = entry.texts("together"), entry.texts("apart")
        entry.close()
        if bool(together) == bool(apart):
            entry.error(
                "together", "pieces to keep together or apart: one of the two",
                'together = ["foot-3", "stem-4"] or apart = [...]',
            )  # fmt: skip
            return None
        key, names = ("together", together) if together else ("apart", apart)
        if len(names) < 2:
            entry.error(key, "one piece alone", "two pieces or more")
        pieces = []
        for index, name in enumerate(names):
            match = _PIECE.match(name)
            part = match["part"] if match else name
            known = self.parts.get(part)
            if match is None or part not in self.parts:
                self.notes.error(
                    (*entry.at(key), index), f'"{name}" is no piece',
                    'part and number, such as "foot-3"; ' + one_of(part, self.parts), name,
                )  # fmt: skip
            elif known is not None and int(match["number"]) not in known.pieces:
                self.notes.error(
                    (*entry.at(key), index), f"{part} has no piece {match['number']}",
                    f"a number from 1 to {known.pieces[-1]}", name,
                )  # fmt: skip
            else:
                pieces.append((part, int(match["number"])))
        return Ban(tuple(pieces), bool(together), self.line_of(entry.place))

    # --- shared -------------------------------------------------------------------------

    def _id(self, entry: Entry, what: str, taken: dict[str, Any]) -> str:
        id = entry.text("id", required=True)
        if not id:
            return f"?{len(taken)}"
        self._good_id(entry.at("id"), id, what)
        if id in taken:
            entry.error("id", f'{what} id "{id}" is used twice', "an id of its own")
        return id

    def _good_id(self, place: Place, id: str, what: str) -> None:
        if not _ID.match(id):
            tidy = re.sub(r"[^a-z0-9]+", "-", id.lower()).strip("-")
            self.notes.error(
                place,
                f'{what} id "{id}" cannot be typed safely',
                "lowercase letters, digits and hyphens"
                + (f', such as "{tidy}"' if _ID.match(tidy) else ""),
                id,
            )

    def _callout(self, entry: Entry, key: str, general: str | None) -> Callout | None:
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
            if general is None and "general" in accepted:
                accepted = f'limits of its own, such as "{value} ±0.2"'
            entry.error(key, f'{key} "{value}": {error.what}', accepted)
            return None

    def _limits(self, entry: Entry, key: str) -> Limits | None:
        text = entry.text(key)
        if not text:
            return None
        try:
            return parse_limits(text, unit=self.unit)
        except CalloutError as error:
            entry.error(key, f'{key} "{text}": {error.what}', error.accepted)
            return None


def _measures(callout: Callout) -> str:
    """What a dimension measures when the file does not say: by its class and its kind.

    A capital class is a hole; a diameter without one is taken for an outside diameter.
    """
    if callout.fit_class:
        return "inside" if callout.fit_class[0].isupper() else "outside"
    return {Kind.DIAMETER: "outside", Kind.LENGTH: "length", Kind.DEPTH: "depth"}.get(
        callout.kind, ""
    )
