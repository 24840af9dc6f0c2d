"""As cut differs from as drawn where the review and the plan say so, and nowhere: place by place.

The two solids are held against each other by their triangles, each connected difference against the places that the
review tells of the last cutter: the corners it rounds, the gaps and counters it does not enter. A pointed cutter at the
end goes on, less deep, into ground that the last flat one leaves: there its flank stands, and what comes up to the face
lies on ground that the review tells of itself. A difference counts from where a disc of 0.005 mm fits into it: that is
how exactly widths and residuals are told.
"""

import math
from functools import cache, partial
from typing import Any, NamedTuple

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from cut_faces import HOLE
from relief_shapes import EXAMPLES, face_of, scattered
from stamped import MARKS, NAMES, stamp_of
from stampwright.base.tolerances import WIDTH_MM
from stampwright.catalogue import CUTTERS, METALS, substrate_named
from stampwright.cutting import plan_cutting
from stampwright.job import read_job
from stampwright.pipeline import make_stamp, solid_as_cut
from stampwright.plane import Closings, medial_axis, polygons_of
from stampwright.review import review_face
from stampwright.solid import Sharpened, build_solid

SLOW = {"basket", "clover", "dandelion", "river"}  # half a minute to plan with a pointed cutter: in the long run
POINTED = ["flat-3.175", "flat-1.588", "pointed-20"]
FITS_MM = WIDTH_MM / 2
TOLD_MM = 0.002  # places are told to the micrometre
ARC_MM = 0.001  # of what is cleared; along the outline of a difference its area is off by as much
UNTOLD_MM2 = 1e-3  # a corner so small keeps a disc of 0.005 mm in or not
SAME_MM = 1e-6


@cache
def _pointed(name):
    return make_stamp(MARKS[name].svg, read_job({**MARKS[name].job, "cutters": POINTED, "solid": "as_cut"}))


def _front(solid):
    """Triangles that look up."""
    corners = solid.vertices[solid.triangles]
    (ax, ay), (bx, by) = (corners[:, 1, :2] - corners[:, 0, :2]).T, (corners[:, 2, :2] - corners[:, 0, :2]).T
    return corners[ax * by > ay * bx]


def _standing(solid, above_mm):
    """Ground on which the front stands higher than `above_mm` somewhere in a triangle."""
    front = _front(solid)
    chosen = front[np.max(front[:, :, 2], axis=1) > above_mm, :, :2]
    return shapely.coverage_union_all(shapely.polygons(chosen))


def _at_face(solid):
    front = _front(solid)
    return shapely.coverage_union_all(shapely.polygons(front[np.all(front[:, :, 2] > -SAME_MM, axis=1), :, :2]))


def _pieces(area):
    """Connected differences that count."""
    parts = shapely.get_parts(polygons_of(area))
    return parts[~shapely.is_empty(shapely.buffer(parts, -FITS_MM))]


def _reach(review, key):
    return next(reach for reach in review.cutters if reach.cutter == key)


class Told(NamedTuple):
    """What the review tells of one cutter: discs (n) that touch what is left, and the ground left at each [mm²]."""

    at: Any
    radius_mm: Any
    area_mm2: Any

    def met(self, pieces):
        """Pairs of a disc and a piece that touch: two arrays of their numbers."""
        near = TOLD_MM + self.radius_mm
        return shapely.STRtree(pieces).query(self.at, predicate="dwithin", distance=near)


def _told(reach):
    """Corners by their tips; what stays shut by the disc that touches both walls at its place."""
    told = [(each.at_mm, 0.0, each.uncut_area_mm2) for each in reach.corners]
    told += [(each.at_mm, each.width_mm / 2, each.uncut_area_mm2) for each in reach.shut]
    at, radius_mm, area_mm2 = zip(*told, strict=True) if told else ([], [], [])
    return Told(shapely.points(np.reshape(at, (-1, 2))), np.array(radius_mm), np.array(area_mm2))


def _without_places(pieces, told):
    """Pieces at which nothing is told."""
    return np.delete(pieces, np.unique(told.met(pieces)[1]))


