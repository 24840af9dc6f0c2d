"""What a hot surface gives to the room: natural convection and radiation, for a grey surface in a large room."""

from __future__ import annotations

from stampwright.base.quantities import KELVIN_AT_0_C, STEFAN_BOLTZMANN_W_M2K4

ROOM_C = 20.0
FILM_W_M2K = 10.0  # natural convection about a small hot body, 5 to 15; common practice, no source


def convection_w(area_m2: float, *, at_c: float, film_w_m2k: float = FILM_W_M2K, room_c: float = ROOM_C) -> float:
    """Heat to the air by natural convection [W].

    >>> round(convection_w(3.15e-3, at_c=400.0), 2)  # by hand: 10 * 3.15e-3 * 380
    11.97
    """
    return film_w_m2k * area_m2 * (at_c - room_c)


def radiation_w(area_m2: float, *, at_c: float, emissivity: float, room_c: float = ROOM_C) -> float:
    """Net radiation to the room [W], for 0 <= emissivity <= 1 (Stefan and Boltzmann).

    >>> round(radiation_w(3.15e-3, at_c=400.0, emissivity=0.6), 2)  # by hand, with 673.15 K and 293.15 K
    21.21
    """
    hot_k, room_k = at_c + KELVIN_AT_0_C, room_c + KELVIN_AT_0_C
    return emissivity * STEFAN_BOLTZMANN_W_M2K4 * area_m2 * (hot_k**4 - room_k**4)
