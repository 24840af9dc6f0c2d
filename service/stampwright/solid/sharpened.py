r"""What a pointed cutter leaves where it sharpened corners: its cone stands there as a foot between face and floor.

        land |                          the cone runs with its tip on the floor and its flank at the edge of the land
       ______|   .                      at the height of the face; below, it cannot come as near:
             |\   \      axis           z = −relief + (D − tip radius) / tan(half angle), D the distance to the
             | \   \    /               nearest place the axis reaches
             |__\___\__/_ floor

That is the sloping front of a land turned over: the places its tip sweeps are the "land", at the floor, and the
ground rises from there as far as the face.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base.tolerances import GRID_MM
from stampwright.plane import count_pinches, grown, on_grid, part_pinches

from .cells import floor_lines
from .mesh import at_height, plan_keys, welded
from .regions import directed_edges, triangles_of
from .slopes import slope_lines
from .steps import steps_between

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.catalogue import Cutter

    from .mesh import Corners

_AT_FACE_MM = 0.003  # ground this near to where the cone meets the face is at the face: offsets are chords
_HAIR_MM = 0.004
_FLAT_MM = 0.0005
_SLIT_MM2 = 1e-5
_ROUNDS = 4  # parting a point may move an edge onto another one; one round mended nearly all
_CRUMB_MM2 = 1e-4  # sharpened ground below this is taken as cleared


class Sharpened(NamedTuple):
    """Ground that only a pointed cutter opened, at the height of the face, and that cutter."""

    ground: shapely.MultiPolygon
    cutter: Cutter


class Foot(NamedTuple):
    """The lands, the ground under the cone beside them, and what the tip swept on the floor; all on the grid."""

    lands: shapely.MultiPolygon
    ground: shapely.MultiPolygon
    swept: shapely.MultiPolygon
    reach_mm: float  # from the tip's edge to where the cone meets the face


def foot_of(
    sharpened: Sharpened, *, lands: shapely.MultiPolygon, ink: shapely.MultiPolygon, relief_mm: float
) -> Foot | None:
    """The foot a pointed cutter leaves beside `lands`, following `ink`; None where it opened nothing to speak of."""
    lands, ground = _beside(lands, sharpened.ground)
    if ground.is_empty:
        return None
    tip_mm, at_face_mm = sharpened.cutter.tip_mm / 2, sharpened.cutter.radius_at_mm(relief_mm)
    # places of the axis farther than this from the foot are never its nearest
    around = grown(ground, 2 * at_face_mm)
    near = shapely.intersection(ink, shapely.box(*shapely.bounds(grown(around, 2 * at_face_mm))))
    axis = shapely.difference(around, grown(near, at_face_mm))
    # offsets of offsets are full of corners that turn by nothing
    swept = shapely.simplify(grown(axis, tip_mm), _FLAT_MM)
    return Foot(lands, ground, part_pinches(on_grid(swept)), at_face_mm - tip_mm)


def _beside(
    lands: shapely.MultiPolygon, opened: shapely.MultiPolygon
) -> tuple[shapely.MultiPolygon, shapely.MultiPolygon]:
    """Fit sharpened ground to the lands, so that neither they nor both together meet in a mere point."""
    # two offsets of one wall part by hairs: such ledges are no ground, such slits between ground and land no floor
    ground = shapely.intersection(grown(grown(opened, -_HAIR_MM), 2 * _HAIR_MM), opened)
    ground = grown(grown(shapely.union(lands, ground), 2 * _HAIR_MM), -2 * _HAIR_MM)
    for _ in range(_ROUNDS):
        raised = part_pinches(on_grid(shapely.union(lands, ground)))
        lands = part_pinches(on_grid(shapely.intersection(lands, raised, grid_size=GRID_MM)))
        parts = shapely.get_parts(on_grid(shapely.difference(raised, lands, grid_size=GRID_MM)))
        ground = shapely.multipolygons(parts[shapely.area(parts) > _CRUMB_MM2])
        if not count_pinches(on_grid(shapely.union(lands, ground))):
            break
    return lands, ground


def sharpened_front(foot: Foot, head: shapely.Polygon, *, relief_mm: float, chord_mm: float) -> list[Corners]:
    """Triangles of a front with vertical walls and that foot: lands at 0, the floor at −relief."""
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(_lines(foot, head, chord_mm=chord_mm))))
    within = shapely.point_on_surface(faces)
    on_land, on_foot = (_inside(area, within) for area in (foot.lands, foot.ground))
    top, slope, floor = (triangles_of(faces[kept]) for kept in (on_land, on_foot & ~on_land, ~on_foot & ~on_land))
    front = np.concatenate(
        [
            at_height(top, 0.0, facing_up=True),
            np.concatenate([slope, _heights_mm(slope, foot, relief_mm=relief_mm)[..., None]], axis=2),
            at_height(floor, -relief_mm, facing_up=True),
        ]
    )
    return _without_slits(front, foot, relief_mm=relief_mm)


def _without_slits(front: Corners, foot: Foot, *, relief_mm: float) -> list[Corners]:
    """The front with its walls. Where hair-thin slits of floor make walls meet in one line, they are filled."""
    surface = [front, *steps_between(front)]
    for _ in range(_ROUNDS):
        crowded = plan_keys(welded(surface).crowded())
        if not len(crowded):
            break
        triangles = front[:, :, :2]
        slit = np.any(np.isin(plan_keys(triangles), crowded), axis=1) & np.all(front[:, :, 2] == -relief_mm, axis=1)
        slit &= shapely.area(shapely.polygons(triangles)) < _SLIT_MM2
        front[slit, :, 2] = _heights_mm(triangles[slit], foot, relief_mm=relief_mm)
        surface = [front, *steps_between(front)]
    return surface


def _lines(foot: Foot, head: shapely.Polygon, *, chord_mm: float) -> shapely.Geometry:
    """All lines of the plan, crossed with one another on the grid."""
    slopes = slope_lines(floor_lines(foot.swept, reach_mm=foot.reach_mm), reach_mm=foot.reach_mm, chord_mm=chord_mm)
    sloping = shapely.linestrings(np.concatenate([directed_edges(foot.swept), slopes.xy]))
    # line by line against the piece of ground it meets: against all of them together each would cost the whole
    pieces = shapely.get_parts(foot.ground)
    shapely.prepare(pieces)
    line, piece = shapely.STRtree(pieces).query(sloping, predicate="intersects")
    sloping, beside = sloping[line], pieces[piece]
    whole = shapely.covers(beside, sloping)
    cut = shapely.intersection(sloping[~whole], beside[~whole])
    outlines = [shapely.boundary(area) for area in (foot.lands, foot.ground, head)]
    return shapely.union_all(np.concatenate([outlines, sloping[whole], cut]), grid_size=GRID_MM)


def _inside(area: shapely.MultiPolygon, points: NDArray[np.object_]) -> NDArray[np.bool_]:
    shapely.prepare(area)
    inside: NDArray[np.bool_] = shapely.intersects(area, points)
    return inside


def _heights_mm(triangles: NDArray[np.float64], foot: Foot, *, relief_mm: float) -> NDArray[np.float64]:
    """Height of the cone over each corner (m, 3): −relief where its tip was, 0 where it meets the face."""
    _, first, index = np.unique(plan_keys(triangles), return_index=True, return_inverse=True)
    places = shapely.points(triangles.reshape(-1, 2)[first])
    swept = shapely.STRtree(shapely.get_parts(foot.swept))
    _, nearest_mm = swept.query_nearest(places, return_distance=True, all_matches=False)
    distance_mm = nearest_mm[index].reshape(triangles.shape[:2])
    share = np.minimum(distance_mm / foot.reach_mm, 1.0)
    heights: NDArray[np.float64] = np.where(distance_mm > foot.reach_mm - _AT_FACE_MM, 0.0, relief_mm * (share - 1.0))
    return heights
