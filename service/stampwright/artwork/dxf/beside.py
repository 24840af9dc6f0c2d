"""Which strands do not lie on given outlines, such as the boundaries of hatches, which they would only draw again."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from .lines import lines_of, points_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .strands import Strand


def beside(strands: Sequence[Strand], boundaries: Sequence[Strand], *, within: float) -> list[Strand]:
    """The strands that stray from all boundaries by more than that."""
    if not strands or not boundaries:
        return list(strands)
    points = [_with_middles(part) for part in points_of(strands, sagitta=within / 10)]
    edges = shapely.multilinestrings(lines_of(points_of(boundaries, sagitta=within / 10)))
    shapely.prepare(edges)
    every = shapely.points(np.concatenate(points))
    on = shapely.dwithin(edges, every, within)
    which = np.repeat(np.arange(len(points)), [len(part) for part in points])
    strays = set(which[~on].tolist())
    return [strand for i, strand in enumerate(strands) if i in strays]


def _with_middles(points: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.concatenate([points, (points[1:] + points[:-1]) / 2])
