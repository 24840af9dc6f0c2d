"""Which cutters, in which order: a shortest path over pairs, as a larger cutter's ground lies inside a smaller one's.

What a cutter finds depends only on the one before it, so n cutters have n (n + 1) / 2 costs, not 2^n sequences.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable


@dataclass(frozen=True, slots=True)
class Route:
    """The cheapest way from the untouched block to the last cutter, and the cheapest through each of them."""

    stops: tuple[int, ...]  # indices in the order of use; the last one is always there
    cost: float
    through: tuple[float, ...]  # cost of the best way that uses this one as well
    edges: dict[tuple[int, int], float]  # cost of each cutter after each larger one; -1: after none


def cheapest_route(count: int, cost: Callable[[int | None, int], float]) -> Route:
    """Shortest path over 0 … count − 1, largest first, to the last; `cost(None, j)` is that of starting with j."""
    reach, before = [math.inf] * count, [-1] * count
    edges = {(i, j): cost(i if i >= 0 else None, j) for j in range(count) for i in range(-1, j)}
    for j in range(count):
        ways = [(edges[-1, j], -1), *((reach[i] + edges[i, j], i) for i in range(j))]
        reach[j], before[j] = min(ways)
    onward = [0.0] * count
    for i in reversed(range(count - 1)):
        onward[i] = min(edges[i, j] + onward[j] for j in range(i + 1, count))
    stops = [count - 1]
    while before[stops[-1]] >= 0:
        stops.append(before[stops[-1]])
    return Route(tuple(reversed(stops)), reach[-1], tuple(reach[i] + onward[i] for i in range(count)), edges)


def routes_near(route: Route, share: float) -> list[tuple[int, ...]]:
    """All ways that cost at most `share` of the cheapest, cheapest first."""
    count, bound = len(route.through), share * route.cost
    onward = [0.0] * count  # from each to the last
    for i in reversed(range(count - 1)):
        onward[i] = min(route.edges[i, j] + onward[j] for j in range(i + 1, count))
    found: list[tuple[float, tuple[int, ...]]] = []
    open_ways: list[tuple[float, tuple[int, ...]]] = [(0.0, ())]
    while open_ways:
        cost, stops = open_ways.pop()
        here = stops[-1] if stops else -1
        if here == count - 1:
            found.append((cost, stops))
            continue
        steps = [(cost + route.edges[here, j], (*stops, j)) for j in range(here + 1, count)]
        open_ways += [(spent, way) for spent, way in steps if spent + onward[way[-1]] <= bound * (1 + 1e-12)]
    return [stops for _, stops in sorted(found)]
