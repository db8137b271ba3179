"""What was entered, said in a few words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from qlog.drawing.decimals import as_typed
from qlog.logbook import facts
from qlog.logbook.own_words import Own

if TYPE_CHECKING:
    from qlog.logbook.facts import Fact
    from qlog.words.catalogue import Words


def cause_text(cause: str, words: Words) -> str:
    """Why a setup began; a cause in the user's own words stays as it is."""
    return words.maybe(f"cause.{cause}", cause) if cause else ""


def own_text(text: str, words: Words) -> str:
    """A reason or a remark of the log; what qlog entered by itself in the language of `words`."""
    return "; ".join(_own_text(one, words) for one in text.split("; "))


def _own_text(text: str, words: Words) -> str:
    if text in _OWN:
        return words(f"own.{_OWN[text].name.lower()}")
    name, _, numbers = text.partition(" ")
    if name == Own.READINGS and all(one[:1] in "+-.,0123456789" for one in numbers.split(", ")):
        return words("own.readings", readings=numbers)
    return text


def entry_text(fact: Fact, words: Words) -> str:
    """An entry in a few words. Raises WordsError for a kind that cannot be taken back."""
    about = {name: getattr(fact, name) for name in fact.columns()}
    if "piece" in about and "part" in about:
        about["piece"] = words.piece(str(about["part"]), about["piece"])
    if "typed" in about:
        about["typed"] = as_typed(about["typed"])
    match fact:
        case facts.Gap():
            said = words(f"entry.{fact.kind}", **about)
            return words("entry.because", said=said, why=fact.why) if fact.why else said
        case facts.Disposition():
            return words(f"entry.{fact.decision}", **about)
        case facts.Setup():
            return words("entry.setup", **{**about, "cause": cause_text(fact.cause, words)})
        case facts.Setting():
            from qlog.words.settings import setting_text

            said = setting_text(fact.what, fact.value, fact.unit, words)
            return words("entry.setting", **{**about, "said": said})
        case facts.GaugeCheck():
            read = {n: words.number(about[n], fact.unit) for n in ("reference", "reading")}
            return words("entry.check", **{**about, **read})
        case facts.Shipment():
            return words(f"entry.{fact.direction}", **about)
        case facts.KeptMatch():
            return words("entry.kept_match", n=len(fact.items.splitlines()))
        case facts.Said():
            return words(f"entry.said.{fact.decision}", what=fact.what)
        case facts.Placement():
            from qlog.words.placing import place_text

            return words("entry.placement", where=place_text(fact, words))
        case facts.Trial():
            return words("entry.trial", **{**about, "typed": f"{fact.value} {fact.unit}".rstrip()})
    return words(f"entry.{fact.TABLE}", **about)


_OWN = {one.value: one for one in Own if one is not Own.READINGS}
