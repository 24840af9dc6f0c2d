"""The head as one lump of metal: heat-up, cooling, and whether a lump it is (Incropera and DeWitt, chapter 5).

m c dT/dt = P − h A (T − room) − ε σ A (T⁴ − room⁴)
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

from scipy.integrate import quad, solve_ivp

from .losses import FILM_W_M2K, ROOM_C, convection_w, radiation_w

if TYPE_CHECKING:
    from collections.abc import Sequence

FLAME_FILM_W_M2K = 200.0  # between flame and metal, 100 to 300; from memory
INSTANT_S = 1e-6  # shorter is no time at all


@dataclass(frozen=True, slots=True)
class Body:
    """A lump that loses heat over its whole surface."""

    mass_kg: float
    specific_heat_j_kgk: float
    surface_m2: float
    volume_m3: float
    conductivity_w_mk: float
    emissivity: float
    film_w_m2k: float = FILM_W_M2K

    @property
    def capacity_j_k(self) -> float:
        """Heat that warms it by one kelvin [J/K]."""
        return self.mass_kg * self.specific_heat_j_kgk

    @property
    def biot(self) -> float:
        """Biot number in the flame, h (V/A) / k: below 0.1 the lump is at one temperature within a few per cent."""
        return FLAME_FILM_W_M2K * self.volume_m3 / self.surface_m2 / self.conductivity_w_mk

    def loss_w(self, at_c: float) -> float:
        """Heat given to the room at that temperature [W]."""
        convected = convection_w(self.surface_m2, at_c=at_c, film_w_m2k=self.film_w_m2k)
        return convected + radiation_w(self.surface_m2, at_c=at_c, emissivity=self.emissivity)

    def heat_up_s(self, power_w: float, *, to_c: float, from_c: float = ROOM_C) -> float:
        """Seconds to `to_c` with `power_w` flowing into it; infinite when its losses stop it before."""
        if power_w <= self.loss_w(to_c):
            return inf
        return float(quad(lambda at_c: self.capacity_j_k / (power_w - self.loss_w(at_c)), from_c, to_c)[0])

    def cooled_c(self, from_c: float, *, after_s: float) -> float:
        """Temperature after standing in still air for `after_s` seconds [°C]."""
        if after_s < INSTANT_S:
            return from_c

        def rate_k_s(_: float, at_c: Sequence[float]) -> list[float]:
            return [-self.loss_w(at_c[0]) / self.capacity_j_k]

        # Implicit, since a thin head cools so fast that explicit steps would have to be tiny for a long wait.
        path = solve_ivp(rate_k_s, (0.0, after_s), [from_c], method="Radau", rtol=1e-6)
        return float(path.y[0, -1])


def gradient_k(power_w: float, *, length_m: float, section_m2: float, conductivity_w_mk: float) -> float:
    """Difference from the heated end to the other while the whole block warms evenly: P L / (2 k A) [K]."""
    return power_w * length_m / (2 * conductivity_w_mk * section_m2)


def soak_s(length_m: float, *, diffusivity_mm2_s: float) -> float:
    """Time in which such a difference evens out: L² / α [s]."""
    return (1000 * length_m) ** 2 / diffusivity_mm2_s
