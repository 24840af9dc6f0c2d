"""The face: on the grid, inside the margin, without specks, and honest about what was cut off."""

import dataclasses
import math

import numpy as np
import pytest
import shapely

from relief_shapes import disc, laid, letter_f, ring, scattered
from stampwright.base import DoesNotFit, JobError
from stampwright.catalogue import cutter_named, substrate_named
from stampwright.job import Head, Job, Relief

GRID_STEPS_PER_MM = 8192  # 2**13


def _is_on_grid(area):
    steps = shapely.get_coordinates(area) * GRID_STEPS_PER_MM
    return np.array_equal(steps, np.round(steps))


@pytest.mark.parametrize("seed", range(8))
def test_ink_and_head_lie_on_the_grid_and_keep_the_margin(seed):
    face = laid(scattered(seed), turn_deg=17)
    assert _is_on_grid(face.ink)
    assert _is_on_grid(face.head)
    assert shapely.is_valid(face.ink)
    assert shapely.distance(face.ink, face.head.exterior) >= 2 - 0.003


def test_a_face_is_exact_in_single_precision():
    xy = shapely.get_coordinates(laid(letter_f(), turn_deg=33).ink)
    assert np.array_equal(xy.astype(np.float32).astype(np.float64), xy)


def test_a_round_head_is_its_own_mirror_image_and_within_a_chord_of_the_circle():
    head = laid(disc(1), head=Head(shape="round", width_mm=40, height_mm=40)).head
    mirrored = shapely.transform(head, lambda xy: xy * (-1, 1))
    assert shapely.equals(head, mirrored)
    assert 20 - shapely.distance(head.exterior, shapely.Point(0, 0)) <= 0.002 + 1e-4


def test_specks_are_dropped_and_counted():
    face = laid(shapely.union_all([disc(5), disc(0.004, at=(8, 0)), disc(0.004, at=(0, 8))]), fit="actual_size")
    assert len(face.ink.geoms) == 1
    assert [(n.code, n.count) for n in face.repaired] == [("slivers-dropped", 2)]


def test_lands_that_touch_in_a_point_are_parted_and_counted():
    face = laid(shapely.union(shapely.box(0, 0, 4, 4), shapely.box(4, 4, 8, 8)), fit="actual_size")
    first, second = face.ink.geoms
    assert 0 < shapely.distance(first, second) < 0.01
    assert [(n.code, n.count) for n in face.repaired] == [("touching-parted", 1)]
    assert face.ink.area == pytest.approx(32, rel=2e-6)


NECK = ((-16545, -31563), (-16741, -31025), (-17424, -29440), (-20516, -22614), (-21554, -20212), (-22505, -17930))
NECK += ((-22345, -18323), (-21842, -19531), (-21560, -20201), (-21332, -20736), (-20871, -21804), (-20580, -22470))


@pytest.mark.parametrize("seed", [49, 55, 152, 180])
def test_a_neck_that_closes_where_others_are_parted_leaves_no_speck(seed):
    jitter = np.random.default_rng(seed).uniform(-0.5, 0.5, (12, 2))
    neck = shapely.Polygon((np.array(NECK) + jitter) / GRID_STEPS_PER_MM)  # of some steps' width, as drawn
    touching = [shapely.box(-6, -6, -5, -5), shapely.box(-5, -5, -4.5, -4.5)]
    face = laid(shapely.MultiPolygon([neck, *touching, shapely.box(5, 5, 6, 6)]), fit="actual_size")
    assert min(land.area for land in face.ink.geoms) >= 0.001


def test_ink_over_the_margin_is_cut_off_and_its_place_in_the_drawing_is_said():
    """40 mm of bar on 34 mm of field: 3 mm at each end, 6/40 of the ink."""
    face = laid(shapely.box(100, 50, 140, 54), fit="actual_size", margin_mm=2)
    (notice,) = face.left_out
    assert notice.code == "outside-margin"
    assert notice.ink_share == pytest.approx(6 / 40, abs=2e-4)
    assert "cut off: 15 % of the mark, 24 mm²." in notice.says
    assert notice.bounds_mm == pytest.approx((100, 50, 140, 54), abs=1e-3)
    assert face.ink.bounds == pytest.approx((-17, -2, 17, 2), abs=0.003)


def test_ink_cut_off_at_one_side_only_is_found_there_in_the_drawing():
    tail = shapely.Polygon([(0, 0), (30, 0), (30, 1), (10, 20), (0, 20)])
    face = laid(tail, fit="actual_size", margin_mm=2, head=Head(width_mm=60, height_mm=22), turn_deg=180)
    boxes = [notice.bounds_mm for notice in face.left_out]
    assert boxes == [pytest.approx((0, 0, 30, 20), abs=0.01)]


def test_a_mark_that_lies_beyond_the_head_altogether_is_refused():
    with pytest.raises(DoesNotFit, match="smaller mark") as refused:
        laid(ring(50, 45), fit="actual_size")
    assert refused.value.refusals[0].pointer == "/job/placement/fit"


