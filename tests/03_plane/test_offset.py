"""Offsets by a disc, against circles and the corner formulas of plane geometry."""

import math

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st

from stampwright.plane import SAGITTA_MM, Closings, grown, medial_axis, on_grid, quarter_segments


@given(radius_mm=st.floats(0.05, 40), sagitta_mm=st.floats(1e-4, 0.01))
def test_chords_stay_within_their_sagitta_and_one_fewer_would_not(radius_mm, sagitta_mm):
    """Sagitta of a chord over the angle a: r (1 − cos(a/2))."""
    quarter = quarter_segments(radius_mm, sagitta_mm=sagitta_mm)
    sagitta = [radius_mm * (1 - math.cos(math.pi / 4 / n)) for n in (quarter, quarter - 1) if n]
    assert sagitta[0] <= sagitta_mm * (1 + 1e-9)
    assert quarter == 2 or sagitta[1] > sagitta_mm


@pytest.mark.parametrize("by_mm", [0.4, 1.5875, 3.175])
def test_a_grown_square_has_straight_sides_and_quarter_discs(by_mm):
    """Steiner's formula: a² + 4 a r + π r²."""
    square = shapely.box(0, 0, 7, 7)
    assert grown(square, by_mm).area == pytest.approx(49 + 28 * by_mm + math.pi * by_mm**2, rel=1e-3)
    assert grown(grown(square, by_mm), -by_mm).area == pytest.approx(49, rel=1e-3)


@pytest.mark.parametrize("radius_mm", [0.397, 0.794, 1.5875])
def test_a_round_cutter_leaves_the_corners_of_a_square_counter(radius_mm):
    """(4 − π) r² of a square that the cutter enters."""
    square = shapely.difference(shapely.box(-9, -9, 9, 9), shapely.box(-4, -4, 4, 4))
    closings = Closings(shapely.MultiPolygon([square]))
    uncut = shapely.difference(closings.closed(radius_mm), square).area
    assert uncut == pytest.approx((4 - math.pi) * radius_mm**2, rel=2e-2)


def test_a_counter_narrower_than_the_cutter_is_closed():
    ring = shapely.difference(shapely.box(-3, -3, 3, 3), shapely.box(-0.3, -2, 0.3, 2))
    assert not Closings(shapely.MultiPolygon([ring])).closed(0.4).geoms[0].interiors


@st.composite
def rounded(draw):
    """A convex area of eight corners and more, as the chords of a curve make it, and the radius of its largest disc."""
    corners, turn = draw(st.integers(8, 60)), draw(st.floats(0, math.tau))
    at = np.arange(corners) * math.tau / corners
    points = np.column_stack([np.cos(at), draw(st.sampled_from([1.0, 0.9, 0.5])) * np.sin(at)])
    turned = points @ np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    area = shapely.Polygon(turned)
    return area, shapely.length(shapely.maximum_inscribed_circle(area, 1e-6))


@given(drawn=rounded(), more_mm=st.floats(SAGITTA_MM + 2e-4, 0.3))
@settings(max_examples=300)
def test_of_a_counter_no_disc_enters_and_of_a_land_no_disc_fits_into_nothing_is_left(drawn, more_mm):
    """Judged by the largest disc there is; of one hole in ten the library alone leaves a mirrored one."""
    area, largest_mm = drawn
    plate = shapely.difference(shapely.box(-5, -5, 5, 5), area)
    assert not sum(len(part.interiors) for part in grown(plate, largest_mm + more_mm).geoms)
    assert grown(area, -largest_mm - more_mm).is_empty


@given(drawn=rounded(), smaller=st.floats(0.5, 0.99))
def test_what_a_disc_enters_stays_open(drawn, smaller):
    area, largest_mm = drawn
    plate = shapely.difference(shapely.box(-5, -5, 5, 5), area)
    assert [len(part.interiors) for part in grown(plate, largest_mm * smaller).geoms] == [1]
    assert len(grown(area, -largest_mm * smaller).geoms) == 1


