r"""As cut with a pointed cutter after flat ones: where no flat one came, its cone has made a sloping front.

        land |                  K: all that the flat cutters left standing, one height field: the lands at the top,
       ______|.        ____     the flank of the cone beside them, grooves in the gaps between them
             | \      /|
             |  \    / |        beyond K the floor, and where K ends above it the upright wall of a flat cutter
             |___\__/__|_ floor

The deeper of what each cutter leaves counts: on the flat cutters' ground that is the floor.
"""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base import InternalFault
from stampwright.base.tolerances import GRID_MM, GRID_PER_MM

from .arrangement import triangles_between
from .cells import cross
from .grooves import Grooves, Point
from .mesh import bands, plan_keys
from .noding import noded, noded_where_needed
from .regions import directed_edges, twice_areas
from .slopes import Lines, all_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.catalogue import Cutter

    from .mesh import Corners

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_AT_FACE_MM = 2 * GRID_MM  # ground this near to face or floor is there: rounding moves each place by less
_CRUMB_MM2 = 1e-4  # ground below this gets no lines of its own
_LEAST_TIP_MM = 2 * GRID_MM


class Sharpened(NamedTuple):
    """Ground that only a pointed cutter opened, at the height of the face, and that cutter."""

    ground: shapely.MultiPolygon
    cutter: Cutter


class Plan(NamedTuple):
    """Triangles of the whole head in plan (m, 3, 2), which of them the flat cutters left, and the head's rim."""

    triangles: Floats
    is_left: Bools
    sides: _Sides
    plate: shapely.Polygon


def sharpened_front(  # noqa: PLR0913  each a separate fact of the job
    left: shapely.MultiPolygon,
    head: shapely.Polygon,
    *,
    ink: shapely.MultiPolygon,
    cutter: Cutter,
    relief_mm: float,
    chord_mm: float,
) -> tuple[list[Corners], shapely.Polygon]:
    """Triangles of the front and the plate under it. `left` is what the flat cutters left standing, ink and all.

    Raises `InternalFault` when the front will not close.
    """
    point = Point(max(cutter.tip_mm / 2, _LEAST_TIP_MM), cutter.radius_at_mm(relief_mm))
    walls = directed_edges(ink)
    grooves = Grooves(ink, point, chord_mm=chord_mm, walls=walls)
    edges = directed_edges(left)
    shapely.prepare(left)
    known = all_of([_within(left, edges, grooves.lines), Lines(walls, np.zeros(walls.shape[:2]))])
    plan = _plan(np.concatenate([known.xy, edges, directed_edges(head)]), left)
    depth_mm = _depths_mm(plan, known, grooves)
    z = np.full(plan.triangles.shape[:2], -relief_mm)
    z[plan.is_left] = -relief_mm * (depth_mm / point.reach_mm)
    front = np.concatenate([plan.triangles, z[..., None]], axis=2)
    return [front, _walls(front, plan, relief_mm=relief_mm)], plan.plate


def _within(left: shapely.MultiPolygon, edges: Floats, lines: Lines) -> Lines:
    """Lines clipped to what is left, on the grid; `edges` (n, 2, 2): its outlines, `left` prepared.

    A line is parted where it crosses an edge, its depth even along it; the middle of each part says where that lies.
    """
    line, edge = shapely.STRtree(shapely.linestrings(edges)).query(shapely.linestrings(lines.xy))
    (a, b), (c, d) = lines.xy[line].swapaxes(0, 1), edges[edge].swapaxes(0, 1)
    off = [cross(b - a, c - a), cross(b - a, d - a), cross(d - c, a - c), cross(d - c, b - c)]
    crosses = np.flatnonzero(((off[0] < 0) != (off[1] < 0)) & ((off[2] < 0) != (off[3] < 0)))
    row = np.concatenate([np.repeat(np.arange(len(lines.xy)), 2), line[crosses]])
    at = off[2][crosses] / (off[2] - off[3])[crosses]
    share = np.concatenate([np.tile([0.0, 1.0], len(lines.xy)), at])
    order = np.lexsort((share, row))
    row, share = row[order], share[order]
    row, share = row[:-1][row[1:] == row[:-1]], np.stack([share[:-1], share[1:]], axis=1)[row[1:] == row[:-1]]
    xy = lines.xy[row, :1] + share[..., None] * (lines.xy[row, 1:] - lines.xy[row, :1])
    depth = lines.depth[row, :1] + share * (lines.depth[row, 1:] - lines.depth[row, :1])
    middle = xy.mean(axis=1)
    inside = np.asarray(shapely.contains_xy(left, middle[:, 0], middle[:, 1]))
    return Lines(_rounded(xy[inside]), depth[inside])


def _rounded(xy: Floats) -> Floats:
    places: Floats = np.rint(xy * GRID_PER_MM) / GRID_PER_MM + 0.0
    return places


