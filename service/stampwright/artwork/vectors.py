"""Vectors of the plane, row by row."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray


def cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    """Cross products of vectors (n, 2): positive where b lies to the left of a."""
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def angles_between(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    """Angles between vectors (n, 2) [rad], 0 to π."""
    return np.asarray(np.arctan2(np.abs(cross(a, b)), np.einsum("ij,ij->i", a, b)))
