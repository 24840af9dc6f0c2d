"""Markers at the vertices of a path (SVG 2, Painting: Markers): drawings of their own, set and turned there."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from stampwright.artwork.affine import Affine, shift, times

from .document import local_name
from .doubts import tell_of_view
from .lengths import length
from .stencils import boxed
from .values import NUMBER, Reference
from .vertices import Vertex, vertices_of
from .viewport import into_view, measure, px_of, view_box

if TYPE_CHECKING:
    from collections.abc import Iterator
    from xml.etree.ElementTree import Element

    from stampwright.artwork.display import Shape
    from stampwright.artwork.paths import Path

    from .cascade import Style
    from .walk import Here, Walk

MARKABLE = frozenset({"path", "line", "polyline", "polygon"})
"""Where SVG 1.1 and every browser draw them; SVG 2 would have them on all shapes."""

_ANGLE = re.compile(rf"\s*({NUMBER.pattern})\s*(deg|grad|rad|turn)?\s*", re.IGNORECASE)
_DEGREES = {"deg": 1.0, "grad": 0.9, "rad": 180 / math.pi, "turn": 360.0}
_ALONG = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}
_PARTS = ("start", "mid", "end")


class _Place(NamedTuple):
    """A vertex with what the marker there is told."""

    vertex: Vertex
    part: str


def marked(walk: Walk, element: Element, path: Path, style: Style, at: Here) -> list[Shape]:
    """Shapes of the markers of a path, in the order of its vertices."""
    wanted = {part: style[f"marker-{part}"] for part in _PARTS}
    if all(value == "none" for value in wanted.values()):
        return []
    if local_name(element) not in MARKABLE:
        walk.log.note("marker-ignored", element)
        return []
    if all(stop - first == 1 and not closed for first, stop, closed in path.subpaths):
        walk.log.note("programs-differ", element, what="a marker on a point that no line leaves")
    found = {part: _marker(walk, element, value, at) for part, value in wanted.items()}
    pen_px = px_of(style["stroke-width"], "other", view=at.view, style=style)
    inner = replace(at, context=context_of(style))
    shapes: list[Shape] = []
    for vertex, part in _places(vertices_of(path)):
        marker = found[part]
        if marker is not None:
            shapes += _set(walk, marker, _Place(vertex, part), inner, pen_px)
    return shapes


def context_of(style: Style) -> tuple[object, object]:
    """What `context-fill` and `context-stroke` mean within a marker, or a `use`, of an element of this style."""
    fill, stroke = (style["color"] if style[name] == "currentcolor" else style[name] for name in ("fill", "stroke"))
    return fill, stroke


def _marker(walk: Walk, element: Element, wanted: object, at: Here) -> Element | None:
    """The marker that a property names, when it can be drawn."""
    if wanted == "none":
        return None
    if not isinstance(wanted, Reference):
        walk.log.note("marker-ignored", element)
        return None
    found = walk.document.ids.get(wanted.name) if wanted.name else None
    if found is None or local_name(found) != "marker":
        walk.log.note("broken-reference" if wanted.name else "external-reference", element, what="marker")
        return None
    if found in at.within:
        walk.log.note("use-cycle", element, what="marker")
        return None
    if walk.cascade.withholds(found):
        walk.log.note("programs-differ", element, what="a reference to a marker that is not displayed")
    return found if len(found) else None


def _places(vertices: list[Vertex]) -> Iterator[_Place]:
    """The first vertex of all, the last of all, and those between; one that is both is given twice."""
    last = len(vertices) - 1
    for index, vertex in enumerate(vertices):
        if index == 0:
            yield _Place(vertex, "start")
        if 0 < index < last:
            yield _Place(vertex, "mid")
        if index == last:
            yield _Place(vertex, "end")


def _set(walk: Walk, marker: Element, place: _Place, here: Here, pen_px: float) -> list[Shape]:
    """One marker, its reference point on the vertex."""
    style = walk.cascade.style_within(marker)
    px = measure(marker, style, here.view)
    width, height = (3.0 if side is None else side for side in (px("markerWidth", "x"), px("markerHeight", "y")))
    box = view_box(marker)
    scale = 1.0 if marker.get("markerUnits", "").strip() == "userSpaceOnUse" else pen_px
    if not min(width, height, scale) > 0 or (box is not None and not min(box[2:]) > 0):
        return []
    tell_of_view(walk.log, marker)
    fit, view = into_view(marker, width, height)
    ref_x, ref_y = (
        _reference(walk, marker, name, axis, style, replace(here, view=view))
        for name, axis in (("refX", "x"), ("refY", "y"))
    )
    a, b, c, d, e, f = fit
    corner = times(_turned(marker, place, scale), shift(-(a * ref_x + c * ref_y + e), -(b * ref_x + d * ref_y + f)))
    corner = times(here.to_page, corner)
    at = replace(
        here,
        to_page=times(corner, fit),
        style=style,
        view=view,
        opacity=here.opacity * float(style["opacity"]),
        within=(*here.within, marker),
        depth=here.depth + 1,
        size=(None, None),
    )
    since = len(walk.outlines)
    shapes = walk.children(marker, at)
    if style["overflow"] not in ("visible", "auto"):
        shapes = walk.stencils.inside(shapes, boxed(marker, 0.0, 0.0, width, height, corner))
    shapes = walk.stencils.applied(marker, style, at, shapes, since=since)
    del walk.outlines[since:]  # markers are no part of their shape's box
    return shapes


def _turned(marker: Element, place: _Place, scale: float) -> Affine:
    """The map from the marker's units, origin at its reference point, to the space of the path."""
    x, y, along_deg = place.vertex
    orient = marker.get("orient", "0").strip()
    if orient in ("auto", "auto-start-reverse"):
        turn_deg = along_deg + (180.0 if orient != "auto" and place.part == "start" else 0.0)
    else:
        found = _ANGLE.fullmatch(orient)
        turn_deg = float(found[1]) * _DEGREES[(found[2] or "deg").lower()] if found else 0.0
    turn = math.radians(turn_deg) if math.isfinite(turn_deg) else math.nan  # which the range check refuses
    cos, sin = scale * math.cos(turn), scale * math.sin(turn)
    return (cos, sin, -sin, cos, x, y)


def _reference(walk: Walk, marker: Element, name: str, axis: str, style: Style, here: Here) -> float:  # noqa: PLR0913, PLR0917
    """Where refX or refY is, in units of the marker's content; keywords are shares of its view box."""
    text = marker.get(name, "0").strip()
    if text in _ALONG:
        walk.log.note("programs-differ", marker, what=f"{name} as a word")
    box = view_box(marker)
    origin = 0.0 if box is None or text not in _ALONG else box[0 if axis == "x" else 1]
    found = length(_ALONG.get(text, text))
    return origin if found is None else origin + px_of(found, axis, view=here.view, style=style)
