"""What every family of findings looks at: one face with its job, axis, widths, rack and the reach of its cutters."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from stampwright.job import LARGEST_HEAD_MM

from .char import char_spread_mm

if TYPE_CHECKING:
    from stampwright.catalogue import Metal, Substrate
    from stampwright.job import Job
    from stampwright.layout import Face
    from stampwright.plane import Axis, Closings
    from stampwright.solid import Hole

    from .rack import Rack
    from .shares import Shares
    from .widths import Widths


@dataclass(frozen=True)
class Subject:
    """A face under review."""

    face: Face
    job: Job
    hole: Hole | None
    metal: Metal
    substrate: Substrate
    axis: Axis
    closings: Closings
    widths: Widths
    rack: Rack
    shares: Shares

    @cached_property
    def width_mm(self) -> float:
        """Width of the mark on the face: that of its ink's box [mm]."""
        x0, _, x1, _ = self.face.ink.bounds
        return float(x1 - x0)

    def width_that_heals(self, measured_mm: float, *, limit_mm: float) -> float | None:
        """Width of the mark at which a width comes up to its limit: None when no head is so wide [mm]."""
        wide_mm = self.width_mm * limit_mm / measured_mm if measured_mm > 0.0 else LARGEST_HEAD_MM + 1
        return wide_mm if wide_mm <= LARGEST_HEAD_MM else None

    @cached_property
    def char_spread_mm(self) -> tuple[float, float]:
        """How far char creeps past an edge, at least and at most [mm]."""
        return char_spread_mm(self.metal, self.substrate)
