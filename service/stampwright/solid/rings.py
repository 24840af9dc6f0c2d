"""Rings that directed edges make, each with what lies on their left, and the areas within them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from stampwright.base.counting import counted, picked
from stampwright.plane import nested

from .mesh import plan_keys

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.signedinteger]


def areas_on_left(xy: Floats) -> NDArray[np.object_] | None:
    """The polygons on the left of directed edges (n, 2, 2) that meet in ends only; None where they make no rings."""
    keys, ends = np.unique(plan_keys(xy), return_inverse=True)
    origin, target = ends.reshape(-1, 2).T
    following = _following(xy, origin, target, count=len(keys))
    if np.bincount(following).max() > 1:
        return None
    edge, ring = rings_along(origin, following)
    return nested(picked(xy[:, 0], edge), np.bincount(ring))


def _following(xy: Floats, origin: Ints, target: Ints, *, count: int) -> Ints:
    """The edge that follows each one around the area on its left: where several begin, the first one clockwise."""
    many = np.bincount(origin, minlength=count)
    out, first = np.argsort(origin, kind="stable"), np.cumsum(many) - many
    following: Ints = out[first[target]]
    crowded = np.flatnonzero(many[target] > 1)
    owner = np.repeat(crowded, many[target[crowded]])
    beside = out[first[target[owner]] + counted(many[target[crowded]])]
    back, ahead = xy[owner, 0] - xy[owner, 1], xy[beside, 1] - xy[beside, 0]
    turn = (np.arctan2(back[:, 1], back[:, 0]) - np.arctan2(ahead[:, 1], ahead[:, 0])) % (2 * np.pi)
    turn[target[beside] == origin[owner]] = 2 * np.pi  # straight back, only where there is no other
    order = np.lexsort((turn, owner))
    least = np.diff(owner[order], prepend=-1) > 0
    following[owner[order][least]] = beside[order][least]
    return following


def rings_along(origin: Ints, following: Ints) -> tuple[Ints, Ints]:
    """Directed edges, by the place where each begins and the edge that follows it, in the order of the rings they make.

    And the number of each one's ring; no ring meets itself, and what runs there and back is none.
    """
    walk, ring = _walks(following)
    origin = origin[walk]
    order = np.lexsort((origin, ring))
    again = (np.diff(ring[order]) == 0) & (np.diff(origin[order]) == 0)
    sides = np.bincount(ring)
    meets = np.zeros(len(sides), dtype=bool)
    meets[ring[order[1:]][again]] = True
    whole, of_loops = ~meets[ring] & (sides[ring] > 2), meets[ring]
    parted, loop = _loops(origin[of_loops].tolist(), ring[of_loops].tolist())
    found = np.concatenate([walk[whole], walk[of_loops][parted]])
    kept = np.concatenate([ring[whole], len(sides) + loop])
    return found, np.cumsum(np.diff(kept, prepend=-1) > 0) - 1


def _walks(following: Ints) -> tuple[Ints, Ints]:
    """Numbers in the order in which they follow one another, round after round, and the number of each one's round."""
    rows = np.arange(len(following))
    links = coo_array((np.ones(len(rows), dtype=bool), (rows, following)), shape=(len(rows), len(rows)))
    _, ring = connected_components(links, directed=False)
    first = np.unique(ring, return_index=True)[1]
    ahead, steps = following.copy(), np.ones(len(rows), dtype=np.int64)
    ahead[first], steps[first] = first, 0
    while np.any(steps[ahead]):  # how many steps it is to the first one, by leaps that double
        steps += steps[ahead]
        ahead = ahead[ahead]
    steps[first] = len(rows)
    walk = np.lexsort((-steps, ring))
    return walk, ring[walk]


def _loops(origin: list[int], ring: list[int]) -> tuple[Ints, Ints]:
    """Rings that meet themselves, parted: a walk that comes to a place again has closed a loop there.

    Rows of the half-edges of loops, one after another, and the number of each one's loop.
    """
    found: list[int] = []
    number: list[int] = []
    walk: list[int] = []
    since: dict[int, int] = {}
    count, last = 0, len(origin) - 1
    for row, at in enumerate(origin):
        since[at] = len(walk)
        walk.append(row)
        ahead = origin[row + 1] if row < last and ring[row + 1] == ring[row] else origin[walk[0]]
        start = since.get(ahead)
        if start is None:
            continue
        loop = walk[start:]
        del walk[start:]
        for one in loop:
            del since[origin[one]]
        if len(loop) > 2:
            found += loop
            number += [count] * len(loop)
            count += 1
    return np.array(found, dtype=np.int64), np.array(number, dtype=np.int64)
