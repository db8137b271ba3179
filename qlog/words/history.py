"""The history of a piece, said."""

from __future__ import annotations

from qlog.drawing.decimals import as_typed
from qlog.logbook.facts import Reading
from qlog.review.diary.events import Event, What
from qlog.review.diary.history import History
from qlog.review.homeless import Homeless
from qlog.review.views import Standing
from qlog.words.catalogue import Words
from qlog.words.entries import entry_text, own_text
from qlog.words.settings import settings_text
from qlog.words.values import raws_text


def state_text(history: History, words: Words) -> str:
    """How a piece stands, and what is next for it."""
    piece = history.piece
    if history.was is not None:
        return words(f"piece.was.{history.was.value}")
    if history.part is None:
        return words("piece.no_part", part=history.name.rpartition("-")[0])
    if piece is None:
        return words("piece.not_planned")
    if piece.standing is Standing.ASSEMBLED:
        state = words("piece.state.built", item=words.item(piece.item or ""))
    else:
        state = words(f"standing.{piece.standing.name.lower()}")
    if piece.standing is Standing.SCRAP:
        return state
    if piece.spare:
        state = words("piece.state.spare", state=state)
    if history.due is None:
        if piece.owes:
            return words.count("piece.state.unread", piece.owes, state=state)
        failed = "piece.state.all_done" if history.undecided else "piece.state.finished"
        return words(failed, state=state)
    return words("piece.state.next", state=state, op=history.due)


def event_text(event: Event, words: Words) -> str:
    """One thing that happened to a piece. Raises KeyError for a kind without words."""
    fact = None if event.entry is None else event.entry.fact
    about = {} if fact is None else {n: getattr(fact, n) for n in fact.columns()}
    about["name"] = event.name or words("op.name", op=event.op, name="").strip()
    match event.what:
        case What.READ | What.READ_BESIDE:
            return _reading_text(event, words)
        case What.DONE if about["override"]:
            return words("event.done.override", name=about["name"], why=about["override"])
        case What.SET:
            return words(
                "event.set", name=event.name, settings=settings_text(event.settings, words)
            )
        case What.GAP:
            said = words(f"event.{about['kind']}", **about)
            return words("event.because", said=said, why=about["why"]) if about["why"] else said
        case What.DECIDED:
            decision = words(f"decision.{about['decision']}")
            return words("event.decision", decision=decision, why=about["why"])
        case What.SHIPPED:
            return words(f"event.{about['direction']}", **about)
        case What.PHOTO:
            caption = "" if event.photo is None else event.photo.caption
            return words("event.photo.caption" if caption else "event.photo", caption=caption)
        case What.LOST:
            return _lost_text(event, words)
        case What.LOGGED if isinstance(fact, Reading):
            return words("event.reading", **about)
        case What.LOGGED if fact is not None:
            return entry_text(fact, words)
    keys = {
        What.DONE: "event.done",
        What.BEGUN: "event.begun",
        What.NOTED: "event.note",
        What.BUILT_IN: "event.built",
        What.REMADE: "event.remade",
    }
    return words(keys[event.what], **about)


def by_whom(said: str, person: str, words: Words) -> str:
    """What was logged, with who entered it; as it is where nobody was said."""
    return words("said.by", said=said, who=person) if person else said


def _reading_text(event: Event, words: Words) -> str:
    reading = event.reading
    if reading is None:
        return ""
    decides = event.beside
    if decides is not None:
        return words(
            "event.beside",
            name=event.name,
            typed=as_typed(reading.typed),
            by=reading.instrument or words("event.no_instrument"),
            deciding=decides.instrument or words("event.another_reading"),
        )
    said = words("event.reading", name=event.name, typed=as_typed(reading.typed))
    if reading.raws:
        said = words("event.reading.computed", said=said, raws=raws_text(reading, words))
    for corrected in reading.corrections:
        was = as_typed(corrected.typed)
        said = words(
            "event.reading.was", said=said, typed=was, why=own_text(corrected.reason, words)
        )
    if reading.suspect:
        said = words("event.reading.suspect", said=said)
    return (
        words("event.reading.note", said=said, note=own_text(reading.note, words))
        if reading.note
        else said
    )


def _lost_text(event: Event, words: Words) -> str:
    if event.entry is None or event.lost is None:
        return ""
    fact, gone = event.entry.fact, gone_text(event.lost, words)
    if isinstance(fact, Reading):
        typed = as_typed(fact.typed)
        return words("event.lost_reading", dimension=fact.dimension, typed=typed, gone=gone)
    return words("event.lost", what=entry_text(fact, words), gone=gone)


def gone_text(lost: Homeless, words: Words) -> str:
    """What the plan has not."""
    return words(f"gone.{lost.gone.value}", name=lost.name, part=lost.part)
