"""Where a drawing's ink can be at most, from nodes and control points alone: the first guess of its size."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .affine import moved_box, stretch
from .boxes import around, common

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stampwright.base import Bounds

    from .display import Shape, Stencil


def reach_px(shapes: Sequence[Shape], *, page: tuple[float, float] | None) -> Bounds | None:
    """Box that holds the ink of painted shapes, mitre tips excepted, cut to the page; None when it is empty.

    It is exact when the outermost points of curves are nodes, as drawing programs place them.
    """
    box = around_px([shape for shape in shapes if shape.adds])
    return box if page is None else common(box, (0.0, 0.0, *page))


def around_px(shapes: Sequence[Shape]) -> Bounds | None:
    """Box around shapes, whether they add ink or cover it."""
    known: dict[int, Bounds | None] = {}
    return around(_of_shape(shape, known) for shape in shapes)


def _of_shape(shape: Shape, known: dict[int, Bounds | None]) -> Bounds | None:
    own = shape.path.reach()
    if own is None:
        return None
    box: Bounds | None = moved_box(own, shape.to_page)
    if box and shape.pen:
        half = shape.pen.width / 2 * (1.0 if shape.pen.non_scaling else stretch(shape.to_page))
        box = (box[0] - half, box[1] - half, box[2] + half, box[3] + half)
    for stencil in shape.stencils:
        box = common(box, _of_stencil(stencil, known))
    return box


def _of_stencil(stencil: Stencil, known: dict[int, Bounds | None]) -> Bounds | None:
    if id(stencil) not in known:
        known[id(stencil)] = around(_of_shape(shape, known) for shape in stencil.shapes if shape.adds)
    return known[id(stencil)]
