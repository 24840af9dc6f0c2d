"""A path as a pen follows it: points, and the true direction of the curve at both ends of every chord.

With true directions the corners of a stroke's outline lie on the offset curve itself; with the chords' own they would
be off by half the width times half the turn of a chord, 50 µm at a 5 mm stroke.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from .flatten import Curves, curves_of, inner_points, merged

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .paths import Path

_STILL = 1e-12  # chords shorter than this share of the path's reach have no direction
_SHARP = 1.0  # rad: a chord that turns more, after refinement, sits on a cusp and is taken as straight
_FINEST = 64.0  # refinement of a curve at most, for a true cusp never becomes smooth


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


class _Way(NamedTuple):
    points: NDArray[np.float64]
    place: NDArray[np.intp]  # of each node among the points
    of_node: NDArray[np.int64]  # the node that the chord arriving at each point leads to
    arriving: NDArray[np.float64]  # direction at the end of that chord, NaN when it is the chord's own
    leaving: NDArray[np.float64]


def traced(path: Path, *, sagitta: float, half: float) -> list[Run]:
    """Subpaths of a path, cut so that curves at the distance `half` on both sides keep the sagitta too."""
    if not path.nodes:
        return []
    nodes = np.array(path.nodes, dtype=np.float64)
    still = float(np.ptp(nodes, axis=0).max(initial=0.0)) * _STILL
    if not path.cubics and not path.arcs:
        return [_straight(nodes[first:stop], closed, still) for first, stop, closed in path.subpaths]
    curves = curves_of(path, sagitta=sagitta, half=half)
    way = _way(nodes, curves)
    factor = _refinement(way, len(nodes), sagitta, half)
    if (factor > 1).any():
        way = _way(nodes, curves.finer(factor))
    return [_run(way, first, stop, closed, still) for first, stop, closed in path.subpaths]


def _way(nodes: NDArray[np.float64], curves: Curves) -> _Way:
    inner = inner_points(curves)
    points, place, order = merged(nodes, inner)
    ahead = np.concatenate([inner.ahead, np.full_like(nodes, np.nan)])[order]
    arriving, leaving = ahead.copy(), ahead
    for ends, first, last in (_cubic_ends(curves.cubics), _arc_ends(curves.arcs)):
        leaving[place[ends - 1]] = first
        arriving[place[ends]] = last
    of_node = np.ceil(np.concatenate([inner.at, np.arange(len(nodes))])[order]).astype(np.int64)
    return _Way(points, place, of_node, _unit(arriving), _unit(leaving))


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


def _refinement(way: _Way, count: int, sagitta: float, half: float) -> NDArray[np.float64]:
    """By node, how much finer the curve that ends there must be cut: a chord L turning by φ strays (L + hφ) φ / 8."""
    length = np.hypot(*np.diff(way.points, axis=0).T)
    a, b = way.leaving[:-1], way.arriving[1:]
    turn = np.nan_to_num(np.abs(np.arctan2(_cross(a, b), np.einsum("ij,ij->i", a, b))))
    stray = (length + half * turn) * turn / 8
    factor = np.ones(count)
    np.maximum.at(factor, way.of_node[1:], np.sqrt(stray / sagitta))
    return np.minimum(factor, _FINEST)


def _straight(points: NDArray[np.float64], closed: bool, still: float) -> Run:  # noqa: FBT001
    """A subpath of lines alone."""
    drawn = len(points) > 1
    if closed:
        points = np.concatenate([points, points[:1]])
    chords = points[1:] - points[:-1]
    moves = np.abs(chords).max(axis=1, initial=0.0) > still
    if not moves.all():
        points, chords = np.concatenate([points[:1], points[1:][moves]]), chords[moves]
    ways = _unit(chords)
    points = points[:-1] if closed and len(points) > 1 else points
    return Run(points, ways, ways, np.ones(len(points), dtype=bool), closed, drawn)


def _run(way: _Way, first: int, stop: int, closed: bool, still: float) -> Run:  # noqa: FBT001
    here = slice(way.place[first], way.place[stop - 1] + 1)
    points = way.points[here]
    nodes = np.zeros(len(points), dtype=bool)
    nodes[way.place[first:stop] - here.start] = True
    start, end = way.leaving[here][:-1], way.arriving[here][1:]
    if closed:
        points, nodes = np.vstack([points, points[:1]]), np.append(nodes, True)
        start, end = (np.vstack([ways, [[np.nan, np.nan]]]) for ways in (start, end))
    chords = np.diff(points, axis=0)
    moves = np.abs(chords).max(axis=1, initial=0.0) > still
    points, nodes = _without_still(points, nodes, moves)
    chords = _unit(chords[moves])
    start, end = (_directed(ways[moves], chords) for ways in (start, end))
    sharp = np.abs(np.arctan2(_cross(start, end), np.einsum("ij,ij->i", start, end))) > _SHARP
    start[sharp] = end[sharp] = chords[sharp]
    if closed and len(points) > 1:
        points, nodes = points[:-1], nodes[:-1]
    return Run(points, start, end, nodes, closed, drawn=stop - first > 1)


def _without_still(
    points: NDArray[np.float64], nodes: NDArray[np.bool_], moves: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Leave out points on top of the one before; where one of them was a node, the one kept is."""
    if moves.all():
        return points, nodes
    keep = np.concatenate([[True], moves])
    kept = np.cumsum(keep) - 1
    flags = np.zeros(int(kept[-1]) + 1, dtype=bool)
    np.logical_or.at(flags, kept, nodes)
    return points[keep], flags


def _directed(ways: NDArray[np.float64], chords: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(np.all(np.isfinite(ways), axis=1, keepdims=True), ways, chords)


def _unit(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    """Unit vectors; NaN where there is no direction."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(vectors / np.hypot(vectors[:, 0], vectors[:, 1])[:, None])


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
