"""Strands that are drawn twice: by the even-odd rule a second copy would take away what the first one gives."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy.spatial import cKDTree

from stampwright.artwork.limits import keep_within

from .lines import lines_of, points_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .strands import Strand

ALIKE_MM = 0.01  # on the finished face; our choice, the least that nobody draws on purpose
_OF_ITS_SIZE = 0.05  # of a strand's own diagonal: neighbours among tiny strands are no copies


def copies(strands: Sequence[Strand], *, scale: float) -> set[int]:
    """Indices of strands that repeat an earlier one, whatever their direction, start and way of writing."""
    if len(strands) < 2:
        return set()
    within = ALIKE_MM / scale
    lines = lines_of(points_of(strands, sagitta=within / 4))
    boxes = shapely.bounds(lines)
    sizes = np.hypot(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    most = np.minimum(within, _OF_ITS_SIZE * sizes)
    signs = np.column_stack([boxes, shapely.get_coordinates(shapely.centroid(lines))])
    shapely.prepare(lines)
    found: set[int] = set()
    for i, j in _candidates(signs, within):
        if i not in found and j not in found and _same(lines[i], lines[j], min(most[i], most[j])):
            found.add(j)
    return found


def _candidates(signs: NDArray[np.float64], within: float) -> list[tuple[int, int]]:
    """Pairs whose boxes and centroids agree, the earlier one first; among equals the first stands for all."""
    _, first, of = np.unique(np.round(signs / within * 1e3), axis=0, return_index=True, return_inverse=True)
    equal = [(int(first[k]), i) for i, k in enumerate(of.ravel().tolist()) if first[k] != i]
    tree = cKDTree(signs[first])
    keep_within("alike", float(tree.count_neighbors(tree, 2 * within, p=np.inf)) - len(first))
    near = np.sort(first[tree.query_pairs(2 * within, p=np.inf, output_type="ndarray")], axis=1)
    return sorted({*equal, *((int(i), int(j)) for i, j in near)})


def _same(a: shapely.LineString, b: shapely.LineString, within: float) -> bool:
    """Whether every vertex of each lies that near to the other."""
    return all(
        bool(shapely.dwithin(line, shapely.points(shapely.get_coordinates(other)), within).all())
        for line, other in ((a, b), (b, a))
    )
