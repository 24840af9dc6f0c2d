r"""Lands and what cutters leave beside them as one area, by their edges: what both have, one way and the other, goes.

      ____________________         Ground is rounded to the grid, and only its edges are looked at anew: lands are
     |  land   a|  ground  \       on the grid already, and meet in common ends. Edges that part the two run back
     |          |___________\      over each other, so does a piece of one that a place of the other has cut out.
     |__________b                  What is left runs around all of it, once the lines at each place are joined.

Overlaying areas instead takes more than n log n: each ring that meets no other asks all edges at its height where it
lies, and snapping the outcome to the grid overlays it part by part once more.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.counting import picked
from stampwright.base.tolerances import GRID_PER_MM
from stampwright.plane import on_grid, part_pinches

from .cells import cross
from .mesh import plan_keys
from .noding import diagonals, led_through, noded_around, unmet
from .regions import directed_edges
from .rings import areas_on_left

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

_ON_MM = 2.0**-23  # a place this near to an edge was made on it: Clipper2 keeps 1e-8 mm, GEOS more
_CRUMB_MM = 0.0005  # a quarter of the chord error that curves have anyway


def joined(lands: shapely.MultiPolygon, beside: shapely.MultiPolygon, head: shapely.Polygon) -> shapely.MultiPolygon:
    """The lands, which are on the grid, with what is left beside them on the head; they themselves if there is nothing.

    On the grid, and parted where they would meet in a point.
    """
    ground = without_crumbs(beside)
    if ground.is_empty:
        return lands
    within = shapely.contains_properly(head, ground) and shapely.covers(head, lands)
    area = _around(lands, ground) if within else None
    if area is None:
        area = on_grid(shapely.intersection(shapely.union(ground, lands), head))
    return part_pinches(area)


def without_crumbs(ground: shapely.MultiPolygon) -> shapely.MultiPolygon:
    """Leave out parts that are nowhere as wide as a crumb: what round cutters leave between the chords of a curve."""
    parts = shapely.get_parts(ground)
    thin = np.flatnonzero(2 * shapely.area(parts) < _CRUMB_MM * shapely.length(parts))  # on the average
    with np.errstate(
        divide="ignore", invalid="ignore"
    ):  # at mitres of sides that are parallel GEOS tries to, and goes on
        gone = shapely.is_empty(shapely.buffer(parts[thin], -_CRUMB_MM / 2, join_style="mitre"))
    return shapely.multipolygons(np.delete(parts, thin[gone]))


def _around(lands: shapely.MultiPolygon, ground: shapely.MultiPolygon) -> shapely.MultiPolygon | None:
    """Both as one area, by the edges that are left around it; None where these are no rings around an area.

    So it is where ground lies over lands: then some place has both around it, and edges run within the area.
    """
    of_lands, of_ground = directed_edges(lands), _without_needles(directed_edges(ground))
    rounded = np.rint(of_ground * GRID_PER_MM) / GRID_PER_MM + 0.0
    edges = np.concatenate([of_lands, rounded])
    left = unmet(edges)
    whole, pieces = led_through(edges, *_met(of_lands, of_ground, rounded, left))
    whole = np.intersect1d(whole, left, assume_unique=True)
    is_fresh = np.append(whole >= len(of_lands), np.ones(len(pieces), dtype=bool))
    xy = noded_around(np.concatenate([picked(edges, whole), pieces]), is_fresh)
    xy = xy if xy is None else _straight(xy, plan_keys(edges[:, 0]))
    if xy is None:
        return None
    parts = areas_on_left(xy)
    if parts is None:
        return None
    area = shapely.multipolygons(parts)
    return area if shapely.is_valid(area) else None


def _without_needles(edges: Floats) -> Floats:
    """Edges around ground without places from which they run back over themselves: closings leave such along a wall."""
    last = np.flatnonzero(np.append(np.any(edges[:-1, 1] != edges[1:, 0], axis=1), True))  # of each ring
    following = np.arange(1, len(edges) + 1)
    following[last] = np.append(0, last[:-1] + 1)
    (x, y), (back_x, back_y) = (edges[:, 1] - edges[:, 0]).T, (edges[following, 1] - edges[following, 0]).T
    longer = np.maximum(np.hypot(x, y), np.hypot(back_x, back_y))
    out = np.flatnonzero((x * back_x + y * back_y < 0) & (np.abs(x * back_y - y * back_x) < _ON_MM * longer))
    out = out[~np.isin(out, following[out])]  # where two meet the second goes with the first
    cut = edges.copy()
    cut[out, 1] = edges[following[out], 1]
    return np.delete(cut, following[out], axis=0)


def _straight(xy: Floats, known: Ints) -> Floats | None:
    """Edges without the places where some crossed that ran beside each other before they were rounded.

    None where such a place is more than a bend of a step, or comes again.
    """
    keys = plan_keys(xy)
    is_new = ~np.isin(keys, known)
    into, out = np.flatnonzero(is_new[:, 1]), np.flatnonzero(is_new[:, 0])
    if not len(out):
        return xy
    into, out = into[np.argsort(keys[into, 1])], out[np.argsort(keys[out, 0])]
    single = np.all(np.diff(keys[out, 0]) > 0) and not is_new.all(axis=1).any()
    if not single or not np.array_equal(keys[into, 1], keys[out, 0]):
        return None
    joint = np.stack([xy[into, 0], xy[out, 1]], axis=1)
    rest = np.delete(xy, np.concatenate([into, out]), axis=0)
    again = noded_around(np.concatenate([rest, joint]), np.repeat([False, True], [len(rest), len(joint)]))
    return again if again is not None and np.isin(plan_keys(again[:, 0]), known).all() else None


def _met(of_lands: Floats, of_ground: Floats, rounded: Floats, left: Ints) -> tuple[Ints, Floats]:
    """Edges of lands, then of ground, with the places of ground that lie on them, `rounded`, to be led through these.

    Only edges that are `left` of all. Ground begins and ends on an edge of the lands, and where its arcs end in one,
    an edge of its own runs beside it.
    """
    lands, ground = left[left < len(of_lands)], left[left >= len(of_lands)] - len(of_lands)
    off = ground[np.any(of_ground[ground, 0] != rounded[ground, 0], axis=1)]
    place, edge = _on(of_lands[lands], of_ground[off, 0])
    place = off[place]
    on = np.unique(place)
    beside = np.intersect1d(ground, np.concatenate([on, on - 1]))
    beside = beside[np.any(rounded[beside, 0] != rounded[beside, 1], axis=1)]
    place_too, edge_too = _on(of_ground[beside], of_ground[on, 0])
    edges = np.concatenate([lands[edge], len(of_lands) + beside[edge_too]])
    return edges, picked(rounded[:, 0], np.concatenate([place, on[place_too]]))


def _on(edges: Floats, places: Floats) -> tuple[Ints, Ints]:
    """Places that lie on edges."""
    boxes = diagonals(edges.min(axis=1) - _ON_MM, edges.max(axis=1) + _ON_MM)
    place, edge = shapely.STRtree(boxes).query(shapely.points(places))
    start, along = edges[edge, 0], edges[edge, 1] - edges[edge, 0]
    on = np.abs(cross(along, places[place] - start)) < _ON_MM * np.hypot(*along.T)
    return place[on], edge[on]
