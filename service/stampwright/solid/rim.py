r"""The block below the floor: its sides, and the edge round its back, which a job may have broken at 45 degrees.

|                       floor at −relief
|_______________|
|               |       sides, as the outline of the head
|               |
 \             /        broken edge, as wide as it is high: planes along the sides, cones round the corners
  \___________/         back at −thickness
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base.tolerances import GRID_MM
from stampwright.layout import outline_of

from .mesh import bands, plan_keys, walls
from .regions import directed_edges

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.job import Head

    from .mesh import Corners, Patch


class Rim(NamedTuple):
    """`surface` of sides and broken edge, the outline of the `back` that they leave, and what the edge takes."""

    surface: list[Corners | Patch]
    back: shapely.Geometry
    broken_mm3: float


def rim_of(plate: shapely.Geometry, head: Head, *, relief_mm: float) -> Rim:
    """Close the block round a plate, whose edges are those of the floor's rim."""
    edges, sides_mm = directed_edges(plate), head.thickness_mm - head.edge_break_mm
    sides = walls(edges, -relief_mm, -sides_mm)
    if not head.edge_break_mm:
        return Rim([sides], plate, 0.0)
    outline, wide_mm = outline_of(head), head.edge_break_mm
    # where the corner radius is used up, the cone of a corner ends in a point, and two planes meet below it
    ends_in_point = GRID_MM < outline.corner_mm < wide_mm - GRID_MM  # nearer levels are one in a file
    insets_mm = [0.0, outline.corner_mm, wide_mm] if ends_in_point else [0.0, wide_mm]
    rings = [
        _at_height(outline.moved_in(edges, by) if by else edges, -(head.thickness_mm - (wide_mm - by)))
        for by in insets_mm
    ]
    slopes = np.concatenate([bands(lower, upper) for upper, lower in itertools.pairwise(rings)])
    slopes = slopes[_have_area(slopes)]
    return Rim([sides, slopes], _outlined(rings[-1][:, 0, :2]), _taken_mm3(slopes, -head.thickness_mm))


def _at_height(edges: NDArray[np.float64], z_mm: float) -> NDArray[np.float64]:
    return np.concatenate([edges, np.full((*edges.shape[:2], 1), z_mm)], axis=2)


def _have_area(triangles: Corners) -> NDArray[np.bool_]:
    kept: NDArray[np.bool_] = np.any(
        np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]), axis=1
    )
    return kept


def _outlined(ring: NDArray[np.float64]) -> shapely.Polygon:
    keys = plan_keys(ring)
    return shapely.Polygon(ring[keys != np.roll(keys, 1)])


def _taken_mm3(slopes: Corners, back_mm: float) -> float:
    """Room between the sloping triangles and the level of the back: prisms under each, cut slantwise."""
    a, b, c = slopes[:, 0], slopes[:, 1], slopes[:, 2]
    plan_mm2 = ((c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1]) - (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1])) / 2
    return float(np.sum(plan_mm2 * (slopes[:, :, 2].mean(axis=1) - back_mm)))
