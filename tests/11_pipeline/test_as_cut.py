"""As cut differs from as drawn where the review and the plan say so, and nowhere: place by place.

A pointed cutter at the end goes on, less deep, into ground that the last flat one leaves: there its flank stands, and
what comes up to the face lies on ground that the review tells of itself.
"""

import math
from functools import cache, partial

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from cut_differences import differences, reach_of, told_by, too_shallow, untold
from cut_faces import HOLE
from relief_shapes import EXAMPLES, face_of, scattered
from stamped import MARKS, NAMES, stamp_of
from stampwright.catalogue import CUTTERS, METALS, substrate_named
from stampwright.cutting import plan_cutting
from stampwright.job import read_job
from stampwright.pipeline import make_stamp, solid_as_cut
from stampwright.plane import Closings, medial_axis
from stampwright.review import review_face
from stampwright.solid import Sharpened, build_solid
from swept import assert_covered_and_unharmed

SLOW = {"basket", "clover", "dandelion", "river"}  # half a minute to plan with a pointed cutter: in the long run
POINTED = ["flat-3.175", "flat-1.588", "pointed-20"]
ARC_MM = 0.001  # of what is cleared; along the outline of a difference its area is off by as much
UNTOLD_MM2 = 1e-3  # a corner so small keeps a disc of 0.005 mm in or not


@cache
def _pointed(name):
    return make_stamp(MARKS[name].svg, read_job({**MARKS[name].job, "cutters": POINTED, "solid": "as_cut"}))


@cache
def _flats(name):
    stamp = stamp_of(name)
    pieces = differences(stamp.solid, solid_as_cut(stamp))
    return stamp, pieces, told_by(reach_of(stamp.review, stamp.plan.cutters[-1]))


@pytest.mark.parametrize("name", NAMES)
def test_each_difference_lies_where_the_review_tells_what_the_last_cutter_leaves(name):
    _, pieces, told = _flats(name)
    assert len(pieces)
    assert not len(told.none_at(pieces))


@pytest.mark.parametrize("name", NAMES)
def test_the_differences_are_as_large_as_the_review_tells(name):
    """Those that one place tells, or places that meet in one difference, together."""
    _, pieces, told = _flats(name)
    group, excess_mm2 = _excess_mm2(pieces, told)
    length_mm = np.bincount(group[len(told.at) :], shapely.length(pieces), minlength=len(excess_mm2))
    told_mm2 = np.bincount(group[: len(told.at)], told.area_mm2, minlength=len(excess_mm2))
    assert np.all(np.abs(excess_mm2) < ARC_MM * length_mm + 1e-3 * told_mm2 + UNTOLD_MM2)


def _excess_mm2(pieces, told):
    """Groups of places and pieces, places first, and by how much the pieces of each group are larger than told."""
    place, piece = told.met(pieces)
    count = len(told.at) + len(pieces)
    links = coo_array((np.ones(len(place)), (place, len(told.at) + piece)), shape=(count, count))
    groups, group = connected_components(links, directed=False)
    return group, np.bincount(group, np.concatenate([-told.area_mm2, shapely.area(pieces)]), minlength=groups)


@pytest.mark.parametrize("name", NAMES)
def test_where_the_review_tells_that_ground_is_left_the_solid_differs(name):
    """But in counters that the plan bores: the review speaks of cutters that mill."""
    stamp, pieces, told = _flats(name)
    on_face = [step for step in stamp.plan.operations if step.side == "face"]
    bored = [ground for step, ground in zip(on_face, stamp.plan.cleared, strict=True) if step.kind == "bore"]
    met = np.zeros(len(told.at), dtype=bool)
    met[told.met(np.array([*pieces, *bored]))[0]] = True
    assert np.all(met | (told.area_mm2 < UNTOLD_MM2))


def _sharpened(plan):
    """What the flat cutters left to the pointed one, and that cutter."""
    return Sharpened(plan.left_by_flats, CUTTERS[plan.cutters[-1]])


def _assert_told(face, plan, review, *, drawn, cut):
    assert len(differences(drawn, cut))
    assert not len(untold(face, plan, review, drawn=drawn, cut=cut))
    assert not np.any(too_shallow(reach_of(review, plan.cutters[-1]), cut))


@pytest.mark.parametrize("name", [name for name in NAMES if name not in SLOW or EXAMPLES > 200])
def test_behind_a_pointed_cutter_each_difference_lies_where_the_review_tells(name):
    stamp = _pointed(name)
    if stamp.plan.cutters[-1] != POINTED[-1]:
        assert "sharper than this mark asks" in stamp.plan.passed_over[POINTED[-1]]
        return
    _assert_told(stamp.face, stamp.plan, stamp.review, drawn=stamp_of(name).solid, cut=stamp.solid)


@pytest.mark.parametrize("draft_deg", [0, 5])
def test_as_cut_beside_as_drawn_is_the_solid_that_a_job_for_it_gets(draft_deg):
    """Its chords as fine as the job asks, walls and hole alike."""
    job = {**MARKS["skep"].job, "cutters": POINTED, "artwork": {"chord": 0.01}, "relief": {"draft_deg": draft_deg}}
    beside = solid_as_cut(make_stamp(MARKS["skep"].svg, read_job(job)))
    asked = make_stamp(MARKS["skep"].svg, read_job({**job, "solid": "as_cut"})).solid
    assert np.array_equal(beside.vertices, asked.vertices)
    assert np.array_equal(beside.triangles, asked.triangles)


