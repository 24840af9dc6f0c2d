"""Lines crossed with one another, so that they meet in common ends only, all nodes on the grid."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.tolerances import GRID_MM, GRID_PER_MM

from .mesh import plan_keys

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]

_ROUNDS = 6  # a line that was bent may come to lie on a neighbour; full noding is left to what needs more
_AT_ONCE = 50_000  # lines whose pairs are looked at together
_PASSING_MM = 0.71 * GRID_MM  # the pixel of a grid place lies within this


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
    xy = xy[once(xy)]
    fresh, lines = np.ones(len(xy), dtype=bool), shapely.linestrings(xy)
    for _ in range(_ROUNDS):
        tree = shapely.STRtree(lines)
        places = np.concatenate([_crossings(xy, fresh, tree, lines), xy[fresh].reshape(-1, 2)])
        whole, pieces = _led_through(xy, places, tree)
        both = np.concatenate([xy[whole], pieces])
        rows = once(both)
        fresh = rows >= len(whole)
        xy, lines = both[rows], np.concatenate([lines[whole], shapely.linestrings(pieces)])[rows]
        if not np.any(fresh):
            break
    return xy


def once(xy: Floats) -> Ints:
    """Rows that hold each line once, whichever way it runs, and none without length."""
    keys = np.sort(plan_keys(xy), axis=1)
    order = np.lexsort(keys.T)
    new = np.any(np.diff(keys[order], axis=0, prepend=-1), axis=1)
    first = np.sort(order[new])
    return np.asarray(first[keys[first, 0] != keys[first, 1]])


def _crossings(xy: Floats, fresh: Bools, tree: shapely.STRtree, lines: NDArray[np.object_]) -> Floats:
    """Grid places where lines cross one of those that are fresh."""
    row = np.flatnonzero(fresh)
    parts = np.array_split(row, len(row) // _AT_ONCE + 1)  # a line has dozens of neighbours: all pairs fill memory
    return np.concatenate([_crossed(xy, fresh, part, tree.query(lines[part])) for part in parts])


def _crossed(xy: Floats, fresh: Bools, row: Ints, near: Ints) -> Floats:
    one, other = row[near[0]], near[1]
    apart = (one < other) | ~fresh[other]
    one, other = one[apart], other[apart]
    a, b = xy[one, 0], xy[other, 0]
    along, across = xy[one, 1] - a, xy[other, 1] - b
    area = along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0]
    offset = b - a
    with np.errstate(divide="ignore", invalid="ignore"):  # parallel lines meet in ends, if anywhere
        share = (offset[:, 0] * across[:, 1] - offset[:, 1] * across[:, 0]) / area
        back = (offset[:, 0] * along[:, 1] - offset[:, 1] * along[:, 0]) / area
        met = (share > 0) & (share < 1) & (back > 0) & (back < 1)
    places: Floats = np.rint((a + share[:, None] * along)[met] * GRID_PER_MM) / GRID_PER_MM + 0.0
    return places


def _led_through(xy: Floats, places: Floats, tree: shapely.STRtree) -> tuple[Ints, Floats]:
    """Lines that pass by no place, and the pieces that places cut the others into."""
    _, first = np.unique(plan_keys(places), return_index=True)
    places = places[first]
    place, line = tree.query(shapely.points(places), predicate="dwithin", distance=_PASSING_MM)
    own = np.any(plan_keys(xy)[line] == plan_keys(places)[place][:, None], axis=1)
    place, line = place[~own], line[~own]
    along = xy[line, 1] - xy[line, 0]
    share = np.sum((places[place] - xy[line, 0]) * along, axis=1) / np.sum(along * along, axis=1)
    order = np.lexsort((share, line))
    place, line = place[order], line[order]
    cut = np.unique(line)
    stops = np.concatenate([xy[cut, 0], places[place], xy[cut, 1]])
    owner = np.concatenate([cut, line, cut])
    rank = np.concatenate([np.zeros(len(cut)), np.ones(len(line)), np.full(len(cut), 2.0)])
    order = np.lexsort((rank, owner))
    stops, owner = stops[order], owner[order]
    pieces = np.stack([stops[:-1], stops[1:]], axis=1)[owner[1:] == owner[:-1]]
    return np.setdiff1d(np.arange(len(xy)), cut, assume_unique=True), pieces
