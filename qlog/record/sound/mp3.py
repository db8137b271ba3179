"""MP3: only the frames of sound are taken over, one after the other (ISO/IEC 11172-3, 2.4).

Tags stand before and behind the frames (ID3, APE, Lyrics3) and are thereby left out, and so is
anything between two frames. Tables: ISO/IEC 11172-3, 2.4.2.3, and 13818-3 for the low rates.
"""

from __future__ import annotations

from qlog.problem import ToSay

_KBIT = {
    1: (0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320),
    2: (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160),
}
_RATES = {3: (44100, 48000, 32000), 2: (22050, 24000, 16000), 0: (11025, 12000, 8000)}
#: Frames in a row by which a stream is told from bytes that look like a header.
_SURE = 3


def frame_length(data: bytes, at: int) -> int:
    """Bytes of the layer III frame whose header stands at `at`; 0 when none does."""
    if at + 4 > len(data) or data[at] != 0xFF or data[at + 1] & 0xE0 != 0xE0:
        return 0
    version, layer = data[at + 1] >> 3 & 3, data[at + 1] >> 1 & 3
    rate, bits = data[at + 2] >> 2 & 3, data[at + 2] >> 4
    if version == 1 or layer != 1 or rate == 3 or bits in (0, 15):
        return 0
    first = version == 3
    kbit = _KBIT[1 if first else 2][bits]
    padding = data[at + 2] >> 1 & 1
    return (144 if first else 72) * kbit * 1000 // _RATES[version][rate] + padding


def frames(data: bytes) -> bytes:
    """All whole frames of the file, and nothing else. Raises ValueError when there are none."""
    at, sound = _behind_tag(data), bytearray()
    while at < len(data):
        length = frame_length(data, at)
        if length and at + length <= len(data) and (sound or _runs(data, at)):
            sound += data[at : at + length]
            at += length
        elif data.startswith(b"TAG", at) or data.startswith(b"APETAGEX", at):
            break
        else:
            found = data.find(b"\xff", at + 1)
            at = len(data) if found < 0 else found
            if sound and not _runs(data, at):  # what follows the sound is no sound
                at = _next_run(data, at)
    if not sound:
        raise ValueError(ToSay("error.holds_mp_sound"))
    return bytes(sound)


def _behind_tag(data: bytes) -> int:
    """Where the sound may begin: behind an ID3v2 tag, whose length has 7 bits a byte."""
    if not data.startswith(b"ID3") or len(data) < 10:
        return 0
    size = 0
    for byte in data[6:10]:
        size = size << 7 | byte & 0x7F
    return 10 + size + (10 if data[5] & 0x10 else 0)


def _runs(data: bytes, at: int) -> bool:
    """Whether frames follow one another from there, up to the end or as many as make sure."""
    for _ in range(_SURE):
        length = frame_length(data, at)
        if not length:
            return False
        at += length
        if at >= len(data):
            return at == len(data)
    return True


def _next_run(data: bytes, at: int) -> int:
    while 0 <= at < len(data):
        if _runs(data, at):
            return at
        at = data.find(b"\xff", at + 1)
    return len(data)
