"""The width of the mark from which upward it is ready: drawn larger or smaller, the review has to agree."""

import numpy as np
import pytest
import shapely
from shapely.affinity import scale, translate

from faces import job_with, reviewed
from stampwright.job import Limits, Placement
from stampwright.plane import on_grid

HEAD_MM = 400.0


def review_at(ink, width_mm, **job):
    x0, _, x1, _ = ink.bounds
    factor = width_mm / (x1 - x0)
    relief = 2.0  # deep enough for the widest floor on oak
    larger = scale(ink, factor, factor, origin=(0, 0))
    return reviewed(larger, job_with(head_mm=HEAD_MM, **job), head_mm=HEAD_MM, relief_mm=relief)


def strokes(seed):
    random = np.random.default_rng(seed)
    lines = [shapely.LineString(random.uniform(-10, 10, (3, 2))).buffer(random.uniform(0.3, 0.8)) for _ in range(4)]
    return on_grid(shapely.union_all(lines))


DISC = shapely.Point(0, 0).buffer(4, quad_segs=48)
MARKS = {
    "a bar": shapely.box(-10, -0.15, 10, 0.15),
    "two bars": shapely.box(-10, 0.1, 10, 4) | shapely.box(-10, -4, 10, -0.1),
    "a frame": shapely.box(-10, -10, 10, 10) - shapely.box(-9, -9, 9, 9),
    "beads": DISC | translate(DISC, 9) | shapely.box(0, -0.2, 9, 0.2),
    **{f"strokes {seed}": strokes(seed) for seed in (1, 4, 7)},
}


@pytest.mark.parametrize("name", MARKS)
def test_the_mark_is_ready_from_that_width_and_not_below(name):
    ink = MARKS[name]
    width = review_at(ink, 20.0).least_faithful_width_mm
    assert width is not None
    assert [review_at(ink, width * more).verdict for more in (1.01, 1.1, 1.7, 3.0)] == ["ready"] * 4
    assert review_at(ink, width * 0.985).verdict != "ready"


def test_it_does_not_depend_on_the_size_that_was_reviewed():
    widths = [review_at(MARKS["beads"], width).least_faithful_width_mm for width in (10.0, 17.0, 45.0)]
    assert widths == pytest.approx([widths[0]] * 3, rel=0.01)


def test_a_bar_is_ready_when_it_is_as_wide_as_the_limit():
    # 20 mm long and 0.3 mm wide: at 0.5 mm it is 33.3 mm long
    assert review_at(MARKS["a bar"], 20.0).least_faithful_width_mm == pytest.approx(20 * 0.5 / 0.3, rel=0.011)


def test_a_gap_has_to_let_the_finest_cutter_through():
    # 20 mm long with a gap of 0.2 mm, cutter 0.794 mm
    assert review_at(MARKS["two bars"], 20.0).least_faithful_width_mm == pytest.approx(20 * 0.794 / 0.2, rel=0.011)


def test_no_size_helps_when_the_share_is_asked_for_nearly_all_of_it():
    comb = shapely.union_all([shapely.box(-9, 0, 9, 2)] + [shapely.box(i, -3, i + 0.5, 0) for i in range(-9, 9)])
    assert review_at(comb, 18.0, limits=Limits(faithful=1.0, deviation_mm=0.005)).least_faithful_width_mm is None


def test_no_size_mends_a_face_that_is_not_reversed():
    job = job_with(head_mm=HEAD_MM, placement=Placement(reverse=False))
    review = reviewed(MARKS["a frame"], job, head_mm=HEAD_MM, relief_mm=2.0, reversed=False)
    assert review.least_faithful_width_mm is None
