"""The answer as JSON: the records of the pipeline in the shape a caller relies on. Same stamp, same bytes."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, get_args

import shapely
from marshmallow import pre_dump

from stampwright.base import Verdict

from .catalogue_shapes import CutterSchema, MetalSchema, SubstrateSchema, ThreadSchema
from .part_shapes import FaceSchema, GrowthSchema, MarkSchema, ReviewSchema, SolidSchema
from .plan_shapes import PlanSchema, PriceSchema, UseSchema
from .shapes import AnswerSchema, part, text

if TYPE_CHECKING:
    from stampwright.artwork import Mark
    from stampwright.layout import Face
    from stampwright.pipeline import Reviewed, Stamp
    from stampwright.review import Review

__all__ = [
    "CutterSchema",
    "MetalSchema",
    "ReviewAnswerSchema",
    "StampSchema",
    "SubstrateSchema",
    "ThreadSchema",
    "review_json",
    "stamp_json",
]


class ReviewAnswerSchema(AnswerSchema):
    """The quick answer: mark, face and review. Dumps a `Reviewed`."""

    verdict = text("the worst finding decides", one_of=get_args(Verdict))
    digest = text("SHA-256 over version, job, mark and fonts [hex]: same digest, same answer")
    mark = part(MarkSchema, "the drawing as it was read")
    face = part(FaceSchema, "the ink on the head, reversed")
    growth = part(GrowthSchema, "thin lands grown; null unless `relief.thicken` asks for it", nullable=True)
    review = part(ReviewSchema, "what will disappoint")
    print_svg = text("the plain print as SVG; null unless the query asks for it", nullable=True)

    @pre_dump
    def _gather(self, found: Reviewed, **_: object) -> dict[str, Any]:
        return _reviewed(found)


class StampSchema(AnswerSchema):
    """The whole answer. Dumps a `Stamp`."""

    verdict = text("the worst finding decides", one_of=get_args(Verdict))
    digest = text("SHA-256 over version, job, mark and fonts [hex]: same digest, same answer")
    mark = part(MarkSchema, "the drawing as it was read")
    face = part(FaceSchema, "the ink on the head, reversed")
    growth = part(GrowthSchema, "thin lands grown; null unless `relief.thicken` asks for it", nullable=True)
    solid = part(SolidSchema, "the head as a closed mesh")
    review = part(ReviewSchema, "what will disappoint")
    plan = part(PlanSchema, "the cutting")
    use = part(UseSchema, "heat and pressing")
    price = part(PriceSchema, "the quote; null when the job names no rates", nullable=True)

    @pre_dump
    def _gather(self, stamp: Stamp, **_: object) -> dict[str, Any]:
        made = {"plan": stamp.plan, "use": stamp.use, "price": stamp.price}
        solid = {name: getattr(stamp.solid, name) for name in _OF_SOLID}
        return _reviewed(stamp) | made | {"solid": solid | {"triangles": len(stamp.solid.triangles)}}


# Made once: a schema copies all its fields, and those of all its parts, for itself.
_STAMP, _REVIEW = StampSchema(), ReviewAnswerSchema()
_OF_SOLID = [name for name in SolidSchema().fields if name != "triangles"]


def stamp_json(stamp: Stamp) -> bytes:
    """Write the whole answer as UTF-8 JSON, two spaces a level, ending in a new line. Raises ValueError on NaN."""
    return _written(_STAMP.dump(stamp))


def review_json(found: Reviewed, *, print_svg: str | None = None) -> bytes:
    """Write the quick answer in the same way, with the plain print where it was asked for."""
    return _written(_REVIEW.dump(found) | {"print_svg": print_svg})


def _written(answer: dict[str, Any]) -> bytes:
    return json.dumps(answer, ensure_ascii=False, indent=2, allow_nan=False).encode() + b"\n"


def _reviewed(found: Reviewed | Stamp) -> dict[str, Any]:
    return {
        "verdict": found.review.verdict,
        "digest": found.digest,
        "mark": _mark(found.mark, found.face),
        "face": _face(found.face, found.review),
        "growth": found.growth,
        "review": found.review,
    }


def _mark(mark: Mark, face: Face) -> dict[str, Any]:
    return {
        "source": mark.source,
        "page_mm": mark.page_mm,
        "ink_bounds_mm": mark.ink.bounds,
        "ink_area_mm2": mark.ink.area,
        "lands": len(mark.ink.geoms),
        "counters": int(shapely.get_num_interior_rings(mark.ink.geoms).sum()),
        "mirror_symmetric": face.mirror_symmetric,
        # Two stages may remark on the drawing; a caller wants one list of each kind, in the order of the stages.
        "repaired": [*mark.repaired, *face.repaired],
        "left_out": [*mark.left_out, *face.left_out],
        "hints": [*mark.hints, *face.hints],
    }


def _face(face: Face, review: Review) -> dict[str, Any]:
    x0, y0, x1, y1 = face.ink.bounds
    return {
        "width_mm": x1 - x0,
        "height_mm": y1 - y0,
        "scale": face.scale,
        "ink_area_mm2": face.ink.area,
        "coverage": face.ink.area / face.head.area,
        "land_min_mm": review.land_min_mm,
        "gap_min_mm": review.gap_min_mm,
        "relief_mm": face.relief_mm,
        "reversed": face.reversed,
        "head_bounds_mm": face.head.bounds,
        "head_area_mm2": face.head.area,
    }
