"""Stretches: connected places where a land or a gap is narrower than a limit, each measured once.

A stretch is a piece of the axis below half the limit. By its ways out, the ends at which it widens to the limit:

    two or more   a neck, or a bar between wider places
    one           an arm; or a tip, when its walls run together in a point
    none          the whole land, or the whole counter, is that narrow

Corners need no rule of their own: between walls that meet at more than 60° the separation stays below 120°.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.base.tolerances import WIDTH_MM
from stampwright.plane import RIB_DEG, Pieces, pieces_below, strip_areas

from .report import WidthBin

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from stampwright.base import Point
    from stampwright.plane import Axis

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

ACUTE_DEG = 60.0
"""Corners below this angle are tips: common practice, no source."""

_ANGLE_NOISE_DEG = 0.05  # what the grid turns a wall of 0.15 mm by: an equilateral triangle has no acute corner
_LEVEL_SLOPE = 0.002  # walls that lean by less, over more than their distance, are a bar and end a run to a point
_BIN_EDGES_MM = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.25, 1.5, 2.0, 3.0, 5.0, 10.0)
_EVEN_MM = 0.001  # a bar off the grid's directions is wider at one end by a few steps of the grid
_EVEN_SHARE = 0.7  # an island whose least width is below this share of its mean tapers to its ends: the mean is told


class Stretch(NamedTuple):
    """One narrow place, as a line of `Stretches`; `at` as a list."""

    ways: int
    width_mm: float
    least_mm: float
    widest_mm: float
    at: list[float]
    length_mm: float
    angle_deg: float
    area_mm2: float
    part: int
    many: int


@dataclass(frozen=True, slots=True)
class Stretches:
    """Narrow stretches (k) of one side: lengths mm, angles degrees.

    `ways` out; `width_mm` is the least width, the mean for whole lands that taper to their ends; `least_mm` the least
    also for these; `widest_mm` the largest disc in it; `at` (k, 2) its place; `length_mm` of the ribs. `angle_deg`: of
    a tip, NaN for all others. `part` of the axis. `many`: stretches told as this one place.
    """

    ways: Ints
    width_mm: Floats
    least_mm: Floats
    widest_mm: Floats
    at: Floats
    length_mm: Floats
    angle_deg: Floats
    area_mm2: Floats
    part: Ints
    many: Ints

    def where(self, chosen: Bools | Ints) -> Stretches:
        """Keep the stretches that are `chosen` (k,), or take those of these numbers."""
        return Stretches(
            *(self.ways[chosen], self.width_mm[chosen], self.least_mm[chosen], self.widest_mm[chosen]),
            *(self.at[chosen], self.length_mm[chosen], self.angle_deg[chosen], self.area_mm2[chosen]),
            *(self.part[chosen], self.many[chosen]),
        )

    def each(self) -> Iterator[Stretch]:
        """One by one, as plain numbers."""
        return map(
            Stretch,
            *(self.ways.tolist(), self.width_mm.tolist(), self.least_mm.tolist(), self.widest_mm.tolist()),
            *(self.at.tolist(), self.length_mm.tolist(), self.angle_deg.tolist(), self.area_mm2.tolist()),
            *(self.part.tolist(), self.many.tolist()),
        )

    @property
    def is_tip(self) -> Bools:
        """Stretches that run together in a point."""
        return ~np.isnan(self.angle_deg)

    @property
    def is_whole(self) -> Bools:
        """Stretches that are a whole land or a whole counter."""
        return np.equal(self.ways, 0)


class Below(NamedTuple):
    """What is looked for: stretches of land or, without `in_ink`, of gap that are narrower than `limit_mm`.

    `from_mm` leaves out what is narrower than that, as gaps that no cutter opens.
    """

    limit_mm: float
    in_ink: bool
    from_mm: float = 0.0


class Widths:
    """Local widths of lands and gaps on one axis, asked for again and again with other limits."""

    def __init__(self, axis: Axis) -> None:
        self.axis = axis

    @cached_property
    def is_rib(self) -> Bools:
        """Rows between walls that face each other, (n,)."""
        return np.greater_equal(self.axis.separation_low_deg, RIB_DEG)

    @cached_property
    def is_chain(self) -> Bools:
        """Rows between walls at less than `ACUTE_DEG`, (n,): what leads into a tip."""
        return np.greater(self.axis.separation_low_deg, 180.0 - ACUTE_DEG + _ANGLE_NOISE_DEG)

    @cached_property
    def is_level(self) -> Bools:
        """Ribs that do not lie on the way into a point, (n,): only they have a least width."""
        axis = self.axis
        rise = axis.high_mm - axis.low_mm
        length = axis.length_mm
        bar = (axis.low_mm > 0) & (rise < _LEVEL_SLOPE * length) & (length > np.maximum(2 * axis.low_mm, WIDTH_MM))
        leaning = self.is_rib & ~bar
        row = np.flatnonzero(leaning)
        # Walls nearer than a width is measured to meet in a point, as lands do that were parted by a hair.
        running_out = axis.radius_mm < WIDTH_MM / 2
        while True:  # one row further from the point each time
            further = row[running_out[axis.low[row]] & ~running_out[axis.high[row]]]
            if not len(further):
                break
            running_out[axis.high[further]] = True
        return np.asarray(self.is_rib & ~(leaning & running_out[axis.low]))

    @property
    def land_min_mm(self) -> float | None:
        """Least width of any land; None without ink [mm]."""
        return self._least_land[0] if self._least_land else None

    @property
    def land_min_at_mm(self) -> Point | None:
        """Middle of the land where it is thinnest."""
        return self._least_land[1] if self._least_land else None

    @property
    def gap_min_mm(self) -> float | None:
        """Least width of any gap or counter; None when no two walls face each other across the floor [mm]."""
        return self._least_gap[0] if self._least_gap else None

    @cached_property
    def _least_land(self) -> tuple[float, Point] | None:
        return self._least(in_ink=True)

    @cached_property
    def _least_gap(self) -> tuple[float, Point] | None:
        return self._least(in_ink=False)

    def _least(self, *, in_ink: bool) -> tuple[float, Point] | None:
        axis = self.axis
        row = np.flatnonzero(self.is_level & (axis.in_ink == in_ink))
        # A part without ribs, as a disc or a square, is as wide as the largest disc in it; open floor has no width.
        lone = (axis.part_in_ink == in_ink) & ~axis.part_open
        lone[axis.part[row]] = False
        widest = np.where(lone, axis.part_widest_mm, np.inf).min(initial=np.inf)
        if len(row):
            thinnest = row[np.argmin(axis.low_mm[row])]
            least = axis.low_mm[thinnest]
            if least <= widest:
                even = axis.high_mm[thinnest] - least < _EVEN_MM
                ends = axis.vertices[[axis.low[thinnest], axis.high[thinnest] if even else axis.low[thinnest]]]
                return float(2 * least), (float(ends[:, 0].mean()), float(ends[:, 1].mean()))
        if not np.isfinite(widest):
            return None
        part = int(np.argmax(lone & (axis.part_widest_mm == widest)))
        rows = np.flatnonzero(axis.part == part)
        x, y = axis.vertices[axis.high[rows[np.argmax(axis.high_mm[rows])]]]
        return float(2 * widest), (float(x), float(y))

    def histogram(self, *, in_ink: bool) -> tuple[WidthBin, ...]:
        """Length of the ribs by their width, each row at its mean; parts without ribs have none."""
        axis = self.axis
        rib = np.flatnonzero(self.is_rib & (axis.in_ink == in_ink))
        length = axis.length_mm[rib]
        which = np.searchsorted(_BIN_EDGES_MM, axis.low_mm[rib] + axis.high_mm[rib], side="right") - 1
        total = summed(which, length, len(_BIN_EDGES_MM))
        ends = [*_BIN_EDGES_MM[1:], None]
        return tuple(WidthBin(*bin_) for bin_ in zip(_BIN_EDGES_MM, ends, total.tolist(), strict=True))

    def below(self, *limits: Below) -> list[Stretches]:
        """Find all stretches narrower than each of the limits, in one pass over the axis."""
        pieces, limit_mm = self.cut_at(limits)
        found, kept = self.told(pieces, limit_mm)
        return [found.where(kept & (pieces.cut == i)) for i in range(len(limits))]

    def cut_at(self, limits: Sequence[Below]) -> tuple[Pieces, Floats]:
        """The axis cut at all the limits, and of each piece the limit it is below [mm]."""
        axis = self.axis
        limit_mm, in_ink, from_mm = (np.array(column) for column in zip(*limits, strict=True))
        of = (axis.in_ink == in_ink[:, None]) & (axis.low_mm >= from_mm[:, None] / 2)
        pieces = pieces_below(axis, limit_mm / 2, of=of)
        return pieces, limit_mm[pieces.cut]

    def told(self, pieces: Pieces, limit_mm: Floats, *, tapered: Bools | None = None) -> tuple[Stretches, Bools]:
        """Measure the pieces, and tell which of them are stretches: the rest are corners.

        Of `tapered` pieces (count,) all that runs out in a point is a tip, or a corner, also where it is no wedge all
        the way.
        """
        axis, count, row, piece = self.axis, pieces.count, pieces.row, pieces.piece
        rib, level, chain = self.is_rib[row], self.is_level[row], self.is_chain[row]
        low, length, ways = axis.low_mm[row], pieces.length_mm, pieces.mouths

        def total(values: Floats, of: Bools) -> Floats:
            return summed(piece[of], values[of], count)

        least_row, chain_row = first_of(piece, low, count, of=level), first_of(piece, low, count, of=chain)
        widest_row = first_of(piece, -pieces.top_mm, count)
        rib_length, widest = total(length, rib), 2 * pieces.top_mm[widest_row]
        mean = np.divide(
            total(length * (low + pieces.top_mm), rib), rib_length, out=widest.copy(), where=rib_length > 0
        )
        least = np.where(least_row >= 0, 2 * low[least_row], np.where(rib_length > 0, 0.0, widest))
        has_level = least_row >= 0
        path, blunt = total(length, chain), np.where(chain_row >= 0, low[chain_row], 0.0)
        angle = _taper_deg(limit_mm / 2 - blunt, path)
        pointed = (ways == 1) & (chain_row >= 0)
        if tapered is not None:
            has_level &= ~(pointed & tapered)
        tip = pointed & ~has_level & (angle < ACUTE_DEG)
        whole = (ways == 0) & (np.bincount(piece, minlength=count) == np.bincount(axis.part)[pieces.part])
        width = np.where(whole & (least < _EVEN_SHARE * mean), mean, least)
        place = np.where(tip, chain_row, np.where(has_level, least_row, widest_row))
        found = Stretches(
            ways=ways,
            width_mm=width,
            least_mm=least,
            widest_mm=widest,
            at=np.where((has_level | tip)[:, None], _thinnest(axis, pieces, place), pieces.at_top[place]),
            length_mm=np.where(tip, path, rib_length),
            angle_deg=np.where(tip, angle, np.nan),
            area_mm2=summed(piece, strip_areas(axis, pieces), count),
            part=pieces.part,
            many=np.ones(count, dtype=np.int64),
        )
        return found, np.asarray(tip | whole | has_level)


def _thinnest(axis: Axis, pieces: Pieces, place: Ints) -> Floats:
    """Where the rows `place` are thinnest: their low ends, the middle where both ends are as wide."""
    low = axis.low[pieces.row[place]]
    even = pieces.top_mm[place] - axis.radius_mm[low] < _EVEN_MM
    middle = (axis.vertices[low] + pieces.at_top[place]) / 2
    return np.where(even[:, None], middle, axis.vertices[low])


def summed(group: Ints, values: Floats, count: int) -> Floats:
    """Sum of the values of each of `count` groups, (count,)."""
    return np.asarray(np.bincount(group, values, minlength=count), dtype=np.float64)


def first_of(group: Ints, value: Floats, count: int, *, of: Bools | None = None) -> Ints:
    """The row of least `value` in each of `count` groups, among the rows `of`; -1 where a group has none."""
    row = None if of is None else np.flatnonzero(of)
    if row is not None:
        group, value = group.take(row), value.take(row)
    least = np.full(count, np.inf)
    np.minimum.at(least, group, value)
    found = np.flatnonzero(value == least.take(group))[::-1]  # the last one written stays: the first of equal rows
    out = np.full(count, -1, dtype=np.int64)
    out[group.take(found)] = found if row is None else row.take(found)
    return out


def _taper_deg(rise_mm: Floats, path_mm: Floats) -> Floats:
    """Angle between walls whose distance to the axis grows by `rise_mm` along `path_mm`: exact for straight walls."""
    slope = np.divide(rise_mm, path_mm, out=np.ones(len(path_mm)), where=path_mm > 0)
    return np.asarray(2 * np.degrees(np.arcsin(np.clip(slope, 0.0, 1.0))))
