"""M4A: a new file of one track of sound, from the boxes that playing needs (ISO/IEC 14496-12).

The file is written anew: what is copied is named here, everything else stays behind. That leaves
out tags and pictures (`udta`, `meta`), a recorder's own boxes (`uuid`), tracks of text or pictures,
the times of recording, and bytes between the samples that no table points to.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

from qlog.problem import ToSay

#: Boxes of boxes, and which of their inner ones are copied.
_KEEP = {
    b"moov": (b"mvhd", b"trak"),
    b"trak": (b"tkhd", b"edts", b"mdia"),
    b"edts": (b"elst",),
    b"mdia": (b"mdhd", b"hdlr", b"minf"),
    b"minf": (b"smhd", b"dinf", b"stbl"),
    b"dinf": (b"dref",),
    b"stbl": (b"stsd", b"stts", b"stsc", b"stsz", b"stco", b"co64", b"sgpd", b"sbgp"),
}
_FTYP = b"M4A \0\0\2\0M4A mp42isom"

Box = tuple[bytes, bytes]


def _boxes(data: bytes) -> Iterator[Box]:
    at = 0
    while at + 8 <= len(data):
        size, name = struct.unpack_from(">I4s", data, at)
        head = 8
        if size == 1 and at + 16 <= len(data):
            size, head = struct.unpack_from(">Q", data, at + 8)[0], 16
        elif size == 0:
            size = len(data) - at
        if size < head or at + size > len(data):
            raise ValueError(ToSay("error.boxes_are_broken"))
        yield name, data[at + head : at + size]
        at += size


def _box(name: bytes, content: bytes) -> bytes:
    return struct.pack(">I4s", len(content) + 8, name) + content


def _find(data: bytes, *way: bytes) -> bytes | None:
    for name in way:
        found = next((content for n, content in _boxes(data) if n == name), None)
        if found is None:
            return None
        data = found
    return data


def plain(data: bytes) -> bytes:
    """The file with its one track of sound and nothing else.

    Raises ValueError when it is no such file, when it is in pieces (`moof`), or protected.
    """
    moov = _find(data, b"moov")
    if moov is None or any(name == b"moof" for name, _ in _boxes(data)):
        raise ValueError(ToSay("error.plain_file_save"))
    tracks = [c for n, c in _boxes(moov) if n == b"trak"]
    sound = [t for t in tracks if (_find(t, b"mdia", b"hdlr") or b"")[8:12] == b"soun"]
    if len(sound) != 1:
        raise ValueError(ToSay("error.holds_tracks_sound", n=len(sound)))
    stbl = _find(sound[0], b"mdia", b"minf", b"stbl")
    if stbl is None or (_find(stbl, b"stsd") or b"")[12:16] != b"mp4a":
        raise ValueError(ToSay("error.sound_aac_protected"))
    chunks = _chunks(data, stbl)
    ftyp, mdat = _box(b"ftyp", _FTYP), _box(b"mdat", b"".join(chunks))
    # Once with empty places to learn how long it is, then with the places that follow from it.
    length = len(_moov(moov, sound[0], [0] * len(chunks)))
    offsets, at = [], len(ftyp) + length + 8
    for chunk in chunks:
        offsets.append(at)
        at += len(chunk)
    return ftyp + _moov(moov, sound[0], offsets) + mdat


def _moov(moov: bytes, track: bytes, offsets: list[int]) -> bytes:
    head = next((c for n, c in _boxes(moov) if n == b"mvhd"), b"")
    return _box(b"moov", _copied(b"mvhd", head, offsets) + _copied(b"trak", track, offsets))


def _copied(name: bytes, content: bytes, offsets: list[int]) -> bytes:
    if name in _KEEP:
        return _box(
            name, b"".join(_copied(n, c, offsets) for n, c in _boxes(content) if n in _KEEP[name])
        )
    if name in (b"stco", b"co64"):
        return _box(b"stco", struct.pack(f">II{len(offsets)}I", 0, len(offsets), *offsets))
    if name in (b"mvhd", b"tkhd", b"mdhd"):  # when it was recorded and changed
        wide = 16 if content[:1] == b"\1" else 8
        content = content[:4] + b"\0" * wide + content[4 + wide :]
    elif name == b"hdlr":  # behind the kind and its reserved fields stands a name
        content = content[:24] + b"\0"
    elif name == b"dref":  # the sound lies in this file
        content = struct.pack(">II", 0, 1) + _box(b"url ", b"\0\0\0\1")
    return _box(name, content)


def _chunks(data: bytes, stbl: bytes) -> list[bytes]:
    """The runs of samples that the tables point to, in order."""
    tables = dict(_boxes(stbl))
    try:
        wide = b"co64" in tables
        places = tables[b"co64" if wide else b"stco"]
        (count,) = struct.unpack_from(">I", places, 4)
        starts = struct.unpack_from(f">{count}{'Q' if wide else 'I'}", places, 8)
        sizes = _sizes(tables[b"stsz"])
        (rows,) = struct.unpack_from(">I", tables[b"stsc"], 4)
        runs = [struct.unpack_from(">II", tables[b"stsc"], 8 + 12 * r) for r in range(rows)]
    except (KeyError, struct.error) as error:
        raise ValueError(ToSay("error.tables_are_broken")) from error
    found, sample = [], 0
    for number, start in enumerate(starts, start=1):
        each = next((n for first, n in reversed(runs) if first <= number), 0)
        length = sum(sizes[sample : sample + each])
        sample += each
        if start + length > len(data):
            raise ValueError(ToSay("error.m4a_cut_off"))
        found.append(data[start : start + length])
    return found


def _sizes(stsz: bytes) -> list[int]:
    same, count = struct.unpack_from(">II", stsz, 4)
    if count > len(stsz) and not same:
        raise ValueError(ToSay("error.tables_are_broken"))
    return (
        [same] * min(count, 50_000_000)
        if same
        else list(struct.unpack_from(f">{count}I", stsz, 12))
    )
