"""Widths of the register's marks against pixels and scipy's distance transform of them."""

import numpy as np
import pytest

from raster_widths import misses_px
from stamped import NAMES, stamp_of
from stampwright.plane import medial_axis
from stampwright.review.widths import Widths


@pytest.mark.parametrize("name", NAMES)
def test_the_radius_between_facing_walls_is_the_distance_transform_there(name):
    """To 2 pixels of 0.017 mm, which is what the corners of pixels allow; half of all to one."""
    ink = stamp_of(name).face.ink
    axis = medial_axis(ink)
    missed = misses_px(axis, Widths(axis).is_rib, ink)
    assert len(missed) > 30
    assert np.mean(missed <= 2) >= 0.99
    assert np.median(missed) <= 1