RACKS = {
    "a flat one": ("flat-3.175", "flat-1.588"),
    "a fine flat one": ("flat-3.175", "flat-0.794"),
    "a pointed one": POINTED,
    "a blunt one": ("flat-1.588", "pointed-60"),
    "one wider than the last flat one": ("flat-0.794", "pointed-60"),
}


@given(
    seed=st.integers(0, 10**6),
    turn_deg=st.sampled_from([0.0, 45.0, 12.3]),
    rack=st.sampled_from(list(RACKS)),
)
@settings(max_examples=EXAMPLES // 10)
def test_of_any_heap_each_difference_lies_where_the_review_tells(seed, turn_deg, rack):
    face = face_of(scattered(seed, turn_deg=turn_deg))
    if face.ink.area < 1:
        return
    job = read_job({"cutters": list(RACKS[rack])})
    wood, axis, metal = substrate_named(job.substrate), medial_axis(face.ink), METALS[job.metal]
    closings = Closings(face.ink, axis)
    review = review_face(face, job, hole=HOLE, substrate=wood, axis=axis, closings=closings)
    plan = plan_cutting(face, job, hole=HOLE, metal=metal, axis=axis, closings=closings)
    build = partial(build_solid, face, head=job.head, hole=None, density_kg_m3=metal.density_kg_m3)
    drawn = build()
    if "pointed" in plan.cutters[-1]:
        cut = build(left_uncut=plan.left_uncut, sharpened=_sharpened(plan))
        _assert_told(face, plan, review, drawn=drawn, cut=cut)
    else:
        cut = build(left_uncut=plan.left_uncut)
        assert not len(untold(face, plan, review, drawn=drawn, cut=cut))


ACROSS_MM = 1.0  # of the last cutter
OPENINGS = {
    "slot": lambda w: f"M2 2H18V9H2ZM2 {9 + w}H18V16H2Z",
    "blind slot": lambda w: f"M2 2H18V9H6V{9 + w}H18V16H2Z",
    "bent slot": lambda w: f"M2 2H18V9H8V18H2ZM{8 + w} {9 + w}H18V18H{8 + w}Z",
    "slot round a disc": lambda w: (
        f"M1 9a8 8 0 0 0 16 0a8 8 0 0 0 -16 0ZM{5 - w} 9a{4 + w} {4 + w} 0 0 0 {8 + 2 * w} 0"
        f"a{4 + w} {4 + w} 0 0 0 {-8 - 2 * w} 0ZM5 9a4 4 0 0 0 8 0a4 4 0 0 0 -8 0Z"
    ),
    "middle of four points": lambda w: "".join(
        f"M{10 + x * w / 2} {10 + y * w / 2}L{10 + 8 * x - 6 * y} {10 + 8 * y + 6 * x}"
        f"L{10 + 8 * x + 6 * y} {10 + 8 * y - 6 * x}Z"
        for x, y in ((1, 0), (0, 1), (-1, 0), (0, -1))
    ),
    "closed slot": lambda w: f"M2 2H18V16H2ZM5 9v{w}h8v{-w}z",
    "square": lambda w: f"M2 2H18V16H2ZM9 8v{w}h{w}v{-w}z",
    "octagon": lambda w: (
        "M2 2H18V16H2ZM"
        + " ".join(
            f"{9 + w / 2 / math.cos(math.pi / 8) * math.cos(k * math.pi / 4)},"
            f"{9 + w / 2 / math.cos(math.pi / 8) * math.sin(k * math.pi / 4)}"
            for k in range(8)
        )
        + "Z"
    ),
    "round": lambda w: f"M2 2H18V16H2ZM{9 - w / 2} 9a{w / 2} {w / 2} 0 0 0 {w} 0a{w / 2} {w / 2} 0 0 0 {-w} 0z",
}


@pytest.mark.parametrize("turn_deg", [0, 30])
@pytest.mark.parametrize("less_mm", [-0.002, 0.0, 0.0001, 0.001, 0.003, 0.004, 0.0052, 0.007, 0.03])
@pytest.mark.parametrize("shape", OPENINGS)
def test_what_is_drawn_about_as_wide_as_the_cutter_is_open_in_review_and_solid_or_shut_in_both(
    shape, less_mm, turn_deg
):
    """A ten-thousandth decides in the end; never may one say open and the other leave the brass standing."""
    path = OPENINGS[shape](ACROSS_MM - less_mm)
    drawing = f'<path fill-rule="evenodd" d="{path}"/>'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20">{drawing}</svg>'
    asked = {
        "head": {"width": 36, "height": 36, "thickness": 20},
        "placement": {"turn_deg": turn_deg, "fit": "actual_size"},
        "cutters": ["flat-3.175", "flat-1.0"],
        "relief": {"height": 0.6},
    }
    stamp = make_stamp(svg.encode(), read_job(asked))
    cut = solid_as_cut(stamp)
    told = reach_of(stamp.review, "flat-1.0")
    assert not len(untold(stamp.face, stamp.plan, stamp.review, drawn=stamp.solid, cut=cut))
    shut_mm2 = sum(each.uncut_area_mm2 for each in told.shut)
    standing_mm2 = float(np.sum(shapely.area(differences(stamp.solid, cut))))
    corners_mm2 = sum(each.uncut_area_mm2 for each in told.corners)
    assert standing_mm2 == pytest.approx(shut_mm2 + corners_mm2, rel=0.05, abs=0.02)
    assert_covered_and_unharmed(stamp.face, stamp.plan, CUTTERS)
