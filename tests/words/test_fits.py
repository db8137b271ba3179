"""Joints, aims and the choice of pieces in words, in every language."""

from decimal import Decimal

import pytest

from qlog.drawing.limits import Limits
from qlog.drawing.plan import Feature, ItemGroup, Joint
from qlog.drawing.units import Unit
from qlog.study.fit.aim import Aim, Grounds
from qlog.study.fit.joints import Sized, pairing
from qlog.study.matching.model import Shortage, SizeSpread
from qlog.words.catalogue import languages, load
from qlog.words.fits import (
    aim_text,
    conflict_text,
    pieces_text,
    shortage_text,
    spread_text,
    window_text,
)

dec = Decimal
EN, DE = load("en"), load("de")
SLIDING = Limits(dec("0.01"), dec("0.03"), Unit.MM)
SLIDE = Joint("slide", "slide", Feature("cup", "bore"), Feature("stem", "spigot"), SLIDING, "")


def sized(part: str, *sizes: str) -> list[Sized]:
    return [Sized(part, n, dec(size)) for n, size in enumerate(sizes, 1)]


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ")


def said(cups: list[Sized], stems: list[Sized], drawing: Limits | None = None) -> list[str]:
    found = pairing(cups, stems, SLIDING, drawing_outside=drawing).conflicts
    return [plain(conflict_text(c, SLIDE, 2, EN)) for c in found]


def test_pieces_that_fit_nothing_are_named_with_what_to_turn() -> None:
    cups, stems = sized("cup", "8.020", "8.010", "8.000"), sized("stem", "8.005", "8.006", "8.007")
    assert said(cups, stems)[0] == ("cup 2, 3 (bore) fit no stem: make a stem to 7.98..7.99 mm")
    drawing = Limits(dec("7.99"), dec("8.01"), Unit.MM)
    assert said(sized("cup", "8.020", "9"), sized("stem", "8.000", "8.001"), drawing)[0] == (
        "cup-2 (bore) fits no stem: no stem inside its drawing limits would fit"
    )


def test_pieces_that_compete_and_two_windows_are_said() -> None:
    cups = sized("cup", "8.020", "8.021", "8.022", "8.070")
    stems = sized("stem", "8.001", "8.002", "8.050", "8.051")
    assert said(cups, stems) == [
        "cup 1-3 (bore) compete for stem 1, 2: make a stem to 8.00..8.01 mm",
        "stem 3, 4 (spigot) compete for cup-4: make a cup to 8.07..8.08 mm",
    ]
    apart = said(sized("cup", "8.00", "8.10"), sized("stem", "9", "9.1"))
    assert apart[0] == (
        "cup 1, 2 (bore) fit no stem: make a stem to 7.97..7.99 mm (for cup-1) or "
        "a stem to 8.07..8.09 mm (for cup-2)"
    )


def test_windows_are_said_with_their_unit() -> None:
    def window(low: str | None, high: str | None) -> str:
        ends = (None if end is None else dec(end) for end in (low, high))
        return plain(window_text(EN, Limits(*ends, Unit.MM), 2))

    assert window("7.9812", "7.9988") == "7.99 mm"
    assert window(None, "7.999") == "7.99 mm at most"
    assert window("7.991", None) == "8.00 mm at least"
    assert window(None, None) == "any size"
    both = Limits(dec("7.991"), dec("7.999"), Unit.MM)
    assert plain(window_text(DE, both, 3)) == "7,991 bis 7,999 mm"


def test_spreads_keep_the_digits_that_matter() -> None:
    def gain(reached: str, before: str | None) -> str:
        spread = SizeSpread("h", dec(reached), dec(0), None if before is None else dec(before))
        return plain(spread_text(spread, "height", "mm", 2, EN))

    differ = "height: the items differ by"
    order = "in the order of making"
    assert gain("0.0004", "0.11") == f"{differ} 0.0004 mm at most, instead of 0.1100 mm {order}"
    assert gain("0.03", None) == f"{differ} 0.03 mm at most"
    assert gain("0.10", "0.10") == f"{differ} 0.10 mm at most, as {order}"
    assert gain("0.03", "0.02") == (
        f"{differ} 0.03 mm at most; 0.02 mm {order}, but with worse fits or sizes"
    )


def test_pieces_of_several_parts_stay_apart() -> None:
    assert pieces_text([("cup", 9), ("cup", 10), ("foot", 3)], load("en")) == "cup 9, 10; foot-3"


def test_too_few_pieces_are_said() -> None:
    black = ItemGroup("black", "blackened", 2, (("cup", 1),))
    said = shortage_text(Shortage("cup", (black,), 2, 1), EN)
    assert said == "cup: 2 more for blackened, 1 live and measured"


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("grounds", Grounds)
def test_every_ground_of_an_aim_is_said(grounds: Grounds, language: str) -> None:
    mates = tuple(sized("cup", "8.00"))
    found = Aim(SLIDING, SLIDING, mates, mates, (), grounds)
    assert aim_text(found, load(language))
