"""The last flat cutter: the largest whose leavings hold the limits, so that no mark is milled finer than it asks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.tolerances import SLIVER_MM2
from stampwright.plane import counters_of, grown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stampwright.catalogue import Cutter
    from stampwright.job import Limits
    from stampwright.plane import Closings


@dataclass(frozen=True, slots=True)
class Finest:
    """The last flat cutter, and whether what it leaves holds the limits of the job."""

    cutter: Cutter
    holds: bool
    faithful_share: float  # of the outline, within the deviation
    says: str


def faithful_share(closings: Closings, radius_mm: float, *, deviation_mm: float) -> float:
    """Share of the ink's outline that a cutter leaves within `deviation_mm` of where it was drawn [0 to 1]."""
    outline = shapely.boundary(closings.ink)
    buried = grown(closings.closed(radius_mm), -deviation_mm)
    return 1 - float(shapely.length(shapely.intersection(outline, buried)) / shapely.length(outline))


def openings(closings: Closings, radius_mm: float) -> tuple[int, int]:
    """Lands still apart and counters still open behind a cutter: both only fall as it grows."""
    closed = closings.closed(radius_mm)
    holes = counters_of(closed)
    holes = holes[shapely.area(holes) > SLIVER_MM2]
    counters = counters_of(closings.ink)
    at, _ = shapely.STRtree(counters).query(shapely.point_on_surface(holes), predicate="within")
    return len(closed.geoms), len(np.unique(at))


def finest_needed(rack: Sequence[Cutter], closings: Closings, limits: Limits) -> Finest:
    """Choose from flat cutters, largest first; the smallest when none holds the limits.

    To hold means: the share of the outline within the deviation is enough, and no gap closes and no counter fills
    that the smallest cutter of the rack would open.
    """
    wanted = openings(closings, rack[-1].diameter_mm / 2)
    for cutter in rack:
        radius_mm = cutter.diameter_mm / 2
        if openings(closings, radius_mm) != wanted:
            continue
        share = faithful_share(closings, radius_mm, deviation_mm=limits.deviation_mm)
        within = f"{100 * share:.1f} % of the outline within {limits.deviation_mm:.3g} mm"
        if share >= limits.faithful:
            return Finest(
                cutter,
                holds=True,
                faithful_share=share,
                says=f"it leaves {within}, every gap and counter open that a flat one opens",
            )
    asked = f"{within} where {100 * limits.faithful:.3g} % is asked"
    return Finest(cutter, holds=False, faithful_share=share, says=f"the smallest of the rack, and it leaves {asked}")
