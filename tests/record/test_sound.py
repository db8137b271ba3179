"""A recording is handed over as sound and nothing else.

The two samples (a tone of one second) were made by an independent encoder, with tags, a
picture and a place in them. Decoded by it, what is left gave the same samples as the whole file,
bit for bit.
"""

import struct
from pathlib import Path

import pytest

from qlog.record.sound import m4a, mp3
from qlog.record.sound.recording import plain

FOLDER = Path(__file__).parent / "recordings"
SECRET = b"secretword"
TAGGED_MP3 = (FOLDER / "tagged.mp3").read_bytes()
TAGGED_M4A = (FOLDER / "tagged.m4a").read_bytes()


@pytest.mark.parametrize("data", [TAGGED_MP3, TAGGED_M4A], ids=["mp3", "m4a"])
def test_what_is_no_sound_stays_behind(data: bytes) -> None:
    picture = b"\x89PNG" if b"\x89PNG" in data else b"\xff\xd8\xff"
    assert SECRET in data and picture in data, "the sample has tags and a picture"
    bare = plain(data)
    assert SECRET not in bare.data and picture not in bare.data
    assert len(bare.data) > 3000
    assert plain(bare.data) == bare, "nothing is left to be taken out"


def test_an_mp3_is_frames_from_first_to_last_byte() -> None:
    """MPEG-2 layer III at 22 050 Hz: 576 samples a frame (ISO/IEC 13818-3), about 39 a second."""
    bare, at, count = mp3.frames(TAGGED_MP3), 0, 0
    while at < len(bare):
        length = mp3.frame_length(bare, at)
        assert length > 0
        at, count = at + length, count + 1
    assert at == len(bare) and 38 <= count <= 42


def test_the_length_of_a_frame_is_that_of_the_standard() -> None:
    """144 x bit rate / sample rate (ISO/IEC 11172-3, 2.4.3.1): 128 kbit/s at 44.1 kHz is 417."""
    assert mp3.frame_length(b"\xff\xfb\x90\x00", 0) == 417
    assert mp3.frame_length(b"\xff\xfb\x92\x00", 0) == 418, "one byte of padding"
    assert mp3.frame_length(b"\xff\xd8\xff\xe0", 0) == 0, "a picture is no sound"


def test_the_times_of_recording_are_gone() -> None:
    bare = m4a.plain(TAGGED_M4A)
    at = bare.index(b"mvhd") + 4
    assert struct.unpack_from(">II", bare, at + 4) == (0, 0)


def test_bytes_between_samples_stay_behind() -> None:
    """A file may carry anything in its `mdat` that no table points to."""
    size = len(TAGGED_M4A)
    hidden = TAGGED_M4A + struct.pack(">I4s", 18, b"mdat") + SECRET
    assert len(hidden) == size + 18
    assert m4a.plain(hidden) == m4a.plain(TAGGED_M4A)


@pytest.mark.parametrize(
    "data",
    [b"", b"ID3\4\0\0\0\0\0\0", TAGGED_M4A[:400], TAGGED_M4A.replace(b"soun", b"vide"),
     TAGGED_M4A.replace(b"mp4a", b"enca"), TAGGED_MP3[:200], b"\0\0\0\x08ftyp"],
)  # fmt: skip
def test_what_cannot_be_used_is_refused_in_words(data: bytes) -> None:
    with pytest.raises(ValueError, match=r"it|its"):
        plain(data)


def test_no_cut_makes_it_fall() -> None:
    for data in (TAGGED_MP3, TAGGED_M4A):
        for end in range(0, len(data), 97):
            try:
                assert SECRET not in plain(data[:end]).data
            except ValueError:
                continue
