"""The temperatures of the work: what the substrate asks for, and what the metal allows."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stampwright.catalogue import Metal, Substrate

    from .use import Range

LEAST_WINDOW_K = 25.0  # from the hottest to the coolest print of one heat; narrower cannot be held by hand


def face_target_c(metal: Metal, substrate: Substrate) -> Range:
    """Lowest and highest temperature of the face while printing [°C]; the metal caps both ends."""
    high_c = min(substrate.face_high_c, metal.not_above_c)
    return min(substrate.face_low_c, high_c - LEAST_WINDOW_K), high_c


def capped(metal: Metal, substrate: Substrate) -> bool:
    """Whether the metal keeps the face below the band that is usual for the substrate."""
    return face_target_c(metal, substrate)[0] < substrate.face_low_c
