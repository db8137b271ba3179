"""Joints, stacks and matching, as their page shows them."""

from __future__ import annotations

from qlog.drawing.plan import Feature
from qlog.record.sheets import Fact
from qlog.record.wording import (
    limits_text,
)
from qlog.record.words import Words
from qlog.review.picture import (
    Picture,
)

MINUS = "\N{MINUS SIGN}"


def fits_context(picture: Picture, words: Words) -> dict[str, object]:
    """Joints, stacks and matching, as far as the review has worked them out."""
    build = picture.build

    def named(feature: Feature) -> str:
        part = build.part(feature.part)
        return f"{part.name}, {part.dimension(feature.dimension).name}"

    return {
        "plan_joints": [
            {
                "id": joint.id,
                "name": joint.name,
                "facts": (
                    Fact(words("fits.inside"), named(joint.inside)),
                    Fact(words("fits.outside"), named(joint.outside)),
                    Fact(words("fits.clearance"), limits_text(words, joint.clearance)),
                ),
            }
            for joint in build.joints
        ],
        "plan_stacks": [
            {
                "id": stack.id,
                "name": stack.name,
                "facts": (
                    Fact(words("col.callout"), stack.callout.text),
                    Fact(
                        words("fits.terms"),
                        " ".join(
                            f"{'+' if sign > 0 else MINUS} {named(feature)}"
                            for sign, feature in stack.terms
                        ).removeprefix("+ "),
                    ),
                ),
            }
            for stack in build.stacks
        ],
    }
