"""The workshop's words that the record uses, explained."""

from __future__ import annotations

from qlog.drawing.units import Unit
from qlog.review.picture import Picture
from qlog.words.catalogue import Words

#: Terms of the glossary: a kind of operation or a thing whose presence calls for them.
_TERMS = (
    "turning", "boring", "reaming", "drilling", "tapping", "thread", "milling", "indexing",
    "parting", "knurling", "polishing", "blackening", "form_turning", "tolerance",
    "micrometre", "runout", "roughness", "press_fit", "sliding_fit", "lathe",
)  # fmt: skip


def terms_of(picture: Picture, words: Words) -> tuple[tuple[str, str], ...]:
    """The words that this record uses, explained, in the order of the alphabet."""
    present = {"tolerance"}
    for view in picture.parts:
        for operation in view.part.operations:
            present.add(operation.kind.casefold().replace(" ", "_"))
        for dimension in view.part.dimensions:
            kind = dimension.callout.kind.value
            present.add(dimension.callout.characteristic.casefold() or kind)
            present.add(kind)
            if any(r.callout.limits.unit is Unit.MICROMETRE for r in dimension.requirements):
                present.add("micrometre")
    for joint in picture.build.joints:
        lower, upper = joint.clearance.lower, joint.clearance.upper
        if upper is not None and upper <= 0:
            present.add("press_fit")
        elif lower is not None and lower >= 0:
            present.add("sliding_fit")
    if present & {"turning", "boring", "facing", "parting", "form_turning"}:
        present.add("lathe")
    found = [
        (words(f"glossary.{term}.term"), words(f"glossary.{term}.text"))
        for term in _TERMS
        if term in present
    ]
    return tuple(sorted(found, key=lambda pair: pair[0].casefold()))
