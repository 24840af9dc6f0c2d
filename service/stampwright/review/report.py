"""Review: every place where this iron will disappoint, measured. What stage 4 hands on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stampwright.base import Finding, Point, Verdict


@dataclass(frozen=True, slots=True)
class Corner:
    """An inside corner that a round cutter leaves round, in face coordinates."""

    at_mm: Point
    angle_deg: float
    radius_mm: float  # of the cutter at the place it is judged
    residual_mm: float  # how far the printed edge stands out from the drawn corner
    uncut_area_mm2: float


@dataclass(frozen=True, slots=True)
class Shut:
    """A gap or counter that a cutter does not enter at full depth, in face coordinates.

    What discs from the mouths of one gap part is told each by itself, where it does not reach the narrowest place.
    """

    at_mm: Point  # where the gap, or what is parted of it, is narrowest, or the counter widest
    is_counter: bool
    width_mm: float  # there
    depth_mm: float  # that a pointed cutter can groove it there, rising; 0 of any other
    uncut_area_mm2: float


@dataclass(frozen=True, slots=True)
class CutterReach:
    """What one cutter of the rack reaches of the floor, alone, and what it leaves."""

    cutter: str
    reaches_area_mm2: float
    uncut_area_mm2: float  # closing of the ink by the cutter's disc, less the ink
    filled_counters: int
    closed_gaps: int
    corners: tuple[Corner, ...]
    shut: tuple[Shut, ...]  # those gaps and counters, the largest uncut area first
    worst_residual_mm: float
    faithful_share: float
    face_radius_mm: float  # of the cutter at the height of the lands, where it decides what prints
    floor_radius_mm: float  # at its lowest point
    full_depth_area_mm2: float  # floor cleared to full depth: a ball or a cone leaves a foot beside the lands
    reaches_floor: bool  # its length of cut is at least the relief


@dataclass(frozen=True, slots=True)
class WidthBin:
    """How much of the mark is so wide: length of the lands' (or gaps') middle line between two widths."""

    from_mm: float
    to_mm: float | None  # None: all wider ones
    length_mm: float


@dataclass(frozen=True, slots=True)
class Review:
    """All findings, worst first, and the reach of each cutter, in the rack's order."""

    verdict: Verdict
    findings: tuple[Finding, ...]
    cutters: tuple[CutterReach, ...]
    least_faithful_width_mm: float | None
    land_min_mm: float | None  # least width of any land; None when no land has a width (a single disc has one)
    gap_min_mm: float | None
    land_min_at_mm: Point | None  # where that least land is
    findings_left_out: dict[str, int]  # findings beyond the listed ones, counted by code
    land_widths: tuple[WidthBin, ...]  # empty bins included, from 0 upward
    gap_widths: tuple[WidthBin, ...]
