"""The parts of an answer that describe what will be made: mark, face, solid, review.

Units are in the names. Coordinates of notices are those of the mark as drawn, all others those of the face as cut.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["ready", "compromised", "unmakeable"]
Severity = Literal["note", "warning", "stop"]
Point = tuple[float, float]
Corner3 = tuple[float, float, float]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Notice:
    """One thing of the drawing that was changed, or that will not print."""

    code: str
    element: str | None
    count: int
    bounds_mm: Box | None
    ink_share: float | None
    says: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Mark:
    """The drawing as it was read: true size, y down from the page's top left corner."""

    source: str
    page_mm: Point
    ink_bounds_mm: Box
    ink_area_mm2: float
    lands: int
    counters: int
    mirror_symmetric: bool
    repaired: tuple[Notice, ...]
    left_out: tuple[Notice, ...]
    hints: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class Face:
    """The ink on the head as the cutter meets it: origin at the centre, x right, y up."""

    width_mm: float
    height_mm: float
    scale: float
    ink_area_mm2: float
    coverage: float
    land_min_mm: float | None
    gap_min_mm: float | None
    relief_mm: float
    reversed: bool
    head_bounds_mm: Box
    head_area_mm2: float


@dataclass(frozen=True, slots=True)
class GrownPlace:
    """One thin stretch of land, before and after growing."""

    at_mm: Point
    before_mm: float
    after_mm: float
    length_mm: float
    added_mm2: float
    still_thin_mm: float
    gap_forbade: bool
    says: str


@dataclass(frozen=True, slots=True)
class Growth:
    """What growing thin lands did; all other parts of the answer are of the grown face."""

    outcome: Literal["grown", "nothing_thin", "left_as_drawn"]
    land_mm: float
    gap_mm: float
    added_mm2: float
    places: tuple[GrownPlace, ...]
    letters_left: int
    says: str


@dataclass(frozen=True, slots=True)
class Solid:
    """Measures of the head as one closed mesh; `make_solid` fetches the mesh itself."""

    kind: Literal["as_drawn", "as_cut"]
    triangles: int
    volume_mm3: float
    surface_mm2: float
    mass_g: float
    bounds_mm: tuple[Corner3, Corner3]
    watertight: bool


@dataclass(frozen=True, slots=True)
class Mend:
    """Changes of the job that mend a finding, each alone; None or False: that one would not, or cannot be told."""

    mark_width_mm: float | None
    relief_mm: float | None
    thickness_mm: float | None
    cutter: str | None
    metal: str | None
    thicken: bool
    reverse: bool


@dataclass(frozen=True, slots=True)
class Finding:
    """One place where the iron will disappoint, measured."""

    code: str
    severity: Severity
    at_mm: Point | None
    measured_mm: float | None
    limit_mm: float | None
    length_mm: float | None
    area_mm2: float | None
    angle_deg: float | None
    says: str
    remedy: str
    would_mend: Mend


@dataclass(frozen=True, slots=True)
class Corner:
    """An inside corner that a round cutter leaves round."""

    at_mm: Point
    angle_deg: float
    radius_mm: float
    residual_mm: float
    uncut_area_mm2: float


@dataclass(frozen=True, slots=True)
class Shut:
    """A gap or counter that a cutter does not enter at full depth; a pointed one can groove it, rising."""

    at_mm: Point
    is_counter: bool
    width_mm: float
    depth_mm: float
    uncut_area_mm2: float


@dataclass(frozen=True, slots=True)
class CutterReach:
    """What one cutter of the rack reaches, alone."""

    cutter: str
    face_radius_mm: float
    floor_radius_mm: float
    reaches_floor: bool
    reaches_area_mm2: float
    full_depth_area_mm2: float
    uncut_area_mm2: float
    filled_counters: int
    closed_gaps: int
    corners: tuple[Corner, ...]
    shut: tuple[Shut, ...]
    worst_residual_mm: float
    faithful_share: float


@dataclass(frozen=True, slots=True)
class WidthBin:
    """How much middle line of lands or gaps has a width in this range; `to_mm` None: and all wider ones."""

    from_mm: float
    to_mm: float | None
    length_mm: float


@dataclass(frozen=True, slots=True)
class Review:
    """All findings, worst first, and the reach of each cutter in the rack's order."""

    findings: tuple[Finding, ...]
    cutters: tuple[CutterReach, ...]
    least_faithful_width_mm: float | None
    findings_left_out: dict[str, int]
    land_widths: tuple[WidthBin, ...]
    gap_widths: tuple[WidthBin, ...]
