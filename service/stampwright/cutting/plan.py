"""CuttingPlan: which cutters in which order, and every number a machinist asks for. What stage 5 hands on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import shapely

    from stampwright.base import Caution

    from .origins import Origin

OperationKind = Literal[
    "face",
    "drill",
    "countersink",
    "tap",
    "rough",
    "rest_rough",
    "slot",
    "floor",
    "wall",
    "bore",
    "corner",
    "break_edge",
]


LOAD_BAND = (0.6, 2.3)
"""Forces, powers, torques, bends and stresses over the figures told: published cutting forces of leaded and plain brass
run from 0.68 to 2.27 kN/mm² of chip [machinerys-31][mechanical-data-handbook][unit-energy-table]; ours is 1.02."""


@dataclass(frozen=True, slots=True)
class Operation:
    """One operation with one tool. Forces are estimates with a band, never limits."""

    step: int
    kind: OperationKind
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
    stress_mpa: float | None  # of bending, at the root of the flutes
    chip_mm: float | None  # the thickest: below 0.003 mm an edge rubs instead of cutting
    why: str


@dataclass(frozen=True, slots=True)
class Blank:
    """The block before the first chip, and how it is held. Order of work as a checklist."""

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
    """The hole as the sheet shows it: what to drill, how deep, how far to tap."""

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
class CuttingPlan:
    """All operations in order; the union of what they clear is the floor less `left_uncut`."""

    operations: tuple[Operation, ...]
    cleared: tuple[
        shapely.MultiPolygon, ...
    ]  # ground each face operation opens, in step order; a floor pass opens none
    left_uncut: shapely.MultiPolygon
    left_by_flats: shapely.MultiPolygon  # the same before a pointed cutter goes into it
    cutters: tuple[str, ...]  # chosen, in the order of use
    passed_over: dict[str, str]  # cutter of the rack that stays in its drawer → why
    total_min: float
    blank: Blank
    thread: ThreadPlan | None
    cautions: tuple[Caution, ...]
    origins: tuple[Origin, ...]  # of each number
    paths: tuple[shapely.MultiLineString, ...] = ()  # of the cutter's centre in one axial pass, beside `cleared`
    load_band: tuple[float, float] = LOAD_BAND
    fails_at_step: int | None = None  # the step up to which the plan holds, when the mark cannot be made
    fails_because: str | None = None

    @property
    def left_uncut_mm2(self) -> float:
        """Floor that no operation reaches."""
        return float(self.left_uncut.area)
