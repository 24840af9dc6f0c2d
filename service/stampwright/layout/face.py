"""Face: the ink laid out on the head and reversed, as the cutter meets it. What stage 2 hands on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from stampwright.plane import outside

if TYPE_CHECKING:
    import shapely

    from stampwright.base import Notice


@dataclass(frozen=True)
class Face:
    """Ink and head in face coordinates: origin at the centre of the head, x right, y up, seen from the front.

    Every vertex lies on the grid; `ink` is valid, inside `head` by the margin, and its lands do not touch, not even
    in a point. `head` is the outline of the block, its curves flattened like all others.
    """

    ink: shapely.MultiPolygon
    head: shapely.Polygon
    relief_mm: float  # land height above the floor, chosen from the substrate when the job left it open
    scale: float  # millimetres on the face per millimetre of the mark as drawn
    reversed: bool
    mirror_symmetric: bool  # the mark equals its own mirror image, so that reversing cannot be seen
    repaired: tuple[Notice, ...] = ()
    left_out: tuple[Notice, ...] = ()  # ink cut off at the margin
    hints: tuple[Notice, ...] = ()  # laid out as asked, and perhaps not what was meant

    @cached_property
    def floor(self) -> shapely.MultiPolygon:
        """The head without the ink: made once for review, plan and solid."""
        return outside(self.ink, self.head)
