"""A path as a pen follows it: points, and the true direction of the curve at both ends of every chord.

With true directions the corners of a stroke's outline lie on the offset curve itself; with the chords' own they would
be off by half the width times half the turn of a chord, 50 µm at a 5 mm stroke.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from .flatten import curves_of, inner_points, merged, with_parts
from .vectors import angles_between, left

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from .flatten import Asked, Curves, Inner
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


def traced(path: Path, *, sagitta: float, half: float, asked: Asked | None = None) -> Runs:
    """Subpaths of a path, cut so that curves at the distance `half` on both sides keep the sagitta too.

    `asked`: where those are cut finer.
    """
    nodes = np.array(path.nodes, dtype=np.float64).reshape(-1, 2)
    still = float((nodes.max(axis=0) - nodes.min(axis=0)).max()) * _STILL if len(nodes) else 0.0
    spans = np.array(path.subpaths, dtype=np.intp).reshape(-1, 3)
    if not path.cubics and not path.arcs:
        own, at = np.full_like(nodes, np.nan), np.arange(len(nodes))
        return _runs(_Way(at.astype(np.float64), nodes, at, at, own, own), spans, still)
    curves = curves_of(path, sagitta=sagitta, half=half)
    inner = inner_points(curves)
    way = _way(nodes, curves, inner)
    for _ in range(_ROUNDS):
        parts, again = _parts(way, sagitta, half, asked)
        if parts.max(initial=1) == 1:
            break
        inner = with_parts(curves, inner, way.at, parts)
        way = _way(nodes, curves, inner)
        if not again:
            break
    return _runs(way, spans, still)


def _way(nodes: NDArray[np.float64], curves: Curves, inner: Inner) -> _Way:
    points, place, order, at = merged(nodes, inner)
    ahead = np.concatenate([inner.ahead, np.full_like(nodes, np.nan)])[order]
    ways = np.array([ahead, ahead])  # arriving and leaving
    for rows, directions in ((curves.cubics, _cubic_ends), (curves.arcs, _arc_ends)):
        if len(rows):
            end = rows[:, 0].astype(np.int64)
            ways[1, place[end - 1]], ways[0, place[end]] = directions(rows)
    return _Way(at, points, place, np.ceil(at).astype(np.int64), *_unit(ways))


def _cubic_ends(rows: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Directions at the ends of cubics: to the next control point that is not the same."""
    p = rows[:, 1:].reshape(-1, 4, 2)
    first, last = p[:, 1] - p[:, 0], p[:, 3] - p[:, 2]
    for k in (2, 3):
        first = np.where(first.any(axis=1, keepdims=True), first, p[:, k] - p[:, 0])
        last = np.where(last.any(axis=1, keepdims=True), last, p[:, 3] - p[:, 3 - k])
    return first, last


def _arc_ends(rows: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    def ahead(angle: NDArray[np.float64]) -> NDArray[np.float64]:
        across = rows[:, 5:7] * np.cos(angle)[:, None] - rows[:, 3:5] * np.sin(angle)[:, None]
        return np.asarray(across * np.sign(rows[:, 8:]))

    return ahead(rows[:, 7]), ahead(rows[:, 7] + rows[:, 8])


def _parts(way: _Way, sagitta: float, half: float, asked: Asked | None) -> tuple[NDArray[np.int64], bool]:
    """Into how many parts each chord is to be cut for its sagitta, and whether those want another look.

    A chord L that turns by φ strays by (L + hφ) φ / 8 at the distance h.
    """
    chords = way.points[1:] - way.points[:-1]
    turn = angles_between(way.leaving[:-1], way.arriving[1:])
    turn[np.isnan(turn)] = 0.0
    stray = (np.hypot(chords[:, 0], chords[:, 1]) + half * turn) * turn / 8
    least = sagitta if asked is None else np.minimum(sagitta, _asked_beside(way, half, asked))
    cuts = np.maximum(np.sqrt(stray / least), 1.0)
    parts = np.ceil(np.minimum(cuts, _FINEST)).astype(np.int64)
    return parts, bool((((turn > _UNEVEN) | (cuts > _FINEST)) & (parts > 1)).any())


def _asked_beside(way: _Way, half: float, asked: Asked) -> NDArray[np.float64]:
    """The chord error asked for around both sides of each chord, at the distance `half` from its ends."""
    ends = way.points[:-1], way.points[1:]
    across = [half * np.nan_to_num(left(ways)) for ways in (way.leaving[:-1], way.arriving[1:])]
    sides = [np.array([end + sign * off for end, off in zip(ends, across, strict=True)]) for sign in (-1, 1)]
    return np.minimum(*map(asked, sides))


def _runs(way: _Way, spans: NDArray[np.intp], still: float) -> Runs:
    """Runs between the nodes of `spans` (r, 3); chords on the spot are left out, with the points they lead to."""
    first, last, closed = way.place[spans[:, 0]], way.place[spans[:, 1] - 1], spans[:, 2] > 0
    count = len(way.points)
    to = np.arange(1, count + 1)
    to[last] = np.where(closed, first, last)
    chords = way.points[to] - way.points
    steps = np.abs(chords)
    moves = np.maximum(steps[:, 0], steps[:, 1]) > still
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
    met = nodes.cumsum()[at + 1]
    return np.asarray(met > np.concatenate([[0], met[:-1]]))


def _directions(
    start: NDArray[np.float64], end: NDArray[np.float64], chords: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The curve's directions at both ends of each chord; the chord's own where it has none, or sits on a cusp."""
    along = _unit(chords)
    ways = np.array([start, end])
    found = np.isfinite(ways[..., 0] + ways[..., 1])
    if not found.any():
        return along, along
    start, end = np.where(found[..., None], ways, along)
    sharp = angles_between(start, end) > _SHARP
    start[sharp] = end[sharp] = along[sharp]
    return start, end


def _unit(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    """Unit vectors (..., 2); NaN where there is no direction."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(vectors / np.hypot(vectors[..., 0], vectors[..., 1])[..., None])
