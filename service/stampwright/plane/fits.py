"""Floor just as wide as a disc: where a cutter passes or enters that its own radius, to the last digit, would keep out.

A slot drawn as wide as the cutter is narrower than it once it lies on the grid, and the chords of a round counter take
their sagitta off its radius. Such places count as open, here for all who ask: what a review says passes, the plan cuts.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base.tolerances import GRID_MM, WIDTH_MM

from .along import lines_between
from .axis import joined

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .axis import Axis

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Geometries = NDArray[np.object_]

RIB_DEG = 160.0
"""Separation from which walls count as facing each other (a wedge of up to 20°): there a width has a meaning. From 120
to 175° the number of thin places found falls evenly, without a step."""

FIT_MM = WIDTH_MM / 2
"""What may lack to the radius of a cutter: so exactly widths are told. Its walls are grazed by as much."""

_LEVEL_DEG = 174.0
"""Separation from which walls run side by side: those of a gap as wide as a cutter do, but for the chords of curves."""

_MIDDLE_MM = 4 * GRID_MM
"""The middle of a regular counter is several points of the axis, which the grid makes wider and less wide."""

_CLEARLY_MM = WIDTH_MM  # walls of chords are wider and less wide by less

_SPACING_MM = 0.1  # of points on the lines


def passable(axis: Axis, radii_mm: Floats) -> Bools:
    """Rows (q, n) of ribs of the floor that discs of `radii_mm` (q,) pass.

    A hair too narrow may be a gap that is level somewhere and narrower nowhere: no mouth of one that goes on narrowing.
    """
    rib = ~axis.in_ink & (axis.separation_low_deg >= RIB_DEG)
    wanted = radii_mm[:, None]
    out = rib & (axis.low_mm >= wanted)
    just = rib & (axis.low_mm >= wanted - FIT_MM) & ~out
    if not (just & (axis.separation_low_deg >= _LEVEL_DEG)).any():
        return np.asarray(out)
    cut, row = np.nonzero(just)
    apart = cut * len(axis.radius_mm)  # gaps of different radii share no vertex
    end, at_end = np.unique([apart + axis.low[row], apart + axis.high[row]], return_inverse=True)
    which, vertex = np.divmod(end, len(axis.radius_mm))
    short = axis.radius_mm[vertex] < radii_mm[which]
    begins, ends = at_end.reshape(2, -1)
    gap = joined(begins, ends, short)
    fits, narrows = np.zeros((2, int(gap.max()) + 1), dtype=bool)
    fits[gap[axis.separation_low_deg[row] >= _LEVEL_DEG]] = True
    goes_on = short & (_narrowest_rib_mm(axis, rib)[vertex] < radii_mm[which] - FIT_MM)
    narrows[gap[goes_on[begins] | goes_on[ends]]] = True
    through = (fits & ~narrows)[gap]
    out[cut[through], row[through]] = True
    return np.asarray(out)


def _narrowest_rib_mm(axis: Axis, rib: Bools) -> Floats:
    """Least radius of the ribs that meet in each vertex, (m,)."""
    out = np.full(len(axis.radius_mm), np.inf)
    for end in (axis.low[rib], axis.high[rib]):
        np.minimum.at(out, end, axis.low_mm[rib])
    return out


def entered(axis: Axis, radii_mm: Floats, passed: Bools) -> Bools:
    """Vertices (q, m) a hair below the radius that count as reached: on `passed` ribs, where ground is widest."""
    out = np.zeros((len(radii_mm), len(axis.radius_mm)), dtype=bool)
    cut, row = np.nonzero(passed)
    out[cut, axis.low[row]] = True
    out[cut, axis.high[row]] = True
    cut, row = _widest(axis, radii_mm)
    out[cut, axis.high[row]] = True
    return out


def ways_through(axis: Axis, radius_mm: float) -> Geometries:
    """The same as lines, along which the centre of a disc runs, and points; and where the disc fits to the digit."""
    radii_mm, below_mm = np.array([radius_mm]), radius_mm + GRID_MM
    row = np.flatnonzero(passable(axis, radii_mm)[0] & (axis.low_mm < below_mm))
    _, widest = _widest(axis, radii_mm)
    if not len(row) and not len(widest):
        return np.zeros(0, dtype=object)
    _, _, lines = lines_between(axis, row, 0.0, below_mm, _SPACING_MM)
    return np.concatenate([lines, shapely.points(axis.vertices[np.unique(axis.high[widest])])])


def _widest(axis: Axis, radii_mm: Floats) -> tuple[Ints, Ints]:
    """Rows whose high end is the widest place of ground that discs of `radii_mm` (q,) only just enter.

    Such ground leads to nothing wider, but through what is clearly narrower: a closed floor, the middle of a joint.
    """
    none, wanted = np.zeros(0, dtype=np.int64), radii_mm[:, None]
    peaks_mm = axis.radius_mm[axis.peaks]
    some = np.flatnonzero(((peaks_mm >= wanted - FIT_MM) & (peaks_mm < wanted + GRID_MM)).any(axis=1))
    if not len(some):
        return none, none
    wanted = wanted[some]
    ground = (axis.radius_mm >= wanted - FIT_MM - _CLEARLY_MM) & (axis.radius_mm < wanted + GRID_MM)
    cut, row = np.nonzero(~axis.in_ink & ground.take(axis.high, axis=1))
    apart = cut * len(axis.radius_mm)  # grounds of different radii share no vertex
    begins, ends = apart + axis.low[row], apart + axis.high[row]
    group = joined(begins, ends, ground.ravel())
    leads_on = (ground & (axis.rises_to_mm >= wanted + GRID_MM)).ravel()
    widest_mm, leads = np.zeros(int(group.max()) + 1), np.zeros(int(group.max()) + 1, dtype=bool)
    np.maximum.at(widest_mm, group, axis.high_mm[row])
    leads[group[leads_on[begins] | leads_on[ends]]] = True
    enters = (widest_mm[group] >= wanted[cut, 0] - FIT_MM) & ~leads[group]
    own = enters & (axis.high_mm[row] >= widest_mm[group] - _MIDDLE_MM)
    return some[cut[own]], row[own]
