"""Ways of the cutters' centres, a layer for each operation on the face, for those who work from drawings."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from . import svg
from .svg import INK, View, add

if TYPE_CHECKING:
    from stampwright.pipeline import Stamp


def draw_paths(stamp: Stamp) -> str:
    """Draw the ways of one pass of each face operation as SVG at true size [mm]; the page is the head's box."""
    x0, y0, x1, y1 = stamp.face.head.bounds
    says = "Ways of the cutters' centres over the face, from the front; one layer an operation, in order."
    page = svg.page(x1 - x0, y1 - y0, title="Cutting paths", says=says)
    view = View(-x0, y1)
    on_face = [step for step in stamp.plan.operations if step.side == "face"]
    for step, ways in zip(on_face, stamp.plan.paths, strict=False):
        name = f"step-{step.step}-{step.kind.replace('_', '-')}"
        layer = add(page, "g", id=name, fill="none", stroke=INK, stroke_width=0.05)
        words = f"step {step.step}: {step.kind.replace('_', ' ')}, {step.cutter}"
        add(layer, "title").text = svg.clean(words)
        data = "".join(_way(line) for line in shapely.get_parts(view.area(ways)))
        if data:
            add(layer, "path", d=data)
    return svg.write(page)


def _way(line: shapely.LineString) -> str:
    return "M" + "L".join(f"{svg.num(x)} {svg.num(y)}" for x, y in shapely.get_coordinates(line).tolist())
