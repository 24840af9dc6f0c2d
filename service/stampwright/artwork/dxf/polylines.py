"""Polylines of both kinds, the newer flat one and the older with vertices of their own; with widths they are ink."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from .scene import Area, Wide
from .strands import Strand, of_bulges, of_points

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.artwork.affine import Affine

    from .placed import Placed
    from .scene import Scene

_FRAME = 16  # bit of group 70 of a vertex: a control point of a curve, which is not on it


def add_polyline(scene: Scene, placed: Placed) -> None:
    """Take a polyline into the scene; meshes, which share its name, are told."""
    entity = placed.entity
    if entity.dxftype() == "LWPOLYLINE":
        rows = np.array(entity.get_points("xyseb"), dtype=np.float64).reshape(-1, 5)
        if entity.dxf.get("const_width", 0.0):
            rows[:, 2:4] = entity.dxf.const_width
        _add_flat(scene, placed, rows, placed.plane(entity.dxf.get("elevation", 0.0)), closed=entity.closed)
    elif entity.is_polygon_mesh or entity.is_poly_face_mesh:
        scene.remarks.note("entity-unread", placed, what="POLYLINE mesh")
    elif entity.is_3d_polyline:
        points = placed.to_world.transform_vertices(list(entity.points()))
        scene.add(placed, of_points([(p.x, p.y) for p in points], closed=entity.is_closed))
    else:
        _add_older(scene, placed)


def _add_older(scene: Scene, placed: Placed) -> None:
    entity = placed.entity
    usual = (entity.dxf.get("default_start_width", 0.0), entity.dxf.get("default_end_width", 0.0))
    rows = [
        (
            *vertex.dxf.location.vec2,
            vertex.dxf.get("start_width", usual[0]),
            vertex.dxf.get("end_width", usual[1]),
            vertex.dxf.get("bulge", 0.0),
        )
        for vertex in entity.vertices
        if not vertex.dxf.flags & _FRAME
    ]
    elevation = entity.dxf.elevation.z if entity.dxf.hasattr("elevation") else entity.vertices[0].dxf.location.z
    table = np.array(rows, dtype=np.float64).reshape(-1, 5)
    _add_flat(scene, placed, table, placed.plane(elevation), closed=entity.is_closed)


def _add_flat(scene: Scene, placed: Placed, rows: NDArray[np.float64], plane: Affine, *, closed: bool) -> None:
    """Take rows of (x, y, width at the start and at the end of the segment that leaves, bulge) into the scene."""
    path = of_bulges(rows[:, :2], rows[:, 4], closed=closed)
    widths = np.abs(rows[:, 2:4] if closed else rows[:-1, 2:4])
    if len(rows) < 2 or not widths.any():
        scene.add(placed, path.moved(plane))
    elif np.ptp(widths) <= 1e-9 * widths.max():
        scene.wide.append(Wide(placed, path, plane, float(widths.max())))
    else:
        _add_tapered(scene, placed, rows, plane, closed=closed)


def _add_tapered(scene: Scene, placed: Placed, rows: NDArray[np.float64], plane: Affine, *, closed: bool) -> None:
    """Segments of differing widths, one by one: straight ones as trapezoids, arcs by their mean width."""
    ends = np.roll(rows[:, :2], -1, axis=0)
    for row, end in list(zip(rows, ends, strict=True))[: None if closed else -1]:
        start, half, bulge = row[:2], np.abs(row[2:4]) / 2, row[4]
        chord = end - start
        length = float(np.hypot(*chord))
        if length == 0 or not half.any():
            continue
        if bulge:
            scene.remarks.note("width-averaged", placed)
            path = of_bulges(np.array([start, end]), np.array([bulge, 0.0]), closed=False)
            scene.wide.append(Wide(placed, path, plane, float(half.sum())))
            continue
        left = np.array([-chord[1], chord[0]]) / length
        corners = [start + half[0] * left, start - half[0] * left, end - half[1] * left, end + half[1] * left]
        path = of_points([(float(x), float(y)) for x, y in corners], closed=True)
        scene.tapers.append(Area(placed, [Strand(placed, path.moved(plane))]))
