"""What a disc of the cutter's radius cannot reach of the floor: corners, gaps and counters, each measured on the axis.

The floor is open at the edge of the head, so what stays uncut is the closing of the ink by the disc, less the ink. It
falls into pieces of the axis below the radius; each meets the reachable floor in its mouths.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.spatial import cKDTree

from stampwright.base.counting import picked
from stampwright.plane import RIB_DEG, Axis, Pieces, entered, passable, pieces_below, strip_areas

from .covered import covered_mm2
from .widths import first_of, summed

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_ASIDE_MM = 1e4  # further than any head is wide


@dataclass(frozen=True)
class Uncut:
    """The pieces (k) of floor that discs of one radius or several leave: lengths mm, angles degrees.

    Measured when first asked for: the search of sizes asks for little.
    """

    axis: Axis
    pieces: Pieces
    radii_mm: Floats

    @property
    def cut(self) -> Ints:
        """Which of the radii each piece lies below."""
        return self.pieces.cut

    def of_first(self, radii: int) -> Uncut:
        """What discs of the first so many radii leave."""
        return Uncut(self.axis, self.pieces.of_first(radii), self.radii_mm[:radii])

    @property
    def part(self) -> Ints:
        """Of the axis."""
        return self.pieces.part

    @cached_property
    def radius_mm(self) -> Floats:
        """That radius."""
        return self.radii_mm[self.cut]

    @cached_property
    def mouths(self) -> Ints:
        """How many each has."""
        return self.pieces.mouths

    @cached_property
    def angle_deg(self) -> Floats:
        """Between the walls at the mouth of a piece of one mouth."""
        return np.where(self.mouths == 1, 180.0 - self.pieces.separation_deg[self._mouth], np.nan)

    @cached_property
    def residual_mm(self) -> Floats:
        """How far the printed edge stands out at the `tip` of a piece of one mouth."""
        furthest_mm = np.zeros(self.pieces.count)
        np.maximum.at(furthest_mm, self.pieces.piece, self._reach_mm)
        return np.where(self.mouths == 1, furthest_mm - self.pieces.top_mm.take(self._mouth), np.nan)

    @cached_property
    def tip(self) -> Floats:
        """The outline furthest from the mouth of a piece, (k, 2)."""
        low = self.axis.low[self.pieces.row[self._furthest]]
        at = self.axis.vertices[low]
        away = _unit(at - self.pieces.at_top[self._mouth])
        return np.asarray(at + away * self.axis.radius_mm[low][:, None])

    @cached_property
    def width_mm(self) -> Floats:
        """Twice the least radius of the ribs, NaN without a rib."""
        return np.where(self.thin_row >= 0, 2 * self.axis.low_mm[self.pieces.row[self.thin_row]], np.nan)

    @cached_property
    def thin_at(self) -> Floats:
        """Its place, (k, 2)."""
        return self.axis.vertices[self.axis.low[self.pieces.row[self.thin_row]]]

    @cached_property
    def wide_at(self) -> Floats:
        """Middle of the largest disc in the piece, (k, 2)."""
        return self.pieces.at_top[self._wide]

    @cached_property
    def widest_mm(self) -> Floats:
        """Diameter of that disc."""
        return np.asarray(2 * self.pieces.top_mm[self._wide])

    @cached_property
    def _mouth(self) -> Ints:
        """Its widest mouth."""
        return first_of(self.pieces.piece, -self.pieces.top_mm, self.pieces.count, of=self.pieces.mouth)

    @cached_property
    def thin_row(self) -> Ints:
        """Which row of the pieces that rib is, -1 where a piece has none."""
        rib = self.axis.separation_low_deg[self.pieces.row] >= RIB_DEG
        return first_of(self.pieces.piece, self.axis.low_mm[self.pieces.row], self.pieces.count, of=rib)

    @cached_property
    def _wide(self) -> Ints:
        return first_of(self.pieces.piece, -self.pieces.top_mm, self.pieces.count)

    @cached_property
    def _furthest(self) -> Ints:
        return first_of(self.pieces.piece, -self._reach_mm, self.pieces.count)

    @cached_property
    def _reach_mm(self) -> Floats:
        """How far each row reaches from the mouth of its piece: to the outline beyond its low end."""
        low, mouth = self.axis.low.take(self.pieces.row), self._mouth.take(self.pieces.piece)
        away = picked(self.axis.vertices, low) - picked(self.pieces.at_top, mouth)
        return np.asarray(np.hypot(*away.T) + self.axis.radius_mm.take(low))


def uncut_by(axis: Axis, radii_mm: float | Floats) -> Uncut:
    """Find what discs of `radii_mm`, one or several, leave of the floor."""
    radii_mm = np.atleast_1d(np.asarray(radii_mm, dtype=np.float64))
    passed = passable(axis, radii_mm)
    of, open_at = ~(passed | axis.in_ink), entered(axis, radii_mm, passed)
    return Uncut(axis, pieces_below(axis, radii_mm, of=of, open_at=open_at), radii_mm)


def areas_mm2(uncut: Uncut) -> Floats:
    """Area of each piece (k,): its ground less the discs in its mouths [mm²].

    A disc takes a sector between its feet; where discs of one piece overlap, their union is taken off strip by strip.
    """
    axis, pieces, count = uncut.axis, uncut.pieces, uncut.pieces.count
    ground = summed(pieces.piece, strip_areas(axis, pieces), count)
    mouth = np.flatnonzero(pieces.mouth)
    crowded = np.isin(mouth, overlapping(pieces, mouth))
    alone = mouth[~crowded]
    sector = pieces.top_mm[alone] ** 2 * np.radians(pieces.separation_deg[alone]) / 2
    covered = summed(pieces.piece[alone], sector, count)
    if crowded.any():
        covered += _covered_mm2(axis, pieces, mouth[crowded])
    return np.asarray(np.maximum(ground - covered, 0.0))


def overlapping(pieces: Pieces, mouth: Ints) -> Ints:
    """Pairs (p, 2) of these mouths, of one piece, whose discs overlap, or would if all were as large as the largest.

    They are of one size but for what is taken to be as wide as the cutter.
    """
    several = mouth[pieces.mouths[pieces.piece[mouth]] > 1]
    if not len(several):
        return np.zeros((0, 2), dtype=np.int64)
    piece, largest_mm = pieces.piece[several], np.zeros(pieces.count)
    np.maximum.at(largest_mm, piece, pieces.top_mm[several])
    tree = cKDTree(stacked(pieces.at_top[several] / largest_mm[piece, None], piece))
    return np.asarray(several[tree.query_pairs(2.0, output_type="ndarray")])


def _covered_mm2(axis: Axis, pieces: Pieces, mouth: Ints) -> Floats:
    """Ground of each piece (k,) under the discs of the given mouths, each strip under those that reach it."""
    rows = np.flatnonzero(np.isin(pieces.piece, pieces.piece[mouth]))
    strips = strips_of(axis, pieces, rows)
    strip, disc = discs_near(pieces, strips, rows, mouth)
    under = covered_mm2(strips, pieces.at_top[mouth], pieces.top_mm[mouth], ring=strip, disc=disc)
    return summed(pieces.piece[rows], under, pieces.count)


def discs_near(pieces: Pieces, strips: Floats, rows: Ints, mouth: Ints) -> tuple[Ints, Ints]:
    """Which strips (n, 6, 2), those of these rows (n,), discs in these mouths reach: numbers of both, by strips."""
    # pieces below other radii lie on the same ground: each radius is looked at in a place of its own
    aside = [np.column_stack([pieces.cut[pieces.piece[of]] * _ASIDE_MM, np.zeros(len(of))]) for of in (rows, mouth)]
    rings = np.concatenate([strips, strips[:, :1]], axis=1) + aside[0][:, None]
    tree = shapely.STRtree(shapely.linestrings(rings))  # no mouth lies within a strip
    centres, radii_mm = pieces.at_top[mouth] + aside[1], pieces.top_mm[mouth]
    disc, strip = tree.query(shapely.points(centres), predicate="dwithin", distance=radii_mm)
    same = pieces.piece[mouth[disc]] == pieces.piece[rows[strip]]
    disc, strip = disc[same], strip[same]
    order = np.lexsort((disc, strip))
    return strip[order], disc[order]


def strips_of(axis: Axis, pieces: Pieces, rows: Ints) -> Floats:
    """The ground between each row, from low end to top, and its two walls, as rings of six points (n, 6, 2)."""
    row, top = pieces.row.take(rows), picked(pieces.feet_top, rows)
    low, high, wall = picked(axis.vertices, axis.low.take(row)), picked(pieces.at_top, rows), picked(axis.feet_low, row)
    return np.stack([low, wall[:, 0], top[:, 0], high, top[:, 1], wall[:, 1]], axis=1)


def stacked(points: Floats, group: Ints) -> Floats:
    """Points with their group as a third coordinate, far enough apart that neighbours are found within a group."""
    return np.column_stack([points, group * 1e6])


def _unit(vectors: Floats) -> Floats:
    length = np.hypot(*vectors.T)
    return np.asarray(vectors / np.maximum(length, 1e-12)[:, None])
