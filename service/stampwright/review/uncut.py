"""What a disc of the cutter's radius cannot reach of the floor: corners, gaps and counters, each measured on the axis.

The floor is open at the edge of the head, so what stays uncut is the closing of the ink by the disc, less the ink. It
falls into pieces of the axis below the radius; each meets the reachable floor in its mouths.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.spatial import cKDTree

from stampwright.base.tolerances import GRID_MM, WIDTH_MM
from stampwright.plane import Axis, Pieces, pieces_below, strip_areas

from .widths import RIB_DEG, first_of, summed

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_FITS_MM = GRID_MM
"""A gap narrower than the cutter by twice this still counts as fitting: so much the grid takes off a slot that is drawn
as wide as the cutter, at whatever angle."""

_FITS_ROUND_MM = WIDTH_MM / 2
"""The same for the largest disc in a counter: the chords of a round one take that much off its radius."""

_SEGMENTS = 16  # chords of a quarter disc where discs overlap; its area is kept, the rest of the error is below 1e-4


@dataclass(frozen=True, slots=True)
class Uncut:
    """The pieces (k) of floor that a disc of `radius_mm` leaves: lengths mm, angles degrees.

    `angle_deg` and `residual_mm` belong to pieces of one mouth: the angle between the walls there, and how far the
    printed edge stands out at `tip` (k, 2). `width_mm`: twice the least radius of the ribs, at `narrowest` (k, 2), NaN
    without a rib; `length_mm` of the ribs. `widest_mm`: the largest disc, at `middle` (k, 2).
    """

    radius_mm: float
    pieces: Pieces
    mouths: Ints
    angle_deg: Floats
    residual_mm: Floats
    tip: Floats
    width_mm: Floats
    narrowest: Floats
    length_mm: Floats
    widest_mm: Floats
    middle: Floats
    part: Ints


def uncut_by(axis: Axis, radius_mm: float) -> Uncut:
    """Find what a disc of `radius_mm` leaves of the floor."""
    pieces = pieces_below(axis, radius_mm, of=_impassable(axis, radius_mm), open_at=_open_at(axis, radius_mm))
    row, piece, count = pieces.row, pieces.piece, pieces.count
    every = np.ones(len(row), dtype=bool)
    low, rib = axis.low_mm[row], axis.separation_low_deg[row] >= RIB_DEG
    mouth, thin = first_of(piece, -pieces.top_mm, count, of=pieces.mouth), first_of(piece, low, count, of=rib)
    wide = first_of(piece, -pieces.top_mm, count, of=every)
    further, tip, tip_mm = _furthest(axis, pieces, mouth)
    has_rib = thin >= 0
    mouths = pieces.mouths
    return Uncut(
        radius_mm=radius_mm,
        pieces=pieces,
        mouths=mouths,
        angle_deg=np.where(mouths == 1, 180.0 - pieces.separation_deg[mouth], np.nan),
        residual_mm=np.where(mouths == 1, further - pieces.top_mm[mouth], np.nan),
        tip=tip + _unit(tip - pieces.at_top[mouth]) * tip_mm[:, None],
        width_mm=np.where(has_rib, 2 * low[thin], np.nan),
        narrowest=axis.vertices[axis.low[row[thin]]],
        length_mm=summed(piece[rib], pieces.length_mm[rib], count),
        widest_mm=2 * pieces.top_mm[wide],
        middle=pieces.at_top[wide],
        part=axis.part[row[wide]],
    )


def _passable(axis: Axis, radius_mm: float) -> Bools:
    """Ribs too narrow by no more than the drawing's own noise."""
    return ~axis.in_ink & (axis.separation_low_deg >= RIB_DEG) & (axis.low_mm >= radius_mm - _FITS_MM)


def _impassable(axis: Axis, radius_mm: float) -> Bools:
    return ~axis.in_ink & ~_passable(axis, radius_mm)


def _open_at(axis: Axis, radius_mm: float) -> Bools:
    """Vertices a hair below the radius that count as reached: on passable ribs, and where a counter is widest."""
    out = np.zeros(len(axis.radius_mm), dtype=bool)
    passable = _passable(axis, radius_mm)
    out[axis.low[passable]] = True
    out[axis.high[passable]] = True
    floor = np.flatnonzero(~axis.in_ink)
    widest = np.zeros(len(axis.part_open))
    np.maximum.at(widest, axis.part[floor], axis.high_mm[floor])
    almost = (widest >= radius_mm - _FITS_ROUND_MM) & (widest < radius_mm) & ~axis.part_open
    middle = floor[almost[axis.part[floor]] & (axis.high_mm[floor] >= widest[axis.part[floor]])]
    out[axis.high[middle]] = True
    return out


