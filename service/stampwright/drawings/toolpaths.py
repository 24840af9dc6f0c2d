"""Ways of the cutters' centres, a layer for each operation on the face, for those who work from drawings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from . import svg
from .svg import View, add, path_of

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

    from stampwright.pipeline import Stamp

_FINEST_MM = 0.001  # ways are for machines, which step in hundredths
FACING = "#d8d1c4"  # pale: its rows run over all other ways, lands included
LINES = ("#2a2521", "#cc5a14", "#1d4f91", "#8a9a2e", "#6a1e66", "#45bfae")
"""One colour a cutter, in the order they come; neighbours differ in grey and to every eye, the tests reckon it."""


def draw_paths(stamp: Stamp) -> ET.Element:
    """Draw the ways of one pass of each face operation at true size [mm]; the page is the head's box."""
    x0, y0, x1, y1 = stamp.face.head.bounds
    says = "Ways of the cutters' centres over the face, from the front; one layer an operation, in order."
    page = svg.page(x1 - x0, y1 - y0, title="Cutting paths", says=says)
    view = View(-x0, y1)
    on_face = [step for step in stamp.plan.operations if step.side == "face"]
    cutters = list(dict.fromkeys(step.cutter for step in on_face))
    for step, ways in zip(on_face, stamp.plan.paths, strict=False):
        line = FACING if step.kind == "face" else LINES[cutters.index(step.cutter) % len(LINES)]
        name = f"step-{step.step}-{step.kind.replace('_', '-')}"
        layer = add(page, "g", id=name, fill="none", stroke=line, stroke_width=0.05)
        words = f"step {step.step}: {step.kind.replace('_', ' ')}, {step.cutter}"
        add(layer, "title").text = svg.clean(words)
        if data := path_of(view.area(ways), finest_mm=_FINEST_MM):
            add(layer, "path", d=data)
    return page
