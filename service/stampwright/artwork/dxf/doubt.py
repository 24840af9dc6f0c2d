"""Outlines about which the even-odd rule may not say what was meant: they cross each other, or run over themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.artwork.limits import keep_within
from stampwright.artwork.tangle import keep_untangled
from stampwright.base.quantities import MM_PER_CSS_PX
from stampwright.base.tolerances import SLIVER_MM2
from stampwright.plane import section_of_rings

from .lines import lines_of, points_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .strands import Strand

_CHORD_MM = 0.005  # on the finished face: areas in doubt are told, not cut
_MOST_PAIRS = 200  # whose common area is measured; of more the sum is said to be at least that


class Doubt(NamedTuple):
    """Which outlines, and how much lies in two of them or twice in one, in mm² as drawn."""

    outlines: list[int]
    area: float


def doubts(outlines: Sequence[Strand], *, scale: float) -> Doubt:
    """Find outlines that cross. Raises `TooComplex` when they do so too often."""
    if not outlines:
        return Doubt([], 0.0)
    rings = points_of(outlines, sagitta=_CHORD_MM / scale)
    middle = np.concatenate(rings).mean(axis=0)
    keep_untangled([(ring[:-1] - middle) / MM_PER_CSS_PX for ring in rings])
    lines, least = lines_of(rings), SLIVER_MM2 / scale**2
    areas = dict.fromkeys(np.flatnonzero(~shapely.is_simple(lines)).tolist(), 0.0)
    found = {i: area for i in areas if (area := _twice(rings[i])) > least}
    total = sum(found.values())
    for i, j in _touching(lines)[:_MOST_PAIRS]:
        area = _overlap(rings[i], rings[j], least)
        if area > least:
            total += area
            found |= {i: area, j: area}
    return Doubt(sorted(found), total)


def _touching(lines: NDArray[np.object_]) -> list[tuple[int, int]]:
    i, j = shapely.STRtree(lines).query(lines, predicate="intersects")
    keep_within("touching", (len(i) - len(lines)) / 2)  # sides on sides cost the painter far more than crossings do
    return [(int(a), int(b)) for a, b in zip(i, j, strict=True) if a < b]


def _twice(ring: NDArray[np.float64]) -> float:
    """Area that an outline goes around more than once the same way."""
    return float(section_of_rings([ring], "nonzero").area() - section_of_rings([ring], "evenodd").area())


def _overlap(a: NDArray[np.float64], b: NDArray[np.float64], least: float) -> float:
    """Area inside of both, when neither holds the other."""
    one, other = section_of_rings([a], "evenodd"), section_of_rings([b], "evenodd")
    common = float((one ^ other).area())
    return common if min(one.area(), other.area()) - common > least else 0.0
