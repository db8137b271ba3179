"""Codes in a picture with their outlines, and what a photo's entry tells of those found in it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from qlog.frozen import frozen

if TYPE_CHECKING:
    from PIL.Image import Image as PilImage

#: A code that takes up so much of the picture's shorter side was photographed for itself.
LARGE = 0.2


@frozen
class Code:
    """A code seen in a picture; `text` is "" when it could not be read.

    The corners begin at its own upper left and go round clockwise, in pixels.
    """

    text: str
    corners: tuple[tuple[float, float], ...]


def codes_in(grey: PilImage, *, light: bool = True) -> list[Code]:
    """Every code in a grey picture, from left to right; `light` ones on dark ground as well."""
    import zxingcpp

    # Releases differ in how they type a single format; all of them take it.
    qr_code: Any = zxingcpp.BarcodeFormat.QRCode
    found = []
    read = zxingcpp.read_barcodes(grey, formats=qr_code, try_invert=light, return_errors=True)
    for code in read:
        at = code.position
        corners = (at.top_left, at.top_right, at.bottom_right, at.bottom_left)
        text = code.text if code.valid else ""
        found.append(Code(text, tuple((float(c.x), float(c.y)) for c in corners)))
    return sorted(found, key=lambda code: code.corners[0][0])


def beside(kept: str) -> bool:
    """Whether a photo's kept codes are of a card that lay small beside the work.

    Each line is a code's text and, behind ` @`, the share of the picture that it takes up. The
    codes of a bench sheet and of a mat are what was photographed.
    """
    for line in kept.splitlines():
        text, _, share = line.partition(" @")
        card = text == "?" or text.split(" ")[1:2] in (["P"], ["C"])
        if card and share and float(share) < LARGE:
            return True
    return False
