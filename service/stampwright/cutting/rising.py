r"""Where a pointed cutter rises: into inside corners, and along gaps too narrow for it to go to the floor.

Its axis runs in the middle, where the outline is equally near on both sides, as deep as that distance lets it:
(distance − half the tip) / tan(half angle). It leaves a groove of the section (distance² − half the tip²) / tan.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base.tolerances import WIDTH_MM
from stampwright.plane import lines_between, polygons_of, spaced

if TYPE_CHECKING:
    from stampwright.catalogue import Cutter
    from stampwright.plane import Axis

_DEEP_MM, _DEEP_SHARE = 0.5, 0.5  # or of a lower relief; common practice, no source
_FACING_DEG = 160.0  # walls that lean by more than 20 degrees towards each other make a corner, and no gap
_SPACING_MM = 0.05  # of points along the middle line; between them it is taken as straight


class Rising(NamedTuple):
    """Middle lines, the ground of the gaps they groove, and the metal they take from these [mm³]."""

    lines: shapely.Geometry
    grooved: shapely.MultiPolygon
    removed_mm3: float


def parted_share(cutter: Cutter, *, axis: Axis, below_mm: float, relief_mm: float) -> float:
    """Share of the outline beside gaps narrower than a radius `below_mm` that the cutter keeps apart [0 to 1].

    That is where its groove is half a millimetre deep, or half of a relief below a millimetre: walls that far apart at
    the face, and so deep, press their own lines into wood and leather, and no blot.
    """
    slope = math.tan(math.radians(cutter.half_angle_deg))
    least_mm = cutter.tip_mm / 2 + min(_DEEP_MM, _DEEP_SHARE * relief_mm) * slope
    faces = ~axis.in_ink & (axis.separation_low_deg >= _FACING_DEG)
    row = np.flatnonzero(faces & (axis.low_mm < below_mm) & (axis.high_mm > least_mm))
    if least_mm >= below_mm or not len(row):
        return 0.0
    _, _, lines = lines_between(axis, row, least_mm, below_mm, _SPACING_MM)
    return 2 * float(shapely.length(lines).sum() / np.hypot(*(axis.walls[:, 1] - axis.walls[:, 0]).T).sum())


def rising(cutter: Cutter, *, axis: Axis, left: shapely.MultiPolygon, relief_mm: float) -> Rising:
    """Follow the middle of what is narrower than the cutter at the face; `left`: what it leaves at full depth.

    `axis` is that of the outlines. Of counters that are bored it has nothing to follow: they are wider, and round.
    """
    tip_mm, face_mm = cutter.tip_mm / 2, cutter.radius_at_mm(relief_mm)
    # a corner that the cutter rounds by less than widths are told is not gone into
    wide_deg = 2 * math.degrees(math.acos(face_mm / (face_mm + WIDTH_MM)))
    row = np.flatnonzero(
        ~axis.in_ink & (axis.low_mm < face_mm) & (axis.high_mm > tip_mm) & (axis.separation_low_deg > wide_deg)
    )
    owner, points = spaced(axis, row, _SPACING_MM)
    within = (points.radius_mm >= tip_mm) & (points.radius_mm <= face_mm)
    joined = (owner[1:] == owner[:-1]) & within[1:] & within[:-1]
    ends = np.stack([points.at[:-1], points.at[1:]], axis=1)[joined]
    mean_mm = (points.radius_mm[:-1] + points.radius_mm[1:])[joined] / 2
    shapely.prepare(left)
    in_left = np.asarray(shapely.contains_xy(left, *ends.mean(axis=1).T), dtype=bool)
    section_mm2 = (mean_mm**2 - tip_mm**2) / math.tan(math.radians(cutter.half_angle_deg))
    taken_mm3 = float(np.sum((section_mm2 * np.hypot(*(ends[:, 1] - ends[:, 0]).T))[in_left]))
    runs = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(shapely.linestrings(ends[in_left]))))
    opened = shapely.union_all(shapely.buffer(runs, face_mm))  # of all at once the library crosses each with each
    return Rising(shapely.linestrings(ends), polygons_of(shapely.intersection(opened, left)), taken_mm3)
