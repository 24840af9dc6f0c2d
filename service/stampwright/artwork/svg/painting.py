"""One path to its painted shapes: fill, stroke and markers in the order the drawing asks for."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stampwright.artwork.display import Pen, Shape
from stampwright.artwork.flatten import length_of
from stampwright.artwork.limits import keep_within
from stampwright.artwork.paint import adds_ink, is_hard

from .values import number
from .viewport import px_of

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from stampwright.artwork.paint import Backdrop, Colour, PaintRule
    from stampwright.artwork.paths import Path

    from .cascade import Style
    from .lengths import Length
    from .tone import Tone
    from .walk import Here, Walk


def painted(walk: Walk, element: Element, path: Path, style: Style, at: Here) -> list[Shape]:
    """Shapes of a path, those that neither add ink nor cover it left out."""
    if style["visibility"] != "visible":
        return []
    shapes: list[Shape] = []
    flat = _is_flat(path)
    alone = at.opacity == style["opacity"] and (at.opacity == 1 or "none" in (style["fill"], style["stroke"]))
    for part in style["paint-order"]:
        if part == "fill":
            tone = walk.paints.tone(style["fill"], style, opacity=at.opacity * style["fill-opacity"], flat=flat)
            shapes += _toned(walk, Shape(element, path, at.to_page, style["fill-rule"]), tone, at, alone=alone)
        elif part == "stroke":
            pen = None if style["stroke"] == "none" else _pen(walk, element, path, style, at)
            if pen is not None:
                tone = walk.paints.tone(style["stroke"], style, opacity=at.opacity * style["stroke-opacity"], flat=flat)
                shapes += _toned(walk, Shape(element, path, at.to_page, pen=pen), tone, at, alone=alone)
        elif part == "markers":
            shapes += walk.markers(element, path, style, at)
    return shapes


def _is_flat(path: Path) -> bool:
    reach = path.reach()
    return reach is not None and (reach[0] == reach[2] or reach[1] == reach[3])


def _toned(walk: Walk, shape: Shape, tone: Tone, at: Here, *, alone: bool) -> list[Shape]:
    """Give a shape its polarity by the ink rule, and tell what is in doubt about its paint.

    `alone`: no opacity is shared with other shapes, which may overlap it.
    """
    if "pattern-fill" in tone.doubts:
        walk.log.refuse("pattern-fill", shape.element)
        walk.log.shown(shape.element, [shape])
        return []
    adds = None if tone.colour is None else adds_ink(tone.colour, at.rule)
    settled = tone.colour is None or _settled(walk.backdrop, tone.colour, at.rule, plain=tone.plain and alone)
    for doubt in tone.doubts:
        if doubt != "translucent":
            walk.log.note(doubt, shape.element, shape=shape if adds is not None else None)
        elif at.rule not in ("luminance", "alpha") and not settled:
            code = "translucent-as-solid" if adds is not None else "translucent-skipped"
            walk.log.note(code, shape.element, shape=shape)
    if tone.colour is not None and at.rule == "luminance" and not is_hard(tone.colour):
        walk.log.note("mask-thresholded", shape.element)
    if adds is None:
        return []
    shape.adds = adds
    return [shape]


def _settled(backdrop: Backdrop, colour: Colour, rule: PaintRule, *, plain: bool) -> bool:
    """Whether paint is taken for what it comes to on paper, whatever lies below; then the paint lies below the next."""
    if rule in ("luminance", "alpha"):
        return False
    settled = plain and (colour.alpha >= 1 or (rule != "painted" and backdrop.settles(colour)))
    if settled:
        backdrop.cover(colour)
    elif colour.alpha > 0:
        backdrop.blur()
    return settled


def _pen(walk: Walk, element: Element, path: Path, style: Style, at: Here) -> Pen | None:
    """The pen of a stroke; None when it has no width."""

    def px(found: Length) -> float:
        return px_of(found, "other", view=at.view, style=style)

    width = px(style["stroke-width"])
    if not width > 0:
        return None
    join = style["stroke-linejoin"]
    if join in ("miter-clip", "arcs"):
        walk.log.note("join-approximated", element, what=join)
        join = "miter"
    dashes = tuple(max(px(part), 0.0) for part in style["stroke-dasharray"])  # below, what CSS computes is nothing
    offset = px(style["stroke-dashoffset"])
    if dashes and not math.isfinite(sum(dashes) + offset):
        keep_within("reach", math.inf, element=walk.document.place_of(element))
    if len(dashes) % 2:
        dashes *= 2  # SVG: an odd list is repeated
    effect = style["vector-effect"]
    stretch = 1.0
    if dashes and _has_dot(path):
        walk.log.note("programs-differ", element, what="dashes of a line without length")
    if dashes and "pathLength" in element.attrib:
        stretch = _stretch_of_dashes(walk, element, path.moved(at.to_page) if effect == "non-scaling-stroke" else path)
    if effect not in ("none", "non-scaling-stroke"):
        walk.log.note("css-ignored", element, what=f"vector-effect: {effect[:40]}")
    return Pen(
        width=width,
        cap=style["stroke-linecap"],
        join=join,
        mitre_limit=style["stroke-miterlimit"],
        dashes=tuple(part * stretch for part in dashes) if 0 < sum(dashes) * stretch < math.inf else (),
        dash_offset=offset * stretch if math.isfinite(stretch) else 0.0,
        non_scaling=effect == "non-scaling-stroke",
    )


def _has_dot(path: Path) -> bool:
    """Whether a subpath stays on the spot."""
    return any(
        len(set(path.nodes[first:stop])) == 1 and (closed or stop - first > 1) for first, stop, closed in path.subpaths
    )


def _stretch_of_dashes(walk: Walk, element: Element, path: Path) -> float:
    """What a length along a path is multiplied by, when its author says how long it is (SVG 2, Paths: pathLength)."""
    said = number(element.get("pathLength", ""))
    if said is None or said < 0:
        walk.log.note("bad-value", element, what="pathLength")
        return 1.0
    return length_of(path) / said if said > 0 else math.inf
