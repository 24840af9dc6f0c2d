"""Lines crossed with one another, so that they meet in common ends only, all nodes on the grid."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.counting import picked
from stampwright.base.tolerances import GRID_MM, GRID_PER_MM

from .mesh import plan_keys

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_ROUNDS = 6  # a line that was bent may come to lie on a neighbour; full noding is left to what needs more
_AT_ONCE = 50_000  # lines whose pairs are looked at together
PASSING_MM = 0.71 * GRID_MM  # the pixel of a grid place lies within this


def noded(xy: Floats) -> Floats:
    """Cross lines with one another anew, on the grid."""
    crossed = shapely.union_all(shapely.linestrings(xy), grid_size=GRID_MM)
    points, line = shapely.get_coordinates(shapely.get_parts(crossed), return_index=True)
    lines: Floats = np.stack([points[:-1], points[1:]], axis=1)[line[1:] == line[:-1]]
    return lines


def noded_where_needed(xy: Floats) -> Floats:
    """Cross lines with one another where they meet elsewhere than in their ends, all nodes on the grid.

    Snap rounding: every line is led through the grid places of its crossings, and through each node that it passes by
    less than the diagonal of half a step. What that bends onto another line is crossed again.
    """
    xy = picked(xy, once(xy))
    fresh = np.arange(len(xy))
    for _ in range(_ROUNDS):
        xy, fresh = _crossed(xy, fresh)
        if not len(fresh):
            break
    return xy


def noded_around(xy: Floats, is_fresh: Bools) -> Floats | None:
    """The same of directed lines around an area (n, 2, 2): those that run back over each other go, once they are noded.

    Only fresh ones are looked at; the others meet in ends already. None where some are left to be bent, or lie double.
    """
    rows = unmet(xy)
    xy, fresh = picked(xy, rows), np.flatnonzero(is_fresh[rows])
    for _ in range(_ROUNDS):
        if not len(fresh):
            break
        whole, pieces = led_through(xy, *_passed(xy, fresh))
        xy = np.concatenate([picked(xy, whole), pieces])
        rows = unmet(xy)
        xy, fresh = picked(xy, rows), np.flatnonzero(rows >= len(whole))
    return None if len(fresh) or len(once(xy)) < len(xy) else xy


def unmet(xy: Floats) -> Ints:
    """Rows of directed lines that no other one runs back over, without those that have no length."""
    keys = plan_keys(xy)
    rises = keys[:, 0] < keys[:, 1]
    low, high = np.minimum(keys[:, 0], keys[:, 1]), np.maximum(keys[:, 0], keys[:, 1])
    order = np.lexsort((rises, high, low))
    low, high, rises = low[order], high[order], rises[order]
    same = np.append(True, (low[1:] != low[:-1]) | (high[1:] != high[:-1]))
    line = np.cumsum(same) - 1
    first = np.flatnonzero(same)
    up = np.bincount(line, rises).astype(np.int64)
    down = np.bincount(line) - up  # of each line these stand first
    rank = np.arange(len(line)) - first[line]
    met = np.minimum(up, down)[line]
    left = np.where(rises, rank - down[line] >= met, (rank < down[line]) & (rank >= met))
    return np.asarray(np.sort(order[left & (low != high)]))


def noded_once(xy: Floats) -> Floats:
    """The same in one round, lines that come to coincide as they are.

    What it bends is not looked at again, which is hardly ever needed and costs as much.
    """
    xy = picked(xy, once(xy))
    whole, pieces = led_through(xy, *_passed(xy, np.arange(len(xy))))
    return np.concatenate([picked(xy, whole), pieces])


def _crossed(xy: Floats, fresh: Ints) -> tuple[Floats, Ints]:
    """Lines led through what fresh ones bring, and which of them are pieces, fresh in their turn."""
    whole, pieces = led_through(xy, *_passed(xy, fresh))
    both = np.concatenate([picked(xy, whole), pieces])
    rows = once(both)
    return picked(both, rows), np.flatnonzero(rows >= len(whole))


def once(xy: Floats) -> Ints:
    """Rows that hold each line once, whichever way it runs, and none without length."""
    keys = plan_keys(xy)
    low, high = np.minimum(keys[:, 0], keys[:, 1]), np.maximum(keys[:, 0], keys[:, 1])
    order = np.lexsort((high, low))
    low, high = low[order], high[order]
    new = np.ones(len(order), dtype=bool)
    new[1:] = (low[1:] != low[:-1]) | (high[1:] != high[:-1])
    return np.asarray(np.sort(order[new & (low != high)]))


def _passed(xy: Floats, fresh: Ints) -> tuple[Ints, Floats]:
    """Lines (k) and places (k, 2) that each of them is to be led through, for what fresh lines bring."""
    left, right = np.minimum(xy[:, 0, 0], xy[:, 1, 0]) - PASSING_MM, np.maximum(xy[:, 0, 0], xy[:, 1, 0]) + PASSING_MM
    rank = np.full(len(xy), -1)
    rank[fresh] = np.arange(len(fresh))
    beside = _beside(xy, fresh) if len(fresh) < len(xy) else fresh
    found = []
    for part in np.array_split(fresh[np.argsort(left[fresh], kind="stable")], len(xy) // _AT_ONCE + 1):
        if not len(part):
            continue
        near = beside[(right[beside] >= left[part].min()) & (left[beside] <= right[part].max())]
        of_part = np.flatnonzero(np.isin(near, part)) if len(part) < len(near) else np.arange(len(near))
        found += [(near[line], places) for line, places in _passed_in_part(picked(xy, near), rank[near], of_part)]
    lines, through = zip(*found, strict=True)
    return np.concatenate(lines), np.concatenate(through)


def _passed_in_part(xy: Floats, rank: Ints, fresh: Ints) -> list[tuple[Ints, Floats]]:
    """The same for one part of the fresh lines and all that may meet them; by their rank each pair is found once."""
    boxes = diagonals(xy.min(axis=1) - PASSING_MM, xy.max(axis=1) + PASSING_MM)
    tree, ends = shapely.STRtree(boxes), _Ends(xy)
    other, one = tree.query(boxes[fresh])
    other = fresh[other]
    once_each = rank[one] < rank[other]
    one, other = one[once_each], other[once_each]
    off_one, met = ends.off(one, other)
    off_other, met_too = ends.off(other, one)
    places = ends.crossings(one, off_one, off_other)
    place, line = tree.query(shapely.points(places))
    passing = ends.pass_by(line, *picked(places, place).T)
    return [*met, *met_too, (line[passing], picked(places, place[passing]))]


def _beside(xy: Floats, fresh: Ints) -> Ints:
    """Lines whose boxes share a cell of a raster with that of a fresh one: all that may meet these."""
    low, high = xy.min(axis=1) - PASSING_MM, xy.max(axis=1) + PASSING_MM
    cells = math.isqrt(len(low)) + 1
    corner = low.min(axis=0)
    step = (high.max(axis=0) - corner) / cells
    (i0, j0), (i1, j1) = (((of - corner) / step).astype(np.int64).T for of in (low, high))
    i1, j1 = np.minimum(i1, cells - 1) + 1, np.minimum(j1, cells - 1) + 1
    wide = cells + 1
    (a, b), (c, d) = (i0 * wide, i1 * wide), (j0, j1)
    starts = np.concatenate([(a + c)[fresh], (b + d)[fresh]])
    stops = np.concatenate([(a + d)[fresh], (b + c)[fresh]])
    over = np.bincount(starts, minlength=wide**2) - np.bincount(stops, minlength=wide**2)
    met = over.reshape(wide, wide).cumsum(axis=0).cumsum(axis=1)[:-1, :-1] > 0
    many = np.pad(met, (1, 0)).cumsum(axis=0).cumsum(axis=1).ravel()
    return np.flatnonzero(many[b + d] - many[a + d] - many[b + c] + many[a + c])


def diagonals(low: Floats, high: Floats) -> NDArray[np.object_]:
    """Boxes between corners (n, 2), as their diagonals: lighter than polygons, and the tree looks at no more."""
    return np.asarray(shapely.linestrings(np.stack([low, high], axis=1)))


class _Ends:
    """Both ends of lines, and how other places lie to them. Coordinates apart: picking rows of pairs is most of it."""

    def __init__(self, xy: Floats) -> None:
        self.xy = xy
        self.x, self.y = (np.ascontiguousarray(xy[..., i].T) for i in (0, 1))  # (2, n)
        self.along = self.x[1] - self.x[0], self.y[1] - self.y[0]
        self.square = self.along[0] ** 2 + self.along[1] ** 2

    def off(self, line: Ints, other: Ints) -> tuple[list[Floats], list[tuple[Ints, Floats]]]:
        """How far both ends of others lie off lines, times the length of these: exact on the grid.

        And the lines with those ends that they have to meet.
        """
        start, along = (self.x[0][line], self.y[0][line]), (self.along[0][line], self.along[1][line])
        least = PASSING_MM**2 * self.square[line]
        offs, met = [], []
        for k in (0, 1):
            x, y = self.x[k][other] - start[0], self.y[k][other] - start[1]
            offs.append(along[0] * y - along[1] * x)
            near = np.flatnonzero(offs[k] * offs[k] <= least)
            share = along[0][near] * x[near] + along[1][near] * y[near]
            passing = near[(share > 0) & (share < self.square[line[near]])]
            met.append((line[passing], self.xy[other[passing], k]))
        return offs, met

    def crossings(self, line: Ints, off_line: list[Floats], off_other: list[Floats]) -> Floats:
        """Grid places where pairs cross; parallel ones meet in ends, if anywhere. `line`: the first of each."""
        (a0, a1), (b0, b1) = off_line, off_other
        met = np.flatnonzero(((a0 < 0) != (a1 < 0)) & ((b0 < 0) != (b1 < 0)) & (a0 * a1 * b0 * b1 != 0))
        share = (b0[met] / (b0[met] - b1[met]))[:, None]
        ends = picked(self.xy, line[met])
        places: Floats = np.rint((ends[:, 0] + share * (ends[:, 1] - ends[:, 0])) * GRID_PER_MM) / GRID_PER_MM + 0.0
        return picked(places, np.unique(plan_keys(places), return_index=True)[1])

    def pass_by(self, line: Ints, x: Floats, y: Floats) -> Bools:
        """Which lines pass by their place (x, y) between their ends so closely that they have to meet it."""
        x, y = x - self.x[0][line], y - self.y[0][line]
        along, square = (self.along[0][line], self.along[1][line]), self.square[line]
        share, off = along[0] * x + along[1] * y, along[0] * y - along[1] * x
        near: Bools = (share > 0) & (share < square) & (off * off <= PASSING_MM**2 * square)
        return near


def led_through(xy: Floats, line: Ints, place: Floats) -> tuple[Ints, Floats]:
    """Lines that pass by no place, and the pieces that places cut the others into."""
    start, end = picked(xy, line).swapaxes(0, 1)
    along = end - start
    share = np.sum((place - start) * along, axis=1) / np.sum(along * along, axis=1)
    is_cut = np.zeros(len(xy), dtype=bool)
    is_cut[line] = True
    cut = np.flatnonzero(is_cut)
    stops = np.concatenate([xy[cut, 0], place, xy[cut, 1]])
    owner = np.concatenate([cut, line, cut])
    order = np.lexsort((np.concatenate([np.zeros(len(cut)), share, np.ones(len(cut))]), owner))
    stops, owner = picked(stops, order), owner[order]
    pieces = picked(np.stack([stops[:-1], stops[1:]], axis=1), owner[1:] == owner[:-1])
    return np.flatnonzero(~is_cut), pieces
