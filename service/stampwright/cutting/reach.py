"""Where a flat cutter's centre may go, what ground it sweeps, and what the cutters before it left."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import shapely

from stampwright.plane import common, grown, less, polygons_of

if TYPE_CHECKING:
    from stampwright.plane import Closings

SAFE_MM = 0.002
"""Added to every distance from a wall: offsets are inscribed polygons, whose chords would let the cutter graze it."""

OUTSIDE_MM = 0.3
"""How far beyond the block, past its own radius, a centre may run: the mark is an open face, entered from its edge."""

CRUMB_MM, CRUMB_MM2 = 0.01, 0.02
"""Rest ground that an opening by the first removes, or smaller than the second, is no ground: 85 to 96 % of the raw
parts are slivers between two flattened offsets of the same wall."""

_THREAD_MM, _THREAD_MM2 = 0.004, 2e-3  # parts of a centre region this thin are claimed by areas and skipped by paths


def clean(area: shapely.Geometry) -> shapely.MultiPolygon:
    """Drop crumbs."""
    opened = polygons_of(grown(grown(area, -CRUMB_MM), CRUMB_MM))
    return shapely.MultiPolygon([part for part in opened.geoms if part.area > CRUMB_MM2])


class Ground:
    """The floor of one face as flat cutters meet it; regions are made once per radius and stock."""

    def __init__(self, closings: Closings, head: shapely.Polygon) -> None:
        self.closings = closings
        self.head = head
        self.floor = less(head, closings.ink)
        self.centre = lru_cache(maxsize=64)(self._centre)
        self.swept = lru_cache(maxsize=64)(self._swept)
        self.rest = lru_cache(maxsize=64)(self._rest)

    def _centre(self, radius_mm: float, stock_mm: float) -> shapely.MultiPolygon:
        """Where the centre may go: the block and its surroundings, less the ink grown by radius and stock."""
        field = grown(self.head, radius_mm + OUTSIDE_MM)
        free = less(field, self.closings.grown(radius_mm + stock_mm + SAFE_MM))
        parts = shapely.get_parts(free)
        parts = parts[shapely.area(parts) > _THREAD_MM2]
        return shapely.multipolygons(parts[~shapely.is_empty(shapely.buffer(parts, -_THREAD_MM))])

    def _swept(self, radius_mm: float, stock_mm: float) -> shapely.MultiPolygon:
        """Ground of the block under the discs of all those centres."""
        return common(grown(self.centre(radius_mm, stock_mm), radius_mm), self.head)

    def _rest(self, radius_mm: float, stock_mm: float, before_mm: float | None) -> shapely.MultiPolygon:
        """Ground this cutter reaches and one of radius `before_mm`, if any, has not cleared; without crumbs."""
        swept = self.swept(radius_mm, stock_mm)
        return clean(swept if before_mm is None else less(swept, self.swept(before_mm, stock_mm)))

    def uncut(self, radius_mm: float) -> shapely.MultiPolygon:
        """Floor this cutter cannot reach at all: the closing of the ink less the ink, within the head."""
        return common(less(self.closings.closed(radius_mm), self.closings.ink), self.head)

    def wall_path(self, radius_mm: float) -> shapely.Geometry:
        """Rings on which the cutter's flank touches the walls, as lines."""
        return shapely.boundary(self.closings.grown(radius_mm + SAFE_MM))