def _plan(xy: Floats, left: shapely.MultiPolygon) -> Plan:
    """Triangulate the head along lines, noded anew where they cross, else all anew."""
    for mend in (noded_where_needed, noded):
        with contextlib.suppress(shapely.errors.GEOSException):  # crossing lines may enclose what is no polygon
            triangles = triangles_between(mend(xy))
            sides = _Sides(triangles)
            plate = _outline(triangles, sides)
            if plate is not None:
                middle = triangles.mean(axis=1)
                is_left = np.asarray(shapely.contains_xy(left, middle[:, 0], middle[:, 1]))
                return Plan(triangles, _without_points(triangles, sides, is_left), sides, plate)
    raise InternalFault.at("open-solid", "the plan of the pointed cutter's ground folds over")


def _outline(triangles: Floats, sides: _Sides) -> shapely.Polygon | None:
    """The one ring that triangles fill; None when they do not: each turns left and their edges pair up but for it."""
    if not sides.are_single or np.any(twice_areas(triangles) <= 0):
        return None
    rim = _edges(triangles, ~sides.has_twin)
    rings = shapely.get_parts(shapely.polygonize(shapely.linestrings(rim)))
    if len(rings) != 1 or shapely.get_num_coordinates(rings[0]) != len(rim) + 1:
        return None
    return shapely.Polygon(rings[0])


class _Sides:
    """Directed edges of triangles, three each, and the edge that runs back on the other side of each.

    `places` (n,): keys of the corners in rising order; `xy` (n, 2): where these are; `corners` (m, 3): their numbers.
    `origin` (3 m,): where each edge begins; `twin`: the edge that runs back, if it `has_twin`.
    """

    def __init__(self, triangles: Floats) -> None:
        self.places, first, index = np.unique(plan_keys(triangles), return_index=True, return_inverse=True)
        self.xy, self.corners = triangles.reshape(-1, 2)[first], index.reshape(-1, 3).astype(np.int32)
        self.origin = self.corners.ravel()
        target = np.roll(index.reshape(-1, 3), -1, axis=1).ravel()
        codes, back = index.ravel() * len(first) + target, target * len(first) + index.ravel()
        order = np.argsort(codes).astype(np.int32)
        ordered = codes[order]
        self.are_single = not np.any(ordered[1:] == ordered[:-1])
        self.twin = order[np.minimum(np.searchsorted(ordered, back), len(codes) - 1)]
        self.has_twin = codes[self.twin] == back


def _edges(triangles: Floats, chosen: Bools) -> Floats:
    """Some of the directed edges of triangles (m, 3, …), as `_Sides` numbers them."""
    triangle, side = np.divmod(np.flatnonzero(chosen), 3)
    return np.stack([triangles[triangle, side], triangles[triangle, (side + 1) % 3]], axis=1)


def _rising(sides: _Sides, is_left: Bools) -> Bools:
    """Edges of triangles that are left, with none of these on the other side."""
    of_left = np.repeat(is_left, 3)
    rising: Bools = of_left & ~(sides.has_twin & of_left[sides.twin])
    return rising


def _without_points(triangles: Floats, sides: _Sides, is_left: Bools) -> Bools:
    """Let no two parts meet in a mere point, where a wall's edge would carry four triangles: the slits there fill."""
    for times in range(8):
        many = np.bincount(sides.origin[_rising(sides, is_left)], minlength=len(sides.places))
        crowded = np.flatnonzero(many > 1)
        if not len(crowded):
            break
        beside = np.isin(sides.origin, crowded).reshape(-1, 3).any(axis=1) & ~is_left
        areas = np.where(beside, twice_areas(triangles), np.inf)
        is_left = is_left | (areas < 2 ** (1 + times) * _CRUMB_MM2)  # a larger one only where none of these parts them
    return is_left


def _walls(front: Corners, plan: Plan, *, relief_mm: float) -> Corners:
    """Upright walls where ground that is left ends above the floor, or at the rim of the head."""
    rising = _rising(plan.sides, plan.is_left)
    upper = _edges(front, rising)
    lower = upper.copy()
    lower[..., 2] = -relief_mm
    walls: Corners = bands(lower, upper)
    flat = np.any([np.all(walls[:, i] == walls[:, i - 1], axis=1) for i in range(3)], axis=0)
    return np.asarray(walls[~flat])


def _depths_mm(plan: Plan, known: Lines, grooves: Grooves) -> Floats:
    """Depth at the corners of the triangles that are left: known where a line ends, else measured."""
    corners, places = plan.sides.corners[plan.is_left], plan.sides.places
    wanted = np.zeros(len(places), dtype=bool)
    wanted[corners] = True
    depth = np.full(len(places), np.inf)
    keys, told = plan_keys(known.xy).ravel(), known.depth.ravel()
    index = np.minimum(np.searchsorted(places, keys), len(places) - 1)
    said = (places[index] == keys) & ~np.isnan(told)
    np.minimum.at(depth, index[said], told[said])
    new = np.flatnonzero(wanted & np.isinf(depth))
    depth[new] = grooves.depth_mm(plan.sides.xy[new])
    most = grooves.point.reach_mm
    depth = np.where(depth <= _AT_FACE_MM, 0.0, np.where(depth >= most - _AT_FACE_MM, most, depth))
    return np.asarray(depth[corners])
