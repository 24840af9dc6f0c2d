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

from .covered import covered_mm2
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


@dataclass(frozen=True, slots=True)
class Uncut:
    """The pieces (k) of floor that discs of one radius or several leave: lengths mm, angles degrees.

    `cut` (k,): which of the radii, and `radius_mm` (k,) that radius. `angle_deg` and `residual_mm` belong to pieces of
    one mouth: the angle between the walls there, and how far the printed edge stands out at `tip` (k, 2). `width_mm`:
    twice the least radius of the ribs, NaN without a rib; `thin_at` (k, 2) its place. `widest_mm`: diameter of the
    largest disc in the piece, and `wide_at` (k, 2) its middle. `part` (k,) of the axis.
    """

    pieces: Pieces
    cut: Ints
    radius_mm: Floats
    mouths: Ints
    angle_deg: Floats
    residual_mm: Floats
    tip: Floats
    width_mm: Floats
    thin_at: Floats
    wide_at: Floats
    widest_mm: Floats
    part: Ints


def uncut_by(axis: Axis, radii_mm: float | Floats) -> Uncut:
    """Find what discs of `radii_mm`, one or several, leave of the floor."""
    radii_mm = np.atleast_1d(np.asarray(radii_mm, dtype=np.float64))
    passable = _passable(axis, radii_mm)
    pieces = pieces_below(axis, radii_mm, of=~(passable | axis.in_ink), open_at=_open_at(axis, radii_mm, passable))
    row, piece, count = pieces.row, pieces.piece, pieces.count
    low, rib = axis.low_mm[row], axis.separation_low_deg[row] >= RIB_DEG
    mouth, thin = first_of(piece, -pieces.top_mm, count, of=pieces.mouth), first_of(piece, low, count, of=rib)
    wide = first_of(piece, -pieces.top_mm, count)
    further, tip, tip_mm = _furthest(axis, pieces, mouth)
    mouths = pieces.mouths
    return Uncut(
        pieces=pieces,
        cut=pieces.cut,
        radius_mm=radii_mm[pieces.cut],
        mouths=mouths,
        angle_deg=np.where(mouths == 1, 180.0 - pieces.separation_deg[mouth], np.nan),
        residual_mm=np.where(mouths == 1, further - pieces.top_mm[mouth], np.nan),
        tip=tip + _unit(tip - pieces.at_top[mouth]) * tip_mm[:, None],
        width_mm=np.where(thin >= 0, 2 * low[thin], np.nan),
        thin_at=axis.vertices[axis.low[row[thin]]],
        wide_at=pieces.at_top[wide],
        widest_mm=2 * pieces.top_mm[wide],
        part=pieces.part,
    )


def _passable(axis: Axis, radii_mm: Floats) -> Bools:
    """Ribs too narrow by no more than the drawing's own noise, (q, n)."""
    rib = ~axis.in_ink & (axis.separation_low_deg >= RIB_DEG)
    return np.asarray(rib & (axis.low_mm >= radii_mm[:, None] - _FITS_MM))


def _open_at(axis: Axis, radii_mm: Floats, passable: Bools) -> Bools:
    """Vertices, (q, m), a hair below the radius that count as reached: on passable ribs, where a counter is widest."""
    out = np.zeros((len(radii_mm), len(axis.radius_mm)), dtype=bool)
    cut, row = np.nonzero(passable)
    out[cut, axis.low[row]] = True
    out[cut, axis.high[row]] = True
    widest, wanted = axis.part_widest_mm, radii_mm[:, None]
    almost = (widest >= wanted - _FITS_ROUND_MM) & (widest < wanted) & ~axis.part_open & ~axis.part_in_ink
    if almost.any():
        cut, row = np.nonzero(almost[:, axis.part] & (axis.high_mm >= widest[axis.part]))
        out[cut, axis.high[row]] = True
    return out


