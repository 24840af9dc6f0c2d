"""Ground under overlapping discs, against GEOS with discs of 8,000 sides."""

import numpy as np
import pytest
import shapely

from stampwright.review.covered import covered_mm2


def drawn(seed):
    """Four polygons about as wide as six discs, some of them twice in one place or centred on a corner."""
    random = np.random.default_rng(seed)
    turn, out = np.sort(random.uniform(0, 2 * np.pi, (4, 6)), axis=1), random.uniform(0.3, 2, (4, 6))
    rings = np.stack([out * np.cos(turn), out * np.sin(turn)], axis=-1) + random.uniform(-1, 1, (4, 1, 2))
    centres, radii = random.uniform(-2, 2, (6, 2)), random.uniform(0.3, 1.5, 6)
    centres[3], radii[3], centres[4] = centres[1], radii[1], rings[0, 2]
    return rings, centres, radii


@pytest.mark.parametrize("alike", [True, False], ids=["discs of one size", "discs of many sizes"])
@pytest.mark.parametrize("seed", range(12))
def test_the_ground_under_overlapping_discs_is_that_under_their_union(seed, alike):
    rings, centres, radii = drawn(seed)
    radii = np.full(6, radii[1]) if alike else radii
    under = covered_mm2(rings, centres, radii, ring=np.repeat(np.arange(4), 6), disc=np.tile(np.arange(6), 4))
    union = shapely.union_all(shapely.buffer(shapely.points(centres), radii, quad_segs=2000))
    grounds = shapely.polygons(rings)
    simple = shapely.is_valid(grounds)
    assert simple.any()
    assert under[simple] == pytest.approx(shapely.area(shapely.intersection(grounds[simple], union)), abs=2e-6)


def test_ground_near_no_disc_is_bare():
    rings, centres, radii = drawn(0)
    none = np.zeros(0, dtype=np.int64)
    assert covered_mm2(rings, centres, radii, ring=none, disc=none).tolist() == [0.0] * 4
