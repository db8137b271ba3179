"""Cautions: how kinds are recognised, what an unknown one is treated as, and that all defer."""

from dataclasses import replace
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load_text
from qlog.review.cautions.caution import Caution
from qlog.review.cautions.processes import PROCESSES, ProcessGroup
from qlog.review.cautions.recognise import (
    cautions_for,
    cautions_of,
    plain,
    processes_of,
    unknown_kinds,
)
from qlog.words.catalogue import load
from qlog.words.ready import caution_texts
from tests.conftest import SMALL_PLAN


def ids(kind: str, name: str = "") -> list[str]:
    return [p.id for p in processes_of(kind, name)]


@pytest.mark.parametrize(
    ("kind", "found"),
    [
        ("Drilling and tapping by hand", ["drilling", "tapping"]),
        ("hand-polishing", ["polishing"]),
        ("Innenrundschleifen", ["grinding"]),
        ("GEWINDEBOHREN", ["turning", "drilling", "tapping"]),
        ("Schutzgasschweißen", ["welding"]),
        ("heat bluing", ["heat bluing"]),
        ("heat", ["hardening"]),
        ("part", ["parting off"]),
        ("blacken", ["blackening"]),
        ("Elektropolieren", ["electropolishing"]),
        ("compressed air", ["blowing off"]),
        ("profile", []),
        ("schreiben", []),
        ("stapling", []),
    ],
)
def test_a_kind_is_known_by_its_stems(kind: str, found: list[str]) -> None:
    assert ids(kind) == found


def test_umlauts_and_their_two_letters_are_one() -> None:
    assert plain("  Härten/Öl-ABSCHRECKEN, groß ") == "haerten oel abschrecken gross"
    assert ids("Haerten") == ids("Härten") == ["hardening"]


def test_name_and_kind_both_count_where_they_differ() -> None:
    assert ids("turning", "drill, braze and polish") == [
        "turning", "drilling", "polishing", "brazing",
    ]  # fmt: skip
    assert Caution.GAS in cautions_for("turning", "braze the foot")
    assert Caution.SWARF in cautions_for("turning", "braze the foot")


def test_an_unknown_kind_is_treated_as_a_machine_that_turns() -> None:
    assert cautions_for("frobbing") == (Caution.SPINDLE, Caution.DEFER)
    assert cautions_for("", "") == (Caution.SPINDLE, Caution.DEFER)


def test_nothing_is_said_where_nothing_can_hurt() -> None:
    assert cautions_for("inspection") == cautions_for("Anreißen") == ()
    assert cautions_for("inspection", "check the polish") != ()


def test_no_spindle_where_nothing_turns() -> None:
    for kind in ("blackening", "gluing", "pressing", "welding", "hardening"):
        assert Caution.SPINDLE not in cautions_for(kind)
        assert Caution.EYES in cautions_for(kind)


@pytest.mark.parametrize("process", PROCESSES, ids=lambda p: p.id)
def test_every_process_knows_its_own_name_and_defers(process) -> None:  # type: ignore[no-untyped-def]
    assert process in processes_of(process.id)
    told = cautions_for(process.id)
    assert bool(told) == bool(process.cautions)
    assert not told or told[-1] is Caution.DEFER
    assert len(told) <= 12


def test_groups_stand_in_their_order() -> None:
    order = [p.group.value for p in PROCESSES]
    assert order == sorted(order)
    assert set(order) == {g.value for g in ProcessGroup}


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_caution_has_one_short_sentence_in_each_language(language: str) -> None:
    sentences = caution_texts(Caution, load(language))
    assert len(set(sentences)) == len(Caution)
    assert all(8 < len(s) < 260 and s.endswith(".") for s in sentences)


def test_every_list_defers_to_what_comes_first() -> None:
    (english,) = caution_texts([Caution.DEFER], load("en"))
    (german,) = caution_texts([Caution.DEFER], load("de-AT"))
    for word in ("manual", "safety data sheets", "local rules", "trained or licensed"):
        assert word in english
    for word in ("Betriebsanleitung", "Sicherheitsdatenblätter", "Vorschriften", "ausgebildete"):
        assert word in german


def test_every_caution_is_used() -> None:
    used = {c for p in PROCESSES for c in p.cautions}
    assert used | {Caution.DEFER} == set(Caution)


def test_unknown_kinds_are_listed_with_what_they_are_treated_as(tmp_path: Path) -> None:
    text = SMALL_PLAN.replace('kind = "turning"', 'kind = "frobbing"')
    text = text.replace('kind = "boring"', 'kind = "frobbing"').replace(
        'name = "bore"', 'name = "x"'
    )
    build = load_text(text, tmp_path)
    assert [(u.part, u.op, u.kind, u.treated_as) for u in unknown_kinds(build)] == [
        ("cup", 10, "frobbing", ("turning",)),
        ("cup", 20, "frobbing", ()),
    ]
    operation = replace(build.parts[0].operations[1], kind="", name="polish")
    quiet = replace(build, parts=(replace(build.parts[0], operations=(operation,)),))
    assert unknown_kinds(quiet) == ()


def test_what_is_done_elsewhere_and_says_not_what_gets_no_cautions_of_a_lathe(
    tmp_path: Path,
) -> None:
    build = load_text(SMALL_PLAN, tmp_path)
    away = replace(build.parts[0].operations[1], kind="", name="frob", sent_out="the shop")
    part = replace(build.parts[0], operations=(away,))
    sent = replace(build, parts=(part,))
    assert unknown_kinds(sent) == () and cautions_of(sent, part, away) == ()
    here = replace(away, sent_out="")
    part = replace(part, operations=(here,))
    assert unknown_kinds(replace(build, parts=(part,))) and cautions_of(build, part, here)
