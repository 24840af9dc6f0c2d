"""Dashes: a run cut by the pen's pattern along its length (SVG 2, Painting: stroke-dasharray)."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from .limits import keep_within
from .trace import Run

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .trace import Runs


def dashed(runs: Runs, pattern: tuple[float, ...], offset: float) -> list[Run]:
    """Cut runs into their dashes, each run by the pattern from its start; none where all lies in a gap of it.

    A run without length has no dash (SVG 2, 13.5.6).
    Raises `TooComplex` before cutting when the dashes of a run would be too many.
    """
    return [piece for run in runs for piece in _cut(run, pattern, offset)]


def _cut(run: Run, pattern: tuple[float, ...], offset: float) -> list[Run]:
    """The dashes of one run; the one over the start of a closed run stays whole, with its join."""
    points = np.vstack([run.points, run.points[:1]]) if run.closed else run.points
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    whole = float(along[-1])
    if whole == 0:
        return []
    keep_within("dashes", whole / sum(pattern) * len(pattern) / 2)
    spans = _spans(np.array(pattern), whole, offset % sum(pattern))
    if spans == [(0.0, whole)]:
        return [run]
    through = run.closed and len(spans) > 1 and spans[0][0] == 0 and spans[-1][1] == whole
    pieces = [_piece(run, points, along, start, stop) for start, stop in spans]
    if through:
        tail, head = pieces.pop(), pieces[0]
        nodes = np.concatenate([tail.nodes[:-1], run.nodes[:1], head.nodes[1:]])
        points = np.vstack([tail.points, head.points[1:]])
        pieces[0] = Run(points, np.vstack([tail.start, head.start]), np.vstack([tail.end, head.end]), nodes, False)  # noqa: FBT003
    return pieces


def _spans(pattern: NDArray[np.float64], whole: float, offset: float) -> list[tuple[float, float]]:
    """Where each dash starts and ends along a line of length `whole`."""
    period = float(pattern.sum())
    ends = np.cumsum(pattern)
    rounds = np.arange(math.ceil((whole + offset) / period))[:, None] * period - offset
    first, last = ((ends - pattern)[::2] + rounds).ravel(), (ends[::2] + rounds).ravel()
    seen = (last >= 0) & (first < whole) & ((last > 0) | (first == last))
    return [(max(a, 0.0), min(b, whole)) for a, b in zip(first[seen].tolist(), last[seen].tolist(), strict=True)]


def _piece(run: Run, points: NDArray[np.float64], along: NDArray[np.float64], start: float, stop: float) -> Run:
    """The part of a run between two lengths; directions at the cuts turn evenly along their chord."""
    first = min(int(np.searchsorted(along, start, side="right")), len(along) - 1)  # the point after the first cut
    last = max(int(np.searchsorted(along, stop, side="left")), first)  # the point that ends the last chord
    ends = np.column_stack([np.interp([start, stop], along, points[:, axis]) for axis in (0, 1)])
    starts, stops = run.start[first - 1 : last].copy(), run.end[first - 1 : last].copy()
    starts[0] = _between(run, along, first - 1, start)
    stops[-1] = _between(run, along, last - 1, stop)
    nodes = np.ones(last - first + 2, dtype=bool)
    nodes[1:-1] = run.nodes[first:last]
    return Run(np.vstack([ends[:1], points[first:last], ends[1:]]), starts, stops, nodes, closed=False)


def _between(run: Run, along: NDArray[np.float64], chord: int, at: float) -> NDArray[np.float64]:
    share = (at - along[chord]) / (along[chord + 1] - along[chord])
    way = (1 - share) * run.start[chord] + share * run.end[chord]
    return np.asarray(way / np.hypot(*way))