def _furthest(axis: Axis, pieces: Pieces, mouth: Ints) -> tuple[Floats, Floats, Floats]:
    """Per piece: the greatest reach from its mouth over its axis, the axis point it is at, and the radius there."""
    low = axis.low[pieces.row]
    own = mouth[pieces.piece]
    reach = np.hypot(*(axis.vertices[low] - pieces.at_top[own]).T) + axis.radius_mm[low]
    at = first_of(pieces.piece, -reach, pieces.count)
    return reach[at], axis.vertices[low[at]], axis.radius_mm[low[at]]


def areas_mm2(axis: Axis, uncut: Uncut) -> Floats:
    """Area of each piece (k,): its ground less the discs in its mouths [mm²].

    A disc takes a sector between its feet; where discs of one piece overlap, their union is taken off strip by strip.
    """
    pieces, count = uncut.pieces, uncut.pieces.count
    ground = summed(pieces.piece, strip_areas(axis, pieces), count)
    mouth = np.flatnonzero(pieces.mouth)
    crowded = _overlaps(pieces, mouth)
    alone = mouth[~crowded]
    sector = pieces.top_mm[alone] ** 2 * np.radians(pieces.separation_deg[alone]) / 2
    covered = summed(pieces.piece[alone], sector, count)
    for alike in _by_cut(pieces, mouth[crowded]):
        covered += _covered_mm2(axis, pieces, alike)
    return np.asarray(np.maximum(ground - covered, 0.0))


def _overlaps(pieces: Pieces, mouth: Ints) -> Bools:
    """Mouths whose disc overlaps that of another mouth of the same piece."""
    out = np.zeros(len(pieces.row), dtype=bool)
    for alike in _by_cut(pieces, mouth[pieces.mouths[pieces.piece[mouth]] > 1]):
        tree = cKDTree(stacked(pieces.at_top[alike], pieces.piece[alike]))
        pairs = tree.query_pairs(2 * pieces.top_mm[alike].max(), output_type="ndarray")
        out[alike[pairs.ravel()]] = True
    return out[mouth]


def _by_cut(pieces: Pieces, mouth: Ints) -> list[Ints]:
    """Part mouths by the radius that their pieces lie below: discs of one size."""
    if not len(mouth):
        return []
    return np.split(mouth, np.flatnonzero(np.diff(pieces.cut[pieces.piece[mouth]])) + 1)


def _covered_mm2(axis: Axis, pieces: Pieces, mouth: Ints) -> Floats:
    """Ground of each piece (k,) under the discs of the given mouths, each strip under those that reach it."""
    rows = np.flatnonzero(np.isin(pieces.piece, pieces.piece[mouth]))
    strips = _strips(axis, pieces, rows)
    edges = shapely.linestrings(np.concatenate([strips, strips[:, :1]], axis=1))  # no mouth lies within a strip
    centres, radii_mm = pieces.at_top[mouth], pieces.top_mm[mouth]
    disc, strip = shapely.STRtree(edges).query(shapely.points(centres), predicate="dwithin", distance=radii_mm)
    same = pieces.piece[mouth[disc]] == pieces.piece[rows[strip]]
    disc, strip = disc[same], strip[same]
    order = np.lexsort((disc, strip))
    under = covered_mm2(strips, centres, radii_mm, ring=strip[order], disc=disc[order])
    return summed(pieces.piece[rows], under, pieces.count)


def _strips(axis: Axis, pieces: Pieces, rows: Ints) -> Floats:
    """The ground between each row, from low end to top, and its two walls, as rings of six points (n, 6, 2)."""
    row = pieces.row[rows]
    low, high, wall = axis.vertices[axis.low[row]], pieces.at_top[rows], axis.feet_low[row]
    return np.stack([low, wall[:, 0], pieces.feet_top[rows, 0], high, pieces.feet_top[rows, 1], wall[:, 1]], axis=1)


def stacked(points: Floats, group: Ints) -> Floats:
    """Points with their group as a third coordinate, far enough apart that neighbours are found within a group."""
    return np.column_stack([points, group * 1e6])


def _unit(vectors: Floats) -> Floats:
    length = np.hypot(*vectors.T)
    return np.asarray(vectors / np.maximum(length, 1e-12)[:, None])
