"""A path as a pen follows it: points, and the true direction of the curve at both ends of every chord.

With true directions the corners of a stroke's outline lie on the offset curve itself; with the chords' own they would
be off by half the width times half the turn of a chord, 50 µm at a 5 mm stroke.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.base.counting import counted

from .flatten import Curves, Inner, curves_of, inner_points, merged, points_on
from .limits import keep_within

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from .paths import Path

_STILL = 1e-12  # chords shorter than this share of the path's reach have no direction
_SHARP = 1.0  # rad: a chord that turns more, after refinement, sits on a cusp and is taken as straight
_FINEST = 64.0  # parts of a chord at most, and how often: a true cusp never becomes smooth
_ROUNDS = 6
_UNEVEN = 0.5  # rad: a chord that turns less is taken to turn evenly, so that its parts need no second look


@dataclass(frozen=True, slots=True)
class Run:
    """One subpath: n points, m chords (m = n when closed, else n − 1) with unit directions at start and end.

    `nodes` (n,) is true where the pen's join applies; between the chords of one curve there is nothing to join.
    """

    points: NDArray[np.float64]
    start: NDArray[np.float64]
    end: NDArray[np.float64]
    nodes: NDArray[np.bool_]
    closed: bool
    drawn: bool = True  # False: a lone move, which no cap shows


@dataclass(frozen=True, slots=True)
class Runs:
    """Subpaths one after the other: n points, each with the chord that leaves it, if one does (`leads`).

    `start`, `end` (n, 2): unit directions at both ends of that chord; `nodes` (n,) as of a `Run`; `first` (r + 1,):
    where each run begins, and n; `closed`, `drawn` (r,).
    """

    points: NDArray[np.float64]
    start: NDArray[np.float64]
    end: NDArray[np.float64]
    leads: NDArray[np.bool_]
    nodes: NDArray[np.bool_]
    first: NDArray[np.intp]
    closed: NDArray[np.bool_]
    drawn: NDArray[np.bool_]

    def __iter__(self) -> Iterator[Run]:
        spans = itertools.pairwise(self.first.tolist())
        for (i, j), closed, drawn in zip(spans, self.closed.tolist(), self.drawn.tolist(), strict=True):
            chords = slice(i, i + int(self.leads[i:j].sum()))
            yield Run(self.points[i:j], self.start[chords], self.end[chords], self.nodes[i:j], closed, drawn)

    @classmethod
    def of(cls, runs: Sequence[Run]) -> Runs:
        """Lay single runs one after the other."""
        counts = np.array([len(run.points) for run in runs])
        chords = np.array([len(run.start) for run in runs])
        first = np.concatenate([[0], np.cumsum(counts)])
        leads = np.ones(int(first[-1]), dtype=bool)
        leads[first[1:][chords < counts] - 1] = False
        start, end = np.zeros((2, len(leads), 2))
        start[leads] = np.concatenate([run.start for run in runs])
        end[leads] = np.concatenate([run.end for run in runs])
        return cls(
            points=np.concatenate([run.points for run in runs]),
            start=start,
            end=end,
            leads=leads,
            nodes=np.concatenate([run.nodes for run in runs]),
            first=first,
            closed=np.array([run.closed for run in runs]),
            drawn=np.array([run.drawn for run in runs]),
        )


class _Way(NamedTuple):
    at: NDArray[np.float64]  # place of each point in the order of nodes (node − 1 + parameter)
    points: NDArray[np.float64]
    place: NDArray[np.intp]  # of each node among the points
    of_node: NDArray[np.int64]  # the node that the chord arriving at each point leads to
    arriving: NDArray[np.float64]  # direction at the end of that chord, NaN when it is the chord's own
    leaving: NDArray[np.float64]


def traced(path: Path, *, sagitta: float, half: float, factor_at: NDArray[np.float64] | None = None) -> Runs:
    """Subpaths of a path, cut so that curves at the distance `half` on both sides keep the sagitta too.

    `factor_at`: how much finer each curve is cut, by the node it ends in.
    """
    nodes = np.array(path.nodes, dtype=np.float64).reshape(-1, 2)
    still = float(np.ptp(nodes, axis=0).max()) * _STILL if len(nodes) else 0.0
    spans = np.array(path.subpaths, dtype=np.intp).reshape(-1, 3)
    if not path.cubics and not path.arcs:
        own, at = np.full_like(nodes, np.nan), np.arange(len(nodes))
        return _runs(_Way(at.astype(np.float64), nodes, at, at, own, own), spans, still)
    curves = curves_of(path, sagitta=sagitta, half=half)
    finer = np.ones(len(nodes)) if factor_at is None else factor_at
    inner = inner_points(curves if factor_at is None else curves.finer(factor_at))
    way = _way(nodes, curves, inner)
    for _ in range(_ROUNDS):
        parts, uneven = _parts(way, sagitta / finer[way.of_node[1:]] ** 2, half)
        if not (parts > 1).any():
            break
        inner = _finer(curves, inner, way, parts)
        way = _way(nodes, curves, inner)
        if not uneven:
            break
    return _runs(way, spans, still)


def _way(nodes: NDArray[np.float64], curves: Curves, inner: Inner) -> _Way:
    points, place, order = merged(nodes, inner)
    ahead = np.concatenate([inner.ahead, np.full_like(nodes, np.nan)])[order]
    arriving, leaving = ahead.copy(), ahead
    for ends, first, last in (_cubic_ends(curves.cubics), _arc_ends(curves.arcs)):
        leaving[place[ends - 1]] = first
        arriving[place[ends]] = last
    at = np.concatenate([inner.at, np.arange(len(nodes))])[order]
    return _Way(at, points, place, np.ceil(at).astype(np.int64), _unit(arriving), _unit(leaving))


def _cubic_ends(rows: NDArray[np.float64]) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]:
    """Directions at the ends of cubics: to the next control point that is not the same."""
    p = [rows[:, i : i + 2] for i in (1, 3, 5, 7)]
    first, last = p[3] - p[0], p[3] - p[0]
    for k in (2, 1):
        first = np.where((p[k] != p[0]).any(axis=1)[:, None], p[k] - p[0], first)
        last = np.where((p[3 - k] != p[3]).any(axis=1)[:, None], p[3] - p[3 - k], last)
    return rows[:, 0].astype(np.int64), first, last


def _arc_ends(rows: NDArray[np.float64]) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]:
    def ahead(angle: NDArray[np.float64]) -> NDArray[np.float64]:
        across = rows[:, 5:7] * np.cos(angle)[:, None] - rows[:, 3:5] * np.sin(angle)[:, None]
        return np.asarray(across * np.sign(rows[:, 8])[:, None])

    return rows[:, 0].astype(np.int64), ahead(rows[:, 7]), ahead(rows[:, 7] + rows[:, 8])


def _parts(way: _Way, sagitta: NDArray[np.float64], half: float) -> tuple[NDArray[np.int64], bool]:
    """Into how many parts each chord is to be cut for its sagitta, and whether those want another look.

    A chord L that turns by φ strays by (L + hφ) φ / 8 at the distance h.
    """
    length = np.hypot(*np.diff(way.points, axis=0).T)
    a, b = way.leaving[:-1], way.arriving[1:]
    turn = np.nan_to_num(np.abs(np.arctan2(_cross(a, b), np.einsum("ij,ij->i", a, b))))
    stray = (length + half * turn) * turn / 8
    parts = np.ceil(np.clip(np.sqrt(stray / sagitta), 1.0, _FINEST)).astype(np.int64)
    return parts, bool((turn[parts > 1] > _UNEVEN).any())


def _finer(curves: Curves, inner: Inner, way: _Way, parts: NDArray[np.int64]) -> Inner:
    """The points inside the curves, with those that cut each chord into its parts. Raises `TooComplex`."""
    more = parts - 1
    keep_within("points", len(way.points) + float(more.sum()))
    chord = np.repeat(np.arange(len(more)), more)
    share = (counted(more) + 1) / parts[chord]
    at = way.at[chord] + share * (way.at[chord + 1] - way.at[chord])
    node = way.of_node[chord + 1]
    added = points_on(curves, node, at - (node - 1))
    return Inner(*(np.concatenate(pair) for pair in zip(inner, added, strict=True)))


def _runs(way: _Way, spans: NDArray[np.intp], still: float) -> Runs:
    """Runs between the nodes of `spans` (r, 3); chords on the spot are left out, with the points they lead to."""
    first, last, closed = way.place[spans[:, 0]], way.place[spans[:, 1] - 1], spans[:, 2] > 0
    count = len(way.points)
    to = np.arange(1, count + 1)
    to[last] = np.where(closed, first, last)
    chords = way.points[to] - way.points
    moves = np.abs(chords).max(axis=1, initial=0.0) > still
    start, end = way.leaving, way.arriving[to]
    ends = np.zeros(count, dtype=bool)
    ends[last[~closed]] = True
    of_run = np.repeat(np.arange(len(spans)), last - first + 1)
    kept = moves | ends
    still_all = np.bincount(of_run[kept], minlength=len(spans)) == 0
    kept[first[still_all]] = True  # closed, and on the spot: a dot
    at = np.flatnonzero(kept)
    start, end = _directions(start[at], end[at], chords[at])
    return Runs(
        points=way.points[at],
        start=start,
        end=end,
        leads=moves[at],
        nodes=_nodes_before(at, way.place, count),
        first=np.concatenate([[0], np.cumsum(np.bincount(of_run[at], minlength=len(spans)))]),
        closed=closed,
        drawn=spans[:, 1] - spans[:, 0] > 1,
    )


def _nodes_before(at: NDArray[np.intp], place: NDArray[np.intp], count: int) -> NDArray[np.bool_]:
    """Whether each point kept is a node, or stands for one that lay on the same spot before it."""
    nodes = np.zeros(count + 1, dtype=np.int64)
    nodes[place + 1] = 1
    return np.asarray(np.diff(np.cumsum(nodes)[np.concatenate([[0], at + 1])]) > 0)


def _directions(
    start: NDArray[np.float64], end: NDArray[np.float64], chords: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The curve's directions at both ends of each chord; the chord's own where it has none, or sits on a cusp."""
    along = _unit(chords)
    if np.isnan(start).all():
        return along, along
    start, end = _directed(start, along), _directed(end, along)
    sharp = np.abs(np.arctan2(_cross(start, end), np.einsum("ij,ij->i", start, end))) > _SHARP
    start[sharp] = end[sharp] = along[sharp]
    return start, end


def _directed(ways: NDArray[np.float64], chords: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(np.all(np.isfinite(ways), axis=1, keepdims=True), ways, chords)


def _unit(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    """Unit vectors; NaN where there is no direction."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(vectors / np.hypot(vectors[:, 0], vectors[:, 1])[:, None])


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
