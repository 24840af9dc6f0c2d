"""Ends of strands as nodes of a network: which ends meet, and how one goes from strand to strand through them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

Ends = tuple[int, int]  # the nodes at the start and at the end of a strand
Step = tuple[int, bool]  # a strand, and whether it is gone forwards
_NEIGHBOURS = 8  # looked at for each free end: more lie at the same place only in a knot that cannot be told apart


class Trail(NamedTuple):
    """Strands one after the other, and whether the last ends where the first begins."""

    steps: list[Step]
    closed: bool


def meeting(points: NDArray[np.float64], within: float) -> NDArray[np.int64]:
    """Number points (n, 2) so that those no farther apart than `within` have the same number.

    By the cells of a grid, neighbours taken together: many points in one place cost no more than one.
    """
    low = points.min(axis=0, initial=np.inf)
    cells, of_point = np.unique(np.floor((points - low) / within), axis=0, return_inverse=True)
    pairs = cKDTree(cells).query_pairs(1.5, output_type="ndarray")
    return components(len(cells), pairs)[of_point.ravel()]


def components(count: int, pairs: NDArray[np.intp]) -> NDArray[np.int64]:
    """Number nodes so that those which pairs (m, 2) connect have the same number."""
    graph = coo_array((np.ones(len(pairs), dtype=np.int8), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


def nearest_pairs(
    points: NDArray[np.float64], within: float, forbidden: Sequence[tuple[int, float]]
) -> list[tuple[int, int, float]]:
    """Pairs of points (n, 2) to be joined, nearest first, each point in one pair at most: (i, j, distance).

    `forbidden`: for each point the one that it may not be paired with from the given distance on.
    """
    if len(points) < 2:
        return []
    count = min(_NEIGHBOURS, len(points))
    far, other = cKDTree(points).query(points, k=count, distance_upper_bound=within * (1 + 1e-9))
    rows, columns = np.nonzero(np.isfinite(far))
    found = sorted(
        (float(far[i, k]), i, int(other[i, k])) for i, k in zip(rows.tolist(), columns.tolist(), strict=True)
    )
    taken: set[int] = set()
    pairs = []
    for distance, i, j in found:
        barred, at_least = forbidden[i]
        if i < j and i not in taken and j not in taken and not (j == barred and distance >= at_least):
            taken |= {i, j}
            pairs.append((i, j, distance))
    return pairs


def trails(strands: Sequence[Ends]) -> list[Trail]:
    """Go through every node where just two ends meet; a trail begins and ends at all others, or closes."""
    at = _ends_at(strands)
    used = [False] * len(strands)
    found = []
    starts = [end for ends in at.values() if len(ends) != 2 for end in ends]
    for strand, forwards in [*starts, *((i, True) for i in range(len(strands)))]:
        if not used[strand]:
            found.append(_trail(strands, at, used, (strand, forwards)))
    return found


def _ends_at(strands: Sequence[Ends]) -> dict[int, list[Step]]:
    """By node, the steps that leave it."""
    at: dict[int, list[Step]] = {}
    for i, (first, last) in enumerate(strands):
        at.setdefault(first, []).append((i, True))
        at.setdefault(last, []).append((i, False))
    return at


def _trail(strands: Sequence[Ends], at: dict[int, list[Step]], used: list[bool], step: Step) -> Trail:
    steps = []
    begin = strands[step[0]][not step[1]]
    while True:
        steps.append(step)
        used[step[0]] = True
        node = strands[step[0]][step[1]]
        onward = [there for there in at[node] if not used[there[0]]] if len(at[node]) == 2 else []
        if node == begin or not onward:
            return Trail(steps, node == begin)
        step = onward[0]


def without_tails(strands: Sequence[Ends], among: Iterable[int]) -> list[int]:
    """The strands that are left when those with a free end are taken away, again and again."""
    left = set(among)
    at: dict[int, set[int]] = {}
    for i in sorted(left):
        for node in strands[i]:
            at.setdefault(node, set()).add(i)
    loose = [i for i in sorted(left) if any(len(at[node]) == 1 for node in strands[i])]
    while loose:
        strand = loose.pop()
        if strand not in left:
            continue
        left.discard(strand)
        for node in strands[strand]:
            at[node].discard(strand)
            if len(at[node]) == 1:
                loose += at[node]
    return sorted(left)


def circuits(strands: Sequence[Ends], among: Iterable[int]) -> tuple[list[list[Step]], list[int]]:
    """Closed ways through strands that part at nodes, and the strands of networks where no such way takes in all.

    Where an even number meets at every node all can be gone through, and by the even-odd rule it does not matter how.
    """
    chosen = list(among)
    numbers = {node: i for i, node in enumerate(dict.fromkeys(node for i in chosen for node in strands[i]))}
    pairs = np.array([[numbers[node] for node in strands[i]] for i in chosen], dtype=np.intp).reshape(-1, 2)
    part = components(len(numbers), pairs)
    odd = np.bincount(pairs.ravel(), minlength=len(numbers)) % 2 > 0
    spoilt = set(part[odd].tolist())
    fine = [i for i, (a, _) in zip(chosen, pairs.tolist(), strict=True) if int(part[a]) not in spoilt]
    at = _ends_at([strands[i] for i in fine])
    used, found = [False] * len(fine), []
    for i in range(len(fine)):
        if not used[i]:
            found += _circuits_from(i, [strands[k] for k in fine], at, used)
    kept = set(fine)
    return [[(fine[i], way) for i, way in steps] for steps in found], [i for i in chosen if i not in kept]


def _circuits_from(
    first: int, strands: Sequence[Ends], at: dict[int, list[Step]], used: list[bool]
) -> list[list[Step]]:
    """Go on by any strand not yet used; whenever a node is met again, cut the circuit off."""
    found: list[list[Step]] = []
    way: list[Step] = []
    place = {strands[first][0]: 0}
    step: Step | None = (first, True)
    while step is not None:
        used[step[0]] = True
        way.append(step)
        node = strands[step[0]][step[1]]
        if node in place:
            found.append(way[place[node] :])
            for gone in way[place[node] :]:
                place.pop(strands[gone[0]][gone[1]], None)
            del way[place.pop(node, len(way) - len(found[-1])) :]
        place[node] = len(way)
        while at[node] and used[at[node][-1][0]]:
            at[node].pop()
        step = at[node][-1] if at[node] else None
    return found
