"""Ways of the cutters' centres as DXF, a layer for each operation on the face, for those who work from drawings.

Origin at the centre of the head, x right, y up, seen from the front of the face, as in the outlines: one file may be
laid over the other. Every piece is an open LWPOLYLINE in the order in which it is cut, of one pass in depth.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from .dxf import bytes_of, new_document

if TYPE_CHECKING:
    from stampwright.cutting import Operation
    from stampwright.pipeline import Stamp


def paths_dxf(stamp: Stamp) -> bytes:
    """Write the ways of each operation on the face; one that lays no ways has its layer, and nothing on it."""
    on_face = [step for step in stamp.plan.operations if step.side == "face"]
    document = new_document({layer_of(step): _says(step) for step in on_face})
    drawing = document.modelspace()
    for step, ways in zip(on_face, stamp.plan.paths, strict=False):  # what follows the laid ones lays no ways
        for way in shapely.get_parts(ways):
            drawing.add_lwpolyline(shapely.get_coordinates(way).tolist(), dxfattribs={"layer": layer_of(step)})
    return bytes_of(document)


def layer_of(step: Operation) -> str:
    """Name of an operation's layer, such as `STEP_05_REST_ROUGH`."""
    return f"STEP_{step.step:02d}_{step.kind.upper()}"


def _says(step: Operation) -> str:
    return f"{step.kind.replace('_', ' ')} with {step.cutter}, {step.axial_depth_mm or 0:.3g} mm deep a pass"
