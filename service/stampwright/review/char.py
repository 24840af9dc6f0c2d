"""How far char creeps past the edge of a land: what closes a gap on the print although the iron has it open."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from scipy.special import erfcinv

if TYPE_CHECKING:
    from stampwright.catalogue import Metal, Substrate

ROOM_C = 20.0
SPREAD_BAND = (0.28, 1.0)
"""Sideways over depth: plane conduction past an edge (400 °C for 3 s, front of 250 °C) gives 0.28; smoke and radiation
widen it by an amount no source gives, taken as at most the depth."""


def char_depth_mm(metal: Metal, substrate: Substrate) -> float:
    """Depth that reaches charring under a land, at middle temperature and dwell [mm]; an upper bound.

    Two half spaces in sudden contact: x = 2 √(α t) erfc⁻¹((char − work) / (interface − work)), [incropera-fins].
    """
    face_c = (min(substrate.face_low_c, metal.not_above_c) + min(substrate.face_high_c, metal.not_above_c)) / 2
    dwell_s = (substrate.dwell_low_s + substrate.dwell_high_s) / 2
    hot = math.sqrt(metal.conductivity_w_mk * metal.density_kg_m3 * metal.specific_heat_j_kgk)
    interface_c = (hot * face_c + substrate.effusivity_w_sqrts_m2k * ROOM_C) / (hot + substrate.effusivity_w_sqrts_m2k)
    if interface_c <= substrate.char_c:
        return 0.0
    share = (substrate.char_c - ROOM_C) / (interface_c - ROOM_C)
    return float(2 * math.sqrt(substrate.diffusivity_mm2_s * dwell_s) * erfcinv(share))


def char_spread_mm(metal: Metal, substrate: Substrate) -> tuple[float, float]:
    """Least and greatest spread past each edge [mm]."""
    depth_mm = char_depth_mm(metal, substrate)
    return SPREAD_BAND[0] * depth_mm, SPREAD_BAND[1] * depth_mm
