"""Points of the axis between the ends of a row: their radius is exact, their feet run evenly along the walls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stampwright.base.counting import counted

from .axis import ON_OUTLINE_MM, VERTEX_WALL, VERTICES

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .axis import Axis

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Along:
    """Points (k) of an axis: radius [mm], place (k, 2), the two feet (k, 2, 2)."""

    radius_mm: Floats
    at: Floats
    feet: Floats


def along(axis: Axis, row: Ints, share: Floats) -> Along:
    """The points at `share` (k,), 0 at the low end and 1 at the high end, of the rows `row` (k,)."""
    radius, bent = radius_along(axis, row, share), axis.kind[row] == VERTEX_WALL
    feet = axis.feet_low[row] + share[:, None, None] * (axis.feet_high[row] - axis.feet_low[row])
    start, end = axis.vertices[axis.low[row]], axis.vertices[axis.high[row]]
    at = start + share[:, None] * (end - start)
    at[bent] = _off_the_wall(axis, row[bent], feet[bent], radius[bent])
    return Along(radius, at, feet)


def radius_along(axis: Axis, row: Ints, share: Floats) -> Floats:
    """Radius [mm] at the same points."""
    kind, gauge = axis.kind[row], axis.gauge_mm[row]
    x = axis.x_low[row] + share * (axis.x_high[row] - axis.x_low[row])
    low, high = axis.low_mm[row], axis.high_mm[row]
    radius = low + share * (high - low)
    bent, both = kind == VERTEX_WALL, kind == VERTICES
    radius[bent] = (x[bent] ** 2 + gauge[bent] ** 2) / (2 * np.maximum(gauge[bent], ON_OUTLINE_MM))
    radius[both] = np.hypot(x[both], gauge[both])
    return np.asarray(radius)


def _off_the_wall(axis: Axis, row: Ints, feet: Floats, radius: Floats) -> Floats:
    """The centre of a disc that touches a wall at its foot: the radius away along the wall's normal."""
    rows = np.arange(len(row))
    side = np.where(axis.point[row, 0] == 0, 0, 1)
    normal = (axis.vertices[axis.high[row]] - axis.feet_high[row, side]) / axis.high_mm[row][:, None]
    return np.asarray(feet[rows, side] + normal * radius[:, None])


def spaced(axis: Axis, row: Ints, spacing_mm: float) -> tuple[Ints, Along]:
    """Points along the rows `row`, both ends and at most `spacing_mm` apart between; and the row of each."""
    length = np.hypot(*(axis.vertices[axis.high[row]] - axis.vertices[axis.low[row]]).T)
    parts = np.ceil(length / spacing_mm).astype(np.int64) + 1
    which = np.repeat(np.arange(len(row)), parts)
    nth = counted(parts)
    return row[which], along(axis, row[which], nth / np.maximum(parts[which] - 1, 1))
