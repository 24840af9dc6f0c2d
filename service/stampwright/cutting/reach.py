"""Where a flat cutter's centre may go, what ground it sweeps, and what the cutters before it left."""

from __future__ import annotations

from functools import wraps
from typing import TYPE_CHECKING, Any, Concatenate, ParamSpec, TypeVar

import numpy as np
import shapely

from stampwright.plane import (
    SAGITTA_MM,
    SPECK_MM2,
    area_of,
    common,
    grown,
    grown_mitred,
    less,
    outside,
    polygons_of,
    section_less,
)

from .settings import STOCK_MM

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from numpy.typing import NDArray

    from stampwright.plane import Axis, Closings

    Geometries = NDArray[np.object_]


SAFE_MM = 0.002
"""Added to every distance from a wall: offsets are inscribed polygons, whose chords would let the cutter graze it."""

COARSE_MM = 0.004
"""Of an arc where the cutter keeps off the walls by the stock, and the same added to the distance: fewer chords."""

OUTSIDE_MM = 0.3
"""How far beyond the block, past its own radius, a centre may run: the mark is an open face, entered from its edge."""

CRUMB_MM, CRUMB_MM2 = 0.01, 0.02
"""Rest ground that an opening by the first removes, or smaller than the second, is no ground: 85 to 96 % of the raw
parts are slivers between two flattened offsets of the same wall."""

_GRAZE_MM = 0.006  # so that no thread of ground along a wall that both cutters reach is gone after
_STRAY_MM = 0.004  # beyond the ground of the centre: the width of a flattened edge
_THREAD_MM, _THREAD_MM2 = 0.004, 2e-3
"""Parts of a centre region this thin are claimed by areas; paths come to them in slots, plunges and notches alone."""


def clean(area: shapely.Geometry) -> shapely.MultiPolygon:
    """Drop crumbs. Each part is opened by itself: together, GEOS looks through all edges for each of the parts."""
    parts = shapely.get_parts(area)
    large = parts[shapely.area(parts) > CRUMB_MM2]  # opening makes none larger
    mitred = {"join_style": "mitre", "mitre_limit": 2.0}  # no corner gains vertices
    opened = shapely.get_parts(shapely.buffer(shapely.buffer(large, -CRUMB_MM, **mitred), CRUMB_MM, **mitred))
    return shapely.multipolygons(opened[shapely.area(opened) > CRUMB_MM2])


_Asked = ParamSpec("_Asked")
_Made = TypeVar("_Made")


def _once(make: Callable[Concatenate[Ground, _Asked], _Made]) -> Callable[Concatenate[Ground, _Asked], _Made]:
    """Make a region once for each radius and stock. It goes with its ground: a cache of bound methods would stay."""

    @wraps(make)
    def made(ground: Ground, /, *asked: _Asked.args, **more: _Asked.kwargs) -> _Made:
        key = (make, *asked, *more.values())
        if key not in ground.made:
            ground.made[key] = make(ground, *asked, **more)
        found: _Made = ground.made[key]
        return found

    return made


