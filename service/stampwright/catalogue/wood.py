"""Thermal properties of wood from its specific gravity: Wood Handbook (FPL-GTR-190, 2010), chapter 4.

Equation 4-15 and the heat capacity that goes with it, across the grain, moisture below 25 %. Measured boards
scatter by some 20 % about the conductivity.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

MOISTURE_PCT = 12.0  # wood in equilibrium with a room; what the handbook's tables are given for
ROOM_K = 297.0  # 24 °C, where the conductivity was fitted
WATER_J_KGK = 4180.0


@dataclass(frozen=True, slots=True)
class Thermal:
    """Conductivity [W/(m K)], density [kg/m³] and specific heat [J/(kg K)], and what follows from them."""

    conductivity_w_mk: float
    density_kg_m3: float
    specific_heat_j_kgk: float

    @property
    def diffusivity_mm2_s(self) -> float:
        """How fast a temperature spreads: k / (ρ c) [mm²/s]."""
        return 1e6 * self.conductivity_w_mk / (self.density_kg_m3 * self.specific_heat_j_kgk)

    @property
    def effusivity_w_sqrts_m2k(self) -> float:
        """How much heat a sudden contact draws: sqrt(k ρ c) [W s^½/(m² K)]."""
        return math.sqrt(self.conductivity_w_mk * self.density_kg_m3 * self.specific_heat_j_kgk)


def conductivity_w_mk(specific_gravity: float, *, moisture_pct: float = MOISTURE_PCT) -> float:
    """Conductivity across the grain near 24 °C [W/(m K)], for specific gravity above 0.3 and moisture below 25 %.

    `specific_gravity` is ovendry mass over volume at that moisture.

    >>> round(conductivity_w_mk(0.50), 4)  # by hand: 0.5 * (0.1941 + 0.004064 * 12) + 0.01864
    0.1401
    """
    return specific_gravity * (0.1941 + 0.004064 * moisture_pct) + 0.01864


def specific_heat_j_kgk(*, moisture_pct: float = MOISTURE_PCT, at_k: float = ROOM_K) -> float:
    """Specific heat of moist wood [J/(kg K)], 280 to 420 K; the same for all species.

    >>> round(specific_heat_j_kgk(at_k=340.0) / 1000, 3)  # the handbook's example at 12 %, 340 K gives 1.91
    1.915
    """
    dry = 103.1 + 3.867 * at_k
    bound = 1000 * moisture_pct * (-0.06191 + 2.36e-4 * at_k - 1.33e-4 * moisture_pct)  # water held by the cell walls
    share = moisture_pct / 100
    return (dry + WATER_J_KGK * share) / (1 + share) + bound


def thermal(specific_gravity: float) -> Thermal:
    """Thermal properties of a species at 12 % moisture and 24 °C, from its specific gravity at 12 %."""
    density_kg_m3 = 1000 * specific_gravity * (1 + MOISTURE_PCT / 100)
    return Thermal(conductivity_w_mk(specific_gravity), density_kg_m3, specific_heat_j_kgk())
