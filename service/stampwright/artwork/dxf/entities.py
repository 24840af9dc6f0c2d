"""Entities into the scene, each kind by its own function. What has no outline of its own is told or refused."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stampwright.base import StampwrightError

from . import splines
from .boundaries import boundaries, turned
from .document import FAULTS
from .placed import attribute
from .polylines import add_polyline
from .scene import Area, Scene
from .strands import Strand, of_arc, of_cubics, of_points

if TYPE_CHECKING:
    from collections.abc import Callable

    from .placed import Placed

_TEXT = ("TEXT", "MTEXT", "ATTRIB", "ATTDEF", "SHAPE", "ARCALIGNEDTEXT", "RTEXT")
_PICTURES = ("IMAGE", "PDFUNDERLAY", "DWFUNDERLAY", "DGNUNDERLAY")
_FOREIGN = ("OLEFRAME", "OLE2FRAME", "OLE_FRAME", "OLE2_FRAME")
_CONSTRUCTION = (
    *("POINT", "LEADER", "MULTILEADER", "MLEADER", "TOLERANCE", "XLINE", "RAY"),
    *("DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION", "ACAD_TABLE"),
)
_UNSEEN = ("VIEWPORT", "LIGHT", "SUN", "CAMERA", "SECTION")


def add(scene: Scene, placed: Placed) -> None:
    """Take an entity into the scene, or say why not."""
    kind = placed.entity.dxftype()
    try:
        if kind in _READ:
            _READ[kind](scene, placed)
        elif kind not in _UNSEEN:
            _left_out(scene, placed, kind)
    except StampwrightError:
        raise
    except FAULTS:
        scene.remarks.note("bad-entity", placed, what=kind)


def _left_out(scene: Scene, placed: Placed, kind: str) -> None:
    if kind in _TEXT:
        if not (kind == "ATTRIB" and placed.entity.is_invisible):
            scene.remarks.refuse(
                "text-not-outlined", placed, what=f"{kind}: fonts are not set in a DXF, explode it to outlines"
            )
    elif kind in _PICTURES:
        scene.remarks.refuse("raster-image", placed, what=kind)
    elif kind in _FOREIGN:
        scene.remarks.refuse("foreign-object", placed, what=kind)
    else:
        scene.remarks.note(
            "construction-left-out" if kind in _CONSTRUCTION else "entity-unread", placed, what=kind[:40]
        )


def _line(scene: Scene, placed: Placed) -> None:
    ends = [placed.to_world.transform(end) for end in (placed.entity.dxf.start, placed.entity.dxf.end)]
    scene.add(placed, of_points([(p.x, p.y) for p in ends]))


def _circle(scene: Scene, placed: Placed) -> None:
    _add_arc(scene, placed, 0.0, math.tau)


def _arc(scene: Scene, placed: Placed) -> None:
    dxf = placed.entity.dxf
    _add_arc(scene, placed, *turned(math.radians(dxf.start_angle), math.radians(dxf.end_angle)))


def _add_arc(scene: Scene, placed: Placed, start: float, sweep: float) -> None:
    centre, r = placed.entity.dxf.center, abs(placed.entity.dxf.radius)
    path = of_arc((centre.x, centre.y), (r, 0.0), (0.0, r), start, sweep)
    scene.add(placed, path.moved(placed.plane(centre.z)))


def _ellipse(scene: Scene, placed: Placed) -> None:
    dxf, to_world = placed.entity.dxf, placed.to_world
    u = to_world.transform_direction(dxf.major_axis)
    v = to_world.transform_direction(placed.entity.minor_axis)
    centre = to_world.transform(dxf.center)
    path = of_arc((centre.x, centre.y), (u.x, u.y), (v.x, v.y), *turned(dxf.start_param, dxf.end_param))
    scene.add(placed, path)


def _spline(scene: Scene, placed: Placed) -> None:
    curves = splines.cubics_of(splines.of_entity(placed.entity))
    moved = [[(p.x, p.y) for p in placed.to_world.transform_vertices(curve)] for curve in curves]
    scene.add(placed, of_cubics(moved))


def _solid(scene: Scene, placed: Placed) -> None:
    corners = placed.to_world.transform_vertices(placed.entity.wcs_vertices())
    path = of_points([(p.x, p.y) for p in corners], closed=True)
    scene.areas.append(Area(placed, [Strand(placed, path)]))


def _hatch(scene: Scene, placed: Placed) -> None:
    dxf = placed.entity.dxf
    offset = attribute(placed.entity, "offset_vector", None)
    elevation = dxf.elevation.z if dxf.hasattr("elevation") else 0.0
    plane = placed.plane(elevation)
    if offset:
        a, b, c, d, e, f = plane
        plane = (a, b, c, d, e + a * offset[0] + c * offset[1], f + b * offset[0] + d * offset[1])
    strands = [Strand(placed, path.moved(plane)) for path in boundaries(placed.entity) if len(path.nodes) > 1]
    if dxf.get("solid_fill", 0):
        scene.areas.append(Area(placed, strands))
    elif placed.entity.dxftype() == "MPOLYGON":
        scene.strands += strands
    else:
        scene.remarks.refuse("pattern-fill", placed, what=str(dxf.get("pattern_name", ""))[:40])


_READ: dict[str, Callable[[Scene, Placed], None]] = {
    "LINE": _line,
    "CIRCLE": _circle,
    "ARC": _arc,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
    "HELIX": _spline,
    "LWPOLYLINE": add_polyline,
    "POLYLINE": add_polyline,
    "SOLID": _solid,
    "TRACE": _solid,
    "HATCH": _hatch,
    "MPOLYGON": _hatch,
}
