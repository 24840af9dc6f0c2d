"""Points of the axis between the ends of a row: their radius is exact, and their feet run evenly along the walls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.counting import counted, picked

from .axis import ON_OUTLINE_MM, VERTEX_WALL, VERTICES, by_kind

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .axis import Axis

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Along:
    """Points (k) of an axis: radius [mm] and place (k, 2)."""

    radius_mm: Floats
    at: Floats


def along(axis: Axis, row: Ints, share: Floats) -> Along:
    """The points at `share` (k,), 0 at the low end and 1 at the high end, of the rows `row` (k,)."""
    radius, bent = radius_along(axis, row, share), np.flatnonzero(axis.kind[row] == VERTEX_WALL)
    start, end = picked(axis.vertices, axis.low[row]), picked(axis.vertices, axis.high[row])
    at = start + share[:, None] * (end - start)
    at[bent] = _off_the_wall(axis, row[bent], share[bent], radius[bent])
    return Along(radius, at)


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


def _off_the_wall(axis: Axis, row: Ints, share: Floats, radius: Floats) -> Floats:
    """The centre of a disc that touches a wall at its foot: the radius away along the wall's normal."""
    foot = 2 * row + (axis.point[row, 0] != 0)  # that on the wall, the other owner is a vertex
    low, high = (picked(feet.reshape(-1, 2), foot) for feet in (axis.feet_low, axis.feet_high))
    normal = (picked(axis.vertices, axis.high[row]) - high) / axis.high_mm[row][:, None]
    return np.asarray(low + share[:, None] * (high - low) + normal * radius[:, None])


def abscissa_at(axis: Axis, row: Ints, radius_mm: Floats) -> Floats:
    """Where along the rows `row` (k,) the radius is `radius_mm` (k,); the nearer end where it is nowhere."""
    kind, gauge = axis.kind.take(row), axis.gauge_mm.take(row)
    low, high, x_low, x_high = (of.take(row) for of in (axis.low_mm, axis.high_mm, axis.x_low, axis.x_high))
    rise = high - low
    share = np.divide(radius_mm - low, rise, out=np.ones(len(row)), where=rise > 0)
    straight = x_low + share * (x_high - x_low)
    parabola = np.sqrt(np.maximum(2 * gauge * radius_mm - gauge * gauge, 0.0))
    hyperbola = np.sqrt(np.maximum(radius_mm * radius_mm - gauge * gauge, 0.0))
    x = by_kind(kind, straight, parabola, hyperbola)
    return np.minimum(np.maximum(np.where(radius_mm >= high, x_high, x), x_low), x_high)


def lines_between(
    axis: Axis, row: Ints, low_mm: float, high_mm: float, spacing_mm: float
) -> tuple[Ints, Along, NDArray[np.object_]]:
    """What of the rows `row` (k,) has a radius from `low_mm` to `high_mm`: points, which of them each is on, and lines.

    Points are at most `spacing_mm` apart; lines (k,) of rows that share a vertex meet in it exactly.
    """
    run = axis.x_high[row] - axis.x_low[row]
    ends = [abscissa_at(axis, row, np.full(len(row), radius)) - axis.x_low[row] for radius in (low_mm, high_mm)]
    first, last = (np.divide(end, run, out=np.full(len(row), float(n)), where=run > 0) for n, end in enumerate(ends))
    first, last = np.where(axis.low_mm[row] >= low_mm, 0.0, first), np.where(axis.high_mm[row] <= high_mm, 1.0, last)
    length = axis.length_mm[row] * (last - first)
    steps = np.maximum(np.ceil(length / spacing_mm), 1).astype(np.int64)
    which, nth = np.repeat(np.arange(len(row)), steps + 1), counted(steps + 1)
    share = first[which] + nth / steps[which] * (last - first)[which]
    points = along(axis, row[which], share)
    for end, vertex in ((0.0, axis.low), (1.0, axis.high)):
        points.at[share == end] = axis.vertices[vertex[row[which[share == end]]]]
    lines = shapely.linestrings(points.at, indices=which) if len(row) else np.zeros(0, dtype=object)
    return which, points, lines


def spaced(axis: Axis, row: Ints, spacing_mm: float) -> tuple[Ints, Along]:
    """Points along the rows `row`, both ends and at most `spacing_mm` apart between; and the row of each."""
    length = axis.length_mm[row]
    parts = np.ceil(length / spacing_mm).astype(np.int64) + 1
    which = np.repeat(np.arange(len(row)), parts)
    nth = counted(parts)
    return row[which], along(axis, row[which], nth / np.maximum(parts[which] - 1, 1))
