"""What a job chooses from, each row with its source. Units are in the names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Cutter:
    """A milling tool; `tip_mm` and `half_angle_deg` are 0 unless it is pointed."""

    key: str
    shape: Literal["flat", "ball", "pointed"]
    diameter_mm: float
    flutes: int
    length_of_cut_mm: float
    shank_mm: float
    overhang_mm: float
    tip_mm: float
    half_angle_deg: float
    source: str


@dataclass(frozen=True, slots=True)
class Metal:
    """What a head can be made of."""

    key: str
    name: str
    density_kg_m3: float
    specific_heat_j_kgk: float
    conductivity_w_mk: float
    expansion_um_mk: float
    emissivity_used: float
    melting_from_c: float
    not_above_c: float
    kc11_n_mm2: float
    mc: float
    cutting_speed_low_m_min: float
    cutting_speed_high_m_min: float
    chip_share: float
    source: str


@dataclass(frozen=True, slots=True)
class Substrate:
    """What can be branded."""

    key: str
    name: str
    kind: Literal["softwood", "hardwood", "leather"]
    janka_n: float | None
    conductivity_w_mk: float
    diffusivity_mm2_s: float
    effusivity_w_sqrts_m2k: float
    face_low_c: float
    face_high_c: float
    dwell_low_s: float
    dwell_high_s: float
    char_c: float
    crush_mpa: float | None
    press_low_mpa: float
    press_high_mpa: float
    relief_low_mm: float
    relief_high_mm: float
    land_warn_mm: float
    gap_warn_mm: float
    source: str


@dataclass(frozen=True, slots=True)
class Thread:
    """A screw thread for the hole in the back, with its tapping drill."""

    size: str
    standard: str
    major_mm: float
    pitch_mm: float
    drill_mm: float
    drill_name: str
    internal_minor_mm: float
    pitch_diameter_mm: float
    percent_of_thread: float
    source: str
