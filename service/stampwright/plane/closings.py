"""Closings of the ink by discs: what a round cutter cannot reach."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from .fits import ways_through
from .grid import polygons_of
from .offset import grown

if TYPE_CHECKING:
    from collections.abc import Callable

    from .axis import Axis

_SLIT_MM = 0.001  # half the width of ground left to the centre where the cutter only just passes


class Closings:
    """Closings of one ink by discs: made once per radius and shared by review, plan and solid.

    With the axis of the ink's outlines, what is as wide as a disc but for `FIT_MM` is open to it; without, shut.
    """

    def __init__(self, ink: shapely.MultiPolygon, axis: Axis | None = None) -> None:
        self.ink = ink
        self._axis = axis
        self._grown: dict[float, shapely.MultiPolygon] = {}
        self._closed: dict[float, shapely.MultiPolygon] = {}

    def grown(self, radius_mm: float) -> shapely.MultiPolygon:
        """The ink grown by the disc: where the centre of the cutter may not go."""
        return self._once(self._grown, radius_mm, lambda: self._opened(grown(self.ink, radius_mm), radius_mm))

    def closed(self, radius_mm: float) -> shapely.MultiPolygon:
        """The ink with all that a disc of `radius_mm` cannot enter from outside: what a flat cutter leaves standing."""
        return self._once(self._closed, radius_mm, lambda: grown(self.grown(radius_mm), -radius_mm))

    def _opened(self, blocked: shapely.MultiPolygon, radius_mm: float) -> shapely.MultiPolygon:
        """Leave the centre a slit where the disc only just passes, and a spot where it only just enters."""
        if self._axis is None:
            return blocked
        ways = ways_through(self._axis, radius_mm)
        own = ways[~shapely.intersects(self.ink, ways)] if len(ways) else ways  # in a counter filled here lies none
        if not len(own):
            return blocked
        slits = shapely.union_all(shapely.buffer(own, _SLIT_MM, quad_segs=2))
        return polygons_of(shapely.difference(blocked, slits))

    @staticmethod
    def _once(
        made: dict[float, shapely.MultiPolygon], radius_mm: float, make: Callable[[], shapely.MultiPolygon]
    ) -> shapely.MultiPolygon:
        if radius_mm not in made:
            made[radius_mm] = make()
        return made[radius_mm]
