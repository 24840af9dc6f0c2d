"""Vectors of the plane, row by row."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray


_TO_THE_LEFT = np.array([-1.0, 1.0])  # of (y, x)


def left(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    """Vectors (..., 2) turned to their left, as long as they were."""
    return np.asarray(vectors[..., ::-1] * _TO_THE_LEFT)


def cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    """Cross products of vectors (n, 2): positive where b lies to the left of a."""
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def turns_between(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    """Angles from vectors (n, 2) to others [rad], −π to π: positive to the left."""
    return np.asarray(np.arctan2(cross(a, b), np.einsum("ij,ij->i", a, b)))


def angles_between(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    """Angles between vectors (n, 2) [rad], 0 to π."""
    return np.abs(turns_between(a, b))
