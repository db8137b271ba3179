"""Cautions by kind of operation: what public guidance asks for is said, and it defers at the end.

Held against what the guidance names for each kind: HSE HSG129 (engineering workshops) and HSE
EIS2 (emery cloth on lathes), US Army TC 9-524 (machine tools), OSHA 1910 subpart O; read for the
project's notes, not copied.
"""

import pytest

from qlog.review.cautions import cautions_for, kinds


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("turning", ("eye protection", "no gloves", "chuck", "never fingers", "stop")),
        ("boring", ("never fingers",)),
        ("parting", ("overhang", "on centre", "hot and sharp")),
        ("polishing", ("backing", "never wrapped", "no gloves")),
        ("reaming", ("clamp", "breaks through")),
        ("tapping", ("power off before tapping by hand",)),
        ("milling", ("drawbar", "brush", "deburr")),
        ("form turning", ("direction of the thread", "start slow", "face shield")),
        ("hardening", ("licensed shop",)),
        ("blackening", ("hot salts", "licensed shop", "fresh air", "no flame")),
        ("gluing", ("fresh air", "lidded bin")),
    ],
)
def test_each_kind_says_what_hurts_there(kind: str, words: tuple[str, ...]) -> None:
    said = " ".join(cautions_for(kind)).lower()
    for word in words:
        assert word in said


@pytest.mark.parametrize("kind", kinds())
@pytest.mark.parametrize("language", ["en", "de"])
def test_every_list_is_short_and_defers_at_its_end(kind: str, language: str) -> None:
    said = cautions_for(kind, language)
    if kind in ("assembly", "inspection", "marking"):
        assert said == ()
        return
    assert 2 <= len(said) <= 4
    assert all(len(line) < 220 for line in said)
    last = {
        "en": "The machine's manual, local rules and trained people come first.",
        "de": "Betriebsanleitung, örtliche Vorschriften und ausgebildete Leute gehen vor.",
    }
    assert said[-1] == last[language]
    assert len(said) == len(cautions_for(kind, "en"))


def test_a_kind_of_several_words_gets_all_of_them() -> None:
    said = " ".join(cautions_for("Drilling and tapping by hand"))
    assert "Power off" in said
    said = " ".join(cautions_for("hand polishing, then gluing"))
    assert "never wrapped" in said and "lidded bin" in said
    assert "never wrapped" in " ".join(cautions_for("hand-polishing"))


def test_an_unknown_kind_gets_the_general_one() -> None:
    said = cautions_for("hobbing")
    assert len(said) == 2
    assert "Eye protection" in said[0]
    assert cautions_for("turning", "fr") == cautions_for("turning", "en")


def test_no_spindle_where_there_is_no_machine() -> None:
    assert "spindle" not in " ".join(cautions_for("blackening")).lower()
