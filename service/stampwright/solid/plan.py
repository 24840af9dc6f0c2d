"""The front in plan: triangles along given lines, by the places they share, and what they are seen to fill.

One height for each place makes any of them a closed surface; what remains to be seen is that rounding to the grid
folded nothing over. That is checked exactly, by the sign of each triangle.
"""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base import InternalFault
from stampwright.base.counting import picked

from .arrangement import triangles_between
from .mesh import plan_keys
from .noding import noded, noded_once, noded_where_needed
from .regions import directed_edges, twice_areas
from .slivers import without_slivers

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from .arrangement import Triangles

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int32]
    Bools = NDArray[np.bool_]


class Plan:
    """Triangles (m) of the head in plan, three directed edges each, and what runs back on the other side of each edge.

    `places` (n,): keys of the corners in rising order; `xy` (n, 2): where these are; `corners` (m, 3): their numbers.
    `face` (m,): the face between lines that each triangle lies in. `twice_mm2` (m,): twice the area of each, negative
    where it runs clockwise. `origin` (3 m,): where each edge begins; `twin`: the edge that runs back, if it `has_twin`.
    `are_single`: no directed edge occurs twice. `depth` (n,): what is known of each place.
    """

    def __init__(self, triangles: Triangles, depth: Floats | None = None) -> None:
        used = np.zeros(len(triangles.places), dtype=bool)
        used[triangles.corners] = True
        self.xy, self.face = picked(triangles.places, used), triangles.face
        self.places = plan_keys(self.xy)
        self.depth = np.zeros(len(self.xy)) if depth is None else depth[used]
        self.corners = picked(np.cumsum(used, dtype=np.int32) - 1, triangles.corners)
        self.twice_mm2 = twice_areas(picked(self.xy, self.corners))
        self.origin = self.corners.ravel()
        target = np.roll(self.corners, -1, axis=1).ravel()
        codes = np.minimum(self.origin, target).astype(np.int64) * len(self.places) + np.maximum(self.origin, target)
        codes *= 2
        codes += self.origin < target  # both directions of an edge stand beside each other
        order = np.argsort(codes).astype(np.int32)
        codes = codes[order]
        self.are_single = not np.any(codes[1:] == codes[:-1])
        first_of_two = np.flatnonzero(codes[1:] >> 1 == codes[:-1] >> 1)
        one, other = order[first_of_two], order[first_of_two + 1]
        self.twin, self.has_twin = np.zeros(len(codes), dtype=np.int32), np.zeros(len(codes), dtype=bool)
        self.twin[one], self.twin[other] = other, one
        self.has_twin[one] = self.has_twin[other] = True

    def ends(self, chosen: Bools) -> Ints:
        """Numbers of the places where some of the edges begin and end, (k, 2)."""
        edge = np.flatnonzero(chosen)
        return np.stack([self.origin[edge], self.origin[edge + np.where(edge % 3 == 2, -2, 1)]], axis=1)

    @property
    def middles(self) -> Floats:
        """A place within each triangle, (m, 2)."""
        a, b, c = picked(self.xy, self.corners).swapaxes(0, 1)
        middle: Floats = (a + b + c) / 3
        return middle

    def rim(self) -> Floats | None:
        """The edges around all of it, (k, 2, 2); None where triangles fold over or an edge occurs twice.

        Each place is covered as often as they wind around it. On the grid that is exact.
        """
        if not self.are_single or np.any(self.twice_mm2 <= 0):
            return None
        rim: Floats = picked(self.xy, self.ends(~self.has_twin))
        return rim

    def fills(self, plate: shapely.Geometry) -> bool:
        """Whether the triangles cover a plate once everywhere and have its very edges around them."""
        rim = self.rim()
        return rim is not None and np.array_equal(_sorted(rim), _sorted(directed_edges(plate)))

    def outline(self) -> shapely.Polygon | None:
        """The one ring that the triangles fill; None when they do not."""
        rim = self.rim()
        if rim is None:
            return None
        rings = shapely.get_parts(shapely.polygonize(shapely.linestrings(rim)))
        if len(rings) != 1 or shapely.get_num_coordinates(rings[0]) != len(rim) + 1:
            return None
        return shapely.Polygon(rings[0])


def _sorted(edges: Floats) -> NDArray[np.int64]:
    keys = plan_keys(edges)
    return keys[np.lexsort((keys[:, 1], keys[:, 0]))]


def plan_along(
    xy: Floats,
    *,
    fixed: Floats,
    meets: bool,
    fits: Callable[[Plan], bool],
    depth_of: Callable[[Floats], Floats] | None = None,
) -> Plan:
    """Triangulate along lines (n, 2, 2) until it `fits`: as they are where they meet in ends only, noded, all anew.

    What comes out thin is mended, but for edges that are `fixed` (k, 2, 2); `depth_of` tells how deep places (n, 2) are
    that lines have, for those that mending moves. Raises `InternalFault` (open-solid) when nothing fits.
    """
    for mend in ([] if meets else [_as_they_are]) + [noded_once, noded_where_needed, noded]:
        xy = mend(xy)
        with contextlib.suppress(shapely.errors.GEOSException):  # crossing lines may enclose what is no polygon
            triangles = triangles_between(xy)
            if mend is _as_they_are and not triangles.are_between:
                continue  # a line that crosses others may lie on no edge, and all be filled
            known = depth_of(triangles.places) if depth_of else None
            plan = Plan(*without_slivers(triangles, fixed, known))
            if fits(plan):
                return plan
    raise InternalFault.at("open-solid", "the plan of the front folds over")


def _as_they_are(xy: Floats) -> Floats:
    return xy
