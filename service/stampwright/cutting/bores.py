"""Round counters: which rings of the ink are circles in earnest, to be bored rather than cleared."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.tolerances import WIDTH_MM
from stampwright.plane import counters_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

ROUND_MM = WIDTH_MM  # vertices and mid-chords may stray this far from the circle, and so much is bored off a wall
WIDEST_GAP_DEG = 50.0  # between neighbouring vertices: a regular octagon's all lie on a circle as well
_COMPACT = 0.8  # area over that of the circle of the same outline, [-]: an octagon has 0.95, and none less is looked at
TIGHTEST_SHARE, WIDEST_SHARE = 1.1, 1.8  # bore over cutter: below it is a plunge, above it clears like a pocket


@dataclass(frozen=True, slots=True)
class Bore:
    """A round counter without a land inside."""

    x_mm: float
    y_mm: float
    diameter_mm: float
    ring: shapely.Polygon


def fitted_circle(vertices: NDArray[np.float64]) -> tuple[float, float, float]:
    """Least-squares circle through (n, 2) points: centre x, y and radius [mm].

    Algebraic fit x² + y² = 2 a x + 2 b y + c (I. Kåsa, IEEE Trans. Instrum. Meas. 25, 1976, from memory).
    """
    origin = vertices.mean(axis=0)
    local = vertices - origin
    system = np.column_stack([2 * local, np.ones(len(local))])
    (a, b, c), *_ = np.linalg.lstsq(system, (local**2).sum(axis=1), rcond=None)
    return float(origin[0] + a), float(origin[1] + b), math.sqrt(max(c + a * a + b * b, 0.0))


def circle_of(ring: shapely.Polygon) -> Bore | None:
    """The circle a ring was drawn as, or None: vertices on it, chords near it, no wide gap between vertices."""
    vertices = shapely.get_coordinates(ring.exterior)[:-1]
    x, y, radius = fitted_circle(vertices)
    from_centre = vertices - (x, y)
    strays = np.abs(np.hypot(*from_centre.T) - radius).max()
    angles = np.sort(np.arctan2(from_centre[:, 1], from_centre[:, 0]))
    gap = np.diff(angles, append=angles[0] + 2 * math.pi).max()
    sagitta = radius * (1 - math.cos(gap / 2))
    if strays > ROUND_MM or sagitta > ROUND_MM or gap > math.radians(WIDEST_GAP_DEG):
        return None
    return Bore(x, y, 2 * radius, ring)


def bores_for(diameter_mm: float, ink: shapely.MultiPolygon) -> list[Bore]:
    """Round counters that a cutter of this diameter bores by a helix and one finishing turn, in order of the ink."""
    counters = counters_of(ink)
    area_mm2, length_mm = shapely.area(counters), shapely.length(counters)
    low, high = TIGHTEST_SHARE * diameter_mm, WIDEST_SHARE * diameter_mm
    likely = 4 * math.pi * area_mm2 > _COMPACT * length_mm**2
    # with fewer corners, of which a ring tells the first twice, some lie too wide apart
    likely &= shapely.get_num_coordinates(counters) > 360 / WIDEST_GAP_DEG + 1
    likely &= (2 * np.sqrt(area_mm2 / math.pi) <= high + 2 * ROUND_MM) & (length_mm / math.pi >= _COMPACT * low)
    circles = [circle for circle in map(circle_of, counters[likely]) if circle and low <= circle.diameter_mm <= high]
    rings = np.array([circle.ring for circle in circles], dtype=object)
    filled, _ = shapely.STRtree(shapely.get_parts(ink)).query(rings, predicate="contains_properly")
    return [circle for nth, circle in enumerate(circles) if nth not in filled]
