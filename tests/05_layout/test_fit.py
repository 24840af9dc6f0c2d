"""How large a mark comes out, against plane geometry by hand."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from relief_shapes import disc, laid, letter_f, mark_of, ring
from stampwright.base import JobError
from stampwright.job import Head, Placement
from stampwright.layout import scale_for
from stampwright.layout.fit import exact_scale
from stampwright.layout.mirror import as_seen

ROUND = Head(shape="round", width_mm=40, height_mm=40, corner_radius_mm=0)
SHARP = Head(corner_radius_mm=0)


def _size(face):
    x0, y0, x1, y1 = face.ink.bounds
    return x1 - x0, y1 - y0


def test_a_wide_mark_fills_the_width_between_the_margins():
    assert _size(laid(shapely.box(0, 0, 100, 20), margin_mm=2)) == pytest.approx((34, 6.8), abs=3e-4)


def test_a_turned_mark_fills_the_height():
    face = laid(shapely.box(0, 0, 100, 20), margin_mm=2, turn_deg=90)
    assert _size(face) == pytest.approx((4.8, 24), abs=3e-4)


def test_a_ring_fills_a_round_head():
    assert _size(laid(ring(5, 4), head=ROUND, margin_mm=2)) == pytest.approx((36, 36), abs=0.01)


def test_a_square_reaches_a_round_margin_with_its_corners():
    side = 36 / math.sqrt(2)
    assert _size(laid(shapely.box(0, 0, 1, 1), head=ROUND, margin_mm=2)) == pytest.approx((side, side), abs=3e-4)


def test_a_full_box_keeps_clear_of_round_corners():
    """Corner radius 5, margin 1: the box corner lies on the arc of radius 4 about (14, 9)."""
    face = laid(shapely.box(0, 0, 36, 26), head=Head(corner_radius_mm=5), margin_mm=1)
    x, y = (side / 2 for side in _size(face))
    assert math.hypot(x - 14, y - 9) == pytest.approx(4, abs=3e-4)
    assert not face.left_out


@pytest.mark.parametrize(("wanted", "size"), [({"width_mm": 30}, (30, 18)), ({"height_mm": 12}, (20, 12))])
def test_a_measure_is_taken_of_the_ink(wanted, size):
    assert _size(laid(shapely.box(50, 50, 100, 80), fit="sized", **wanted)) == pytest.approx(size, abs=3e-4)


def test_actual_size_leaves_the_ink_as_drawn():
    face = laid(shapely.box(3, 4, 13, 9), fit="actual_size")
    assert face.scale == 1
    assert _size(face) == (10, 5)


@given(
    width=st.floats(0.1, 100),
    height=st.floats(0.1, 100),
    turn_deg=st.floats(-360, 360),
    head=st.sampled_from([Head(), SHARP, ROUND, Head(corner_radius_mm=9)]),
)
def test_the_scale_for_flattening_is_never_below_the_true_one(width, height, turn_deg, head):
    """Curves would come out coarser than promised; a slanting line, laid flat by the turn, is the hardest case."""
    placement = Placement(turn_deg=turn_deg)
    area = shapely.Polygon([(0, 0), (width, height), (width * 0.999, height), (0, height * 0.001)])
    guess = scale_for(area.bounds, head=head, placement=placement)
    turned = shapely.affinity.rotate(as_seen(mark_of(area).ink).area, turn_deg)
    exact = exact_scale(as_seen(mark_of(turned).ink), head=head, placement=placement)
    assert guess >= exact * (1 - 1e-9)


def test_the_scale_for_flattening_is_exact_on_sharp_corners():
    mark = letter_f()
    guess = scale_for(mark.ink.bounds, head=SHARP, placement=Placement(turn_deg=90))
    assert laid(mark, head=SHARP, turn_deg=90).scale == pytest.approx(guess, rel=1e-12)


@pytest.mark.parametrize("wanted", [{}, {"width_mm": 0.0}, {"height_mm": -3.0}, {"width_mm": math.nan}])
def test_a_measure_that_is_none_is_refused(wanted):
    with pytest.raises(JobError, match="more than 0") as refused:
        laid(disc(3), fit="sized", **wanted)
    assert refused.value.refusals[0].pointer.startswith("/job/placement/fit/")
