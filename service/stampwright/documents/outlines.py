"""Outlines of the face as DXF (R2010, millimetres), for those who work from drawings in the plane.

Every ring is a closed LWPOLYLINE of straight segments at the places the solid has; the hole, which is in the back, is
circles. The origin is the centre of the head, x right, y up, seen from the front of the face as it is cut.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import shapely

from stampwright.plane import polygons_of

from .dxf import bytes_of, new_document

if TYPE_CHECKING:
    from stampwright.pipeline import Stamp

LAYERS = {
    "HEAD": "outline of the block",
    "LANDS": "outer outlines of the raised lands",
    "COUNTERS": "floor enclosed by a land",
    "LEFT_UNCUT": "floor that the planned cutters leave standing",
    "HOLE": "in the back: tapping drill and mouth of the countersink",
    "INK_BOX": "bounding box of the lands",
}
"""Layers of the file, all of them always there."""


def outlines_dxf(stamp: Stamp) -> bytes:
    """Write head, lands, counters, hole and bounding box on layers of their own; the same bytes for the same stamp."""
    document = new_document(LAYERS)
    drawing = document.modelspace()
    ink = polygons_of(stamp.face.ink)
    outer, inner = _rings(ink)
    left_outer, left_inner = _rings(stamp.plan.left_uncut)
    _add_rings(drawing, [stamp.face.head.exterior], "HEAD")
    _add_rings(drawing, outer, "LANDS")
    _add_rings(drawing, inner, "COUNTERS")
    _add_rings(drawing, left_outer + left_inner, "LEFT_UNCUT")
    if stamp.solid.hole:
        for diameter_mm in (stamp.solid.hole.drill_mm, stamp.solid.hole.countersink_mm):
            drawing.add_circle((0.0, 0.0), diameter_mm / 2, dxfattribs={"layer": "HOLE"})
    if not ink.is_empty:
        _add_rings(drawing, [shapely.box(*ink.bounds).exterior], "INK_BOX")
    return bytes_of(document)


def _rings(area: shapely.Geometry) -> tuple[list[Any], list[Any]]:
    """Outer and inner rings of an area."""
    parts = polygons_of(area).geoms
    return [part.exterior for part in parts], [ring for part in parts for ring in part.interiors]


def _add_rings(drawing: Any, rings: list[Any], layer: str) -> None:  # noqa: ANN401  of the library, see `dxf`
    for ring in rings:
        drawing.add_lwpolyline(shapely.get_coordinates(ring)[:-1].tolist(), close=True, dxfattribs={"layer": layer})
