r"""Gaps hardly wider than the cutter: there its centre runs in the middle, on the axis of the floor.

wall   _________________________________
              \                  /          roughing keeps its stock off both walls, and turns back at the mouths
       mouth   ) --- slot ----- (  mouth
wall   _______/__________________\_______
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.spatial import cKDTree

from stampwright.plane import joined, lines_between

from .reach import COARSE_MM, SAFE_MM
from .settings import STOCK_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    from .reach import Ground

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Geometries = NDArray[np.object_]

TIGHT_MM = 0.003
"""A gap just as wide as the cutter is open to it but leaves its centre no room: there walls may be grazed so much."""

_FACING_DEG = 120.0  # walls that lean by more towards each other make a corner, and no gap
_NOTCH_DEG = 140.0  # a notch wider than the rest to half a turn is reached but for 0.005 mm from any wall path
_SHORT_MM = 0.01  # ways shorter than this lead nowhere
_SLACK_MM = 0.02  # beyond the stock: what lies further from roughed ground is a slot, not a wall's skin
_BEYOND_MM = 0.005  # of what a cutter reaches: less is not looked at
_RIM = 17  # points of a rim: over half a turn its chords stand off by half a hundredth of the radius
_SPACING_MM = 0.1  # of points on a middle line; a pocket with less of one is round
_LEAST_PLAY_MM = 0.001  # of a round pocket: with what the cutter is wider, its walls are grazed by no more than others
_CROWDED_MM = 0.03  # of play: so little ground of the centre roughing may pass over as a thread
_ANY_MM = 1e6  # wider than any floor


@dataclass(frozen=True, slots=True)
class Slots:
    """Middle lines of gaps too narrow for roughing with its stock and open to the bare cutter.

    `pockets`: how many grounds roughing does not come to at all; `rings`: in those of them without a middle line, with
    free ground on their left.
    """

    lines: Geometries
    rings: Geometries
    pockets: int


def slots_of(ground: Ground, radius_mm: float) -> Slots:
    """Find the slots of a cutter of `radius_mm` behind its own roughing."""
    axis, roughing_mm = ground.axis, radius_mm + STOCK_MM + COARSE_MM + SAFE_MM
    row = np.flatnonzero(~axis.in_ink & (axis.high_mm >= radius_mm - TIGHT_MM))
    group = joined(axis.low[row], axis.high[row], axis.radius_mm >= radius_mm - TIGHT_MM)
    widest = np.zeros(int(group.max(initial=-1)) + 1)
    np.maximum.at(widest, group, axis.high_mm[row])
    small = (widest >= radius_mm - TIGHT_MM) & (widest < roughing_mm + _CROWDED_MM)
    at_widest = np.flatnonzero(small[group] & (axis.high_mm[row] == widest[group]))
    pocket, first = np.unique(group[at_widest], return_index=True)
    at = axis.vertices[axis.high[row[at_widest[first]]]]
    # what is bored is no pocket of the floor, and what the cutter hardly enters is one where areas claim that it does
    reached = shapely.contains_xy(ground.centre(radius_mm, STOCK_MM), *at.T) | ~shapely.contains_xy(ground.floor, *at.T)
    reached[~reached] = shapely.contains_xy(ground.uncut(radius_mm), *at[~reached].T)
    pocket, at = pocket[~reached], at[~reached]
    slotted, lines = _far_from_roughed(axis, row, np.isin(group, pocket), radius_mm, roughing_mm)
    along_mm = np.bincount(group[slotted], shapely.length(lines), minlength=len(widest))
    alone = along_mm[pocket] < _SPACING_MM
    play_mm = np.maximum(widest[pocket[alone]] - radius_mm, _LEAST_PLAY_MM)
    around = shapely.buffer(shapely.points(at[alone]), play_mm, quad_segs=12)
    rings = shapely.get_exterior_ring(shapely.orient_polygons(around))
    return Slots(lines, rings, len(pocket))


def _far_from_roughed(
    axis: Axis, row: Ints, in_pocket: Bools, radius_mm: float, roughing_mm: float
) -> tuple[Ints, Geometries]:
    """Of these rows those in gaps that no disc of roughing reaches across, from mouth to mouth, and their lines."""
    narrow = np.flatnonzero((axis.low_mm[row] < roughing_mm) & (axis.separation_low_deg[row] >= _FACING_DEG))
    own, place, lines = lines_between(axis, row[narrow], radius_mm - TIGHT_MM, roughing_mm, _SPACING_MM)
    mouth = row[(axis.low_mm[row] < roughing_mm) & (axis.high_mm[row] >= roughing_mm)]
    _, roughed, _ = lines_between(axis, mouth, roughing_mm, _ANY_MM, _ANY_MM)
    away = cKDTree(roughed.at).query(place.at)[0] if len(mouth) else np.full(len(own), np.inf)
    across = np.hypot(away, place.radius_mm) > roughing_mm + _SLACK_MM
    beyond = np.bincount(own, across, minlength=len(lines)) / np.bincount(own, minlength=len(lines))  # share of each
    gap = joined(axis.low[row[narrow]], axis.high[row[narrow]], axis.radius_mm < roughing_mm)
    deep_mm = np.bincount(gap, beyond * shapely.length(lines))
    deep = (deep_mm[gap] > radius_mm) | in_pocket[narrow]  # of less the wall pass makes short work
    return narrow[deep], lines[deep]


def notches_of(ground: Ground, radius_mm: float) -> Geometries:
    """Ways from the wall path on into sharp notches and gaps without room.

    A path that keeps off by two thousandths falls short of a notch's end by that over the sine of half its angle.
    """
    axis, wall_path_mm = ground.axis, radius_mm + SAFE_MM
    row = np.flatnonzero(
        ~axis.in_ink
        & (axis.low_mm < wall_path_mm)
        & (axis.high_mm >= radius_mm - TIGHT_MM)
        & (axis.separation_low_deg >= _NOTCH_DEG)
    )
    _, _, lines = lines_between(axis, row, radius_mm - TIGHT_MM, wall_path_mm, _SPACING_MM)
    ways = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines)))
    ways = ways[shapely.length(ways) > _SHORT_MM]
    return np.asarray(ways[shapely.contains_xy(ground.floor, *shapely.get_coordinates(shapely.get_point(ways, 0)).T)])


def fronts_of(ways: Geometries, centre: shapely.MultiPolygon, radius_mm: float) -> Geometries:
    """What a cutter has ahead of it on its way into each notch, beyond what it reached at the way's beginning.

    A line right ahead to the end, and the rim as it is halfway, from side to side.
    """
    ends = shapely.get_coordinates(shapely.get_point(ways, [[0], [-1]])).reshape(2, len(ways), 2)
    begins = np.argmin(shapely.distance(centre, shapely.points(ends)), axis=0)
    here, there = (ends[end, np.arange(len(ways))] for end in (begins, 1 - begins))
    way_mm = np.maximum(np.hypot(*(there - here).T), _SHORT_MM)[:, None]
    ahead, near_mm = (there - here) / way_mm, radius_mm + _BEYOND_MM
    right = np.stack([here + near_mm * ahead, there + radius_mm * ahead], axis=1)
    turn = np.arccos(2 * _BEYOND_MM / way_mm) * np.linspace(-1.0, 1.0, _RIM)
    aside = ahead[:, ::-1] * (-1.0, 1.0)
    away = np.cos(turn)[..., None] * ahead[:, None] + np.sin(turn)[..., None] * aside[:, None]
    rim = (here + there)[:, None] / 2 + radius_mm * away
    lines = np.stack([shapely.linestrings(right), shapely.linestrings(rim)], axis=1)
    return np.asarray(shapely.multilinestrings(lines))
