"""The paths that text stands on, found by reference, each with where its text begins (SVG 2, 11.8)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stampwright.artwork.paths import Path
from stampwright.artwork.svg.document import local_name, reference_of
from stampwright.artwork.svg.lengths import length
from stampwright.artwork.svg.shapes import SHAPES, shape_of
from stampwright.artwork.svg.values import number, target
from stampwright.artwork.svg.viewport import px_of

from .along import Track

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from stampwright.artwork.svg.walk import Here, Walk

    from .letters import Span, Text


def tracks_of(walk: Walk, text: Text, at: Here) -> dict[int, Track]:
    """The path of each textPath by the number of its span; one that leads nowhere hides its letters, and is told."""
    return {place: _track(walk, span, at) for place, span in enumerate(text.spans) if span.name == "textPath"}


def _track(walk: Walk, span: Span, at: Here) -> Track:
    href = reference_of(span.element)
    name = target(href)
    found = walk.document.ids.get(name) if name else None
    path = None if found is None or local_name(found) not in SHAPES else _path(walk, found, at)
    if path is None or found is None:
        walk.log.note("broken-reference" if name else "external-reference", span.element, what=href[:40])
        return Track(Path())
    offset = length(span.element.get("startOffset", "0"))
    if offset is None or offset.unit == "calc":  # shares are of the path, not of the view
        walk.log.note("bad-value", span.element, what="startOffset")
        return Track(path)
    if offset.unit == "%":
        return Track(path, offset_share=offset.value / 100)
    px = px_of(offset, "other", view=at.view, style=span.style)
    said = number(found.get("pathLength", ""))
    if said is not None and said > 0:  # the author's own unit of length along this path
        return Track(path, offset_share=px / said)
    return Track(path, offset_px=px)


def _path(walk: Walk, element: Element, at: Here) -> Path | None:
    """A path that text stands on, in the space of the text: its own transform counts, its parents' do not."""
    style = walk.cascade.style_within(element)
    path = shape_of(element, style, at.view)
    return None if path is None else path.moved(walk.transform(element, style, at))
