"""SVG drawings from anywhere, made harmless: shapes and text stay, everything that acts goes.

What may stay is listed; all else is left out, so that a new kind of trick is left out as well.
"""

from __future__ import annotations

import re
from xml.etree import ElementTree

from qlog.problem import ToSay

SVG = "http://www.w3.org/2000/svg"
_XLINK = "http://www.w3.org/1999/xlink"
_XML = "http://www.w3.org/XML/1998/namespace"

#: More than any drawing of a small part has; a larger file is refused.
LARGEST = 20_000_000

#: Elements of SVG 2 (W3C) that draw or describe, and neither load, link, run nor move anything.
_ELEMENTS = frozenset((
    "svg", "g", "defs", "symbol", "use", "title", "desc", "path", "rect", "circle",
    "ellipse", "line", "polyline", "polygon", "text", "tspan", "textPath", "linearGradient",
    "radialGradient", "stop", "pattern", "clipPath", "mask", "marker", "image", "style",
    "switch", "filter", "feGaussianBlur", "feOffset", "feBlend", "feColorMatrix",
    "feComposite", "feFlood", "feMerge", "feMergeNode", "feMorphology",
))  # fmt: skip
#: A reference within the file, or a picture that stands in the file itself.
_INSIDE = re.compile(r"#[^\s\"'()<>\\]+|data:image/(?:png|jpeg|gif|webp);base64,[A-Za-z0-9+/=\s]+")
_URL = re.compile(r"url\s*\(\s*[\"']?\s*([^\"')]*)", re.IGNORECASE)
#: In a style: imports, scripts of old browsers, and escapes that could hide either.
_STYLE_TRICKS = re.compile(r"@import|expression\s*\(|behavior\s*:|-moz-binding|\\", re.IGNORECASE)
_SCRIPT_LINK = re.compile(r"(?:java|vb|live)script\s*:|data:text", re.IGNORECASE)


def clean(data: bytes) -> bytes:
    """The drawing with shapes and text only, as UTF-8 without a document type.

    Raises ValueError when it is no SVG picture, too large, or defines entities of its own, and
    ElementTree.ParseError when it is no XML.
    """
    if len(data) > LARGEST:
        raise ValueError(ToSay("error.mb_are_more", n=len(data) // 1000000))
    # Entities can be nested to fill any memory; an external subset is never needed to draw.
    if b"<!ENTITY" in data.upper() or "<!ENTITY" in data.decode("utf-16", "ignore").upper():
        raise ValueError(ToSay("error.defines_entities_save"))
    root = ElementTree.fromstring(data)
    if root.tag not in (f"{{{SVG}}}svg", "svg"):
        raise ValueError(ToSay("error.svg_picture"))
    if root.tag == "svg":  # without its namespace no browser shows it
        for element in root.iter():
            if not element.tag.startswith("{"):
                element.tag = f"{{{SVG}}}{element.tag}"
    _clean(root)
    ElementTree.register_namespace("", SVG)
    ElementTree.register_namespace("xlink", _XLINK)
    made: bytes = ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)
    return made


def _clean(element: ElementTree.Element) -> None:
    for name, value in list(element.attrib.items()):
        if not _may_stay(name, value):
            del element.attrib[name]
    if element.tag == f"{{{SVG}}}style" and not _style_may_stay("".join(element.itertext())):
        element.text = ""
    before: ElementTree.Element | None = None
    for child in list(element):
        space, _, name = str(child.tag).rpartition("}")
        if space == f"{{{SVG}" and name in _ELEMENTS:
            _clean(child)
            before = child
            continue
        if child.tail and before is not None:  # the text behind what goes is kept
            before.tail = (before.tail or "") + child.tail
        elif child.tail:
            element.text = (element.text or "") + child.tail
        element.remove(child)


def _may_stay(name: str, value: str) -> bool:
    space, _, plain = name.rpartition("}")
    if plain == "href":
        return space in ("", f"{{{_XLINK}") and _INSIDE.fullmatch(value.strip()) is not None
    if space and space != f"{{{_XML}":
        return False  # a drawing program's own remarks, with the folders and names in them
    if plain == "base" or plain.lower().startswith("on"):
        return False
    return _style_may_stay(value) if "(" in value or plain == "style" else _plain(value)


def _plain(value: str) -> bool:
    return _SCRIPT_LINK.search(value) is None


def _style_may_stay(text: str) -> bool:
    if _STYLE_TRICKS.search(text) or not _plain(text):
        return False
    return all(_INSIDE.fullmatch(link.strip()) for link in _URL.findall(text))
