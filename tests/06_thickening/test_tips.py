"""How far walls may move on the way to tips, against the way along the outline as GEOS measures it."""

import numpy as np
import pytest
import shapely

from grown import laid
from stampwright.plane import medial_axis
from stampwright.thickening.slopes import TIP_SLOPE, tapered
from stampwright.thickening.walls import Walls, samples_of

RINGS = laid(shapely.Point(0, 0).buffer(4) - shapely.box(-1, -2, 2, 1))
ON_IT_MM = 1e-6


def least_mm(samples, tips, spare):
    """Tip by tip and ring by ring."""
    told = np.full(len(samples), np.inf)
    for ring in shapely.get_rings(RINGS.geoms):
        line, at = shapely.LineString(ring), shapely.points(samples.at)
        on = shapely.distance(line, at) < ON_IT_MM
        for tip, more in zip(shapely.points(tips), spare, strict=True):
            if line.distance(tip) < ON_IT_MM:
                way = np.abs(shapely.line_locate_point(line, at) - line.project(tip))
                way = np.minimum(way, line.length - way)
                told[on] = np.minimum(told[on], TIP_SLOPE * way[on] + more)
    return told


@pytest.mark.parametrize("seed", range(20))
def test_a_wall_moves_as_far_as_every_tip_of_its_ring_allows_on_the_way_to_it(seed):
    """What a tip may move itself comes on top; those of another ring have no say."""
    random = np.random.default_rng(seed)
    walls = Walls(medial_axis(RINGS), least_mm=0.5)
    wall = random.integers(len(walls.base), size=65)
    positions = walls.base[wall] + random.uniform(0.05, 0.95, 65) * walls.length_mm[wall]
    samples = samples_of(walls, positions[5:])
    tips, spare = positions[:5], random.choice([0.0, 0.1, 0.7], 5)
    at = walls.start[wall[:5]] + (tips - walls.base[wall[:5]])[:, None] * walls.run[wall[:5]]
    told = tapered(walls, samples, tips, spare)
    assert told == pytest.approx(least_mm(samples, at, spare), abs=1e-5)
