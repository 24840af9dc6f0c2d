"""Minutes before a path is laid, for the search of cutters: area over stepover and feed, and a share of the outline.

The shares were fitted to laid paths of eighteen marks, 188 stages of every pair of cutters: estimate over laid time is
0.86 to 1.10 for a first cutter and 0.86 to 1.11 for a later one (tenth to ninetieth percentile), and choosing cutters
by it alone cost those marks 0.3 % at most. Acceleration is left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import shapely

if TYPE_CHECKING:
    from stampwright.job import Machine

    from .settings import Setting

CLEARANCE_MM = 1.0  # above the face, for every lift; common practice, no source
RAMP_DEG = 3.0  # entry into brass, helix or ramp: 3 to 10° is usual, 2 to 3° below 1 mm; common practice, no source

_FIRST = (1.37, 0.0023, 0.0, 0.206)  # share of area/(ae vf); min per mm of outline; min per part; min per hole
_LATER = (1.515, 0.0015, 0.055, 0.0)
_FITTED_PASSES, _FITTED_LIFT_MIN = 3, 1 / 60  # what all but the first are for


def lift_min(relief_mm: float, machine: Machine) -> float:
    """One lift over the face and down again, without the way between [min]."""
    return 2 * (relief_mm + CLEARANCE_MM) / machine.lift_mm_per_min


class Extent(NamedTuple):
    """What of a ground its clearing is estimated by."""

    area_mm2: float
    outline_mm: float
    parts: int
    holes: int

    @classmethod
    def of(cls, ground: shapely.MultiPolygon) -> Extent:
        """Measure a ground."""
        parts = shapely.get_parts(ground)
        return cls(ground.area, ground.length, len(parts), int(shapely.get_num_interior_rings(parts).sum()))


def clearing_min(ground: Extent, setting: Setting, *, first: bool, relief_mm: float, machine: Machine) -> float:
    """Estimate for clearing a ground to the relief [min]; the first cutter starts from the open edge of the block."""
    share, per_mm, per_part, per_hole = _FIRST if first else _LATER
    bare = setting.passes * ground.area_mm2 / (setting.ae_mm * setting.feed_mm_per_min)
    lifts = lift_min(relief_mm, machine) / _FITTED_LIFT_MIN * setting.passes / _FITTED_PASSES
    lifted = per_mm * ground.outline_mm + per_part * ground.parts + per_hole * ground.holes
    return float(share * bare + lifted * lifts)


def following_min(length_mm: float, rings: int, setting: Setting, *, relief_mm: float, machine: Machine) -> float:
    """Follow lines of known length, one lift a ring and pass [min]."""
    cutting = setting.passes * length_mm / setting.feed_mm_per_min
    return cutting + setting.passes * rings * lift_min(relief_mm, machine)
