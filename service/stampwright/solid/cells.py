"""Where the cells of a sloping front meet: the lines of the diagram that lie on the floor, and the sites beside them.

Every place of the floor belongs to the wall, or to the outer corner of the ink, that it is nearest to. A wall's cell
carries a plane of the slope, a corner's cell a cone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from stampwright.base.counting import picked

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stampwright.plane import Diagram

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class FloorLines:
    """Lines of the diagram on the floor, one row each; the sites on both sides, a corner first if one is. In mm.

    `cell`, `corner` (n, 2): number of each side's cell, and whether it is a corner's. `site` (n, 2, 2, 2): the wall
    from start to end, ink on its left; a corner twice. `arriving` (n, 2, 2): direction of the outline up to a corner.
    """

    ends: Floats  # (n, 2, 2)
    depth: Floats  # (n, 2): distance of the ends to the ink
    cell: Ints
    corner: Bools
    site: Floats
    arriving: Floats

    def rows(self, kept: Bools) -> FloorLines:
        """Some of the lines."""
        return FloorLines(*(picked(getattr(self, name), kept) for name in self.__slots__))


def joined_rows(parts: Sequence[FloorLines]) -> FloorLines:
    """Lines of several as one."""
    return FloorLines(*(np.concatenate([getattr(part, name) for part in parts]) for name in FloorLines.__slots__))


def floor_lines(diagram: Diagram, *, reach_mm: float) -> FloorLines:
    """Lines of the diagram of some ink that lie on the floor and may come nearer to it than `reach_mm`."""
    lines, turn = _with_sites(diagram)
    ends, on_floor = _floor_side(lines, turn)
    depth = _depths(diagram, ends, lines)
    near = np.any(depth < reach_mm, axis=1) | (lines.corner[:, 0] & (_least_mm(lines) < reach_mm))
    return FloorLines(ends, depth, lines.cell, lines.corner, lines.site, lines.arriving).rows(on_floor & near)


def cross(a: NDArray[Any], b: NDArray[Any]) -> NDArray[Any]:
    """Third component of the cross product of plane vectors (..., 2)."""
    product: NDArray[Any] = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return product


def _with_sites(diagram: Diagram) -> tuple[FloorLines, Floats]:
    """All lines with their sites, and the turn of the outline at the first one: positive at outer corners."""
    swap = (diagram.point[:, 0] == 0) & (diagram.point[:, 1] > 0)
    wall = np.where(swap[:, None], diagram.site[:, ::-1], diagram.site)
    point = np.where(swap[:, None], diagram.point[:, ::-1], diagram.point)
    site = picked(diagram.walls, wall)
    for end in (0, 1):
        at_end = point == end + 1
        site[at_end] = picked(diagram.walls[:, end], wall[at_end])[:, None]
    direction = diagram.walls[:, 1] - diagram.walls[:, 0]
    before, after = _neighbours(diagram.ring)
    arriving = picked(direction, np.where(point == 1, before[wall], wall))
    leaving = picked(direction, np.where(point == 2, after[wall], wall))
    ends = picked(diagram.vertices, diagram.ends)
    lines = FloorLines(ends, np.zeros(ends.shape[:2]), 3 * wall + point, point > 0, site, arriving)
    return lines, cross(arriving, leaving)[:, 0]


def _neighbours(ring: Ints) -> tuple[Ints, Ints]:
    """Number of the wall before and after each wall of its ring."""
    starts = np.flatnonzero(np.diff(ring, prepend=-1))
    stops = np.append(starts[1:], len(ring))
    before, after = np.arange(len(ring)) - 1, np.arange(len(ring)) + 1
    before[starts], after[stops - 1] = stops - 1, starts
    return before, after


def _floor_side(lines: FloorLines, turn: Floats) -> tuple[Floats, Bools]:
    """Which lines lie on the floor; one that runs through a corner, from ink to floor, is cut short there."""
    wall = lines.site[:, 1]
    side = cross((wall[:, 1] - wall[:, 0])[:, None], lines.ends - wall[:, :1])
    mixed = lines.corner[:, 0] & ~lines.corner[:, 1]
    # at a corner that does not turn one line runs straight through it
    in_ink = (mixed & (side[:, 0] * side[:, 1] < 0))[:, None] & (side > 0)
    ends = np.where(in_ink[..., None], lines.site[:, :1, 0], lines.ends)
    side = np.where(in_ink, 0.0, side)
    widest = np.take_along_axis(side, np.argmax(np.abs(side), axis=1)[:, None], axis=1)[:, 0]
    return ends, np.where(lines.corner[:, 1], turn > 0, widest < 0)


def _depths(diagram: Diagram, ends: Floats, lines: FloorLines) -> Floats:
    """Distance of the ends to the ink, one figure for each vertex of the diagram, so that cells agree about it."""
    first = lines.site[:, 0]
    along = first[:, 1] - first[:, 0]
    offset = ends - first[:, :1]
    length = np.where(lines.corner[:, 0], 1.0, np.hypot(*along.T))
    to_wall = np.abs(cross(along[:, None], offset)) / length[:, None]
    own = np.where(lines.corner[:, :1], np.hypot(offset[..., 0], offset[..., 1]), to_wall)
    least = np.full(len(diagram.vertices), np.inf)
    moved = np.any(ends != picked(diagram.vertices, diagram.ends), axis=2)
    np.minimum.at(least, diagram.ends[~moved], own[~moved])
    return np.where(moved, 0.0, least[diagram.ends])


def _least_mm(lines: FloorLines) -> Floats:
    """Least distance to the ink along lines that have a corner beside them."""
    corner, other = lines.site[:, 0, 0], lines.site[:, 1]
    along = other[:, 1] - other[:, 0]
    length = np.where(lines.corner[:, 1], 1.0, np.hypot(*along.T))
    to_wall = np.abs(cross(along, corner - other[:, 0])) / length
    least: Floats = np.where(lines.corner[:, 1], np.hypot(*(corner - other[:, 0]).T), to_wall) / 2
    return least
