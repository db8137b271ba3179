"""What to make next: the limits that let a piece still to be cut fit the mates already made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from qlog.drawing.limits import Limits
from qlog.drawing.plan import Build, Dimension, Feature, Part
from qlog.review.judging import uncertainty_of
from qlog.review.mating import drawing_limits
from qlog.review.picture import PartView, Standing
from qlog.review.sizes import feature_sizes
from qlog.study.aim import Aim, Need, aim, aim_at_all
from qlog.study.fits import Side, pairing


@dataclass(frozen=True, slots=True)
class DimensionAim:
    """The limits to aim at for one dimension; `limits` is what all its joints have in common."""

    dimension: Dimension
    aims: tuple[tuple[str, Aim], ...]  # joint id
    limits: Limits | None


def aims_for(
    build: Build, parts: Sequence[PartView], part: Part, piece: int
) -> tuple[DimensionAim, ...]:
    """What to aim at for every dimension of the piece that is in a joint.

    Free are the mates that the best pairing of the pieces already made leaves over; where it
    leaves none, all of them count, for the new piece may replace another.
    """
    found: list[DimensionAim] = []
    for dimension in part.dimensions:
        aims: list[tuple[str, Aim]] = []
        for joint in build.joints:
            own = Feature(part.id, dimension.id)
            if own not in (joint.inside, joint.outside):
                continue
            unit = joint.clearance.unit
            mine = feature_sizes(parts, own, unit).pieces
            others = tuple(p for p in mine if p.number != piece)
            inside_mates = own == joint.outside
            other = joint.inside if inside_mates else joint.outside
            assembled = _assembled(parts, other.part)
            mates = tuple(
                p for p in feature_sizes(parts, other, unit).pieces if p.number not in assembled
            )
            insides, outsides = (mates, others) if inside_mates else (others, mates)
            best = pairing(
                insides, outsides, joint.clearance, rule=build.rule, conformance=build.conformance
            )
            spare = best.spare_inside if inside_mates else best.spare_outside
            instrument = (
                None if dimension.instrument is None else build.instrument(dimension.instrument)
            )
            need = Need(
                joint.id, Side.INSIDE if inside_mates else Side.OUTSIDE, spare or mates,
                joint.clearance,
            )  # fmt: skip
            aims.append(
                (
                    joint.id,
                    aim(
                        need,
                        drawing_limits(build, own, unit),
                        rule=build.rule,
                        uncertainty=uncertainty_of(instrument, unit),
                        conformance=build.conformance,
                    ),
                )
            )
        if aims:
            found.append(DimensionAim(dimension, tuple(aims), aim_at_all([a for _, a in aims])))
    return tuple(found)


def _assembled(parts: Sequence[PartView], part: str) -> set[int]:
    view = next(v for v in parts if v.part.id == part)
    return {p.number for p in view.pieces if p.standing is Standing.ASSEMBLED}
