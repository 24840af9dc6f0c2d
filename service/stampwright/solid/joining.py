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

from stampwright.base.counting import counted, picked
from stampwright.base.tolerances import GRID_PER_MM
from stampwright.plane import nested, on_grid, part_pinches

from .arrangement import rings_along
from .cells import cross
from .mesh import plan_keys
from .noding import diagonals, led_through, noded_around
from .regions import directed_edges

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
    gone = shapely.is_empty(shapely.buffer(parts[thin], -_CRUMB_MM / 2, join_style="mitre"))
    return shapely.multipolygons(np.delete(parts, thin[gone]))


def _around(lands: shapely.MultiPolygon, ground: shapely.MultiPolygon) -> shapely.MultiPolygon | None:
    """Both as one area, by the edges that are left around it; None where these are no rings around an area.

    So it is where ground lies over lands: then some place has both around it, and edges run within the area.
    """
    of_lands, of_ground = directed_edges(lands), directed_edges(ground)
    rounded = np.rint(of_ground * GRID_PER_MM) / GRID_PER_MM + 0.0
    edges = np.concatenate([of_lands, rounded])
    whole, pieces = led_through(edges, *_met(of_lands, of_ground, rounded))
    is_fresh = np.append(whole >= len(of_lands), np.ones(len(pieces), dtype=bool))
    xy = noded_around(np.concatenate([picked(edges, whole), pieces]), is_fresh)
    if xy is None:
        return None
    keys, ends = np.unique(plan_keys(xy), return_inverse=True)
    origin, target = ends.reshape(-1, 2).T
    following = _following(xy, origin, target, count=len(keys))
    if np.bincount(following).max() > 1:
        return None
    edge, ring = rings_along(origin, following)
    area = shapely.multipolygons(nested(picked(xy[:, 0], edge), np.bincount(ring)))
    return area if shapely.is_valid(area) else None


def _met(of_lands: Floats, of_ground: Floats, rounded: Floats) -> tuple[Ints, Floats]:
    """Edges of lands, then of ground, with the places of ground that lie on them, `rounded`, to be led through these.

    Ground begins and ends on an edge of the lands, and where its arcs end in one, an edge of its own runs beside it.
    """
    off = np.flatnonzero(np.any(of_ground[:, 0] != rounded[:, 0], axis=1))
    place, edge = _on(of_lands, of_ground[off, 0])
    place = off[place]
    on = np.unique(place)
    beside = np.unique(np.concatenate([on, np.maximum(on - 1, 0)]))
    beside = beside[np.any(rounded[beside, 0] != rounded[beside, 1], axis=1)]
    place_too, edge_too = _on(of_ground[beside], of_ground[on, 0])
    edges = np.concatenate([edge, len(of_lands) + beside[edge_too]])
    return edges, picked(rounded[:, 0], np.concatenate([place, on[place_too]]))


def _on(edges: Floats, places: Floats) -> tuple[Ints, Ints]:
    """Places that lie on edges."""
    boxes = diagonals(edges.min(axis=1) - _ON_MM, edges.max(axis=1) + _ON_MM)
    place, edge = shapely.STRtree(boxes).query(shapely.points(places))
    start, along = edges[edge, 0], edges[edge, 1] - edges[edge, 0]
    on = np.abs(cross(along, places[place] - start)) < _ON_MM * np.hypot(*along.T)
    return place[on], edge[on]


def _following(xy: Floats, origin: Ints, target: Ints, *, count: int) -> Ints:
    """The edge that follows each one around the area on its left: where several begin, the first one clockwise."""
    many = np.bincount(origin, minlength=count)
    out, first = np.argsort(origin, kind="stable"), np.cumsum(many) - many
    following: Ints = out[first[target]]
    crowded = np.flatnonzero(many[target] > 1)
    owner = np.repeat(crowded, many[target[crowded]])
    beside = out[first[target[owner]] + counted(many[target[crowded]])]
    back, ahead = xy[owner, 0] - xy[owner, 1], xy[beside, 1] - xy[beside, 0]
    turn = (np.arctan2(back[:, 1], back[:, 0]) - np.arctan2(ahead[:, 1], ahead[:, 0])) % (2 * np.pi)
    order = np.lexsort((turn, owner))
    least = np.diff(owner[order], prepend=-1) > 0
    following[owner[order][least]] = beside[order][least]
    return following
