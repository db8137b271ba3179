"""Reading what is for those who receive the set: letter, voice, chapters, memories, finishes."""

from __future__ import annotations

import re
from datetime import date

from qlog.drawing import gift as gifts
from qlog.drawing.build_file.definitions import Definitions
from qlog.drawing.build_file.entry import PlanTable
from qlog.drawing.build_file.mistakes import Place, one_of
from qlog.drawing.named_files import ENDINGS, FileKind, fault, form, mistake, outside
from qlog.drawing.plan import ItemGroup
from qlog.problem import ToSay

_OF_LOG = r"photo +\S.*"
_PIECE = r"(?P<part>.+)-(?P<number>[1-9][0-9]{0,3})\Z"


class GiftReader:
    """Reads it after the parts; finishes are read before them, since parts name them."""

    def __init__(self, known: Definitions) -> None:
        self.known = known
        self.items: list[str] = []

    def finishes(self, top: PlanTable) -> tuple[gifts.Finish, ...]:
        """All [finish.NAME] tables."""
        found = []
        for id, entry in top.named("finish"):
            self.known.good_id(entry.place, id, "finish")
            kind = entry.choice("kind", "", ("", *gifts.FINISHES))
            found.append(gifts.Finish(id, entry.text("name", id), kind, entry.text("care")))
            entry.close()
        self.known.finishes = {f.id: f for f in found}
        return tuple(found)

    def gift(
        self, top: PlanTable, finishes: tuple[gifts.Finish, ...], groups: tuple[ItemGroup, ...]
    ) -> gifts.Gift:
        """Everything of the kind that the file holds."""
        self.items = [f"{g.id}-{n}" for g in groups for n in range(1, g.count + 1)]
        return gifts.Gift(
            dedication=top.text("dedication"),
            ask=top.text("ask"),
            safety=self._safety(top),
            address=self._address(top),
            letter=self._letter(top),
            voice=self._voice(top),
            chapters=tuple(self._chapter(e) for e in top.entries("chapter")),
            memories=tuple(self._memory(e) for e in top.entries("memory")),
            accepted=tuple(
                a for e in top.entries("accepted") if (a := self._accepted(e)) is not None
            ),
            finishes=finishes,
        )

    def file(self, place: Place, key: str, written: str, kind: FileKind) -> str:
        """A path of the build's folder, noted when it leaves it or is not what it is to be."""
        notes = self.known.notes
        if not written:
            return ""
        if outside(written):
            notes.error(
                place, ToSay("error.lies_outside_build", written=written),
                ToSay("error.path_from_build", key=key, endings=ENDINGS[kind][0]), written,
            )  # fmt: skip
        elif not written.lower().endswith(ENDINGS[kind]):
            what = ToSay("error.file_unusable", file=written, form=form(kind))
            notes.error(place, what, form(kind), written)
        elif found := fault(self.known.folder, written, kind):
            notes.warn(
                place,
                mistake(written, found, kind),
                ToSay("error.build_folder", form=form(kind)),
                written,
            )
        return written

    def _file(self, entry: PlanTable, key: str, kind: FileKind, *, required: bool = False) -> str:
        return self.file(entry.at(key), key, entry.text(key, required=required), kind)

    def _letter(self, top: PlanTable) -> gifts.GiftLetter:
        entry = top.entry("letter")
        if entry is None:
            return gifts.GiftLetter()
        text, scan = (
            self._file(entry, "text", FileKind.TEXT),
            self._file(entry, "scan", FileKind.PICTURE),
        )
        entry.close()
        if not (text or scan):
            self.known.notes.warn(entry.place, ToSay("error.letter_neither_text"),
                                  'text = "letter/letter.txt"')  # fmt: skip
        elif not text:
            what = ToSay("error.letter_scan_text")
            self.known.notes.warn(entry.place, what, ToSay("error.text_letter_letter_txt"))
        return gifts.GiftLetter(text, scan)

    def _voice(self, top: PlanTable) -> gifts.Voice:
        entry = top.entry("voice")
        if entry is None:
            return gifts.Voice()
        file = self._file(entry, "file", FileKind.SOUND, required=True)
        transcript = self._file(entry, "transcript", FileKind.TEXT)
        entry.close()
        if not transcript:
            what = ToSay("error.recording_transcript")
            self.known.notes.warn(entry.place, what, ToSay("error.transcript_letter_voice"))
        return gifts.Voice(file, transcript)

    def _chapter(self, entry: PlanTable) -> gifts.GiftChapter:
        title, text = entry.text("title", required=True), entry.text("text")
        at = entry.text("at", gifts.PLACES[0])
        if at not in gifts.PLACES and not _is_day(at):
            entry.error(
                "at", ToSay("error.place_story", at=at),
                ToSay("error.day_or_place", places=", ".join(f'"{p}"' for p in gifts.PLACES)),
            )  # fmt: skip
            at = gifts.PLACES[0]
        photos = entry.texts("photos")
        for index, photo in enumerate(photos):
            self._picture((*entry.at("photos"), index), photo)
        entry.close()
        return gifts.GiftChapter(title, text, at, photos)

    def _memory(self, entry: PlanTable) -> gifts.GiftMemory:
        photo = self._picture(entry.at("photo"), entry.text("photo"))
        line, item = entry.text("line", required=True), entry.text("item")
        entry.close()
        if item and item not in self.items:
            entry.error("item", ToSay("error.read_gift_item", item=item), one_of(item, self.items))
        return gifts.GiftMemory(photo, line, item)

    def _picture(self, place: Place, written: str) -> str:
        """A picture: a file of the build's folder, or a photo of the log."""
        if re.fullmatch(_OF_LOG, written):
            return written
        return self.file(place, "photo", written, FileKind.PICTURE)

    def _accepted(self, entry: PlanTable) -> gifts.Accepted | None:
        written, why = entry.text("piece", required=True), entry.text("why", required=True)
        entry.close()
        match = re.match(_PIECE, written)
        if not written:
            return None
        part = match["part"] if match else written
        if match is None or part not in self.known.parts:
            entry.error("piece", ToSay("error.names_no_piece", written=written),
                        ToSay("error.part_and_number",
                              parts=one_of(part, self.known.parts)))  # fmt: skip
            return None
        return gifts.Accepted(part, int(match["number"]), why)

    def _safety(self, top: PlanTable) -> tuple[str, ...]:
        """Known dangers by their name; anything of several words is a sentence of the maker's."""
        said = top.texts("safety")
        for index, text in enumerate(said):
            if text not in gifts.DANGERS and " " not in text.strip():
                self.known.notes.error(
                    ("safety", index), ToSay("error.danger_caution_known", text=text),
                    ToSay("error.or_a_sentence", known=one_of(text, gifts.DANGERS)), text,
                )  # fmt: skip
        return said

    def _address(self, top: PlanTable) -> str:
        written = top.text("address")
        if written and not re.fullmatch(r"https?://[!-~]+", written):
            top.error("address", ToSay("error.address_address_page", written=written),
                      ToSay("error.where_record_published")
                      )  # fmt: skip
            return ""
        return written


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True
