"""UseSheet: heating, pressing, the rod. Every figure is a planning estimate. What stage 6 hands on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stampwright.base import Caution

Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class RodPlan:
    """The rod: bare length that keeps the grip below the touch limit."""

    material: str
    diameter_mm: float
    bare_length_mm: float
    touch_limit_c: float
    grip_c: float
    engagement_mm: float | None
    handle_bore_mm: Range
    handle_depth_mm: float
    says: str


@dataclass(frozen=True, slots=True)
class UseSheet:
    """From cold head to print; ranges are (low, high)."""

    heat_up_s: float
    heat_up_range_s: Range
    face_target_c: Range
    energy_j: float  # into the head until it is hot, what it loses meanwhile included
    biot: float
    prints_per_heat: int
    dwell_s: Range
    press_force_n: Range
    char_depth_mm: float
    char_spread_mm: Range  # sideways, per edge
    rod: RodPlan
    steps: tuple[str, ...]
    cautions: tuple[Caution, ...]
