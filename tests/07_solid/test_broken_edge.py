"""The edge round the back, broken at 45 degrees: its volume is what a handbook says of obelisk, frustum and cone."""

import dataclasses
import math

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from outside_checks import assert_closed, manifold_of
from relief_shapes import disc, face_of, laid
from stampwright.base import DoesNotFit
from stampwright.job import Head, ThreadChoice, read_job
from stampwright.layout import outline_of
from stampwright.solid import build_solid, plan_hole

SHARP = Head(corner_radius_mm=0)
ROUND = Head(shape="round", width_mm=40, height_mm=40, corner_radius_mm=0)


def _solid(head, *, area=None, thread=None):
    face = face_of(disc(5) if area is None else area, head=head, relief_mm=1.5)
    hole = plan_hole(thread, head=head, relief_mm=1.5)
    return build_solid(face, head=head, hole=hole, density_kg_m3=8490)


def _taken_mm3(head, break_mm):
    """What the break takes, by the meshes of the same block without and with it."""
    broken = _solid(dataclasses.replace(head, edge_break_mm=break_mm))
    assert_closed(broken)
    return _solid(head).volume_mm3 - broken.volume_mm3


def _obelisk_mm3(a, b, c, d, h):
    """Obelisk with bases a x b and c x d, height h (Bronshtein and Semendyayev, solids): h/6 (2ab + 2cd + ad + bc)."""
    return h / 6 * (2 * a * b + 2 * c * d + a * d + b * c)


@pytest.mark.parametrize("break_mm", [0.05, 0.5, 3.0])
def test_a_block_with_sharp_corners_ends_in_an_obelisk(break_mm):
    expected = 38 * 28 * break_mm - _obelisk_mm3(38, 28, 38 - 2 * break_mm, 28 - 2 * break_mm, break_mm)
    assert _taken_mm3(SHARP, break_mm) == pytest.approx(expected, rel=2e-3 if break_mm < 0.1 else 5e-4)


def test_a_round_block_ends_in_a_frustum_of_a_cone():
    frustum = math.pi / 3 * (20**2 + 20 * 19 + 19**2)
    assert _taken_mm3(ROUND, 1.0) == pytest.approx(math.pi * 20**2 - frustum, rel=5e-4)


@pytest.mark.parametrize("break_mm", [0.5, 1.5, 1.0])
def test_round_corners_are_quarters_of_a_frustum(break_mm):
    """Up to the corner radius: four straight edges between the corners, and the four corners make one frustum."""
    radius, straight = 1.5, 2 * (38 + 28 - 4 * 1.5)
    smaller = radius - break_mm
    frustum = math.pi * break_mm / 3 * (radius**2 + radius * smaller + smaller**2)
    expected = straight * break_mm**2 / 2 + math.pi * radius**2 * break_mm - frustum
    assert _taken_mm3(Head(), break_mm) == pytest.approx(expected, rel=1e-3)


def test_past_the_corner_radius_two_planes_meet_below_the_cone():
    radius, deep = 1.5, 4.0
    corners = math.pi * radius**2 * radius - math.pi * radius**3 / 3
    upper = 2 * (38 + 28 - 4 * radius) * radius**2 / 2 + corners
    lower = _obelisk_mm3(35, 25, 30, 20, deep - radius)
    whole = (38 * 28 - (4 - math.pi) * radius**2) * (deep - radius)
    assert _taken_mm3(Head(), deep) == pytest.approx(upper + whole - lower, rel=1e-4)


@given(
    corner=st.floats(0, 14),
    break_mm=st.floats(0.05, 7),
    width=st.floats(28, 80),
    shape=st.sampled_from(["rectangle", "round"]),
    thickness=st.floats(10, 40),
)
@example(corner=6e-8, break_mm=1.0, width=28.0, shape="rectangle", thickness=10.0)
@example(corner=1.0 - 6e-8, break_mm=1.0, width=28.0, shape="rectangle", thickness=10.0)
@settings(max_examples=25)
def test_any_broken_block_is_closed_and_takes_what_its_plan_says(corner, break_mm, width, shape, thickness):
    head = (
        Head(shape="round", width_mm=width, height_mm=width, corner_radius_mm=0)
        if shape == "round"
        else Head(width_mm=width, corner_radius_mm=corner)
    )
    head = dataclasses.replace(head, thickness_mm=thickness)
    told = outline_of(head).broken_mm3(break_mm)
    assert _taken_mm3(head, break_mm) == pytest.approx(told, rel=5e-3)


@pytest.mark.parametrize("head", [SHARP, Head(), ROUND], ids=["sharp", "rounded", "round"])
def test_every_slope_lies_at_45_degrees_and_the_side_above_stands_upright(head):
    solid = _solid(dataclasses.replace(head, edge_break_mm=1.0), area=shapely.box(-3, -3, 3, 3))
    corners = solid.vertices[solid.triangles]
    low = corners[np.all(corners[:, :, 2] <= -18 + 1e-9, axis=1) & (np.ptp(corners[:, :, 2], axis=1) > 0)]
    normals = np.cross(low[:, 1] - low[:, 0], low[:, 2] - low[:, 0])
    slope_deg = np.degrees(np.arctan2(np.hypot(normals[:, 0], normals[:, 1]), -normals[:, 2]))
    assert slope_deg == pytest.approx(np.full(len(low), 45.0), abs=0.1)


def test_the_back_that_is_left_is_the_outline_moved_in():
    solid = _solid(dataclasses.replace(SHARP, edge_break_mm=1.0), thread=ThreadChoice())
    at_back = solid.vertices[solid.vertices[:, 2] == -19][:, :2]
    assert np.abs(at_back).max(axis=0) == pytest.approx((18, 13), abs=1e-9)
    assert manifold_of(solid).genus() == 0


def test_lands_that_reach_the_edge_of_the_head_close_with_a_broken_back():
    area = shapely.intersection(
        shapely.union_all([disc(3, at=(18.5, 13.5)), disc(4, at=(0, 14)), disc(4)]), laid(disc(1)).head
    )
    assert_closed(_solid(Head(edge_break_mm=1.0), area=area))


@pytest.mark.parametrize(
    ("head", "thread", "limit"),
    [
        ({"edge_break": 8}, None, "at most 7 mm"),
        ({"edge_break": 6, "thickness": 8}, None, "at most 5.5 mm"),
        ({"edge_break": 4, "width": 16, "height": 16}, {"size": "1/4-20 UNC"}, "at most 2.66 mm"),
        ({"edge_break": 1, "thickness": 2.2}, None, "give 0, or a thicker head"),
    ],
)
def test_a_break_that_leaves_too_little_is_refused_with_the_limit(head, thread, limit):
    job = read_job({"head": head, "thread": thread, "relief": {"height": 1.5}})

    def ask():
        laid(disc(1), job=job, head=job.head)
        plan_hole(job.thread, head=job.head, relief_mm=1.5)

    with pytest.raises(DoesNotFit, match=limit) as refused:
        ask()
    assert refused.value.refusals[0].pointer == "/job/head/edge_break"


def test_the_limit_that_is_told_can_be_made():
    head = Head(edge_break_mm=7.0)
    face = laid(disc(1), head=head)
    assert_closed(build_solid(face, head=head, hole=None, density_kg_m3=8490))
