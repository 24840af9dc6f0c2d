"""The print alone: no words, no numbers, and nothing planned, so that it comes as fast as the review."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from stampwright.catalogue import metal_named, substrate_named
from stampwright.plane import polygons_of
from stampwright.review import char_spread_mm

from . import board, svg
from .svg import INK, View, path_of

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

    from stampwright.job import Job
    from stampwright.pipeline import Reviewed

AROUND_MM = 3.0
"""Board around the head. Part of the contract: whoever lays places over the picture counts from its middle."""


def draw_plain(reviewed: Reviewed, job: Job) -> ET.Element:
    """Draw the print on its substrate at true size [mm]; the middle of the head is the middle of the picture."""
    goods = substrate_named(job.substrate)
    face, (_, _, half_x, half_y) = reviewed.face, reviewed.face.head.bounds
    width_mm, height_mm = 2 * (half_x + AROUND_MM), 2 * (half_y + AROUND_MM)
    says = f"The mark as it will read on {goods.name}."
    root = svg.page(width_mm, height_mm, title="Print", says=says)
    view = View(width_mm / 2, height_mm / 2, sense=-1.0)  # the print is the face seen from behind
    board.draw_board(root, goods.kind, box=(0.0, 0.0, width_mm, height_mm))
    style = {"fill": "none", "stroke": INK, "stroke_dasharray": "0.9 0.9", "opacity": "0.45"}
    svg.add(root, "path", id="head", d=path_of(view.area(face.head)), stroke_width=0.12, **style)
    growth = reviewed.growth
    thin = path_of(view.area(growth.drawn)) if growth and growth.outcome == "grown" else None
    scorch_mm, _ = char_spread_mm(metal_named(job.metal), goods)
    left = path_of(view.area(_left_uncut(reviewed)))
    board.draw_print(root, path_of(view.area(face.ink)), left, scorch_mm=scorch_mm, thin=thin)
    return root


def _left_uncut(reviewed: Reviewed) -> shapely.MultiPolygon:
    """Ground on which the finest cutter that reaches the floor cannot stand: it prints."""
    finest = min(reviewed.review.cutters, key=lambda reach: (not reach.reaches_floor, reach.face_radius_mm))
    if finest.face_radius_mm == 0.0:
        return shapely.MultiPolygon()
    closed = reviewed.laid.closings.closed(finest.face_radius_mm)
    return polygons_of(shapely.difference(shapely.intersection(closed, reviewed.face.head), reviewed.face.ink))
