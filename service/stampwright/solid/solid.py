"""Solid: the head with its lands and its hole as one closed, oriented triangle mesh. What stage 3 hands on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from stampwright.job import SolidKind


@dataclass(frozen=True, slots=True)
class Hole:
    """The threaded hole in the back. `full_thread_mm` + tap lead + chip room = `drilled_mm`; then the drill's point."""

    thread: str
    tap: str
    drill_mm: float
    drill_name: str
    full_thread_mm: float
    drilled_mm: float  # to the shoulder of the drill point
    point_mm: float
    wall_mm: float  # metal between the point and the floor
    countersink_mm: float  # diameter at the mouth


@dataclass(frozen=True, slots=True)
class Solid:
    """Triangles in mm: z = 0 is the top of the lands, the floor at −relief, the back at −thickness.

    Each directed edge occurs once and its reverse once, normals point outwards; `vertices` (n, 3) are exact in float32
    in x and y, `triangles` (m, 3) index them.
    """

    kind: SolidKind
    vertices: NDArray[np.float64]
    triangles: NDArray[np.int32]
    volume_mm3: float
    surface_mm2: float
    mass_g: float
    bounds_mm: tuple[tuple[float, float, float], tuple[float, float, float]]
    watertight: bool
    hole: Hole | None
