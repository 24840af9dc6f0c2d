"""Areas in strips answer as GEOS does for the whole of them."""

import numpy as np
import pytest
import shapely

from stampwright.plane import Strips


def comb(teeth):
    """A back with many teeth, two plates and a plate with a hole beside it."""
    tooth = [shapely.Point(0.05 * nth, 0).buffer(0.04, quad_segs=16) for nth in range(teeth)]
    plates = [shapely.box(0, -3, 4, -2), shapely.box(5, -3, 9, -1) - shapely.box(6, -2.5, 7, -1.5)]
    return shapely.union_all([*tooth, *plates])


@pytest.mark.parametrize("teeth", [0, 30, 400])
def test_strips_hold_the_points_that_lie_in_the_area(teeth):
    area = comb(teeth)
    x, y = np.random.default_rng(teeth).uniform((-2, -4), (22, 1), (4000, 2)).T
    inside = shapely.contains_xy(area, x, y)
    assert inside.any()
    assert (Strips(area).hold(x, y) == inside).all()


@pytest.mark.parametrize("teeth", [0, 400])
def test_no_point_lies_far_off_or_in_nothing(teeth):
    x, y = np.array([-1e3, 1e3, 3.0]), np.array([0.0, 0.0, 1e3])
    assert not Strips(comb(teeth)).hold(x, y).any()
    assert not Strips(shapely.MultiPolygon()).hold(x, y).any()
