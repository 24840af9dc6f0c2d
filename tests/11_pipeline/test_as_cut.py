"""As cut with a pointed cutter at the end: it differs from as drawn where the review and the plan say so, and nowhere.

The review judges a pointed cutter at full depth: ground that its cone does not reach there is what it leaves uncut. As
cut, the cutter goes on into that ground as deep as its tip lets it, and elsewhere its flank stands beside the walls.
"""

from functools import cache

import numpy as np
import pytest
import shapely

from stamped import MARKS
from stampwright.base.tolerances import WIDTH_MM
from stampwright.job import read_job
from stampwright.pipeline import make_stamp

CUTTERS = ["flat-3.175", "flat-1.588", "pointed-20"]
CUT = ["windrose", "skep"]
SAME_MM = 1e-6


@cache
def _stamp(name):
    job = read_job({**MARKS[name].job, "cutters": CUTTERS, "solid": "as_cut"})
    return make_stamp(MARKS[name].svg, job)


@cache
def _front(name):
    """Middles of the triangles of the front and of their sides (n, 3), the ink left out by a hair."""
    solid, face = _stamp(name).solid, _stamp(name).face
    corners = solid.vertices[solid.triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    corners = corners[normals[:, 2] > 1e-12]
    share = np.array([[1, 1, 1], [1, 1, 0], [0, 1, 1], [1, 0, 1]])
    places = np.einsum("kc,mcx->mkx", share / share.sum(axis=1, keepdims=True), corners).reshape(-1, 3)
    return places[~_within(shapely.buffer(face.ink, WIDTH_MM), places)]


def _within(area, places):
    shapely.prepare(area)
    return shapely.contains_xy(area, *places[:, :2].T)


def _sharpened(stamp):
    """Ground that only the pointed cutter opened."""
    on_face = [operation for operation in stamp.plan.operations if operation.side == "face"]
    return next(ground for step, ground in zip(on_face, stamp.plan.cleared, strict=True) if step.kind == "corner")


@pytest.mark.parametrize("name", CUT)
def test_what_stands_above_the_floor_is_left_uncut_or_the_flank_in_ground_that_was_sharpened(name):
    stamp, places = _stamp(name), _front(name)
    told = shapely.buffer(shapely.union(stamp.plan.left_uncut, _sharpened(stamp)), WIDTH_MM)
    stands = places[:, 2] > SAME_MM - stamp.face.relief_mm
    assert np.any(stands)
    assert np.all(_within(told, places[stands]))


@pytest.mark.parametrize("name", CUT)
def test_what_reaches_the_face_is_left_uncut(name):
    stamp, places = _stamp(name), _front(name)
    told = shapely.buffer(stamp.plan.left_uncut, WIDTH_MM)
    assert np.all(_within(told, places[places[:, 2] >= -SAME_MM]))


@pytest.mark.parametrize("name", CUT)
def test_the_review_says_how_much_the_pointed_cutter_leaves_and_it_goes_into_that_too(name):
    stamp, places = _stamp(name), _front(name)
    said = next(reach for reach in stamp.review.cutters if reach.cutter == "pointed-20")
    assert stamp.plan.left_uncut.area == pytest.approx(said.uncut_area_mm2, rel=0.01, abs=0.01)
    in_uncut = _within(shapely.buffer(stamp.plan.left_uncut, -WIDTH_MM), places)
    assert np.any(places[in_uncut, 2] < -WIDTH_MM)
