"""Printing: how hard, how deep, how wide, how often."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .contact import MOISTURE_SHARE, SPREAD_BAND, impression_j_mm2, interface_c, scorch_depth_mm
from .losses import ROOM_C

if TYPE_CHECKING:
    from stampwright.catalogue import Metal, Substrate

    from .body import Body
    from .use import Range

HAND_FORCE_N = 200.0  # beyond it an arbor press or the quill of a drill press is steadier; common practice, no source
MOST_PRINTS = 50  # nobody counts on more from one heat


def press_force_n(substrate: Substrate, *, land_mm2: float) -> Range:
    """Force on the whole land [N], never above what crushes the fibres."""
    most_mpa = min(substrate.press_high_mpa, substrate.crush_mpa or substrate.press_high_mpa)
    return substrate.press_low_mpa * land_mm2, most_mpa * land_mm2


def char_depth_mm(metal: Metal, substrate: Substrate, *, face_c: float, dwell_s: float) -> float:
    """Depth of the char under the land after one print [mm], an upper bound; 0 when the face is too cool."""
    surface_c = interface_c(
        face_c,
        ROOM_C,
        face_effusivity=metal.effusivity_w_sqrts_m2k,
        work_effusivity=substrate.effusivity_w_sqrts_m2k,
    )
    return scorch_depth_mm(
        dwell_s,
        surface_c=surface_c,
        char_c=substrate.char_c,
        work_c=ROOM_C,
        diffusivity_mm2_s=substrate.diffusivity_mm2_s,
    )


def char_spread_mm(depth_mm: float) -> Range:
    """How far the char creeps past each edge of a land [mm]: from conduction alone up to as far as it is deep."""
    return SPREAD_BAND[0] * depth_mm, SPREAD_BAND[1] * depth_mm


def print_j(substrate: Substrate, *, face_c: float, dwell_s: float, land_mm2: float) -> float:
    """Heat one print takes out of the head [J], with the share that dries the wood."""
    flow = impression_j_mm2(dwell_s, effusivity=substrate.effusivity_w_sqrts_m2k, warmed_by_k=face_c - ROOM_C)
    return MOISTURE_SHARE * flow * land_mm2


@dataclass(frozen=True, slots=True)
class Rhythm:
    """How the iron is worked: `handling_s` from the flame, or the last print, to the next print; then the dwell."""

    handling_s: float
    dwell_s: float


def prints_per_heat(body: Body, substrate: Substrate, *, window_c: Range, rhythm: Rhythm, land_mm2: float) -> int:
    """Prints between two heats, for a head that leaves the flame at the top of the window.

    A print counts while it begins inside the window and hot enough to char. 0: the handling alone cools the head too
    far, or the metal may never be hot enough.
    """
    face_c, prints = window_c[1], 0
    while prints < MOST_PRINTS and face_c >= window_c[0]:
        face_c = body.cooled_c(face_c, after_s=rhythm.handling_s)
        if face_c < window_c[0] or face_c <= substrate.char_c:
            break
        taken_j = print_j(substrate, face_c=face_c, dwell_s=rhythm.dwell_s, land_mm2=land_mm2)
        face_c = body.cooled_c(face_c, after_s=rhythm.dwell_s) - taken_j / body.capacity_j_k
        prints += 1
    return prints
