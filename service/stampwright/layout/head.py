"""The outline of the head and of the field inside its margin: a rectangle with round corners, or a disc.

A disc is the rectangle whose corners are all there is of it, so one arithmetic serves both.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from stampwright.base import DoesNotFit, JobError, Refusal
from stampwright.base.tolerances import GRID_PER_MM
from stampwright.plane import quarter_segments

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.job import Head

_LARGEST_HEAD_MM = 1000.0  # coordinates stay far inside what the grid holds exactly in float32 (2,048 mm)


@dataclass(frozen=True, slots=True)
class Outline:
    """A rectangle about the origin with round corners; half its sides and the corner radius in mm."""

    half_width_mm: float
    half_height_mm: float
    corner_mm: float

    @property
    def diagonal_mm(self) -> float:
        """Greatest distance between two of its points."""
        across = math.hypot(self.half_width_mm - self.corner_mm, self.half_height_mm - self.corner_mm)
        return 2 * (across + self.corner_mm)

    @property
    def area_mm2(self) -> float:
        """Area of the true outline, its corners arcs."""
        return 4 * self.half_width_mm * self.half_height_mm - (4 - math.pi) * self.corner_mm**2

    def broken_mm3(self, break_mm: float) -> float:
        """What a chamfer of 45 degrees along one edge of the block takes (the prismatoid's rule, exact)."""
        levels_mm = (0.0, min(break_mm, self.corner_mm), break_mm)  # past the radius the corners are sharp
        frusta_mm3 = [self._frustum_mm3(high, deep) for high, deep in itertools.pairwise(levels_mm)]
        return self.area_mm2 * break_mm - sum(frusta_mm3)

    def _frustum_mm3(self, high_mm: float, deep_mm: float) -> float:
        """Between the outline inset by one and by the other, which lie as far apart in height."""
        top, middle, bottom = (self.inset(by).area_mm2 for by in (high_mm, (high_mm + deep_mm) / 2, deep_mm))
        return (deep_mm - high_mm) * (top + 4 * middle + bottom) / 6

    def inset(self, by_mm: float) -> Outline:
        """The outline `by_mm` further in (further out when negative); corners grow sharp when the radius is used up."""
        corner_mm = max(self.corner_mm - by_mm, 0.0)
        return Outline(self.half_width_mm - by_mm, self.half_height_mm - by_mm, corner_mm)

    def moved_in(self, places_mm: NDArray[np.float64], by_mm: float) -> NDArray[np.float64]:
        """Places (n, 2) of the outline, each moved along its normal onto the outline `by_mm` further in, on the grid.

        Where the corner radius is used up, the places of a corner come together in the sharp one.
        """
        centres = np.array([self.half_width_mm - self.corner_mm, self.half_height_mm - self.corner_mm])
        inner = np.clip(places_mm, -centres, centres)
        if by_mm < self.corner_mm:
            moved = inner + (places_mm - inner) * (1 - by_mm / self.corner_mm)
        else:
            most = centres - (by_mm - self.corner_mm)
            moved = np.clip(inner, -most, most)
        return np.asarray(np.round(moved * GRID_PER_MM) / GRID_PER_MM + 0.0)

    def polygon(self, *, chord_mm: float) -> shapely.Polygon:
        """Flatten the outline on the grid, counter-clockwise, its own mirror image in x and in y."""
        steps = quarter_segments(self.corner_mm, sagitta_mm=chord_mm) if self.corner_mm > 0 else 0
        angles = np.linspace(0.0, math.pi / 2, steps + 1)
        x = self.half_width_mm - self.corner_mm + self.corner_mm * np.cos(angles)
        y = self.half_height_mm - self.corner_mm + self.corner_mm * np.sin(angles)
        quarter = np.column_stack([x, y])
        left, right = quarter[::-1] * (-1, 1), quarter[::-1] * (1, -1)
        ring = np.vstack([quarter, left, -quarter, right])
        ring = np.round(ring * GRID_PER_MM) / GRID_PER_MM + 0.0  # + 0.0: no negative zeros
        fresh = np.any(ring != np.roll(ring, 1, axis=0), axis=1)
        return shapely.Polygon(ring[fresh])

    def largest_scale(self, points_mm: NDArray[np.float64]) -> float:
        """The largest factor at which all `points_mm` (n, 2), scaled about the origin, lie inside."""
        x, y = np.abs(points_mm).T
        with np.errstate(divide="ignore"):  # a point on an axis meets only the other pair of sides
            scale = np.minimum(self.half_width_mm / x, self.half_height_mm / y)
        inner = np.array([self.half_width_mm - self.corner_mm, self.half_height_mm - self.corner_mm])
        at_corner = (scale * x > inner[0]) & (scale * y > inner[1])
        # there the scaled point meets the arc: |s p - inner| = corner, the farther root
        square, along = x * x + y * y, x * inner[0] + y * inner[1]
        rest = inner @ inner - self.corner_mm**2
        roots = (along + np.sqrt(np.maximum(along * along - square * rest, 0.0))) / np.where(square > 0, square, 1.0)
        return float(np.min(np.where(at_corner, roots, scale)))


def outline_of(head: Head) -> Outline:
    """Return the outline of a head. Raises `JobError` for measures that make no block, all of them at once."""
    round_head = head.shape == "round"
    measures = {"diameter": head.width_mm} if round_head else {"width": head.width_mm, "height": head.height_mm}
    refusals = [_not_a_measure(name, mm) for name, mm in (measures | {"thickness": head.thickness_mm}).items()]
    refusals = [refusal for refusal in refusals if refusal]
    if refusals:
        raise JobError([refusal for refusal in refusals if refusal])
    if round_head:
        return Outline(head.width_mm / 2, head.width_mm / 2, head.width_mm / 2)
    most = min(head.width_mm, head.height_mm) / 2
    if not 0 <= head.corner_radius_mm <= most:
        detail = f"corner radius {head.corner_radius_mm:g} mm: give 0 to {most:g} mm, half the shorter side of the head"
        raise JobError.at("head-corner", detail, pointer="/job/head/corner_radius")
    return Outline(head.width_mm / 2, head.height_mm / 2, head.corner_radius_mm)


def field_of(head: Head, margin_mm: float) -> Outline:
    """Return the field inside the margin. Raises `DoesNotFit` when the margins leave none."""
    if not (math.isfinite(margin_mm) and margin_mm >= 0):
        raise JobError.at("margin", f"margin {margin_mm:g} mm: give 0 or more", pointer="/job/placement/margin")
    outline = outline_of(head)
    if min(outline.half_width_mm, outline.half_height_mm) <= margin_mm:
        name = "diameter" if head.shape == "round" else "width" if head.width_mm <= head.height_mm else "height"
        detail = (
            f"the head is {head.width_mm:g} x {head.height_mm:g} mm and margins of {margin_mm:g} mm leave no room "
            f"for the mark: make it larger than {2 * margin_mm:g} mm, or the margin smaller"
        )
        raise DoesNotFit.at("head-within-margins", detail, pointer=f"/job/head/{name}")
    return outline.inset(margin_mm)


def _not_a_measure(name: str, mm: float) -> Refusal | None:
    if math.isfinite(mm) and 0 < mm <= _LARGEST_HEAD_MM:
        return None
    detail = f"{name} {mm:g} mm: give more than 0 and at most {_LARGEST_HEAD_MM:g} mm"
    return Refusal("head-measure", detail, pointer=f"/job/head/{name}")
