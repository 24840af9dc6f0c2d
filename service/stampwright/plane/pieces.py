"""The axis below a radius: the rows a disc cannot follow, cut where it still fits, joined into connected pieces.

A mouth is the point of the axis at which a piece meets the rest: the centre of the deepest disc that still fits. The
pieces of the ink below half a limit are its thin places; those of the floor below a cutter's radius stay uncut.

Several radii are cut in one pass, since on a mark of few walls the passes cost more than the arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stampwright.base.counting import columns, picked

from .along import abscissa_at
from .axis import ON_OUTLINE_MM, VERTEX_WALL, Axis, by_kind, joined

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Pieces:
    """Rows of an axis below a radius (n), each from its low end to `top`: its high end, or where the radius is met.

    `row`: number in the axis; `piece`: which of the `count` connected pieces, those of the first radius first; `mouth`:
    whether the top is a mouth; `top_mm`: radius there; `at_top` (n, 2), `feet_top` (n, 2, 2), `separation_deg` at the
    top; `length_mm` along. Of each piece (count,) `cut`: below which of the radii; `part`: of the axis it lies in.
    """

    row: Ints
    piece: Ints
    count: int
    cut: Ints
    part: Ints
    mouth: Bools
    top_mm: Floats
    at_top: Floats
    feet_top: Floats
    x_top: Floats
    separation_deg: Floats
    length_mm: Floats

    @property
    def mouths(self) -> Ints:
        """Number of mouths of each piece, (count,)."""
        return np.bincount(self.piece[self.mouth], minlength=self.count)

    def of_first(self, radii: int) -> Pieces:
        """Those below the first so many of the radii: they lie in front, and so do their rows."""
        count = int(np.searchsorted(self.cut, radii))
        n = int(np.searchsorted(self.cut.take(self.piece), radii))
        return Pieces(
            *(self.row[:n], self.piece[:n], count, self.cut[:count], self.part[:count], self.mouth[:n]),
            *(self.top_mm[:n], self.at_top[:n], self.feet_top[:n], self.x_top[:n]),
            *(self.separation_deg[:n], self.length_mm[:n]),
        )


def pieces_below(axis: Axis, radii_mm: float | Floats, *, of: Bools, open_at: Bools | None = None) -> Pieces:
    """Take the rows `of` the axis whose radius is below `radii_mm`, one or several (q), cut and joined.

    `of` (n,) or (q, n): the rows of all radii, or of each. `open_at` (q, m): vertices that count as reached although
    their radius falls short; pieces end there as well.
    """
    radii_mm = np.atleast_1d(np.asarray(radii_mm, dtype=np.float64))
    reached = axis.radius_mm >= radii_mm[:, None]
    if open_at is not None:
        reached = reached | open_at
    cut, row = np.nonzero(of & ~reached.take(axis.low, axis=1))
    low, high = axis.low.take(row), axis.high.take(row)
    may_join = ~reached & (axis.radius_mm > ON_OUTLINE_MM)
    apart = cut * len(axis.radius_mm)  # pieces of different radii share no vertex
    piece = joined(apart + low, apart + high, may_join.ravel())
    count = int(piece.max(initial=-1)) + 1
    cut_of, part_of = np.zeros(count, dtype=np.int64), np.zeros(count, dtype=np.int64)
    cut_of[piece], part_of[piece] = cut, axis.part.take(row)
    top_mm = np.minimum(axis.radius_mm.take(high), radii_mm.take(cut))
    x_top = abscissa_at(axis, row, top_mm)
    at_top, feet_top = _places(axis, row, x_top, top_mm)
    length = np.hypot(*(at_top - picked(axis.vertices, low)).T)
    return Pieces(
        row=row,
        piece=piece,
        count=count,
        cut=cut_of,
        part=part_of,
        mouth=reached[cut, high],
        top_mm=top_mm,
        at_top=at_top,
        feet_top=feet_top,
        x_top=x_top,
        separation_deg=_separation(axis, row, x_top, top_mm),
        length_mm=length,
    )


def _places(axis: Axis, row: Ints, x_top: Floats, top_mm: Floats) -> tuple[Floats, Floats]:
    """The point of the axis at the top of each row, and its feet: feet run evenly along a wall, as x does."""
    x_low = axis.x_low.take(row)
    run = axis.x_high.take(row) - x_low
    share = np.divide(x_top - x_low, run, out=np.ones(len(row)), where=run > 0)
    feet_low, feet_high = columns(axis.feet_low, row), columns(axis.feet_high, row)
    feet = feet_low + share * (feet_high - feet_low)
    low, high = columns(axis.vertices, axis.low.take(row)), columns(axis.vertices, axis.high.take(row))
    straight = low + share * (high - low)
    first = axis.point[:, 0].take(row) == 0  # of the two sites, the wall
    wall, wall_high = (np.where(first, of[:2], of[2:]) for of in (feet, feet_high))
    normal = (high - wall_high) / np.maximum(axis.high_mm.take(row), ON_OUTLINE_MM)
    bent = wall + normal * top_mm
    at_top = np.where(axis.kind.take(row) == VERTEX_WALL, bent, straight)
    return np.ascontiguousarray(at_top.T), np.ascontiguousarray(feet.T).reshape(-1, 2, 2)


def _separation(axis: Axis, row: Ints, x_top: Floats, top_mm: Floats) -> Floats:
    kind, gauge, radius = axis.kind.take(row), axis.gauge_mm.take(row), np.maximum(top_mm, ON_OUTLINE_MM)
    bent = np.degrees(np.arccos(np.clip(1 - gauge / radius, -1.0, 1.0)))
    apart = np.degrees(2 * np.arctan2(gauge, x_top))
    return by_kind(kind, axis.separation_high_deg.take(row), bent, apart)


def strip_areas(axis: Axis, pieces: Pieces) -> Floats:
    """Area owned by each row from its low end to its top: the ground between it and its two sites, (n,) [mm²]."""
    row = pieces.row
    kind, gauge = axis.kind.take(row), np.maximum(axis.gauge_mm.take(row), ON_OUTLINE_MM)
    x0, x1, feet = axis.x_low.take(row), pieces.x_top, columns(axis.feet_low, row)
    x, y, x_other, y_other = pieces.feet_top.reshape(-1, 4).T - feet
    walls = (np.hypot(x, y) + np.hypot(x_other, y_other)) * (axis.low_mm.take(row) + pieces.top_mm) / 2
    beside_wall = (x1**3 - x0**3) / (6 * gauge) + gauge * (x1 - x0) / 2
    tip = np.where(axis.point[:, 0].take(row) > 0, feet[:2], feet[2:])
    a, b = columns(axis.vertices, axis.low.take(row)) - tip, pieces.at_top.T - tip
    beside_tip = np.abs(a[0] * b[1] - a[1] * b[0]) / 2 + (x1 - x0) ** 3 / (12 * gauge)
    return by_kind(kind, walls, beside_wall + beside_tip, gauge * (x1 - x0))
