"""The hole as a surface: countersink at the mouth, cylinder of the drill, cone of its point."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base.tolerances import GRID_PER_MM
from stampwright.plane import quarter_segments

from .mesh import bands

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .solid import Hole


class Bore(NamedTuple):
    """`mouth` is the opening in the back; `surface` (m, 3, 3) faces into it; `volume_mm3` is what it takes."""

    mouth: shapely.Polygon
    surface: NDArray[np.float64]
    volume_mm3: float


def bore_of(hole: Hole, *, thickness_mm: float, chord_mm: float) -> Bore:
    """Make the surface of a hole about the origin, its mouth at −thickness. The countersink has 90 degrees."""
    sink_mm = (hole.countersink_mm - hole.drill_mm) / 2
    levels_mm = -thickness_mm + np.array([0.0, sink_mm, hole.drilled_mm])
    quarter = quarter_segments(hole.countersink_mm / 2, sagitta_mm=chord_mm)
    radii_mm = (hole.countersink_mm / 2, hole.drill_mm / 2, hole.drill_mm / 2)
    rings = [_ring(radius_mm, quarter, z_mm=float(z)) for radius_mm, z in zip(radii_mm, levels_mm, strict=True)]
    # seen from inside the hole the metal lies to the right of a counter-clockwise ring: upper and lower change places
    sides = [bands(_edges(upper), _edges(lower)) for lower, upper in itertools.pairwise(rings)]
    tip = np.broadcast_to([0.0, 0.0, levels_mm[2] + hole.point_mm], (4 * quarter, 3))
    cone = np.stack([tip, rings[2], np.roll(rings[2], -1, axis=0)], axis=1)[:, ::-1]
    return Bore(shapely.Polygon(rings[0][:, :2]), np.concatenate([*sides, cone]), _volume_mm3(rings, hole))


def _ring(radius_mm: float, quarter: int, *, z_mm: float) -> NDArray[np.float64]:
    """A circle as a polygon on the grid (n, 3), counter-clockwise, its chords inside the true circle."""
    angles = np.arange(4 * quarter) * (math.pi / 2 / quarter)
    xy = np.round(radius_mm * np.column_stack([np.cos(angles), np.sin(angles)]) * GRID_PER_MM) / GRID_PER_MM + 0.0
    return np.column_stack([xy, np.full(len(xy), z_mm)])


def _edges(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.stack([ring, np.roll(ring, -1, axis=0)], axis=1)


def _volume_mm3(rings: list[NDArray[np.float64]], hole: Hole) -> float:
    """Prismatoid of the countersink (Simpson's rule is exact), prism of the drill, pyramid of its point."""
    mouth_mm2, middle_mm2, bore_mm2 = (
        float(shapely.Polygon(xy).area)
        for xy in (rings[0][:, :2], (rings[0][:, :2] + rings[1][:, :2]) / 2, rings[1][:, :2])
    )
    sink_mm = float(rings[1][0, 2] - rings[0][0, 2])
    sink_mm3 = sink_mm * (mouth_mm2 + 4 * middle_mm2 + bore_mm2) / 6
    return sink_mm3 + bore_mm2 * (hole.drilled_mm - sink_mm + hole.point_mm / 3)
