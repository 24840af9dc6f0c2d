"""Affine maps as in SVG: (a, b, c, d, e, f) takes (x, y) to (a x + c y + e, b x + d y + f)."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.base import Bounds

Affine = tuple[float, float, float, float, float, float]

IDENTITY: Affine = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def times(m: Affine, n: Affine) -> Affine:
    """The map that does `n` first, then `m`."""
    a, b, c, d, e, f = m
    g, h, i, j, k, l = n  # noqa: E741  the letters of the standard's matrix
    return (a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * l + e, b * k + d * l + f)


def shift(x: float, y: float) -> Affine:
    """A translation."""
    return (1.0, 0.0, 0.0, 1.0, x, y)


def about(m: Affine, x: float, y: float) -> Affine:
    """The map `m` done about the point (x, y) as its origin."""
    return times(shift(x, y), times(m, shift(-x, -y)))


def inverse(m: Affine) -> Affine | None:
    """The map that undoes `m`; None when it flattens the plane."""
    a, b, c, d, e, f = m
    det = a * d - b * c
    if det == 0 or not math.isfinite(det):
        return None
    return (d / det, -b / det, -c / det, a / det, (c * f - d * e) / det, (b * e - a * f) / det)


def stretch(m: Affine) -> float:
    """Largest factor by which a length can grow: the larger singular value."""
    a, b, c, d = m[:4]
    return (math.hypot(a + d, b - c) + math.hypot(a - d, b + c)) / 2


def moved(points: NDArray[np.float64], m: Affine) -> NDArray[np.float64]:
    """Apply `m` to points of shape (n, 2)."""
    a, b, c, d, e, f = m
    x, y = points[:, 0], points[:, 1]
    return np.column_stack([a * x + c * y + e, b * x + d * y + f])


def moved_rings(rings: list[NDArray[np.float64]], m: Affine) -> list[NDArray[np.float64]]:
    """Apply `m` to rings, each (n, 2)."""
    if m == IDENTITY or not rings:
        return rings
    ends = np.cumsum([len(ring) for ring in rings]).tolist()
    points = moved(np.concatenate(rings), m)
    return [points[i:j] for i, j in itertools.pairwise([0, *ends])]


def moved_box(box: Bounds, m: Affine) -> Bounds:
    """Box of a box's image."""
    x0, y0, x1, y1 = box
    a, b, c, d, e, f = m
    xs = [a * x + c * y + e for x in (x0, x1) for y in (y0, y1)]
    ys = [b * x + d * y + f for x in (x0, x1) for y in (y0, y1)]
    return min(xs), min(ys), max(xs), max(ys)
