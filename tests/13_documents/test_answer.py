"""The answer as a caller gets it, held against the geometry it tells of and against its own published shape."""

import dataclasses
import json
import math

import pytest
from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin
from jsonschema import Draft202012Validator

from stamped import NAMES, stamp_of
from stampwright.base import Finding, Notice
from stampwright.catalogue import CUTTERS, METALS, SUBSTRATES, THREADS
from stampwright.cutting import Blank, CuttingPlan, Operation, Price, ThreadPlan
from stampwright.documents import (
    CutterSchema,
    MetalSchema,
    ReviewAnswerSchema,
    StampSchema,
    SubstrateSchema,
    ThreadSchema,
    review_json,
    stamp_json,
)
from stampwright.documents.part_shapes import (
    CornerSchema,
    CutterReachSchema,
    FindingSchema,
    NoticeSchema,
    ReviewSchema,
    SolidSchema,
    WidthBinSchema,
)
from stampwright.documents.plan_shapes import (
    BlankSchema,
    OperationSchema,
    PlanSchema,
    PriceSchema,
    RodSchema,
    ThreadPlanSchema,
    UseSchema,
)
from stampwright.heat import RodPlan, UseSheet
from stampwright.job import read_job
from stampwright.pipeline import make_stamp
from stampwright.review import Corner, CutterReach, Review
from stampwright.review.report import WidthBin
from stampwright.solid import Solid

CATALOGUES = [
    (CutterSchema, CUTTERS),
    (MetalSchema, METALS),
    (SubstrateSchema, SUBSTRATES),
    (ThreadSchema, THREADS),
]


@pytest.fixture(params=NAMES)
def stamp(request):
    return stamp_of(request.param)


def answer(stamp):
    return json.loads(stamp_json(stamp))


def validator(name, schema):
    spec = APISpec("t", "1", "3.1.0", plugins=[MarshmallowPlugin()])
    spec.components.schema(name, schema=schema)
    # OpenAPI 3.1 uses JSON Schema 2020-12; python-jsonschema is the judge
    return Draft202012Validator({"$ref": f"#/components/schemas/{name}"} | spec.to_dict())


def test_an_answer_has_the_shape_it_publishes(stamp):
    assert list(validator("Stamp", StampSchema).iter_errors(answer(stamp))) == []


def test_an_answer_about_a_mark_without_gap_or_counter_has_it_too():
    bar = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 8"><path d="M0 0h30v8H0z"/></svg>'
    told = answer(make_stamp(bar, read_job({"thread": None})))
    assert told["face"]["gap_min_mm"] is None
    assert list(validator("Stamp", StampSchema).iter_errors(told)) == []


def test_the_quick_answer_has_the_shape_it_publishes(stamp):
    quick = json.loads(review_json(stamp))
    assert list(validator("Quick", ReviewAnswerSchema).iter_errors(quick)) == []


def test_the_quick_answer_is_the_whole_one_without_the_work(stamp):
    whole, quick = answer(stamp), json.loads(review_json(stamp))
    assert quick.pop("print_svg") is None
    assert quick == {name: whole[name] for name in quick}


@pytest.mark.parametrize(("schema", "rows"), CATALOGUES, ids=["cutters", "metals", "substrates", "threads"])
def test_a_catalogue_tells_every_value_of_every_row(schema, rows):
    for row in rows.values():
        told = schema().dump(row)
        assert list(validator("Row", schema).iter_errors(told)) == []
        assert {f.name for f in dataclasses.fields(row)} <= set(told)


PARTS = [
    (Notice, NoticeSchema, set()),
    (Finding, FindingSchema, set()),
    (Corner, CornerSchema, set()),
    (CutterReach, CutterReachSchema, set()),
    (WidthBin, WidthBinSchema, set()),
    (Review, ReviewSchema, {"verdict", "land_min_mm", "gap_min_mm", "land_min_at_mm"}),  # told beside it, or drawn
    (Operation, OperationSchema, set()),
    (Blank, BlankSchema, set()),
    (ThreadPlan, ThreadPlanSchema, set()),
    (RodPlan, RodSchema, set()),
    (UseSheet, UseSchema, set()),
    (Price, PriceSchema, set()),
    # geometry goes out in the drawings and the solid
    (CuttingPlan, PlanSchema, {"cleared", "left_uncut", "left_by_flats", "paths"}),
    (Solid, SolidSchema, {"vertices", "hole"}),
]


@pytest.mark.parametrize(("record", "schema", "geometry"), PARTS, ids=lambda part: getattr(part, "__name__", ""))
def test_nothing_of_a_record_is_kept_from_the_caller(record, schema, geometry):
    assert {f.name for f in dataclasses.fields(record)} - geometry <= set(schema().fields)


def test_areas_are_those_of_the_polygons_to_the_last_bit(stamp):
    told = answer(stamp)
    assert told["mark"]["ink_area_mm2"] == stamp.mark.ink.area
    assert told["face"]["ink_area_mm2"] == stamp.face.ink.area
    assert told["plan"]["left_uncut_mm2"] == stamp.plan.left_uncut.area


def test_lands_and_counters_are_counted(stamp):
    mark = answer(stamp)["mark"]
    assert mark["lands"] == len(stamp.mark.ink.geoms)
    assert mark["counters"] == sum(len(land.interiors) for land in stamp.mark.ink.geoms)


def test_the_mark_is_told_as_drawn_and_the_face_as_cut():
    told = answer(stamp_of("windrose"))
    # the drawing: 48 mm over 120 units, its points 56 units from the middle, y down from the page's corner
    assert told["mark"]["page_mm"] == [48, 48]
    assert told["mark"]["ink_bounds_mm"] == pytest.approx([1.6, 1.6, 46.4, 46.4], abs=1e-3)
    # the face: 50 mm less twice the margin of 2
    assert [told["face"]["width_mm"], told["face"]["height_mm"]] == pytest.approx([46, 46], abs=1e-3)


def test_remarks_of_reading_and_of_laying_out_are_one_list():
    told, stamp = answer(stamp_of("smoker")), stamp_of("smoker")
    assert len(told["mark"]["left_out"]) == len(stamp.mark.left_out) + len(stamp.face.left_out) > 0


def test_the_worst_finding_decides_the_verdict(stamp):
    told = answer(stamp)
    worst = {finding["severity"] for finding in told["review"]["findings"]}
    wanted = "unmakeable" if "stop" in worst else "compromised" if "warning" in worst else "ready"
    assert told["verdict"] == wanted


def test_the_bytes_are_utf8_end_in_a_line_and_come_again(stamp):
    assert stamp_json(stamp) == stamp_json(stamp)
    assert stamp_json(stamp).endswith(b"}\n")
    assert "\\u" not in stamp_json(stamp).decode()


def test_a_number_that_is_none_never_leaves_the_house():
    stamp = stamp_of("skep")
    broken = dataclasses.replace(stamp, use=dataclasses.replace(stamp.use, energy_j=math.nan))
    with pytest.raises(ValueError, match="JSON compliant"):
        stamp_json(broken)
