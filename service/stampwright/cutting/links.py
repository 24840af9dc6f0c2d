"""The order of the pieces of a path, and how the cutter comes from one to the next: along free ground, or lifted."""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass
from itertools import islice, pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base import InternalFault

from .filed import Filed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from .front import Level

    Place = tuple[float, float]

_CANDIDATES = 5  # nearest ready pieces looked at
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
    # whoever keeps them need not keep their indices, which are ten times as large
    shapely.destroy_prepared([field, *(level.reach for level in levels), *(level.before for level in levels)])
    return way


class _Step(NamedTuple):
    """A piece that may come next, where it begins, which of its vertices that is if it is closed, and the way there."""

    piece: int
    start: Place
    vertex: int = 0
    link: shapely.LineString | None = None


class _Linker:
    def __init__(self, levels: Sequence[Level], field: shapely.Geometry, stepover_mm: float) -> None:
        self.pieces: NDArray[np.object_] = np.concatenate([level.pieces for level in levels])
        self.level_of = np.repeat(np.arange(len(levels)), [len(level.pieces) for level in levels])
        self.levels, self.stepover_mm = levels, stepover_mm
        starts, ends = (shapely.get_coordinates(shapely.get_point(self.pieces, end)) for end in (0, -1))
        closed = shapely.is_closed(self.pieces)
        self.starts, self.ends = ([(x, y) for x, y in places.tolist()] for places in (starts, ends))
        self.rings = {int(k): shapely.get_coordinates(self.pieces[k]) for k in np.flatnonzero(closed)}
        self.boxes = shapely.bounds(self.pieces)
        self.tree = shapely.STRtree(self.pieces)
        self.undone = np.ones(len(self.pieces), dtype=bool)
        this, other = self._neighbours(_NEIGHBOUR_SHARE * stepover_mm)
        order = np.argsort(other, kind="stable")
        first = np.searchsorted(other[order], np.arange(len(self.pieces) + 1)).tolist()
        after = this[order].tolist()
        self.after = [after[a:b] for a, b in pairwise(first)]  # pieces that wait, by what they wait for
        self.waiting = np.bincount(this, minlength=len(self.pieces)).tolist()
        self.ready = Filed(np.where(closed[:, None], self.boxes, np.tile(starts, 2)))
        for piece, many in enumerate(self.waiting):
            if not many:
                self.ready.add(piece)
        self.field = field
        shapely.prepare(self.field)
        self.part = _parts_of(starts, self.field).tolist()

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
        here, steps = self.starts[0], [self._first()]
        flown = [here, steps[0].start]
        while True:
            step = steps[-1]
            self._do(step.piece)
            if len(steps) == len(self.pieces):
                break
            here = self.ends[step.piece] if step.piece not in self.rings else step.start
            steps.append(self._next(here, self.part[step.piece]))
            flown += [here, steps[-1].start] if steps[-1].link is None else []
        ways = np.diff(np.array(flown).reshape(-1, 2, 2), axis=1)[:, 0]
        return Way(
            pieces=tuple(self._begun(step) for step in steps),
            levels=tuple(self.level_of[[step.piece for step in steps]].tolist()),
            links=tuple(step.link for step in steps),
            flown_mm=sum(np.hypot(*ways.T).tolist()),
        )

    def _begun(self, step: _Step) -> shapely.LineString:
        """The piece; a closed one turned so that it begins and ends where the step leads."""
        if step.piece not in self.rings:
            return self.pieces[step.piece]
        ring = self.rings[step.piece]
        places = np.concatenate([ring[step.vertex : -1], ring[: step.vertex + 1]])
        turned: shapely.LineString = shapely.linestrings(places)
        return turned

    def _do(self, piece: int) -> None:
        """Tick a piece off; what waited for it alone is ready."""
        self.undone[piece] = False
        self.ready.take(piece)
        for after in self.after[piece]:
            self.waiting[after] -= 1
            if not self.waiting[after]:
                self.ready.add(after)

    def _first(self) -> _Step:
        """The ready piece nearest to where the first one begins."""
        return next(self._steps(self.starts[0]))[1]

    def _next(self, here: Place, part: int) -> _Step:
        """The nearest ready piece that the ground leads to, unless it is so much farther than a lift to the nearest."""
        nearest, most_mm = None, math.inf
        for away_mm, step in islice(self._steps(here), _CANDIDATES):
            if away_mm >= most_mm:
                break
            link = self._link(here, step, part)
            if link is not None:
                return step._replace(link=link)
            if nearest is None:
                nearest, most_mm = step, away_mm + _LIFT_WORTH_MM
        if nearest is None:
            raise InternalFault.at("no-piece-ready", "the pieces of a path wait for each other")
        return nearest

    def _steps(self, here: Place) -> Iterator[tuple[float, _Step]]:
        """Ready pieces, the nearest first, and how far off they begin: a ring is no nearer than its box."""
        looked: list[tuple[float, int, _Step]] = []  # a heap
        for nth, (least_mm, piece) in enumerate(self.ready.nearest(*here)):
            step = self._to(here, piece)
            heapq.heappush(looked, (math.dist(here, step.start), nth, step))
            while looked and looked[0][0] <= least_mm:
                away_mm, _, step = heapq.heappop(looked)
                yield away_mm, step
        for away_mm, _, step in sorted(looked):
            yield away_mm, step

    def _to(self, here: Place, piece: int) -> _Step:
        """Where a piece begins: a ring at its vertex nearest to `here`."""
        if piece not in self.rings:
            return _Step(piece, self.starts[piece])
        ring = self.rings[piece]
        vertex = int(np.hypot(*(ring[:-1] - here).T).argmin())
        x, y = ring[vertex].tolist()
        return _Step(piece, (x, y), vertex)

    def _link(self, here: Place, step: _Step, part: int) -> shapely.LineString | None:
        """The straight way from a part of the field to the start of a piece if it runs over ground already free."""
        if self.part[step.piece] != part or part < 0:
            return None
        link = shapely.linestrings([here, step.start])
        if not shapely.covers(self.field, link):
            return None
        # What is not cut yet lies behind a piece that is not done; a piece itself starts up to a stepover beyond the
        # ground free before it: so far the link may cut, and no further.
        beside = self.tree.query(link)
        beside = beside[self.undone[beside]]
        if len(beside) and shapely.crosses(self.pieces[beside], link).any():
            return None
        is_short = math.dist(here, step.start) <= self.stepover_mm
        return link if is_short or self._cut_mm(here, step) <= self.stepover_mm else None

    def _cut_mm(self, here: Place, step: _Step) -> float:
        """How much of the way to a piece leads through what its own level frees."""
        level, length_mm = self.levels[self.level_of[step.piece]], math.dist(here, step.start)
        count = math.ceil(length_mm / (_LOOK_SHARE * self.stepover_mm)) + 1
        share = (np.arange(count) + 0.5) / count
        begin = np.array(here)
        looked = begin + share[:, None] * (step.start - begin)
        freed = looked[shapely.contains_xy(level.reach, looked)]
        many = np.count_nonzero(~shapely.contains_xy(level.before, freed)) if len(freed) else 0
        return length_mm * many / count


def _parts_of(points: NDArray[np.float64], area: shapely.Geometry) -> NDArray[np.int64]:
    """In which part of an area each point lies, (n,); -1: in none."""
    found = np.full(len(points), -1)
    part, point = shapely.STRtree(shapely.points(points)).query(shapely.get_parts(area), predicate="intersects")
    found[point] = part
    return found