def test_a_mark_of_which_only_dust_reaches_the_head_is_refused():
    far = [shapely.box(-60, -1, -50, 1), shapely.box(50, -1, 60, 1), shapely.box(-0.01, -0.01, 0.01, 0.01)]
    with pytest.raises(DoesNotFit, match="dust") as refused:
        laid(shapely.union_all(far), fit="actual_size")
    assert refused.value.refusals[0].code == "mark-off-head"


@pytest.mark.parametrize("mark", [shapely.box(0, 0, 80, 80), disc(30), shapely.box(0, 0, 38, 28)])
@pytest.mark.parametrize("head", [Head(corner_radius_mm=0), Head(), Head(shape="round", width_mm=20, height_mm=20)])
def test_a_mark_that_covers_the_whole_head_is_refused(mark, head):
    with pytest.raises(DoesNotFit, match="plain block") as refused:
        laid(mark, fit="actual_size", margin_mm=0, head=head)
    assert refused.value.refusals[0].code == "no-floor"


def test_a_mark_with_the_least_floor_around_it_is_laid_out():
    assert laid(shapely.box(0, 0, 38, 27.99), fit="actual_size", margin_mm=0, head=Head(corner_radius_mm=0))


@pytest.mark.parametrize(
    ("area", "symmetric"),
    [
        (disc(5), True),
        (shapely.union(shapely.box(-6, -1, 6, 1), disc(2)), True),
        (shapely.Polygon([(0, 0), (12, 0), (12, 3), (3, 3), (3, 20), (0, 20)]), False),
        (shapely.union(disc(5), disc(0.2, at=(8, 3))), False),
        (shapely.union_all([shapely.box(0, 0, 6, 2), shapely.box(-6, -2, 0, 0)]), False),
        (shapely.union_all([disc(1, at=(5, 4)), disc(1, at=(-5, -4)), disc(2)]), False),
        (shapely.union_all([disc(1, at=(x, y)) for x in (-5, 5) for y in (-4, 4)]), True),
    ],
)
def test_whether_reversing_can_be_seen_is_measured(area, symmetric):
    assert laid(area).mirror_symmetric is symmetric


def test_relief_left_open_is_the_middle_of_the_range_of_the_wood():
    pine, long = substrate_named("pine-white"), cutter_named("flat-3.175")
    relief_mm = laid(disc(3), substrate=pine, job=Job(cutters=(long,))).relief_mm
    assert relief_mm == pytest.approx((pine.relief_low_mm + pine.relief_high_mm) / 2)


def test_relief_left_open_is_no_deeper_than_the_cutters_fit_for_the_wood_cut():
    pine, fine = substrate_named("pine-white"), cutter_named("flat-0.794")
    assert pine.relief_low_mm < fine.length_of_cut_mm < (pine.relief_low_mm + pine.relief_high_mm) / 2
    assert laid(disc(3), substrate=pine).relief_mm == fine.length_of_cut_mm


def test_relief_that_is_asked_for_is_kept():
    job = Job(relief=Relief(height_mm=1.27))
    assert laid(disc(3), job=job).relief_mm == 1.27


@pytest.mark.parametrize(
    ("head", "margin", "pointer"),
    [
        ({"width_mm": 3.9}, 2, "/job/head/width"),
        ({"height_mm": 4}, 2, "/job/head/height"),
        ({"shape": "round", "width_mm": 4, "height_mm": 4}, 2, "/job/head/diameter"),
        ({"width_mm": -38}, 2, "/job/head/width"),
        ({"height_mm": math.nan}, 2, "/job/head/height"),
        ({"thickness_mm": 0}, 2, "/job/head/thickness"),
        ({"thickness_mm": math.inf}, 2, "/job/head/thickness"),
        ({"corner_radius_mm": 14.1}, 2, "/job/head/corner_radius"),
        ({}, -1, "/job/placement/margin"),
    ],
)
def test_a_head_that_cannot_be_is_refused_by_its_field(head, margin, pointer):
    with pytest.raises((JobError, DoesNotFit)) as refused:
        laid(disc(1), head=dataclasses.replace(Head(corner_radius_mm=0), **head), margin_mm=margin)
    assert refused.value.refusals[0].pointer == pointer


@pytest.mark.parametrize("height_mm", [19.0, 25.0, 0.0, -1.0, math.inf, math.nan])
def test_a_relief_the_block_does_not_hold_is_refused(height_mm):
    with pytest.raises((JobError, DoesNotFit)) as refused:
        laid(disc(1), job=Job(relief=Relief(height_mm=height_mm)))
    assert refused.value.refusals[0].pointer == "/job/relief/height"


def test_a_turn_that_is_no_number_is_refused():
    with pytest.raises(JobError) as refused:
        laid(disc(1), turn_deg=math.inf)
    assert refused.value.refusals[0].pointer == "/job/placement/turn_deg"
