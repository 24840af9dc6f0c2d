r"""As cut with a pointed cutter after flat ones: where no flat one came, its cone has made a sloping front.

        land |                  K: all that the flat cutters left standing, one height field: the lands at the top,
       ______|.        ____     the flank of the cone beside them, grooves in the gaps between them
             | \      /|
             |  \    / |        beyond K the floor, and where K ends above it the upright wall of a flat cutter
             |___\__/__|_ floor

The deeper of what each cutter leaves counts: on the flat cutters' ground that is the floor.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base.counting import picked
from stampwright.base.tolerances import GRID_MM, GRID_PER_MM
from stampwright.plane import Strips, on_grid, polygons_of

from .cells import cross
from .grooves import Point, grooved
from .mesh import Patch, plan_keys
from .plan import plan_along
from .regions import directed_edges
from .slopes import Lines

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.catalogue import Cutter
    from stampwright.layout import Face
    from stampwright.plane import Diagram

    from .grooves import Grooves
    from .plan import Plan

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_AT_FACE_MM = 2 * GRID_MM  # ground this near to face or floor is there: rounding moves each place by less
_CRUMB_MM2 = 1e-4  # ground below this gets no lines of its own
_AT_ONCE = 50_000  # lines that are looked at together
_LEAST_TIP_MM = 2 * GRID_MM


class Sharpened(NamedTuple):
    """Ground that flat cutters left, and the pointed cutter that went into it after them."""

    ground: shapely.MultiPolygon
    cutter: Cutter


def sharpened_front(
    face: Face, ground: shapely.MultiPolygon, *, diagram: Diagram, cutter: Cutter, chord_mm: float
) -> tuple[Patch, shapely.Polygon]:
    """The front and the plate under it. `ground`: what the flat cutters left beside the ink; `diagram` of the ink.

    Raises `InternalFault` when the front will not close.
    """
    point = Point(max(cutter.tip_mm / 2, _LEAST_TIP_MM), cutter.radius_at_mm(face.relief_mm))
    ink, left = _on_head(face.ink, face.head), _on_head(ground, face.head)
    edges = directed_edges(left)
    within, grooves = _within(left, edges, diagram, point, chord_mm=chord_mm)
    del diagram  # where no job holds it, it has served
    outlines = np.concatenate([directed_edges(ink), directed_edges(face.head)])
    plan = plan_along(
        np.concatenate([within.xy, edges, outlines]),
        fixed=outlines,
        meets=True,
        fits=lambda plan: plan.outline() is not None,
    )
    is_left, is_ink = _left(plan, Strips(left), Strips(ink))
    depth_mm = _depths_mm(plan, is_left, is_ink, within, grooves)
    z_mm = -face.relief_mm * (depth_mm / point.reach_mm)
    return _surface(plan, is_left, z_mm, relief_mm=face.relief_mm), plan.outline()


def _within(
    area: shapely.MultiPolygon, edges: Floats, diagram: Diagram, point: Point, *, chord_mm: float
) -> tuple[Lines, Grooves]:
    """Lines of the surface on some ground, and how deep that is; nothing else of what tells it is kept."""
    ground = _Ground(area, edges)
    lines, grooves = grooved(diagram, point, may_meet=ground.may_meet, chord_mm=chord_mm)
    return ground.clipped(lines), grooves


def _on_head(area: shapely.MultiPolygon, head: shapely.Polygon) -> shapely.MultiPolygon:
    """What lies on the head, on the grid; mostly it is enough to round its vertices."""
    within = area if shapely.covers(head, area) else polygons_of(shapely.intersection(area, head))
    rounded = shapely.set_precision(within, GRID_MM, mode="pointwise")
    return rounded if shapely.is_valid(rounded) else on_grid(within)


class _Ground:
    """What is left beside the ink, on the grid, to be asked by its outlines `edges` (n, 2, 2) and by points."""

    def __init__(self, area: shapely.MultiPolygon, edges: Floats) -> None:
        self.edges, self.strips = edges, Strips(area)
        self._tree = shapely.STRtree(shapely.linestrings(self.edges))

    def may_meet(self, low: Floats, high: Floats) -> Bools:
        """Which boxes between corners (n, 2) may have some of it within: by the boxes of its edges."""
        found = np.zeros(len(low), dtype=bool)
        found[self._tree.query(shapely.linestrings(np.stack([low, high], axis=1)))[0]] = True
        found[~found] = self.strips.hold(*((low[~found] + high[~found]) / 2).T)
        return found

    def clipped(self, lines: Lines) -> Lines:
        """Lines clipped to it, on the grid.

        A line is parted where it crosses an edge, its depth even along it; the middle of each part says where it lies.
        """
        line, edge = self._met(lines.xy)
        (a, b), (c, d) = picked(lines.xy, line).swapaxes(0, 1), picked(self.edges, edge).swapaxes(0, 1)
        off = [cross(b - a, c - a), cross(b - a, d - a), cross(d - c, a - c), cross(d - c, b - c)]
        crosses = np.flatnonzero(((off[0] < 0) != (off[1] < 0)) & ((off[2] < 0) != (off[3] < 0)))
        row = np.concatenate([np.repeat(np.arange(len(lines.xy)), 2), line[crosses]])
        at = off[2][crosses] / (off[2] - off[3])[crosses]
        share = np.concatenate([np.tile([0.0, 1.0], len(lines.xy)), at])
        order = np.lexsort((share, row))
        row, share = row[order], share[order]
        whole = row[1:] == row[:-1]
        row, share = row[:-1][whole], picked(np.stack([share[:-1], share[1:]], axis=1), whole)
        xy, depth = picked(lines.xy, row), picked(lines.depth, row)
        xy = xy[:, :1] + share[..., None] * (xy[:, 1:] - xy[:, :1])
        depth = depth[:, :1] + share * (depth[:, 1:] - depth[:, :1])
        inside = self.strips.hold(*xy.mean(axis=1).T)
        return Lines(_rounded(picked(xy, inside)), picked(depth, inside))

    def _met(self, xy: Floats) -> tuple[Ints, Ints]:
        """Lines and edges whose boxes meet, so many at once that the lines laid out for it are few."""
        found, first = [], 0
        for part in np.array_split(xy, len(xy) // _AT_ONCE + 1):
            line, edge = self._tree.query(shapely.linestrings(part))
            found.append(np.stack([first + line, edge]))
            first += len(part)
        line, edge = np.hstack(found)
        return line, edge


def _rounded(xy: Floats) -> Floats:
    places: Floats = np.rint(xy * GRID_PER_MM) / GRID_PER_MM + 0.0
    return places


def _left(plan: Plan, ground: Strips, ink: Strips) -> tuple[Bools, Bools]:
    """Triangles that the flat cutters left, and which of them are ink; no two parts of them meet in a mere point.

    A wall's edge would carry four triangles there: the slits at such a point fill. All of a face is left, or nothing:
    the largest triangle says it, as rounding bends walls by more than the least ones are wide.
    """
    order = np.lexsort((-plan.twice_mm2, plan.face))
    _, first, face = np.unique(plan.face[order], return_index=True, return_inverse=True)
    middles, face = plan.middles[order[first]], face[np.argsort(order)]
    is_ground, is_ink = ground.hold(*middles.T), np.zeros(len(middles), dtype=bool)
    is_ink[~is_ground] = ink.hold(*middles[~is_ground].T)
    is_left = (is_ground | is_ink)[face]
    for times in range(8):
        many = np.bincount(plan.origin[_rising(plan, is_left)], minlength=len(plan.places))
        crowded = np.flatnonzero(many > 1)
        if not len(crowded):
            break
        beside = np.isin(plan.origin, crowded).reshape(-1, 3).any(axis=1) & ~is_left
        areas = np.where(beside, plan.twice_mm2, np.inf)
        is_left = is_left | (areas < 2 ** (1 + times) * _CRUMB_MM2)  # a larger one only where none of these parts them
    return is_left, is_ink[face]


def _rising(plan: Plan, is_left: Bools) -> Bools:
    """Edges of triangles that are left, with none of these on the other side."""
    of_left = np.repeat(is_left, 3)
    rising: Bools = of_left & ~(plan.has_twin & of_left[plan.twin])
    return rising


def _surface(plan: Plan, is_left: Bools, z_mm: Floats, *, relief_mm: float) -> Patch:
    """The front as high as `z_mm` (n,) at the places that are left, the floor, and the upright walls between them.

    Those stand where ground that is left ends above the floor, or at the rim of the head.
    """
    count = np.int32(len(plan.places))  # each place is there twice: as high as what is left, and on the floor
    vertices = np.column_stack([np.tile(plan.xy, (2, 1)), np.append(z_mm, np.full(count, -relief_mm))])
    front = plan.corners + count * ~is_left[:, None]
    a, b = plan.ends(_rising(plan, is_left)).T
    rises = z_mm[b] > z_mm[a]  # the diagonal runs to the lower end, the shorter way
    low, on_floor = np.where(rises, a, b), np.where(rises, b, a) + count
    feet = np.stack([a + count, b + count, low], axis=1)[z_mm[low] > -relief_mm]
    tops = np.stack([on_floor, b, a], axis=1)[np.maximum(z_mm[a], z_mm[b]) > -relief_mm]
    return Patch.of_used(vertices, np.concatenate([front, feet, tops]))


def _depths_mm(plan: Plan, is_left: Bools, is_ink: Bools, known: Lines, grooves: Grooves) -> Floats:
    """Depth at the places of the plan that are left: none of the ink, known where a line ends, else measured."""
    wanted = np.zeros(len(plan.places), dtype=bool)
    wanted[picked(plan.corners, is_left)] = True
    depth = np.full(len(plan.places), np.inf)
    keys, told = plan_keys(known.xy).ravel(), known.depth.ravel()
    index = np.minimum(np.searchsorted(plan.places, keys), len(plan.places) - 1)
    said = (plan.places[index] == keys) & ~np.isnan(told)
    np.minimum.at(depth, index[said], told[said])
    depth[picked(plan.corners, is_ink)] = 0.0
    new = np.flatnonzero(wanted & np.isinf(depth))
    depth[new] = grooves.depth_mm(picked(plan.xy, new))
    most = grooves.point.reach_mm
    return np.where(depth <= _AT_FACE_MM, 0.0, np.where(depth >= most - _AT_FACE_MM, most, depth))
