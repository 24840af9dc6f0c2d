"""Offsets by a disc with a stated sagitta: growing, and the closing that says what a round cutter cannot reach."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import shapely

from .grid import polygons_of

if TYPE_CHECKING:
    from collections.abc import Callable

SAGITTA_MM = 0.001
"""Arcs of offsets keep this to the true circle; in a narrow notch the edge error grows by 1/sin of half its angle."""


def quarter_segments(radius_mm: float, *, sagitta_mm: float = SAGITTA_MM) -> int:
    """Least number of chords per quarter circle that keeps `sagitta_mm`: π / (4 acos(1 − s/r)), at least 2."""
    if sagitta_mm >= radius_mm:
        return 2
    return max(2, math.ceil(math.pi / (4 * math.acos(1 - sagitta_mm / radius_mm))))


def grown(area: shapely.Geometry, by_mm: float, *, sagitta_mm: float = SAGITTA_MM) -> shapely.MultiPolygon:
    """Grow (or, with a negative `by_mm`, shrink) an area by a disc.

    Its parts shrink each by itself: of one whole, GEOS looks through all edges for each part that comes out.
    """
    segments = quarter_segments(abs(by_mm), sagitta_mm=sagitta_mm)
    whole = shapely.get_parts(area) if by_mm < 0 else area
    return polygons_of(shapely.buffer(whole, by_mm, quad_segs=segments))


class Closings:
    """Closings of one ink by discs: made once per radius and shared by review, plan and solid."""

    def __init__(self, ink: shapely.MultiPolygon) -> None:
        self.ink = ink
        self._grown: dict[float, shapely.MultiPolygon] = {}
        self._closed: dict[float, shapely.MultiPolygon] = {}

    def grown(self, radius_mm: float) -> shapely.MultiPolygon:
        """The ink grown by the disc: where the centre of the cutter may not go."""
        return self._once(self._grown, radius_mm, lambda: grown(self.ink, radius_mm))

    def closed(self, radius_mm: float) -> shapely.MultiPolygon:
        """The ink with all that a disc of `radius_mm` cannot enter from outside: what a flat cutter leaves standing."""
        return self._once(self._closed, radius_mm, lambda: grown(self.grown(radius_mm), -radius_mm))

    @staticmethod
    def _once(
        made: dict[float, shapely.MultiPolygon], radius_mm: float, make: Callable[[], shapely.MultiPolygon]
    ) -> shapely.MultiPolygon:
        if radius_mm not in made:
            made[radius_mm] = make()
        return made[radius_mm]