def _differences(drawn, cut):
    """Where one solid stands on what is floor of the other."""
    floor_mm = SAME_MM + float(_front(drawn)[:, :, 2].min())
    return _pieces(shapely.difference(_standing(cut, floor_mm), _standing(drawn, floor_mm)))


@cache
def _flats(name):
    stamp = stamp_of(name)
    pieces = _differences(stamp.solid, solid_as_cut(stamp))
    return stamp, pieces, _told(_reach(stamp.review, stamp.plan.cutters[-1]))


@pytest.mark.parametrize("name", NAMES)
def test_each_difference_lies_where_the_review_tells_what_the_last_cutter_leaves(name):
    _, pieces, told = _flats(name)
    assert len(pieces)
    assert not len(_without_places(pieces, told))


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


def _off(pieces, ground, told):
    """What counts of pieces beyond the connected parts of some ground at which something is told."""
    parts = shapely.get_parts(ground)
    said = parts[np.unique(told.met(parts)[1])]
    return _pieces(shapely.difference(shapely.union_all(pieces), shapely.buffer(shapely.union_all(said), TOLD_MM)))


def _assert_told(face, plan, review, *, drawn, cut):
    """Whatever stands on the floor: on ground the last flat cutter leaves; at the face: on what the cone leaves."""
    *_, flat, pointed = plan.cutters
    differences = _differences(drawn, cut)
    assert len(differences)
    assert not len(_off(differences, plan.left_by_flats, _told(_reach(review, flat))))
    at_face = _pieces(shapely.difference(_at_face(cut), face.ink))
    assert not len(_off(at_face, plan.left_uncut, _told(_reach(review, pointed))))
    _assert_grooved(_reach(review, pointed), cut)


def _assert_grooved(reach, cut):
    """What stays shut at full depth is at least as deep as told; at a neck the tip comes deeper from beside it."""
    told = np.reshape([(*each.at_mm, each.depth_mm) for each in reach.shut], (-1, 3))
    front = _front(cut)
    place, triangle = shapely.STRtree(shapely.polygons(front[:, :, :2])).query(
        shapely.points(told[:, :2]), "intersects"
    )
    assert len(np.unique(place)) == len(told)
    spread_mm = TOLD_MM / math.tan(math.radians(CUTTERS[reach.cutter].half_angle_deg))
    assert np.all(_heights(front[triangle], told[place, :2]) < spread_mm - told[place, 2])


def _heights(triangles, places):
    """Height of each triangle (n, 3, 3) at a place in it."""
    (ax, ay, az), (bx, by, bz) = (triangles[:, 1] - triangles[:, 0]).T, (triangles[:, 2] - triangles[:, 0]).T
    x, y = (places - triangles[:, 0, :2]).T
    return triangles[:, 0, 2] + ((x * by - y * bx) * az + (y * ax - x * ay) * bz) / (ax * by - ay * bx)


@pytest.mark.parametrize("name", [name for name in NAMES if name not in SLOW or EXAMPLES > 200])
def test_behind_a_pointed_cutter_each_difference_lies_where_the_review_tells(name):
    stamp = _pointed(name)
    if stamp.plan.cutters[-1] != POINTED[-1]:
        assert "sharper than this mark asks" in stamp.plan.passed_over[POINTED[-1]]
        return
    _assert_told(stamp.face, stamp.plan, stamp.review, drawn=stamp_of(name).solid, cut=stamp.solid)


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
    closings, metal = Closings(face.ink), METALS[job.metal]
    wood, axis = substrate_named(job.substrate), medial_axis(face.ink)
    review = review_face(face, job, hole=HOLE, substrate=wood, axis=axis, closings=closings)
    plan = plan_cutting(face, job, hole=HOLE, metal=metal, axis=axis, closings=closings)
    build = partial(build_solid, face, head=job.head, hole=None, density_kg_m3=metal.density_kg_m3)
    drawn = build()
    if "pointed" in plan.cutters[-1]:
        cut = build(left_uncut=plan.left_uncut, sharpened=_sharpened(plan))
        _assert_told(face, plan, review, drawn=drawn, cut=cut)
    else:
        cut = build(left_uncut=plan.left_uncut)
        assert not len(_without_places(_differences(drawn, cut), _told(_reach(review, plan.cutters[-1]))))