def plates(sides_mm):
    """Square plates, one every 2 mm along rows of 26, within a frame."""
    many = len(sides_mm)
    low = np.array([(2.0 * (k % 26), 2.0 * (k // 26)) for k in range(many)])
    x, y = low.T
    frame = shapely.difference(shapely.box(-4, -4, 56, 56), shapely.box(-3, -3, 55, 55))
    return shapely.multipolygons([frame, *shapely.box(x, y, x + sides_mm, y + sides_mm)])


@given(seed=st.integers(0, 2**32 - 1), by_mm=st.sampled_from([0.05, 0.2, 0.45, 0.7, 1.2]))
@settings(max_examples=20)
def test_many_parts_grow_to_what_the_library_makes_of_them_as_one(seed, by_mm):
    """Against GEOS, which is given all of it at once: the same rings to the last vertex, whatever grows together."""
    area = plates(np.random.default_rng(seed).uniform(0.3, 1.9, 624))
    as_one = shapely.buffer(area, by_mm, quad_segs=quarter_segments(by_mm))
    assert shapely.normalize(grown(area, by_mm)).equals_exact(shapely.normalize(as_one), tolerance=0.0)


@pytest.mark.parametrize(("by_mm", "most"), [(0.2, 1), (0.45, 626)])
def test_parts_that_lie_apart_are_grown_one_by_one(by_mm, most, monkeypatch):
    """Counted instead of timed: all plates in one, the library looks through all outlines for each of them."""
    handed, buffer = [], shapely.buffer

    def counted(area, *arguments, **options):
        handed.extend(np.atleast_1d(shapely.get_num_geometries(area)).tolist())
        return buffer(area, *arguments, **options)

    monkeypatch.setattr(shapely, "buffer", counted)
    assert len(grown(plates(np.full(624, 1.5)), by_mm).geoms) == (625 if most == 1 else 2)
    assert max(handed) <= most


def test_hairlines_side_by_side_across_the_axes_are_not_asked_about_each_other(monkeypatch):
    """Counted: the boxes of all meet those of all, and half a million pairs would cost more than they save."""
    at = 0.02 * np.arange(1000)
    ends = [np.stack([at + x, np.full(1000, y)], axis=1) for x, y in ((0, 0), (0.005, 0), (30.005, 30), (30, 30))]
    hairlines = shapely.multipolygons(shapely.polygons(np.stack(ends, axis=1)))
    asked, dwithin = [], shapely.dwithin
    monkeypatch.setattr(shapely, "dwithin", lambda one, *rest: asked.append(np.size(one)) or dwithin(one, *rest))
    assert len(grown(hairlines, 0.2).geoms) == 1
    assert sum(asked) <= 1000


def test_two_discs_and_a_square_that_go_are_left_out_of_many_that_stay():
    holes = [
        shapely.affinity.rotate(shapely.Point(3 * k, 0).buffer(0.5 + 0.0075 * (k % 3), quad_segs=7), 11)
        for k in range(9)
    ]
    plate = shapely.difference(shapely.box(-5, -12, 30, 12), shapely.union_all(holes))
    open_still = sum(shapely.length(shapely.maximum_inscribed_circle(hole, 1e-6)) > 0.501 for hole in holes)
    assert sum(len(part.interiors) for part in grown(plate, 0.501).geoms) == open_still


def _channel(wide_mm, *, turn_deg=0.0, leaning_mm=0.0):
    """Two plates with a channel between them that is narrower at one end."""
    upper = shapely.Polygon([(-5, wide_mm / 2), (5, wide_mm / 2 + leaning_mm), (5, 4), (-5, 4)])
    plates = shapely.union_all([upper, shapely.box(-5, -4, 5, -wide_mm / 2)])
    return on_grid(shapely.affinity.rotate(plates, turn_deg, origin=(0, 0)))


@pytest.mark.parametrize("turn_deg", [0, 17, 45])
@pytest.mark.parametrize(("lacks_mm", "lands"), [(0.0, 2), (0.001, 2), (0.0045, 2), (0.0055, 1), (0.02, 1)])
def test_a_channel_as_wide_as_the_disc_is_open_to_it_to_the_accuracy_of_a_width(turn_deg, lacks_mm, lands):
    """That is 0.005 mm: what is told as one width is passed or is not."""
    ink = _channel(1.0 - lacks_mm, turn_deg=turn_deg)
    assert len(Closings(ink, medial_axis(ink)).closed(0.5).geoms) == lands


def test_a_channel_that_goes_on_narrowing_is_entered_no_further_than_the_disc_goes():
    """The disc touches both walls where the channel is as wide as it; from there on it is shut."""
    ink = _channel(0.8, leaning_mm=0.4)
    axis = medial_axis(ink)
    shut = [Closings(ink, known).closed(0.5).area for known in (axis, None)]
    assert shut[0] == pytest.approx(shut[1], abs=1e-6)


def test_a_closing_is_made_once():
    closings = Closings(shapely.MultiPolygon([shapely.box(0, 0, 1, 1)]))
    assert closings.closed(0.5) is closings.closed(0.5)
