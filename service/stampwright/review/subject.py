"""What every family of findings looks at: one face with its job, axis, widths, rack and the reach of its cutters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stampwright.catalogue import Metal, Substrate
    from stampwright.job import Job
    from stampwright.layout import Face
    from stampwright.plane import Axis, Closings
    from stampwright.solid import Hole

    from .rack import Rack
    from .widths import Widths


@dataclass(frozen=True, slots=True)
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

    @property
    def width_mm(self) -> float:
        """Width of the mark on the face: that of its ink's box [mm]."""
        x0, _, x1, _ = self.face.ink.bounds
        return float(x1 - x0)

    def mark_that_heals(self, measured_mm: float, *, limit_mm: float) -> str:
        """Say how wide the mark has to be for a width to come up to its limit: widths grow with the mark."""
        width_mm = self.width_that_heals(measured_mm, limit_mm=limit_mm)
        if width_mm is None:
            return "redraw it: no size of the mark alone mends it"
        return f"make the mark at least {width_mm:.1f} mm wide"

    def width_that_heals(self, measured_mm: float, *, limit_mm: float) -> float | None:
        """The same as a number; None when no size of the mark mends it [mm]."""
        return self.width_mm * limit_mm / measured_mm if measured_mm > 0.0 else None
