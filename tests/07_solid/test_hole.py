"""The threaded hole, against the trade's blind-hole arithmetic worked by hand."""

import pytest

from stampwright.base import DoesNotFit
from stampwright.job import Head, ThreadChoice
from stampwright.solid import plan_hole

QUARTER_INCH = ThreadChoice("1/4-20 UNC", "bottoming")


def test_a_thick_head_gets_one_and_a_half_diameters():
    """Lf = 1.5 x 6.35; H = Lf + 2 P + 1 P; point 0.30043 d: 9.525, 13.335, 1.5337 mm."""
    hole = plan_hole(QUARTER_INCH, head=Head(thickness_mm=25), relief_mm=2)
    assert hole.full_thread_mm == pytest.approx(9.525)
    assert hole.drilled_mm == pytest.approx(13.335)
    assert hole.point_mm == pytest.approx(1.5337, abs=1e-4)
    assert (hole.drill_name, hole.drill_mm) == ("#7", 5.105)


@pytest.mark.parametrize(("thickness_mm", "full_mm"), [(19.05, 8.71), (15.875, 5.53)])
def test_a_thinner_head_gets_what_fits(thickness_mm, full_mm):
    """1/4-20, relief 2, wall 3: 5.53 and 8.71 mm; half a diameter of wall is 0.175 mm more than 3."""
    hole = plan_hole(QUARTER_INCH, head=Head(thickness_mm=thickness_mm), relief_mm=2)
    assert hole.full_thread_mm == pytest.approx(full_mm - 0.175, abs=0.006)


def test_everything_adds_up_to_the_block():
    hole = plan_hole(ThreadChoice("M6x1", "bottoming"), head=Head(), relief_mm=1.5)
    assert 1.5 + hole.wall_mm + hole.point_mm + hole.drilled_mm == pytest.approx(19)
    assert hole.wall_mm >= 3


def test_too_thin_a_head_is_refused_with_the_thickness_that_would_do():
    """2 + 3.175 + 1.5337 + 3 x 1.27 + 2 x 1.27 = 13.06 mm."""
    with pytest.raises(DoesNotFit, match=r"at least 13\.06 mm thick") as refused:
        plan_hole(QUARTER_INCH, head=Head(thickness_mm=12.7), relief_mm=2)
    assert refused.value.refusals[0].pointer == "/job/head/thickness"
    assert plan_hole(QUARTER_INCH, head=Head(thickness_mm=13.06), relief_mm=2).full_thread_mm >= 2 * 1.27


def test_a_mouth_wider_than_the_head_is_refused():
    with pytest.raises(DoesNotFit, match="smaller thread") as refused:
        plan_hole(QUARTER_INCH, head=Head(height_mm=10), relief_mm=1)
    assert refused.value.refusals[0].pointer == "/job/head/height"


def test_no_thread_no_hole():
    assert plan_hole(None, head=Head(thickness_mm=3), relief_mm=1) is None
