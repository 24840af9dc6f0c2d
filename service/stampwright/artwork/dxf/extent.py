"""The exact box of paths: nodes, the turning points of arcs and of cubics."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from stampwright.artwork.paths import Path
    from stampwright.base import Bounds


def extent_of(paths: Sequence[Path]) -> Bounds | None:
    """The box of all of them; None when there are none."""
    points = [np.array(path.nodes).reshape(-1, 2) for path in paths]
    arcs = np.array([row for path in paths for row in path.arcs]).reshape(-1, 9)
    cubics = np.array([row for path in paths for row in path.cubics]).reshape(-1, 9)
    every = np.concatenate([*points, *_turns_of_arcs(arcs), *_turns_of_cubics(cubics)])
    if not len(every):
        return None
    (x0, y0), (x1, y1) = every.min(axis=0).tolist(), every.max(axis=0).tolist()
    return x0, y0, x1, y1


def _turns_of_arcs(rows: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Points of arcs where x or y turns: c ± hypot(u, v), where the arc comes by."""
    found = []
    for axis in (0, 1):
        angle = np.arctan2(rows[:, 5 + axis], rows[:, 3 + axis])
        for t in (angle, angle + np.pi):
            begin, sweep = rows[:, 7], rows[:, 8]
            passed = np.where(sweep >= 0, t - begin, begin - t) % (2 * np.pi) <= np.abs(sweep)
            cos, sin = np.cos(t)[:, None], np.sin(t)[:, None]
            found.append((rows[:, 1:3] + rows[:, 3:5] * cos + rows[:, 5:7] * sin)[passed])
    return found


def _turns_of_cubics(rows: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Points of cubics where the derivative of x or y, a quadratic, has a root within."""
    p0, p1, p2, p3 = (rows[:, i : i + 2] for i in (1, 3, 5, 7))
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0
    found = []
    for axis in (0, 1):
        root = np.sqrt(np.maximum(b * b - 4 * a * c, 0.0))[:, axis]
        q = -(b[:, axis] + np.copysign(root, b[:, axis])) / 2
        for at in (q / a[:, axis], c[:, axis] / q):
            t = np.where((at > 0) & (at < 1), at, 0.0)[:, None]
            u = 1 - t
            found.append(u**3 * p0 + 3 * u * u * t * p1 + 3 * u * t * t * p2 + t**3 * p3)
    return found
