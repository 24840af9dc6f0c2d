"""Where a drawing's ink can be at most, from nodes and control points alone: the first guess of its size."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from .affine import moved_box, stretch
from .boxes import around, common
from .display import drawn_alike

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stampwright.base import Bounds

    from .display import Shape, Stencil

_MANY = 64  # shapes: so many are seldom apart, and their pairs soon too many to look at


def reach_px(shapes: Sequence[Shape], *, page: tuple[float, float] | None) -> Bounds | None:
    """Box that holds the ink of painted shapes, mitre tips excepted, cut to the page; None when it has no area.

    It is exact when the outermost points of curves are nodes, as drawing programs place them.
    """
    box = around_px([shape for shape in shapes if shape.adds])
    return common(box, box if page is None else (0.0, 0.0, *page))


def around_px(shapes: Sequence[Shape]) -> Bounds | None:
    """Box around shapes, whether they add ink or cover it."""
    known: dict[int, Bounds | None] = {}
    return around(_of_shape(shape, known) for shape in shapes)


def may_cross(shapes: Sequence[Shape]) -> bool:
    """Whether boundaries of different shapes, or of a shape and its clip, may cross, by their boxes.

    Shapes that one pen draws alike are one.
    """
    alike = set(map(drawn_alike, shapes))
    if len(alike) == 1 and None not in alike:
        return False
    known: dict[int, Bounds | None] = {}
    seen = [(shape, box) for shape in shapes if (box := _of_shape(shape, known)) is not None]
    if len(seen) > _MANY or any(box != unclipped_px(shape) or _has_curved_clip(shape) for shape, box in seen):
        return True
    x0, y0, x1, y1 = np.array([box for _, box in seen]).reshape(-1, 4).T
    meet = (x0[:, None] <= x1) & (y0[:, None] <= y1)
    return int((meet & meet.T).sum()) > len(seen)  # each meets itself


def _has_curved_clip(shape: Shape) -> bool:
    return any(each.path.cubics or each.path.arcs for stencil in shape.stencils for each in stencil.shapes)


def _of_shape(shape: Shape, known: dict[int, Bounds | None]) -> Bounds | None:
    box = unclipped_px(shape)
    for stencil in shape.stencils:
        box = common(box, _of_stencil(stencil, known))
    return box


def unclipped_px(shape: Shape) -> Bounds | None:
    """Box around a shape, mitre tips excepted, whatever clips it."""
    own = shape.path.reach()
    if own is None:
        return None
    box = moved_box(own, shape.to_page)
    if shape.pen:
        half = shape.pen.width / 2 * (1.0 if shape.pen.non_scaling else stretch(shape.to_page))
        box = (box[0] - half, box[1] - half, box[2] + half, box[3] + half)
    return box


def _of_stencil(stencil: Stencil, known: dict[int, Bounds | None]) -> Bounds | None:
    if id(stencil) not in known:
        known[id(stencil)] = around(_of_shape(shape, known) for shape in stencil.shapes if shape.adds)
    return known[id(stencil)]
