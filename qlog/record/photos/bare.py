"""Proof that a written picture file holds pixels and nothing else.

Each check reads the file's own structure and names every part that is not needed to show the
pixels: the list is of what may be there, so that a kind of metadata nobody thought of fails too.
Sources of the structures: ITU-T T.81 Annex B and JFIF 1.02 (JPEG), RFC 9649 (WebP),
ISO/IEC 14496-12 and 23008-12 with the AV1 image format (AVIF).
"""

from __future__ import annotations

import re
from pathlib import Path

from qlog.problem import ToSay

# Start of frame (baseline, extended, progressive), tables, restart interval.
_JPEG_SEGMENTS = {0xC0, 0xC1, 0xC2, 0xC4, 0xDB, 0xDD}
_JPEG_NEXT_MARKER = re.compile(rb"\xff[^\x00\xd0-\xd7]")
_AVIF_TOP = {b"ftyp", b"meta", b"mdat"}
_AVIF_META = {b"hdlr", b"pitm", b"iloc", b"iinf", b"iprp"}
_AVIF_PROPERTIES = {b"ispe", b"pixi", b"av1C", b"colr"}


class PrivacyError(Exception):
    """A picture made for the record holds something besides pixels; it must not be handed over."""

    def __init__(self, path: Path, found: str) -> None:
        super().__init__(ToSay("error.holds_besides_pixels", path=path, found=found))
        self.path = path
        self.found = found


def assert_bare(path: Path) -> None:
    """Read the file at `path` again and raise PrivacyError unless it is pixels only.

    Knows JPEG, WebP and AVIF by content; anything else raises PrivacyError too.
    """
    data = path.read_bytes()
    if data.startswith(b"\xff\xd8"):
        found = _jpeg(data)
    elif data.startswith(b"RIFF"):
        found = _webp(data)
    elif data[4:8] == b"ftyp":
        found = _avif(data)
    else:
        found = "an unknown structure"
    if found:
        raise PrivacyError(path, found)


def _jpeg(data: bytes) -> str:
    at = 2
    while at + 4 <= len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        body = data[at + 4 : at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")]
        if marker == 0xE0:
            # A plain JFIF header: 14 bytes, the last two being the size of a thumbnail.
            if not body.startswith(b"JFIF\0") or len(body) != 14 or body[12:] != b"\0\0":
                return "an APP0 segment that is no bare JFIF header"
        elif marker == 0xFE:
            return "a comment"
        elif 0xE1 <= marker <= 0xEF:
            label = body[:10].split(b"\0")[0].decode("ascii", "replace")
            return f"an APP{marker - 0xE0} segment ({label})"
        elif marker == 0xDA:
            scan_end = _JPEG_NEXT_MARKER.search(data, at + 4 + len(body))
            if scan_end is None:
                return "a scan without an end"
            at = scan_end.start()
            if data[at + 1] == 0xD9:
                return "" if at + 2 == len(data) else "bytes behind the end of the picture"
            continue
        elif marker not in _JPEG_SEGMENTS:
            return f"a segment of marker {marker:02X}"
        at += 4 + len(body)
    return "a broken segment"


def _webp(data: bytes) -> str:
    if data[8:12] != b"WEBP" or int.from_bytes(data[4:8], "little") + 8 != len(data):
        return "a wrong length"
    at = 12
    while at + 8 <= len(data):
        name, size = data[at : at + 4], int.from_bytes(data[at + 4 : at + 8], "little")
        if name not in (b"VP8 ", b"VP8L"):
            return f"a {name.decode('ascii', 'replace').strip()} chunk"
        at += 8 + size + size % 2
    return "" if at == len(data) else "a broken chunk"


def _boxes(data: bytes, start: int, end: int) -> list[tuple[bytes, int, int]]:
    """Name, start and end of the content of each box between `start` and `end`."""
    found: list[tuple[bytes, int, int]] = []
    while start < end:
        size, name = int.from_bytes(data[start : start + 4], "big"), data[start + 4 : start + 8]
        if size < 8 or start + size > end:
            return [*found, (b"????", start, end)]
        found.append((name, start + 8, start + size))
        start += size
    return found


def _odd(names: set[bytes], allowed: set[bytes]) -> str:
    extra = sorted(names - allowed)
    return f"a {extra[0].decode('ascii', 'replace')} box" if extra else ""


def _avif(data: bytes) -> str:
    top = _boxes(data, 0, len(data))
    if odd := _odd({name for name, _, _ in top}, _AVIF_TOP):
        return odd
    for _, start, end in (box for box in top if box[0] == b"meta"):
        parts = _boxes(data, start + 4, end)
        if odd := _odd({name for name, _, _ in parts}, _AVIF_META):
            return odd
        for name, inner, inner_end in parts:
            if name == b"iinf":
                # Version 0 counts its entries in 16 bits, later versions in 32.
                first = inner + (6 if data[inner] == 0 else 8)
                for kind, at, _ in _boxes(data, first, inner_end):
                    # Version 2 has a 16-bit item number, version 3 one of 32 bits.
                    type_at = at + (8 if data[at] == 2 else 10)
                    if kind != b"infe" or data[type_at : type_at + 4] != b"av01":
                        return "an item that is no picture"
            elif name == b"iprp":
                for kind, at, stop in _boxes(data, inner, inner_end):
                    if kind == b"ipma":
                        continue
                    if kind != b"ipco":
                        return "an unknown property box"
                    properties = _boxes(data, at, stop)
                    if odd := _odd({p for p, _, _ in properties}, _AVIF_PROPERTIES):
                        return odd
                    if any(p == b"colr" and data[s : s + 4] != b"nclx" for p, s, _ in properties):
                        return "a colour profile"
    return ""
