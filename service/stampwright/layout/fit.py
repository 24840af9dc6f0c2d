"""How large the mark comes out: contained in the field, at its true size, or at a width or height that is asked for.

All of it goes by the ink, not by the page. The centre of the turned ink's box comes to the centre of the head, and:

* contain: the largest scale at which every point of the turned ink lies in the field, the head less its margin. On a
  rectangle that is the box of the ink against the box of the field; at round corners, and on a round head, the ink's
  own outline decides, so that a ring fills a disc.
* sized: width or height of the turned ink's box, measured on the print.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base import JobError

from .head import field_of

if TYPE_CHECKING:
    from stampwright.base import Bounds
    from stampwright.job import Head, Placement

    from .mirror import AsSeen


def scale_for(bounds_mm: Bounds, *, head: Head, placement: Placement) -> float:
    """Bound the scale from above by the ink's box alone: what curves are flattened for, before the ink is known.

    Exact on a rectangular head with sharp corners in its field and quarter turns; never less than the scale that
    `exact_scale` finds, unless a turned mark is sized beyond the field. Raises `JobError` and `DoesNotFit`.
    """
    width_mm, height_mm = bounds_mm[2] - bounds_mm[0], bounds_mm[3] - bounds_mm[1]
    field = field_of(head, placement.margin_mm)
    if placement.fit == "actual_size":
        return 1.0
    if placement.turn_deg % 90:
        # the ink may be a slanting line that the turn lays flat: only its length is sure, at least the longer side
        longest = field.diagonal_mm / max(width_mm, height_mm)
        return max(longest, _sized(placement, width_mm + height_mm, width_mm + height_mm) or 0.0)
    if placement.turn_deg % 180:
        width_mm, height_mm = height_mm, width_mm
    sized = _sized(placement, width_mm, height_mm)
    return sized or min(_ratio(2 * field.half_width_mm, width_mm), _ratio(2 * field.half_height_mm, height_mm))


def exact_scale(turned: AsSeen, *, head: Head, placement: Placement) -> float:
    """Scale of the ink once it is turned. Raises `JobError` and `DoesNotFit`."""
    field = field_of(head, placement.margin_mm)
    if placement.fit == "actual_size":
        return 1.0
    x0, y0, x1, y1 = turned.area.bounds
    sized = _sized(placement, x1 - x0, y1 - y0)
    if sized:
        return sized
    corners = shapely.get_coordinates(shapely.convex_hull(turned.area))
    return field.largest_scale(corners - np.array([(x0 + x1) / 2, (y0 + y1) / 2]))


def _sized(placement: Placement, width_mm: float, height_mm: float) -> float | None:
    if placement.fit != "sized":
        return None
    name, wanted_mm, has_mm = "width", placement.width_mm, width_mm
    if wanted_mm is None:
        name, wanted_mm, has_mm = "height", placement.height_mm, height_mm
    if wanted_mm is None or not math.isfinite(wanted_mm) or wanted_mm <= 0:
        detail = f"the mark shall be {wanted_mm} mm: give a {name} of more than 0 mm"
        raise JobError.at("mark-measure", detail, pointer=f"/job/placement/fit/{name}")
    return wanted_mm / has_mm


def _ratio(room_mm: float, has_mm: float) -> float:
    return room_mm / has_mm if has_mm > 0 else math.inf
