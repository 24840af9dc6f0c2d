"""Strands as polylines of shapely, flattened once for all comparisons."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.artwork.flatten import flatten
from stampwright.artwork.limits import keep_within

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .strands import Strand


def points_of(strands: Sequence[Strand], *, sagitta: float) -> list[NDArray[np.float64]]:
    """Each strand flattened, (n, 2), two points at least. Raises `TooComplex` when they come to too many."""
    count, found = 0, []
    for strand in strands:
        ((points, closed),) = flatten(strand.path, sagitta=sagitta)
        found.append(np.concatenate([points, points[:1]]) if closed or len(points) == 1 else points)
        count += len(points)
        keep_within("points", count)
    return found


def lines_of(points: Sequence[NDArray[np.float64]]) -> NDArray[np.object_]:
    """Polylines of shapely."""
    which = np.repeat(np.arange(len(points)), [len(part) for part in points])
    every = np.concatenate(points) if points else np.zeros((0, 2))
    return np.asarray(shapely.linestrings(every, indices=which))
