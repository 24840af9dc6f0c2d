"""The order of the pieces of a path, and how the cutter comes from one to the next: along free ground, or lifted."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base import InternalFault

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .front import Level

_CANDIDATES = 5  # nearest ready pieces looked at
_LIFT_WORTH_MM = 6.0  # a link along the ground may be this much longer than a lifted one
_STRAY_MM = 0.004  # beyond the ground of the centre: the width of a flattened edge
_LOOK_SHARE = 0.25  # of the stepover, between the points at which a link is looked at
_NEIGHBOUR_SHARE = 1.15  # of the stepover: pieces of the level before that a piece needs done


@dataclass(frozen=True, slots=True)
class Way:
    """Pieces in the order of cutting, lead-ins included; links on the ground between them, and what is flown."""

    pieces: tuple[shapely.LineString, ...]
    levels: tuple[int, ...]  # of each piece
    links: tuple[shapely.LineString | None, ...]  # to each piece; None: lifted
    flown_mm: float

    @property
    def lifts(self) -> int:
        """How often the cutter is raised in one axial pass."""
        return sum(link is None for link in self.links)


def linked(levels: Sequence[Level], field: shapely.Geometry, *, stepover_mm: float) -> Way:
    """Go to the nearest piece whose neighbours of the level before are done; a ring starts where it is near.

    `field`: where the centre may be at all, once everything is cut.
    """
    return _Linker(levels, field, stepover_mm).go() if levels else Way((), (), (), 0.0)


class _Linker:
    def __init__(self, levels: Sequence[Level], field: shapely.Geometry, stepover_mm: float) -> None:
        self.pieces: NDArray[np.object_] = np.concatenate([level.pieces for level in levels])
        self.level_of = np.repeat(np.arange(len(levels)), [len(level.pieces) for level in levels])
        self.levels, self.stepover_mm = levels, stepover_mm
        self.starts = shapely.get_coordinates(shapely.get_point(self.pieces, 0))
        self.closed = shapely.is_closed(self.pieces)
        self.boxes = shapely.bounds(self.pieces)
        self.tree = shapely.STRtree(self.pieces)
        self.undone = np.ones(len(self.pieces), dtype=bool)
        near = _NEIGHBOUR_SHARE * stepover_mm
        this, other = self.tree.query(self.pieces, predicate="dwithin", distance=near)
        needed = self.level_of[other] == self.level_of[this] - 1
        order = np.argsort(other[needed], kind="stable")
        self.after = this[needed][order]  # pieces that wait, by what they wait for
        self.first = np.searchsorted(other[needed][order], np.arange(len(self.pieces) + 1))
        self.waiting = np.bincount(self.after, minlength=len(self.pieces))
        self.ready = np.flatnonzero(self.waiting == 0)
        self.field = shapely.buffer(field, _STRAY_MM, quad_segs=2)
        shapely.prepare(self.field)

    def go(self) -> Way:
        order: list[int] = []
        laid: list[shapely.LineString] = []
        links: list[shapely.LineString | None] = []
        flown_mm, here = 0.0, self.starts[0]
        while self.undone.any():
            index, start, link = self._next(here, lifted=not laid)
            piece = _started(self.pieces[index], start) if self.closed[index] else self.pieces[index]
            if link is None:
                flown_mm += float(np.hypot(*(start - here)))
            order.append(index)
            laid.append(piece)
            links.append(link)
            self._do(index)
            here = shapely.get_coordinates(piece)[-1]
        return Way(tuple(laid), tuple(int(self.level_of[i]) for i in order), tuple(links), flown_mm)

    def _do(self, index: int) -> None:
        """Tick a piece off; what waited for it alone is ready."""
        self.undone[index] = False
        after = self.after[self.first[index] : self.first[index + 1]]
        self.waiting[after] -= 1
        self.ready = np.concatenate([self.ready[self.ready != index], after[self.waiting[after] == 0]])

    def _next(
        self, here: NDArray[np.float64], *, lifted: bool
    ) -> tuple[int, NDArray[np.float64], shapely.LineString | None]:
        ready = self.ready
        away = np.hypot(*(self.starts[ready] - here).T)
        rings = np.flatnonzero(self.closed[ready])
        boxes = self.boxes[ready[rings]]  # a ring is begun where it is nearest, and that is no nearer than its box
        away[rings] = np.hypot(*(here - np.clip(here, boxes[:, :2], boxes[:, 2:])).T)
        nearest = _first(away, _CANDIDATES * (4 if len(rings) else 1))
        starts = [self._start(here, index) for index in ready[nearest]]
        costs = np.hypot(*(np.array(starts) - here).T)
        best: tuple[float, int, NDArray[np.float64], shapely.LineString | None] | None = None
        for nth in _first(costs, _CANDIDATES):
            index, start, cost = int(ready[nearest[nth]]), starts[nth], float(costs[nth])
            if best is not None and cost >= best[0]:
                break
            link = self._link(here, start, index)
            cost += 0.0 if link is not None or lifted else _LIFT_WORTH_MM
            if best is None or cost < best[0]:
                best = cost, index, start, link
        if best is None:
            raise InternalFault.at("no-piece-ready", "the pieces of a path wait for each other")
        return best[1], best[2], None if lifted else best[3]

    def _start(self, here: NDArray[np.float64], index: int) -> NDArray[np.float64]:
        """Where a piece begins: a ring at its vertex nearest to `here`."""
        return _nearest_vertex(self.pieces[index], here) if self.closed[index] else self.starts[index]

    def _link(self, here: NDArray[np.float64], start: NDArray[np.float64], index: int) -> shapely.LineString | None:
        """The straight way to the start of a piece if it runs over ground already free."""
        link = shapely.linestrings([here, start])
        if not shapely.covers(self.field, link):
            return None
        # What is not cut yet lies behind a piece that is not done; a piece itself starts up to a stepover beyond the
        # ground free before it: so far the link may cut, and no further.
        crossed = self.tree.query(link, predicate="crosses")
        if self.undone[crossed].any():
            return None
        is_short = math.hypot(*(start - here)) <= self.stepover_mm
        return link if is_short or self._cut_mm(here, start, index) <= self.stepover_mm else None

    def _cut_mm(self, here: NDArray[np.float64], start: NDArray[np.float64], index: int) -> float:
        """How much of the way to a piece leads through what its own level frees."""
        level, length_mm = self.levels[self.level_of[index]], float(np.hypot(*(start - here)))
        count = math.ceil(length_mm / (_LOOK_SHARE * self.stepover_mm)) + 1
        at = here + ((np.arange(count) + 0.5) / count)[:, None] * (start - here)
        at = at[shapely.contains_xy(level.reach, *at.T)]
        return length_mm * float((~shapely.contains_xy(level.before, *at.T)).sum()) / count


def _first(values: NDArray[np.float64], count: int) -> NDArray[np.int64]:
    """Where the least values are, so many of them, in order."""
    least = np.argpartition(values, count)[:count] if len(values) > count else np.arange(len(values))
    return least[np.argsort(values[least], kind="stable")]


def _nearest_vertex(ring: shapely.LineString, here: NDArray[np.float64]) -> NDArray[np.float64]:
    vertices: NDArray[np.float64] = shapely.get_coordinates(ring)
    nearest: NDArray[np.float64] = vertices[np.hypot(*(vertices - here).T).argmin()]
    return nearest


def _started(ring: shapely.LineString, start: NDArray[np.float64]) -> shapely.LineString:
    """Turn a closed piece so that it begins and ends at one of its vertices."""
    vertices = shapely.get_coordinates(ring)[:-1]
    turned = np.roll(vertices, -int((vertices == start).all(axis=1).argmax()), axis=0)
    return shapely.LineString(np.vstack([turned, turned[:1]]))
