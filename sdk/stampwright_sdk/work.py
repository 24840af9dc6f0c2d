"""The parts of an answer that describe the work: cutting plan, heat and use, price. Units are in the names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger of the work, with where it is from."""

    code: str
    says: str
    source: str


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a number of the plan is from: its place there, the rule it is worked out by, whose rule that is."""

    quantity: str
    says: str
    source: str


@dataclass(frozen=True, slots=True)
class Operation:
    """One operation with one tool. Forces are estimates: see the plan's `load_band`."""

    step: int
    kind: str
    side: Literal["face", "back"]
    cutter: str
    spindle_rpm: float
    feed_mm_per_min: float
    feed_per_tooth_mm: float | None
    radial_engagement_mm: float | None
    axial_depth_mm: float | None
    passes: int
    stock_to_leave_mm: float
    cleared_area_mm2: float
    removed_mm3: float
    path_mm: float | None
    time_min: float
    power_w: float | None
    force_n: float | None
    deflection_mm: float | None
    torque_nmm: float | None
    stress_mpa: float | None
    chip_mm: float | None
    why: str


@dataclass(frozen=True, slots=True)
class Blank:
    """The block before the first chip, and how it is held."""

    saw_width_mm: float
    saw_height_mm: float
    saw_thickness_mm: float
    allowance_mm: float
    mass_g: float
    holding: str
    zero: str
    checklist: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ThreadPlan:
    """The hole in the back: what to drill, how deep, how far to tap."""

    size: str
    tap: str
    drill_mm: float
    drill_name: str
    percent_of_thread: float
    drilled_mm: float
    full_thread_mm: float
    engagement_diameters: float
    point_mm: float
    wall_mm: float
    internal_minor_mm: float
    pitch_mm: float


@dataclass(frozen=True, slots=True)
class Plan:
    """Which cutters in which order, and every number a machinist asks for."""

    operations: tuple[Operation, ...]
    total_min: float
    left_uncut_mm2: float
    cutters: tuple[str, ...]
    passed_over: dict[str, str]
    blank: Blank
    thread: ThreadPlan | None
    cautions: tuple[Caution, ...]
    origins: tuple[Origin, ...]
    load_band: tuple[float, float]
    fails_at_step: int | None
    fails_because: str | None


@dataclass(frozen=True, slots=True)
class Rod:
    """The rod between head and handle."""

    material: str
    diameter_mm: float
    bare_length_mm: float
    touch_limit_c: float
    grip_c: float
    engagement_mm: float | None
    handle_bore_mm: tuple[float, float]
    handle_depth_mm: float
    says: str


@dataclass(frozen=True, slots=True)
class Use:
    """From the cold head to the print; every figure is a planning estimate, ranges are (low, high)."""

    heat_up_s: float
    heat_up_range_s: Range
    face_target_c: Range
    energy_j: float
    biot: float
    prints_per_heat: int
    dwell_s: Range
    press_force_n: Range
    char_depth_mm: float
    char_spread_mm: Range
    rod: Rod
    steps: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class PriceItem:
    """One line of the quote."""

    says: str
    amount: float


@dataclass(frozen=True, slots=True)
class Price:
    """The quote; `total` is the sum of the items, each rounded to the cent first."""

    currency: str
    items: tuple[PriceItem, ...]
    total: float
