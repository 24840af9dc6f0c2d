r"""Lands, and rings, that meet in a point are parted: there the edge of a wall would carry four triangles.

\ ink /                      What is taken away at the point is a small star. Its tips lie on the edges that
____\   /____                    meet there, at places of the grid that lie nearly on them: an edge that is cut
floor  X  floor                  elsewhere bends to the grid all along, and that costs more than the star itself.
_____/   \___
/ ink \
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base import InternalFault
from stampwright.base.tolerances import GRID_MM

from .grid import on_grid, without_slivers

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_ROUNDS = 6  # one round is not enough: an acute pinch can make two new ones; the star doubles each time
_HAIRS = (4, 8, 16)  # steps across; one pinch of ten thousand between needles of a tenth of a degree wants the second
_WIDE = 2.0  # rad between two edges at a pinch: there the star gets a tip of its own, to hold its middle
_NEAREST, _FURTHEST = 2, 48  # tips of a star from its middle, in steps of the grid
_CRUMB_MM2 = (_FURTHEST * GRID_MM) ** 2  # what two stars may cut off between them is no land


def part_pinches(area: shapely.MultiPolygon) -> shapely.MultiPolygon:
    """Part lands, and rings, that meet in a point.

    A star a few grid steps wide is taken away at each vertex that occurs twice, a larger one where that made new ones.
    Costs at most `PINCH_SHARE` of the area. Where walls leave a pinch at so small an angle that they run
    along the same grid points for long, the hair between them is taken away as well, which costs up to sixteen grid
    steps along its length. Raises `InternalFault` when a pinch will not part.
    """
    parted, pinches = _cut_apart(area)
    for wide in _HAIRS:
        if not len(pinches):
            return parted
        parted, pinches = _cut_apart(_without_hairs(area, half_mm=wide / 2 * GRID_MM))
    if len(pinches):
        raise InternalFault.at("pinch", f"{len(pinches)} points where lands meet would not part")
    return parted


def count_pinches(area: shapely.MultiPolygon) -> int:
    """Count the points where lands, or rings, meet without crossing."""
    return len(_vertices_met_twice(area))


def _cut_apart(area: shapely.MultiPolygon) -> tuple[shapely.MultiPolygon, Floats]:
    """The area with stars taken away at its pinches, and the pinches that are left."""
    pinches, wider = _vertices_met_twice(area), 1
    for _ in range(_ROUNDS):
        if not len(pinches):
            break
        led, stars = _with_stars(area, pinches, wider=wider)
        # where walls run side by side the tips may cross them over; there the edges are cut where they are
        area = on_grid(shapely.difference(led if led.is_valid else area, shapely.union_all(stars)))
        area = without_slivers(area, below_mm2=_CRUMB_MM2)
        pinches, wider = _vertices_met_twice(area), 2 * wider
    return area, pinches


class _Edges(NamedTuple):
    """Edges that leave pinches (m): whose they are, their row among all edges and whether they leave its end."""

    pinch: Ints
    row: Ints
    at_end: Bools
    offset: Floats  # (m, 2), from the pinch to the other end, in steps of the grid


def _edges_at(xy: Floats, is_edge: Bools, pinches: Floats) -> _Edges:
    rows = np.flatnonzero(is_edge)
    both = np.stack([xy[rows], xy[rows + 1]], axis=1)
    ends = np.concatenate([both, both[:, ::-1]])
    places, starts = pinches @ (1, 1j), ends[:, 0] @ (1, 1j)  # complex numbers compare as pairs do
    order = np.argsort(places)
    at = order[np.minimum(np.searchsorted(places[order], starts), len(places) - 1)]
    here = np.flatnonzero(places[at] == starts)
    offset = (ends[here, 1] - ends[here, 0]) / GRID_MM
    return _Edges(at[here], rows[here % len(rows)], here >= len(rows), offset)


def _with_stars(
    area: shapely.MultiPolygon, pinches: Floats, *, wider: int
) -> tuple[shapely.MultiPolygon, NDArray[np.object_]]:
    """A star about each pinch, and the area with the tips of the stars among its vertices."""
    kind, xy, (ring_ends, part_ends) = shapely.to_ragged_array(shapely.get_parts(area))
    is_edge = np.ones(len(xy), dtype=bool)
    is_edge[ring_ends[1:] - 1] = False
    edges = _edges_at(xy, is_edge, pinches)
    steps = _tips(edges.offset, wider=wider)
    stars, holds = _stars(edges, steps, pinches, wider=wider)
    used = holds[edges.pinch]
    places = pinches[edges.pinch[used]] + GRID_MM * steps[used]
    before = np.concatenate([np.arange(len(xy)), edges.row[used] + 1])
    # at the row that follows: after a tip near the edge's start, before its end
    order = np.lexsort((np.concatenate([np.full(len(xy), 2), edges.at_end[used]]), before))
    added = np.searchsorted(np.sort(edges.row[used] + 1), ring_ends - 1, side="right")
    moved = shapely.from_ragged_array(
        kind, np.concatenate([xy, places])[order], (ring_ends + np.where(ring_ends > 0, added, 0), part_ends)
    )
    return shapely.multipolygons(moved), stars


def _stars(edges: _Edges, steps: Floats, pinches: Floats, *, wider: int) -> tuple[NDArray[np.object_], Bools]:
    """Stars with their tips on the edges, and which of them hold their pinch; a square where one would not."""
    angle = np.arctan2(edges.offset[:, 1], edges.offset[:, 0])
    order = np.lexsort((angle, edges.pinch))
    pinch, angle, steps = edges.pinch[order], angle[order], steps[order]
    wide, middle = _wide_gaps(pinch, angle)
    between = np.rint(2 * _NEAREST * wider * np.column_stack([np.cos(middle), np.sin(middle)]))
    pinch, angle = np.concatenate([pinch, pinch[wide]]), np.concatenate([angle, middle])
    order = np.lexsort((angle, pinch))
    pinch, tips = pinch[order], pinches[pinch[order]] + GRID_MM * np.concatenate([steps, between])[order]
    stars = shapely.polygons(shapely.linearrings(tips, indices=pinch))
    holds = shapely.is_valid(stars) & shapely.contains_properly(stars, shapely.points(pinches))
    half_mm = _NEAREST * wider * GRID_MM
    squares = shapely.box(*(pinches - half_mm).T, *(pinches + half_mm).T)
    return np.asarray(np.where(holds, stars, squares), dtype=object), np.asarray(holds)


def _wide_gaps(pinch: Ints, angle: Floats) -> tuple[Ints, Floats]:
    """Edges, sorted by pinch and angle, after which none comes for long, and the angle half-way to the next."""
    last = np.append(pinch[1:] != pinch[:-1], True)
    first = np.flatnonzero(np.append(True, pinch[1:] != pinch[:-1]))
    after = np.roll(angle, -1)
    after[last] = angle[first] + 2 * np.pi
    wide = np.flatnonzero(after - angle > _WIDE)
    middle = (angle[wide] + after[wide]) / 2
    return wide, np.arctan2(np.sin(middle), np.cos(middle))


def _tips(offset: Floats, *, wider: int) -> Floats:
    """The grid place near each edge (m, 2), in steps from its start, that costs least: bend of the edge, and star."""
    length = np.hypot(*offset.T)
    unit = offset / length[:, None]
    away = np.arange(_NEAREST * wider, max(_FURTHEST, 2 * _NEAREST * wider))
    tried = np.rint(away[None, :, None] * unit[:, None])  # (m, r, 2)
    bend = np.abs(tried[..., 0] * unit[:, None, 1] - tried[..., 1] * unit[:, None, 0])
    cost = bend * length[:, None] / 2 + away**2 / 2
    best = np.argmin(np.where(away < length[:, None] / 2, cost, np.inf), axis=1)
    return np.asarray(tried[np.arange(len(tried)), best])


def _without_hairs(area: shapely.MultiPolygon, *, half_mm: float) -> shapely.MultiPolygon:
    """Open the gaps, and drop the needles, that are narrower than `2 half_mm` and begin at a pinch."""
    pinches = _vertices_met_twice(area)
    near = shapely.union_all(shapely.box(*(pinches - half_mm).T, *(pinches + half_mm).T))
    gaps = shapely.difference(_offset_twice(area, half_mm), area)
    needles = shapely.difference(area, _offset_twice(area, -half_mm))
    parts = np.concatenate([shapely.get_parts(gaps), shapely.get_parts(needles)])
    hairs = shapely.union_all(parts[shapely.intersects(parts, near)])
    return without_slivers(on_grid(shapely.difference(area, shapely.buffer(hairs, half_mm, quad_segs=2))))


def _offset_twice(area: shapely.Geometry, by_mm: float) -> shapely.Geometry:
    """The closing of an area by a disc, or with a negative radius its opening."""
    return shapely.buffer(shapely.buffer(area, by_mm, quad_segs=2), -by_mm, quad_segs=2)


def _vertices_met_twice(area: shapely.MultiPolygon) -> NDArray[np.float64]:
    rings = shapely.get_rings(shapely.get_parts(area))
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    inner = np.ones(len(xy), dtype=bool)
    inner[np.flatnonzero(np.diff(ring, prepend=-1))] = False  # a ring names its first vertex again at its end
    places = np.sort(xy.view(np.complex128).ravel()[inner])  # by x, then by y: a fifth of the time of rows
    again = places[1:][places[1:] == places[:-1]]
    return np.unique(again).view(np.float64).reshape(-1, 2)
