"""The order of the pieces of a path, and how the cutter comes from one to the next: along free ground, or lifted."""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base import InternalFault

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .front import Level

_CANDIDATES = 5  # nearest ready pieces looked at
_FEW = 120  # ready pieces: of so many the nearest are found by looking at all
_CROWD = 3  # times as many as wanted: then less far is looked the next time
_LIFT_WORTH_MM = 6.0  # a link along the ground may be this much longer than a lifted one
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

    `field`: where the centre may be at all once everything is cut, and a little beyond, as links run along its edge.
    """
    if not levels:
        return Way((), (), (), 0.0)
    way = _Linker(levels, field, stepover_mm).go()
    shapely.destroy_prepared(field)  # whoever keeps it need not keep its index, which is ten times as large
    return way


class _Step(NamedTuple):
    """A piece that may come next, where it begins, which of its vertices that is if it is closed, and the way there."""

    piece: int
    start: NDArray[np.float64]
    vertex: int = 0
    link: shapely.LineString | None = None


class _Linker:
    def __init__(self, levels: Sequence[Level], field: shapely.Geometry, stepover_mm: float) -> None:
        self.pieces: NDArray[np.object_] = np.concatenate([level.pieces for level in levels])
        self.level_of = np.repeat(np.arange(len(levels)), [len(level.pieces) for level in levels])
        self.levels, self.stepover_mm = levels, stepover_mm
        self.starts, self.ends = (shapely.get_coordinates(shapely.get_point(self.pieces, end)) for end in (0, -1))
        self.closed = shapely.is_closed(self.pieces)
        self.rings = {int(k): shapely.get_coordinates(self.pieces[k]) for k in np.flatnonzero(self.closed)}
        self.boxes = shapely.bounds(self.pieces)
        closed = self.closed[:, None]
        self.begin_low = np.where(closed, self.boxes[:, :2], self.starts)  # a piece begins between these
        self.begin_high = np.where(closed, self.boxes[:, 2:], self.starts)
        self.tree = shapely.STRtree(self.pieces)
        self.begins = shapely.STRtree(shapely.box(*self.begin_low.T, *self.begin_high.T))
        self.look_mm = stepover_mm
        self.undone = np.ones(len(self.pieces), dtype=bool)
        this, other = self._neighbours(_NEIGHBOUR_SHARE * stepover_mm)
        order = np.argsort(other, kind="stable")
        self.after = this[order]  # pieces that wait, by what they wait for
        self.first = np.searchsorted(other[order], np.arange(len(self.pieces) + 1))
        self.waiting = np.bincount(self.after, minlength=len(self.pieces))
        self.ready = self.waiting == 0
        self.ready_count = int(np.count_nonzero(self.ready))
        self.field = field
        shapely.prepare(self.field)
        self.part = _parts_of(self.starts, self.field)

    def _neighbours(self, near_mm: float) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Pairs of pieces: each, and those of the level before it that are so near."""
        if len(self.levels) < 2:
            return (np.zeros(0, dtype=np.int64),) * 2
        low, high = self.boxes[:, :2] - near_mm, self.boxes[:, 2:] + near_mm
        this, other = self.tree.query(shapely.box(*low.T, *high.T))
        of_level_before = self.level_of[other] == self.level_of[this] - 1
        this, other = this[of_level_before], other[of_level_before]
        shapely.prepare(self.pieces)
        near = shapely.dwithin(self.pieces[this], self.pieces[other], near_mm)
        shapely.destroy_prepared(self.pieces)
        return this[near], other[near]

    def go(self) -> Way:
        order: list[int] = []
        laid: list[shapely.LineString] = []
        links: list[shapely.LineString | None] = []
        flown_mm, here, part = 0.0, self.starts[0], int(self.part[0])
        while len(order) < len(self.pieces):
            step = self._next(here, part, lifted=not laid)
            if step.link is None:
                flown_mm += float(np.hypot(*(step.start - here)))
            order.append(step.piece)
            laid.append(self._begun(step))
            links.append(step.link)
            self._do(step.piece)
            here = step.start if self.closed[step.piece] else self.ends[step.piece]
            part = int(self.part[step.piece])
        return Way(tuple(laid), tuple(self.level_of[order].tolist()), tuple(links), flown_mm)

    def _begun(self, step: _Step) -> shapely.LineString:
        """The piece; a closed one turned so that it begins and ends where the step leads."""
        if not self.closed[step.piece]:
            return self.pieces[step.piece]
        ring = self.rings[step.piece]
        return shapely.LineString(np.concatenate([ring[step.vertex : -1], ring[: step.vertex + 1]]))

    def _do(self, index: int) -> None:
        """Tick a piece off; what waited for it alone is ready."""
        self.undone[index] = self.ready[index] = False
        self.ready_count -= 1
        after = self.after[self.first[index] : self.first[index + 1]]
        if len(after):
            self.waiting[after] -= 1
            freed = after[self.waiting[after] == 0]
            self.ready[freed] = True
            self.ready_count += len(freed)

    def _next(self, here: NDArray[np.float64], part: int, *, lifted: bool) -> _Step:
        """The cheapest of the nearest ready pieces; farther ones are looked at while they may still win."""
        bounds, nearest = self._nearest(here)
        looked: list[tuple[float, int, _Step]] = []  # a heap
        best: tuple[float, _Step] | None = None
        at = 0
        for _ in range(_CANDIDATES):
            while at < len(nearest) and (not looked or bounds[at] <= looked[0][0]):
                step = self._to(here, nearest[at])
                heapq.heappush(looked, (math.dist(here, step.start), at, step))
                at += 1
            if not looked or (best is not None and looked[0][0] >= best[0]):
                break
            cost, _, step = heapq.heappop(looked)
            link = self._link(here, step, part)
            cost += 0.0 if link is not None or lifted else _LIFT_WORTH_MM
            if best is None or cost < best[0]:
                best = cost, step._replace(link=None if lifted else link)
        if best is None:
            raise InternalFault.at("no-piece-ready", "the pieces of a path wait for each other")
        return best[1]

    def _nearest(self, here: NDArray[np.float64]) -> tuple[list[float], list[int]]:
        """The nearest ready pieces, and how near they are at least: a ring is no nearer than its box."""
        wanted = _CANDIDATES * (4 if self.rings else 1)
        if self.ready_count <= _FEW:
            found = np.flatnonzero(self.ready)
            away = self._away(here, found)
        else:
            found, away = self._around(here, wanted)
        nearest = _first(away, wanted)
        return away[nearest].tolist(), found[nearest].tolist()

    def _around(self, here: NDArray[np.float64], wanted: int) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
        """All ready pieces that begin within a distance, and how near: as far out as the wanted ones are."""
        x, y = here.tolist()
        while True:
            look_mm = self.look_mm
            found = self.begins.query(shapely.box(x - look_mm, y - look_mm, x + look_mm, y + look_mm))
            found = found[self.ready[found]]
            away = self._away(here, found)
            within = away <= look_mm
            count = int(np.count_nonzero(within))
            if count >= wanted:
                self.look_mm *= 0.7 if count > _CROWD * wanted else 1.0  # for the next time
                return found[within], away[within]
            self.look_mm *= 1.5

    def _away(self, here: NDArray[np.float64], pieces: NDArray[np.int64]) -> NDArray[np.float64]:
        aside = np.maximum(np.maximum(self.begin_low[pieces] - here, here - self.begin_high[pieces]), 0.0)
        return np.asarray(np.hypot(aside[:, 0], aside[:, 1]))

    def _to(self, here: NDArray[np.float64], index: int) -> _Step:
        """Where a piece begins: a ring at its vertex nearest to `here`."""
        if not self.closed[index]:
            return _Step(index, self.starts[index])
        ring = self.rings[index]
        vertex = int(np.hypot(*(ring[:-1] - here).T).argmin())
        return _Step(index, ring[vertex], vertex)

    def _link(self, here: NDArray[np.float64], step: _Step, part: int) -> shapely.LineString | None:
        """The straight way from a part of the field to the start of a piece if it runs over ground already free."""
        if self.part[step.piece] != part or part < 0:
            return None
        start = step.start
        link = shapely.linestrings([here, start])
        if not shapely.covers(self.field, link):
            return None
        # What is not cut yet lies behind a piece that is not done; a piece itself starts up to a stepover beyond the
        # ground free before it: so far the link may cut, and no further.
        beside = self.tree.query(link)
        beside = beside[self.undone[beside]]
        if len(beside) and shapely.crosses(self.pieces[beside], link).any():
            return None
        is_short = math.dist(here, start) <= self.stepover_mm
        return link if is_short or self._cut_mm(here, start, step.piece) <= self.stepover_mm else None

    def _cut_mm(self, here: NDArray[np.float64], start: NDArray[np.float64], index: int) -> float:
        """How much of the way to a piece leads through what its own level frees."""
        level, length_mm = self.levels[self.level_of[index]], math.dist(here, start)
        count = math.ceil(length_mm / (_LOOK_SHARE * self.stepover_mm)) + 1
        share = (np.arange(count) + 0.5) / count
        x, y = here[0] + share * (start[0] - here[0]), here[1] + share * (start[1] - here[1])
        freed = shapely.contains_xy(level.reach, x, y)
        freed[freed] = ~shapely.contains_xy(level.before, x[freed], y[freed])
        return length_mm * np.count_nonzero(freed) / count


def _parts_of(points: NDArray[np.float64], area: shapely.Geometry) -> NDArray[np.int64]:
    """In which part of an area each point lies, (n,); -1: in none."""
    found = np.full(len(points), -1)
    part, point = shapely.STRtree(shapely.points(points)).query(shapely.get_parts(area), predicate="intersects")
    found[point] = part
    return found


def _first(values: NDArray[np.float64], count: int) -> NDArray[np.int64]:
    """Where the least values are, so many of them, in order."""
    least = np.argpartition(values, count)[:count] if len(values) > count else np.arange(len(values))
    return least[np.argsort(values[least], kind="stable")]
