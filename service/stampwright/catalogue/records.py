"""The things a job chooses from. One record a row of `data/*.csv`; lengths in mm, the rest as the name says."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Shape = Literal["flat", "ball", "pointed"]
Kind = Literal["softwood", "hardwood", "leather"]


@dataclass(frozen=True, slots=True)
class Cutter:
    """A milling tool: flat, ball, or pointed (a cone of `half_angle_deg` with a flat tip of `tip_mm`)."""

    key: str
    shape: Shape
    diameter_mm: float
    flutes: int
    length_of_cut_mm: float
    shank_mm: float
    overhang_mm: float
    tip_mm: float = 0.0
    half_angle_deg: float = 0.0
    source: str = "given with the job"

    def radius_at_mm(self, height_mm: float) -> float:
        """Radius of the cutter's own body at `height_mm` above its lowest point."""
        if self.shape == "flat":
            return self.diameter_mm / 2
        if self.shape == "ball":
            radius = self.diameter_mm / 2
            below = max(radius - height_mm, 0.0)
            return math.sqrt(radius * radius - below * below)
        slope = math.tan(math.radians(self.half_angle_deg))
        return min(self.tip_mm / 2 + height_mm * slope, self.diameter_mm / 2)


@dataclass(frozen=True, slots=True)
class Metal:
    """What the head is made of: heat, weight, and how it cuts."""

    key: str
    name: str
    density_kg_m3: float
    specific_heat_j_kgk: float
    conductivity_w_mk: float
    expansion_um_mk: float
    emissivity_used: float  # of a head that has been heated a few times
    melting_from_c: float
    not_above_c: float  # face temperature never to exceed: annealing, temper or zinc fume, see its source
    kc11_n_mm2: float  # specific cutting force at 1 mm chip thickness
    mc: float  # its exponent
    cutting_speed_low_m_min: float  # carbide
    cutting_speed_high_m_min: float
    chip_share: float  # wanted greatest chip thickness as a share of the cutter's diameter
    source: str

    @property
    def diffusivity_mm2_s(self) -> float:
        """How fast a temperature spreads: k / (ρ c) [mm²/s]."""
        return 1e6 * self.conductivity_w_mk / (self.density_kg_m3 * self.specific_heat_j_kgk)

    @property
    def effusivity_w_sqrts_m2k(self) -> float:
        """How much heat a sudden contact draws: sqrt(k ρ c) [W s^½/(m² K)]."""
        return math.sqrt(self.conductivity_w_mk * self.density_kg_m3 * self.specific_heat_j_kgk)


@dataclass(frozen=True, slots=True)
class Substrate:
    """What gets branded."""

    key: str
    name: str
    kind: Kind
    janka_n: float | None
    conductivity_w_mk: float
    diffusivity_mm2_s: float
    effusivity_w_sqrts_m2k: float
    face_low_c: float
    face_high_c: float
    dwell_low_s: float
    dwell_high_s: float
    char_c: float  # the temperature whose front is taken as the edge of the print
    crush_mpa: float | None  # proportional limit across the grain
    press_low_mpa: float
    press_high_mpa: float
    relief_low_mm: float
    relief_high_mm: float
    land_warn_mm: float
    gap_warn_mm: float
    source: str


@dataclass(frozen=True, slots=True)
class Thread:
    """A 60° screw thread and its tapping drill. Diameters follow from the form (ISO 68-1, ASME B1.1)."""

    size: str
    standard: str
    major_mm: float
    pitch_mm: float
    drill_mm: float
    drill_name: str
    source: str

    @property
    def internal_minor_mm(self) -> float:
        """D − 1.082532 P: the bore that is left inside the nut thread."""
        return self.major_mm - 1.082532 * self.pitch_mm

    @property
    def pitch_diameter_mm(self) -> float:
        """D − 0.649519 P."""
        return self.major_mm - 0.649519 * self.pitch_mm

    @property
    def percent_of_thread(self) -> float:
        """Share of a full thread that the drill leaves, by the classic 1.299 P [%]."""
        return 100.0 * (self.major_mm - self.drill_mm) / (1.299038 * self.pitch_mm)


def drill_says(name: str, diameter_mm: float) -> str:
    """A drill for a sentence: its name in the shop and its diameter, or the one where it is the other."""
    return name if name.endswith(" mm") else f"{name} ({diameter_mm:.3f} mm)"


@dataclass(frozen=True, slots=True)
class Tap:
    """A tap by its lead: how many threads at its end do not cut full."""

    key: str
    incomplete_threads: float
    source: str
