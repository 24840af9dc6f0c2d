"""Curves to chords within a stated sagitta, all curves of a path at once.

A cubic is cut into ceil(sqrt(3/4 · M / s)) equal parts, M the larger second difference of its control points: by the
bound from the second derivative a chord then strays from the curve by at most s. An arc is cut so that
r (1 − cos(step/2)) is s, r its larger half axis.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stampwright.base.counting import counted

from .limits import keep_within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .paths import Path


class Curves(NamedTuple):
    """The curves of a path as rows, and into how many parts each is cut."""

    cubics: NDArray[np.float64]  # (n, 9): the node it ends in, four points
    arcs: NDArray[np.float64]  # (n, 9): the node it ends in, centre, two half axes, first angle, sweep
    cubic_parts: NDArray[np.float64]
    arc_parts: NDArray[np.float64]

    def finer(self, factor_at: NDArray[np.float64]) -> Curves:
        """The same curves, each cut finer by the factor that stands at the node it ends in."""
        parts = (
            np.ceil(count * factor_at[rows[:, 0].astype(np.int64)])
            for rows, count in ((self.cubics, self.cubic_parts), (self.arcs, self.arc_parts))
        )
        return Curves(self.cubics, self.arcs, *parts)


class Inner(NamedTuple):
    """Points strictly inside curves: place in the order of nodes (node − 1 + parameter), point, direction."""

    at: NDArray[np.float64]
    points: NDArray[np.float64]
    ahead: NDArray[np.float64]


def flatten(
    path: Path, *, sagitta: float, factor_at: NDArray[np.float64] | None = None
) -> list[tuple[NDArray[np.float64], bool]]:
    """Polylines of a path's subpaths, each (n, 2), and whether each is closed (without repeating its first point).

    `factor_at`: how much finer each curve is cut, by the node it ends in.
    Raises `TooComplex` when more points would come out than are let in.
    """
    if not path.nodes:
        return []
    nodes = np.array(path.nodes, dtype=np.float64)
    if not path.cubics and not path.arcs:
        return [(nodes[first:stop], closed) for first, stop, closed in path.subpaths]
    curves = curves_of(path, sagitta=sagitta)
    inner = inner_points(curves if factor_at is None else curves.finer(factor_at))
    points, place, _ = merged(nodes, inner)
    return [(points[place[first] : place[stop - 1] + 1], closed) for first, stop, closed in path.subpaths]


def length_of(path: Path) -> float:
    """Length of a path along its subpaths, the way back to the start of closed ones with it; to 1e-6 of its size."""
    reach = path.reach()
    if reach is None:
        return 0.0
    size = max(reach[2] - reach[0], reach[3] - reach[1], 1e-12)
    lines = [(np.vstack([line, line[:1]]) if closed else line) for line, closed in flatten(path, sagitta=size * 1e-6)]
    return float(sum(np.hypot(*np.diff(line, axis=0).T).sum() for line in lines))


def curves_of(path: Path, *, sagitta: float, half: float = 0.0) -> Curves:
    """The curves of a path, cut for a sagitta; arcs also where they are offset by `half`."""
    cubics = np.array(path.cubics).reshape(-1, 9)
    arcs = np.array(path.arcs).reshape(-1, 9)
    p0, p1, p2, p3 = (cubics[:, i : i + 2] for i in (1, 3, 5, 7))
    bend = np.maximum(np.hypot(*(p0 - 2 * p1 + p2).T), np.hypot(*(p1 - 2 * p2 + p3).T))
    radius = np.maximum(np.hypot(arcs[:, 3], arcs[:, 4]), np.hypot(arcs[:, 5], arcs[:, 6])) + half
    step = 2 * np.arccos(np.clip(1 - sagitta / np.maximum(radius, sagitta), 0.0, 1.0))
    cubic_parts = np.maximum(np.ceil(np.sqrt(0.75 * bend / sagitta)), 1)
    return Curves(cubics, arcs, cubic_parts, np.ceil(np.abs(arcs[:, 8]) / np.minimum(step, math.pi / 2)))


def inner_points(curves: Curves) -> Inner:
    """Points inside the curves, where their parts meet. Raises `TooComplex` when there would be too many."""
    keep_within("points", float(curves.cubic_parts.sum() + curves.arc_parts.sum()))
    of_cubics = _on_cubics(curves.cubics, *_cuts(curves.cubic_parts))
    if not len(curves.arcs):
        return of_cubics
    of_arcs = _on_arcs(curves.arcs, *_cuts(curves.arc_parts))
    return Inner(*(np.concatenate(pair) for pair in zip(of_cubics, of_arcs, strict=True)))


def points_on(curves: Curves, node: NDArray[np.int64], t: NDArray[np.float64]) -> Inner:
    """Points at parameters `t` of the curves that end in the nodes `node`, in no order; others have none."""
    found = []
    for rows, on in ((curves.cubics, _on_cubics), (curves.arcs, _on_arcs)):
        which = np.searchsorted(rows[:, 0], node)
        here = np.append(rows[:, 0], -1.0)[which] == node
        found.append(on(rows, which[here], t[here]))
    return Inner(*(np.concatenate(pair) for pair in zip(*found, strict=True)))


def merged(nodes: NDArray[np.float64], inner: Inner) -> tuple[NDArray[np.float64], NDArray[np.intp], NDArray[np.intp]]:
    """All points in order, the place of each node among them, and the order of (inner points, then nodes)."""
    at = np.concatenate([inner.at, np.arange(len(nodes), dtype=np.float64)])
    order = np.argsort(at, kind="stable")
    place = np.zeros(len(order), dtype=np.intp)
    place[order] = np.arange(len(order))
    return np.concatenate([inner.points, nodes])[order], place[len(inner.at) :], order


def _on_cubics(cubics: NDArray[np.float64], which: NDArray[np.intp], t: NDArray[np.float64]) -> Inner:
    p0, p1, p2, p3 = (cubics[which, i : i + 2] for i in (1, 3, 5, 7))
    u, v = (1 - t)[:, None], t[:, None]
    points = u**3 * p0 + 3 * u * u * v * p1 + 3 * u * v * v * p2 + v**3 * p3
    ahead = u * u * (p1 - p0) + 2 * u * v * (p2 - p1) + v * v * (p3 - p2)
    return Inner(cubics[which, 0] - 1 + t, points, ahead)


def _on_arcs(arcs: NDArray[np.float64], which: NDArray[np.intp], t: NDArray[np.float64]) -> Inner:
    rows = arcs[which]
    node, start, sweep = rows[:, 0], rows[:, 7], rows[:, 8]
    centre, u, v = (rows[:, i : i + 2] for i in (1, 3, 5))
    angle = start + sweep * t
    cos, sin = np.cos(angle)[:, None], np.sin(angle)[:, None]
    ahead = np.sign(sweep)[:, None] * (v * cos - u * sin)
    return Inner(node - 1 + t, centre + u * cos + v * sin, ahead)


def _cuts(parts: NDArray[np.float64]) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """For curves cut into `parts`, the index of the curve and the parameter of each inner point."""
    inner = np.maximum(parts.astype(np.int64) - 1, 0)
    which = np.repeat(np.arange(len(inner)), inner)
    rank = counted(inner) + 1
    return which, rank / np.repeat(np.maximum(parts, 1), inner)
