"""The grid: exact in single precision, nothing lost but specks, lands that touch parted by a hair."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from relief_shapes import scattered
from stampwright.plane import count_pinches, count_slivers, on_grid, part_pinches, polygons_of, without_slivers

STEP_MM = 2.0**-13
BOW_TIE = shapely.union(shapely.box(0, 0, 4, 4), shapely.box(4, 4, 8, 8))


def _is_on_grid(area):
    steps = shapely.get_coordinates(area) / STEP_MM
    return np.array_equal(steps, np.round(steps))


def _stray_mm(area, outline):
    return shapely.distance(shapely.points(shapely.get_coordinates(area)), outline).max()


def test_parting_a_pinch_beside_a_corner_leaves_no_crumb():
    low = [(0, 4), (160, 164), (324, 0), (0, 0)]
    high = [(213, 164), (213, 216), (265, 216), (265, 269), (318, 269), (328, 279), (328, 30), (160, 164)]
    lands = shapely.multipolygons([shapely.Polygon(np.array(ring) * STEP_MM) for ring in (low, high)])
    assert count_pinches(lands) == 1
    parted = part_pinches(lands)
    assert count_pinches(parted) == 0
    assert len(parted.geoms) == 2


@given(seed=st.integers(0, 10**6), turn_deg=st.floats(0, 90), scale=st.floats(0.05, 3))
def test_snapping_moves_an_outline_by_less_than_a_step(seed, turn_deg, scale):
    area = shapely.affinity.scale(scattered(seed, turn_deg=turn_deg), scale, scale)
    snapped = on_grid(area)
    assert shapely.is_valid(snapped)
    assert _is_on_grid(snapped)
    if not area.is_empty:  # each way from the vertices: shapely's own distance of Hausdorff looks at vertices only
        assert _stray_mm(area, snapped.boundary) < 2 * STEP_MM
        assert _stray_mm(snapped, area.boundary) < 2 * STEP_MM


def test_snapped_places_survive_single_precision():
    xy = shapely.get_coordinates(on_grid(shapely.Point(300, -200).buffer(math.pi)))
    assert np.array_equal(xy.astype(np.float32).astype(np.float64), xy)


def test_a_snapped_area_carries_no_precision_model():
    assert shapely.get_precision(on_grid(BOW_TIE)) == 0


@pytest.mark.parametrize(
    "geometry",
    [
        shapely.GeometryCollection(
            [shapely.box(0, 0, 1, 1), shapely.Point(3, 3), shapely.LineString([(0, 0), (5, 5)])]
        ),
        shapely.GeometryCollection([shapely.MultiPolygon([shapely.box(0, 0, 1, 1)]), shapely.Polygon()]),
        shapely.box(0, 0, 1, 1),
    ],
)
def test_only_polygons_are_kept(geometry):
    assert shapely.equals(polygons_of(geometry), shapely.box(0, 0, 1, 1))


def test_nothing_stays_nothing():
    assert polygons_of(shapely.Polygon()).is_empty
    assert on_grid(shapely.MultiPolygon()).is_empty
    assert count_slivers(shapely.MultiPolygon()) == 0
    assert part_pinches(shapely.MultiPolygon()).is_empty


def test_specks_and_pinholes_go_and_are_counted():
    plate = shapely.difference(
        shapely.box(0, 0, 9, 9), shapely.union(shapely.box(1, 1, 1.02, 1.02), shapely.box(3, 3, 5, 5))
    )
    area = polygons_of(shapely.union(plate, shapely.box(20, 0, 20.03, 0.03)))
    assert count_slivers(area) == 2
    assert without_slivers(area).area == pytest.approx(81 - 4)


def test_the_middle_of_a_ring_is_no_speck_when_it_is_large():
    ring = polygons_of(shapely.difference(shapely.box(0, 0, 9, 9), shapely.box(1, 1, 8, 8)))
    assert without_slivers(ring) is ring


def test_two_corners_that_meet_are_parted_by_a_hair():
    parted = part_pinches(BOW_TIE)
    assert count_pinches(BOW_TIE) == 1
    assert count_pinches(parted) == 0
    assert len(parted.geoms) == 2
    assert parted.area == pytest.approx(32, rel=2e-6)


@given(seed=st.integers(0, 10**6), turn_deg=st.sampled_from([0.0, 45.0, 12.3]))
def test_any_heap_is_parted_for_less_than_a_millionth_or_two_and_stays_on_the_grid(seed, turn_deg):
    area = on_grid(scattered(seed, turn_deg=turn_deg))
    parted = part_pinches(area)
    assert count_pinches(parted) == 0
    assert shapely.is_valid(parted)
    assert _is_on_grid(parted)
    assert area.area - parted.area <= 2e-6 * area.area


def _fan(*rays_deg, reach_mm):
    """Lands between the first and second ray from (1, 1), the third and fourth, …"""
    tips = [
        (1 + reach_mm * math.cos(math.radians(ray)), 1 + reach_mm * math.sin(math.radians(ray))) for ray in rays_deg
    ]
    return shapely.union_all([shapely.Polygon([(1, 1), *pair]) for pair in zip(tips[::2], tips[1::2], strict=True)])


@example(turn_deg=156.09932625619942, gap_deg=0.033760677547067006, needle_deg=0.06045464977529304, reach_mm=0.5)
@given(
    turn_deg=st.floats(0, 360),
    gap_deg=st.floats(-4, 0.5).map(lambda power: 10**power),
    needle_deg=st.floats(-4, 1).map(lambda power: 10**power),
    reach_mm=st.floats(0.5, 40),
)
def test_walls_that_leave_a_point_side_by_side_are_parted_too(turn_deg, gap_deg, needle_deg, reach_mm):
    rays = [turn_deg + ray for ray in (0, 40, 40 + gap_deg, 90, 120, 120 + needle_deg, 200, 230)]
    area = on_grid(_fan(*rays, reach_mm=reach_mm))
    parted = part_pinches(area)
    assert count_pinches(parted) == 0
    assert shapely.is_valid(parted)
    assert _is_on_grid(parted)
    assert area.area - parted.area < 2e-6 * area.area + 32 * STEP_MM * reach_mm  # two hairs of at most sixteen steps