class Ground:
    """The floor of one face as flat cutters meet it; regions are made once per radius and stock."""

    def __init__(
        self, closings: Closings, head: shapely.Polygon, floor: shapely.MultiPolygon, axis: Axis, *, least_mm: float
    ) -> None:
        self.closings = closings
        self.least_mm = least_mm  # radius of the last flat cutter: none that roughs is smaller
        self.axis = axis  # of the outlines, bored counters among them
        self.head = head
        self.floor = floor
        self.margin_mm = float(shapely.distance(head.exterior, closings.ink))
        self.made: dict[tuple[object, ...], Any] = {}

    def let_go(self, *, all_but: Collection[float] = ()) -> None:
        """Forget the regions with stock of all cutters but those of some radii: what is asked again is made again."""
        kept = {0.0, *all_but}
        self.made = {key: made for key, made in self.made.items() if kept.issuperset(key[1:2]) or 0.0 in key[2:3]}

    @_once
    def centre(self, radius_mm: float, stock_mm: float) -> shapely.MultiPolygon:
        """Where the centre may go: the block and its surroundings, less the ink grown by radius and stock."""
        wide, _ = self.parted(radius_mm, stock_mm)
        return shapely.multipolygons(wide)

    @_once
    def parted(self, radius_mm: float, stock_mm: float) -> tuple[Geometries, Geometries]:
        """The parts of that, and those too thin to be any."""
        parts = shapely.get_parts(outside(self.walls(radius_mm, stock_mm), self.around(radius_mm)))
        # what an edge that comes in by so much wipes out is no larger than a ribbon of its length
        thin = np.flatnonzero(shapely.area(parts) <= np.maximum(_THREAD_MM2, _THREAD_MM * shapely.length(parts)))
        gone = shapely.is_empty(shapely.buffer(parts[thin], -_THREAD_MM)) | (shapely.area(parts[thin]) <= _THREAD_MM2)
        return np.delete(parts, thin[gone]), parts[thin[gone]]

    @_once
    def field(self, radius_mm: float, stock_mm: float) -> shapely.MultiPolygon:
        """The same and a hair beyond it: a link may run along its edge."""
        shut = shapely.buffer(shapely.get_parts(self.blocked(radius_mm, stock_mm)), -_STRAY_MM, quad_segs=2)
        return outside(polygons_of(shut), self.around(radius_mm + _STRAY_MM))

    @_once
    def around(self, radius_mm: float) -> shapely.Polygon:
        """The block and its surroundings, as far as the centre may run."""
        (around,) = grown(self.head, radius_mm + OUTSIDE_MM).geoms
        return around

    @_once
    def blocked(self, radius_mm: float, stock_mm: float) -> shapely.MultiPolygon:
        """Where the centre may not go, in the block and its surroundings."""
        _, threads = self.parted(radius_mm, stock_mm)
        if not len(threads):
            return self.walls(radius_mm, stock_mm)
        return outside(self.centre(radius_mm, stock_mm), self.around(radius_mm))

    @_once
    def unswept(self, radius_mm: float, stock_mm: float) -> shapely.MultiPolygon:
        """Ground under none of the discs of all centres: what they may not reach, less as much as they reach out.

        The parts of that shrink each by itself; grown, where the centre may go would be one part of many holes.
        """
        sagitta_mm = SAGITTA_MM if stock_mm < STOCK_MM else COARSE_MM
        return grown(self.blocked(radius_mm, stock_mm), -radius_mm, sagitta_mm=sagitta_mm)

    def freed(self, before_mm: float, radius_mm: float, stock_mm: float) -> shapely.MultiPolygon:
        """Where a centre touches nothing behind a larger cutter of radius `before_mm`, or less than a crumb."""
        shut = grown(self.blocked(before_mm, stock_mm), radius_mm - before_mm - _GRAZE_MM, sagitta_mm=COARSE_MM)
        return outside(shut, self.around(before_mm))

    def has_room(self, stock_mm: float) -> bool:
        """Whether a cutter passes beside the block wherever the ink is, so much off it."""
        return self.margin_mm > stock_mm + COARSE_MM + SAFE_MM

    def beside(self, radius_mm: float, stock_mm: float) -> shapely.MultiPolygon:
        """Where the centre may go without touching the block."""
        if not self.has_room(stock_mm):
            return less(self.centre(radius_mm, stock_mm), grown(self.head, radius_mm))
        (reached,) = grown(self.head, radius_mm).geoms
        return shapely.MultiPolygon([shapely.Polygon(self.around(radius_mm).exterior, [reached.exterior])])

    @_once
    def walls(self, radius_mm: float, stock_mm: float) -> shapely.MultiPolygon:
        """The ink grown by radius and stock, from what is grown already: that is round, and less of it folds over.

        Mitred, no arc is broken into finer chords.
        """
        inner_mm = min(radius_mm, self.least_mm) if stock_mm else radius_mm
        further_mm = radius_mm - inner_mm + stock_mm + SAFE_MM
        return grown_mitred(self.closings.grown(inner_mm), further_mm)

    @_once
    def swept(self, radius_mm: float, stock_mm: float) -> shapely.MultiPolygon:
        """Ground of the block under the discs of all those centres."""
        return outside(self.unswept(radius_mm, stock_mm), self.head)

    @_once
    def rest(self, radius_mm: float, stock_mm: float, before_mm: float | None) -> shapely.MultiPolygon:
        """Ground this cutter reaches and one of radius `before_mm`, if any, has not cleared: there without crumbs."""
        if before_mm is None:
            return self.swept(radius_mm, stock_mm)
        rest = section_less(self.swept(radius_mm, stock_mm), self.swept(before_mm, stock_mm))
        return clean(area_of(rest, specks_mm2=SPECK_MM2, crumbs_mm2=CRUMB_MM2))

    @_once
    def uncut(self, radius_mm: float) -> shapely.MultiPolygon:
        """Floor this cutter cannot reach at all: the closing of the ink less the ink, within the head."""
        return common(self.floor, self.closings.closed(radius_mm))

    def wall_path(self, radius_mm: float) -> shapely.Geometry:
        """Rings on which the cutter's flank touches the walls, as lines."""
        return shapely.boundary(self.walls(radius_mm, 0.0))
