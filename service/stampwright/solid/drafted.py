"""Sloping walls: the whole front of the relief as one height field over the head.

The surface is z(p) = −min(relief, d(p) / tan draft), d the distance to the ink: what a tapered cutter leaves that
follows the outline. It slopes outwards, turns round outer corners, and where two walls meet before the floor their
planes form a sharp valley. Its lines mostly meet in their ends; where rounding made some cross, they are noded anew.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base import DoesNotFit
from stampwright.base.tolerances import GRID_MM, GRID_PER_MM
from stampwright.plane import diagram_of

from .cells import floor_lines
from .mesh import Patch, plan_keys
from .plan import plan_along
from .regions import directed_edges
from .slopes import Lines, slope_lines

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.plane import Diagram

    Floats = NDArray[np.float64]

_ON_FLOOR_MM = 2 * GRID_MM  # places this near to the foot are on the floor: rounding moves each of them by less


def drafted_front(  # noqa: PLR0913  each a separate fact of the job
    lands: shapely.MultiPolygon,
    head: shapely.Polygon,
    *,
    diagram: Diagram | None,
    relief_mm: float,
    draft_deg: float,
    chord_mm: float,
) -> Patch:
    """Triangles of the front, facing up: top of the lands at 0, the floor at −relief. `diagram` of the lands, if made.

    Raises `DoesNotFit` when the foot of a land leaves the head, `InternalFault` when the front will not close.
    """
    reach_mm = relief_mm * math.tan(math.radians(draft_deg))
    _check_foot(lands, head, reach_mm=reach_mm, relief_mm=relief_mm)
    ink, rim = directed_edges(lands), directed_edges(head)
    found = floor_lines(diagram or diagram_of(lands), reach_mm=reach_mm)
    slopes = slope_lines(found, reach_mm=reach_mm, chord_mm=chord_mm)
    parts = [Lines(ink, np.zeros(ink.shape[:2])), slopes, Lines(rim, np.full(rim.shape[:2], reach_mm))]
    lines = Lines(_rounded(np.concatenate([part.xy for part in parts])), np.concatenate([part.depth for part in parts]))
    plan = plan_along(
        lines.xy,
        fixed=np.concatenate([ink, rim]),
        meets=False,
        fits=lambda plan: plan.fills(head),
        depth_of=lambda places: _depths_mm(places, lines, lands),
    )
    depth_mm = np.where(plan.depth >= reach_mm - _ON_FLOOR_MM, reach_mm, plan.depth)
    return Patch(np.column_stack([plan.xy, -relief_mm * (depth_mm / reach_mm)]), plan.corners)


def _check_foot(lands: shapely.MultiPolygon, head: shapely.Polygon, *, reach_mm: float, relief_mm: float) -> None:
    room_mm = float(shapely.distance(lands, head.exterior)) - 2 * _ON_FLOOR_MM
    if reach_mm < room_mm:
        return
    most_deg = math.degrees(math.atan2(max(room_mm, 0.0), relief_mm))
    detail = (
        f"the foot of the walls is {reach_mm:.2f} mm wider than the lands on every side and leaves the head, "
        f"{max(room_mm, 0.0):.2f} mm away: give a draft of at most {math.floor(10 * most_deg) / 10:g} degrees, "
        f"a larger margin or a lower relief"
    )
    raise DoesNotFit.at("foot-off-head", detail, pointer="/job/relief/draft_deg")


def _rounded(xy: Floats) -> Floats:
    return np.rint(xy * GRID_PER_MM) / GRID_PER_MM + 0.0


def _depths_mm(places: Floats, lines: Lines, lands: shapely.MultiPolygon) -> Floats:
    """Distance to the ink at places (n, 2) in the order of their keys: known where a line ends, else measured."""
    depth = np.full(len(places), np.inf)
    np.minimum.at(depth, np.searchsorted(plan_keys(places), plan_keys(lines.xy).ravel()), lines.depth.ravel())
    new = np.isinf(depth)
    if np.any(new):
        shapely.prepare(lands)
        depth[new] = shapely.distance(lands, shapely.points(places[new]))
    return depth
