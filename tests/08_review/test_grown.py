"""Lands that were grown: what stays thin is told as places of the drawing, and what got stouter as nothing worse."""

import dataclasses
import math

import pytest
import shapely
from shapely.affinity import rotate, scale

from faces import found, job_with, reviewed
from grown import bar, grown, laid
from stampwright.job import Relief
from stampwright.plane import medial_axis

LINE = bar(-8, -0.15, 8, 0.15)
JOB = dataclasses.replace(job_with("flat-0.5"), relief=Relief(thicken=True))


def both(shape):
    """The review of a shape as drawn and as grown to half a millimetre."""
    (drawn, axis), (made, _) = grown(shape)
    return reviewed(drawn, JOB), reviewed(made, JOB, drawn_axis=axis)


def walls_beside(*places):
    """Ground of 0.3 mm on both sides of the line, a millimetre long, at each of these places."""
    return shapely.union_all([bar(x - 0.5, sign * 0.45, x + 0.5, sign * 2) for x in places for sign in (1, -1)])


@pytest.mark.parametrize("turn", [0, 71])
def test_a_line_that_stays_thin_in_some_stretches_is_one_place_as_thin_as_the_thinnest(turn):
    before, after = both(rotate(LINE | walls_beside(-4, 0, 4), turn, origin=(0, 0)))
    assert len(found(before, "thin-land")) == 1
    (thin,) = found(after, "thin-land")
    assert thin.measured_mm == pytest.approx(0.3, abs=0.002)
    assert "in 3 stretches" in thin.says
    # between the walls nothing grows, nor until a disc of half a millimetre passes their corners beside it; from there
    # on a quarter of the way, up to what is enough
    corner = math.sqrt(0.25**2 - 0.05**2)
    tapers = (0.495 - 0.3) / 2 / 0.25
    assert thin.length_mm == pytest.approx(3 * (1 + 2 * tapers), abs=3 * 2 * corner)


def test_a_line_that_is_grown_all_along_is_told_no_more():
    before, after = both(LINE)
    assert found(before, "thin-land")
    assert not found(after, "thin-land") + found(after, "slender-land")


@pytest.mark.parametrize("turn", [0, 71])
@pytest.mark.parametrize("beside", [bar(-2, 0.45, 2, 3), shapely.Point(0, 1.15).buffer(0.8, quad_segs=32)])
def test_a_line_that_swerves_beside_a_wall_is_as_wide_there_as_elsewhere(beside, turn):
    """Where it goes over to the free side both its walls lean by a quarter: one goes ahead, so that it loses none."""
    before, after = both(rotate(LINE | beside, turn, origin=(0, 0)))
    assert len(found(before, "thin-land")) == 1
    assert after.land_min_mm == pytest.approx(0.5, abs=0.001)
    assert not found(after, "thin-land")


@pytest.mark.parametrize(("gap", "told"), [(0.597, 0), (0.593, 1)])
def test_a_land_counts_as_grown_up_to_what_can_be_measured(gap, told):
    """Half of what a gap has beyond 0.5 mm goes to the line between: it gets 0.497 or 0.493 mm, and 0.005 is seen."""
    line = bar(-8, -0.2, 8, 0.2) | bar(-9, 0.2 + gap, 9, 3) | bar(-9, -3, 9, -0.2 - gap)
    _, after = both(line)
    assert [len(found(after, "thin-land"))] == [told]


def test_two_lines_stay_two_places():
    both_lines = shapely.union_all([rotate(LINE | walls_beside(0), a, origin=(0, 12)) for a in (0, 180)])
    before, after = both(both_lines)
    assert [len(found(review, "thin-land")) for review in (before, after)] == [2, 2]


def test_tips_where_nothing_was_thin_are_places_of_their_own():
    """Four lines that are as thin as before, and four spikes beside them that were not there at all."""
    lines = shapely.union_all([bar(x, -6, x + 0.3, 6) for x in (-6, -2, 2, 6)])
    spikes = shapely.union_all([shapely.Polygon([(-12, y), (-9, y - 0.6), (-9, y + 0.6)]) for y in (-6, -2, 2, 6)])
    after = reviewed(laid(lines | spikes), JOB, drawn_axis=medial_axis(laid(lines)))
    assert [len(found(after, code)) for code in ("thin-land", "sharp-tip")] == [4, 4]


@pytest.mark.parametrize("mirrored", [1, -1])
def test_a_tip_that_got_stouter_is_still_a_tip(mirrored):
    """Beside a wall it cannot become as wide as asked: a tip for all that, and no land that is too thin."""
    needle = shapely.Polygon([(0, 0), (7, -0.7), (7, 0.7)])  # 11° at its point
    beside = needle | shapely.Polygon([(0, 0.3), (7, 1.0), (0, 2)])
    before, after = both(scale(beside, mirrored, 1, origin=(0, 0)))
    for review in (before, after):
        assert len(found(review, "sharp-tip")) == 2
        assert not found(review, "thin-land")
    assert after.land_widths != before.land_widths


@pytest.mark.parametrize("turn", [0, 33])
def test_the_points_of_a_land_that_was_too_thin_as_a_whole_are_tips(turn):
    """As drawn its mean is told, which growing mended; what ground beside it keeps slim are its points."""
    facet = shapely.Polygon([(0, 0), (0.73, 0), (1.46, 1.46)])  # a disc of 0.48 mm in it, 18° at its point
    beside = facet | shapely.Polygon([(1.32, 0), (2.43, 2.22), (3.54, 0)])
    before, after = both(rotate(beside, turn, origin=(0, 0)))
    assert "A whole land" in found(before, "thin-land")[0].says
    assert found(after, "sharp-tip")
    assert not found(after, "thin-land")


def test_a_barb_too_short_to_be_told_is_told_no_more_for_being_stouter():
    """A hair of 0.04 mm out of a right angle, as an emoji has it, and the spear that growing made of it."""
    tip, body = (0.0238, 0.0378), [(-2.2591, -3.1533), (1.8792, -1.3267)]
    hair = laid(shapely.Polygon([tip, *body, (0, 0)]))
    spear = laid(shapely.Polygon([tip, (-0.0126, 0.0064), (-0.0307, -0.0385), *body, (0.0093, -0.0065)]))
    assert not found(reviewed(hair, JOB), "thin-land")
    assert found(reviewed(spear, JOB), "thin-land")
    assert not found(reviewed(spear, JOB, drawn_axis=medial_axis(hair)), "thin-land")
