"""Curves to chords within a stated sagitta, all curves of a path at once.

A cubic is cut into ceil(sqrt(3/4 · M / s)) equal parts, M the larger second difference of its control points: by the
bound from the second derivative a chord then strays from the curve by at most s. An arc is cut so that
r (1 − cos(step/2)) is s, r its larger half axis.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from .limits import keep_within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .paths import Path


def flatten(path: Path, *, sagitta: float) -> list[tuple[NDArray[np.float64], bool]]:
    """Polylines of a path's subpaths, each (n, 2), and whether each is closed (without repeating its first point).

    Raises `TooComplex` when more points would come out than are let in.
    """
    if not path.nodes:
        return []
    nodes = np.array(path.nodes, dtype=np.float64)
    inner_at, inner = _inner_points(path, sagitta)
    at = np.concatenate([inner_at, np.arange(len(nodes), dtype=np.float64)])
    order = np.argsort(at, kind="stable")
    points = np.concatenate([inner, nodes])[order]
    place = np.searchsorted(at[order], np.arange(len(nodes)))  # of each node among all points
    return [(points[place[first] : place[stop - 1] + 1], closed) for first, stop, closed in path.subpaths]


def _inner_points(path: Path, sagitta: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Points strictly inside the curves, with their place in the order of nodes: node − 1 + parameter."""
    at, points = [np.zeros(0)], [np.zeros((0, 2))]
    if path.cubics:
        cubics = np.array(path.cubics)
        p0, p1, p2, p3 = (cubics[:, i : i + 2] for i in (1, 3, 5, 7))
        bend = np.maximum(np.hypot(*(p0 - 2 * p1 + p2).T), np.hypot(*(p1 - 2 * p2 + p3).T))
        which, t = _cuts(np.ceil(np.sqrt(0.75 * bend / sagitta)))
        u, v = (1 - t)[:, None], t[:, None]
        points.append(u**3 * p0[which] + 3 * u * u * v * p1[which] + 3 * u * v * v * p2[which] + v**3 * p3[which])
        at.append(cubics[which, 0] - 1 + t)
    if path.arcs:
        arcs = np.array(path.arcs)
        node, cx, cy, ux, uy, vx, vy, start, sweep = arcs.T
        radius = np.maximum(np.hypot(ux, uy), np.hypot(vx, vy))
        step = 2 * np.arccos(np.clip(1 - sagitta / np.maximum(radius, sagitta), 0.0, 1.0))
        which, t = _cuts(np.ceil(np.abs(sweep) / np.minimum(step, math.pi / 2)))
        angle = start[which] + sweep[which] * t
        cos, sin = np.cos(angle), np.sin(angle)
        points.append(
            np.column_stack(
                [cx[which] + ux[which] * cos + vx[which] * sin, cy[which] + uy[which] * cos + vy[which] * sin]
            )
        )
        at.append(node[which] - 1 + t)
    return np.concatenate(at), np.concatenate(points)


def _cuts(parts: NDArray[np.float64]) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """For curves cut into `parts`, the index of the curve and the parameter of each inner point."""
    keep_within("points", float(parts.sum()))
    inner = np.maximum(parts.astype(np.int64) - 1, 0)
    which = np.repeat(np.arange(len(inner)), inner)
    rank = np.arange(len(which)) - np.repeat(np.cumsum(inner) - inner, inner) + 1
    return which, rank / np.repeat(np.maximum(parts, 1), inner)


def crossings(starts: NDArray[np.float64], ends: NDArray[np.float64]) -> float:
    """Estimate how often segments (n, 2) → (n, 2) cross each other, from a fixed sample tested against all."""
    count = len(starts)
    sample = np.unique(np.linspace(0, count - 1, int(np.clip(4e6 / max(count, 1), 16, 256))).astype(np.int64))
    p, q = starts[sample][:, None], ends[sample][:, None]
    apart = _turn(p, q, starts) * _turn(p, q, ends) < 0
    apart &= _turn(starts, ends, p) * _turn(starts, ends, q) < 0
    return float(apart.sum()) * count / len(sample) / 2


def _turn(a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64]) -> NDArray[np.float64]:
    return (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
