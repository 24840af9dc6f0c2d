"""The last flat cutter: the largest whose leavings hold the limits, so that no mark is milled finer than it asks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.tolerances import SLIVER_MM2
from stampwright.plane import counters_of
from stampwright.review import faithful_shares, uncut_by

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stampwright.catalogue import Cutter
    from stampwright.job import Limits
    from stampwright.plane import Axis, Closings


@dataclass(frozen=True, slots=True)
class Finest:
    """The last flat cutter, and whether what it leaves holds the limits of the job."""

    cutter: Cutter
    holds: bool
    faithful_share: float  # of the outline, within the deviation
    says: str


def shares_faithful(axis: Axis, radii_mm: Sequence[float], deviation_mm: float) -> list[float]:
    """Share of the outline that each cutter leaves within `deviation_mm` of where it was drawn [0 to 1]."""
    uncut = uncut_by(axis, np.array(radii_mm))
    return [float(share) for share in faithful_shares(uncut, np.full(len(radii_mm), deviation_mm))]


def openings(closings: Closings, radius_mm: float) -> tuple[int, int]:
    """Lands still apart and counters still open behind a cutter: both only fall as it grows."""
    closed = closings.closed(radius_mm)
    holes = counters_of(closed)
    holes = holes[shapely.area(holes) > SLIVER_MM2]
    counters = counters_of(closings.ink)
    at, _ = shapely.STRtree(counters).query(shapely.point_on_surface(holes), predicate="within")
    return len(closed.geoms), len(np.unique(at))


def finest_needed(
    rack: Sequence[Cutter], axis: Axis, closings: Closings, limits: Limits, *, known: Mapping[str, float] | None = None
) -> Finest:
    """Choose from flat cutters, largest first; the smallest when none holds the limits.

    `known`: shares of the outline that are reckoned already, by the key of their cutter.

    To hold means: the share of the outline within the deviation is enough, and no gap closes and no counter fills
    that the smallest cutter of the rack would open.
    """
    radii_mm = [cutter.diameter_mm / 2 for cutter in rack]
    known = known or {}
    asked = [cutter.diameter_mm / 2 for cutter in rack if cutter.key not in known]
    found = iter(shares_faithful(axis, asked, limits.deviation_mm) if asked else ())
    shares = [known[cutter.key] if cutter.key in known else next(found) for cutter in rack]
    within = [f"{100 * share:.1f} % of the outline within {limits.deviation_mm:.3g} mm" for share in shares]
    for cutter, radius_mm, share, reached in zip(rack, radii_mm, shares, within, strict=True):
        if share < limits.faithful:  # asked first: it needs no areas
            continue
        if cutter is rack[-1] or openings(closings, radius_mm) == openings(closings, radii_mm[-1]):
            open_still = "every gap and counter open that a flat one opens"
            return Finest(cutter, holds=True, faithful_share=share, says=f"it leaves {reached}, {open_still}")
    says = f"the smallest of the rack, and it leaves {within[-1]} where {100 * limits.faithful:.3g} % is asked"
    return Finest(rack[-1], holds=False, faithful_share=shares[-1], says=says)
