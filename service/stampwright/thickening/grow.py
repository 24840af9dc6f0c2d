"""Grow, measure, and where growing did harm leave that spot alone and grow again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely
from scipy.spatial import cKDTree

from stampwright.base.tolerances import GRID_MM
from stampwright.plane import medial_axis, on_grid, part_pinches, polygons_of, without_slivers

from .measure import new_narrow_places, same_pieces
from .moves import Moving
from .pockets import without_pits, without_pockets
from .shape import grown_by
from .slopes import SLOPE
from .stretches import STEP_SHARE
from .walls import Walls

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Axis

    from .measure import Narrowed
    from .moves import Clearance, Moves
    from .walls import Samples
    from .want import Wants

    Floats = NDArray[np.float64]

_WITHIN = (0.4, 0.7, 1.0)  # limits about a failing spot that are left as drawn, try by try


@dataclass(frozen=True, slots=True)
class Grown:
    """Ink with its axis after growing, and the moves that made it at the last of so many tries."""

    ink: shapely.MultiPolygon
    axis: Axis
    moving: Moving
    moves: Moves
    tries: int


class _Spot(NamedTuple):
    """What failed at one try, so many limits about it in which walls are kept back, and how they moved there."""

    found: Narrowed
    within: float
    moves: Moves


def grow(
    ink: shapely.MultiPolygon, axis: Axis, wants: Wants, *, gap_mm: float, beyond: Clearance | None = None
) -> Grown | None:
    """Grow what is thinner than it should be, keeping gaps of `gap_mm`; None when it cannot be had without harm.

    `axis` is that of `ink`, which lies on the grid; `wants` is what its lands lack. `beyond` may keep walls back
    further.
    """
    land_mm = wants.least_mm
    walls = Walls(axis, least_mm=land_mm)
    moving = Moving(axis, walls, wants, gap_mm, beyond, close=False)
    spots: list[_Spot] = []
    for tries in range(1, len(_WITHIN) + 2):
        moves = moving.moves(_left(moving.samples, spots, moving.most_mm, max(land_mm, gap_mm)))
        made = without_pockets(_thinned(without_pits(on_grid(grown_by(walls, moves)))), ink, gap_mm=gap_mm)
        made = without_slivers(part_pinches(made))  # put on the grid once more, a hair of a neck may close
        after = medial_axis(made)
        found = new_narrow_places(axis, after, land_mm=land_mm, gap_mm=gap_mm)
        if not len(found) and same_pieces(ink, made):
            return Grown(made, after, moving, moves, tries)
        if not len(found) or tries > len(_WITHIN):
            break
        spots.append(_Spot(found, _WITHIN[tries - 1], moves))
        if tries == 1:  # what is left as drawn begins and ends anywhere
            moving = Moving(axis, walls, wants, gap_mm, beyond, close=True)
    return None


def _thinned(ink: shapely.MultiPolygon) -> shapely.MultiPolygon:
    """Without vertices that the grid alone keeps off the line of their neighbours: later stages pay for each."""
    return polygons_of(shapely.simplify(ink, 2 * GRID_MM))


def _left(samples: Samples, spots: list[_Spot], most_mm: float, limit_mm: float) -> Floats:
    """How far samples (s) may move at most: not near the failing spots of any try, and little just beyond [mm].

    Beyond a step of the samples more than the slope allows, so that it matters on no wall but those that pass there.
    Where a spot hardly fails, hardly less than they moved at that try; no wall moves by more than `most_mm`.
    """
    left, step_mm = np.full(len(samples), np.inf), STEP_SHARE * limit_mm
    for found, within, moves in spots:
        within_mm, surely = within * limit_mm, found.weight >= 1
        away, _ = cKDTree(found.at[surely]).query(samples.at)
        left = np.minimum(left, _rising(away - within_mm, step_mm))
        # where one spot hardly fails another may do so surely, or farther off: each has its say
        moved = np.interp(samples.position, moves.samples.position, moves.shared_mm)
        some = np.flatnonzero((moved > 0) & (left > 0))
        hardly, reach_mm = cKDTree(found.at[~surely]), within_mm + (most_mm + step_mm) / (1 + SLOPE)
        near = cKDTree(samples.at[some]).sparse_distance_matrix(hardly, reach_mm, output_type="ndarray")
        kept = (1 - found.weight[~surely][near["j"]]) * moved[some[near["i"]]]
        np.minimum.at(left, some[near["i"]], kept + _rising(near["v"] - within_mm, step_mm))
    return left


def _rising(beyond_mm: Floats, step_mm: float) -> Floats:
    """How much farther walls may move so far beyond the reach of a spot, nothing before [mm]."""
    beyond = np.maximum(beyond_mm, 0.0)
    return np.asarray(SLOPE * beyond + np.maximum(beyond - step_mm, 0.0))