def _furthest(axis: Axis, pieces: Pieces, mouth: Ints) -> tuple[Floats, Floats, Floats]:
    """Per piece: the greatest reach from its mouth over its axis, the axis point it is at, and the radius there."""
    low = axis.low[pieces.row]
    own = mouth[pieces.piece]
    reach = np.hypot(*(axis.vertices[low] - pieces.at_top[own]).T) + axis.radius_mm[low]
    at = first_of(pieces.piece, -reach, pieces.count, of=np.ones(len(low), dtype=bool))
    return reach[at], axis.vertices[low[at]], axis.radius_mm[low[at]]


def areas_mm2(axis: Axis, uncut: Uncut) -> Floats:
    """Area of each piece (k,): its ground less the discs in its mouths [mm²].

    A disc takes a sector between its feet; where discs of one piece overlap, their union is taken off by polygons.
    """
    pieces, count = uncut.pieces, uncut.pieces.count
    ground = summed(pieces.piece, strip_areas(axis, pieces), count)
    mouth = np.flatnonzero(pieces.mouth)
    crowded = _overlaps(pieces, mouth)
    alone = mouth[~crowded]
    sector = pieces.top_mm[alone] ** 2 * np.radians(pieces.separation_deg[alone]) / 2
    covered = summed(pieces.piece[alone], sector, count)
    if crowded.any():
        covered += _covered_mm2(axis, pieces, mouth[crowded])
    return np.asarray(np.maximum(ground - covered, 0.0))


def _overlaps(pieces: Pieces, mouth: Ints) -> Bools:
    """Mouths whose disc overlaps that of another mouth of the same piece."""
    out = np.zeros(len(mouth), dtype=bool)
    shared = np.flatnonzero(pieces.mouths[pieces.piece[mouth]] > 1)
    if len(shared):
        tree = cKDTree(stacked(pieces.at_top[mouth[shared]], pieces.piece[mouth[shared]]))
        pairs = tree.query_pairs(2 * pieces.top_mm.max(), output_type="ndarray")
        out[shared[pairs.ravel()]] = True
    return out


def _covered_mm2(axis: Axis, pieces: Pieces, mouth: Ints) -> Floats:
    """Ground of each piece (k,) under the discs of the given mouths: each strip cut with the discs that reach it."""
    turn = np.pi / 2 / _SEGMENTS
    true_area = np.sqrt(turn / np.sin(turn))  # radius of the polygon whose area is the disc's
    centres = shapely.points(pieces.at_top[mouth])
    discs = shapely.buffer(centres, pieces.top_mm[mouth] * true_area, quad_segs=_SEGMENTS)
    rows = np.flatnonzero(np.isin(pieces.piece, pieces.piece[mouth]))
    strips = _strips(axis, pieces, rows)
    disc, strip = shapely.STRtree(strips).query(centres, predicate="dwithin", distance=pieces.top_mm[mouth])
    same = pieces.piece[mouth[disc]] == pieces.piece[rows[strip]]
    disc, strip = disc[same], strip[same]
    order = np.lexsort((disc, strip))
    reached, start = np.unique(strip[order], return_index=True)
    sets = [tuple(members.tolist()) for members in np.split(disc[order], start[1:])]
    unions = {members: shapely.union_all(discs[list(members)]) for members in set(sets)}
    under = shapely.area(shapely.intersection(strips[reached], np.array([unions[members] for members in sets])))
    return summed(pieces.piece[rows[reached]], under, pieces.count)


def _strips(axis: Axis, pieces: Pieces, rows: Ints) -> NDArray[np.object_]:
    """The ground between each row, from low end to top, and its two walls, as polygons."""
    row = pieces.row[rows]
    low, high, wall = axis.vertices[axis.low[row]], pieces.at_top[rows], axis.feet_low[row]
    ring = np.stack([low, wall[:, 0], pieces.feet_top[rows, 0], high, pieces.feet_top[rows, 1], wall[:, 1]], axis=1)
    return np.asarray(shapely.polygons(np.concatenate([ring, ring[:, :1]], axis=1)))


def stacked(points: Floats, group: Ints) -> Floats:
    """Points with their group as a third coordinate, far enough apart that neighbours are found within a group."""
    return np.column_stack([points, group * 1e6])


def _unit(vectors: Floats) -> Floats:
    length = np.hypot(*vectors.T)
    return np.asarray(vectors / np.maximum(length, 1e-12)[:, None])
