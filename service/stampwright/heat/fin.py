"""A round rod that loses heat along its length: the fin of the textbooks (Incropera and DeWitt, chapter 3.6).

Closed forms take one film coefficient for all losses; `bare_length_mm` integrates convection and radiation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.integrate import quad
from scipy.optimize import brentq

from stampwright.base.quantities import KELVIN_AT_0_C, STEFAN_BOLTZMANN_W_M2K4

from .losses import FILM_W_M2K, ROOM_C

TOTAL_FILM_W_M2K = 20.0  # convection and radiation of a dull rod together; common practice, no source
BRIGHT = 0.3  # emissivity of a new rod: a bright one stays hot farther out; common practice, no source
NOTHING_K = 0.1  # differences below it are not told apart


@dataclass(frozen=True, slots=True)
class Fin:
    """A rod by its diameter and metal."""

    diameter_mm: float
    conductivity_w_mk: float
    total_film_w_m2k: float = TOTAL_FILM_W_M2K

    @property
    def parameter_per_m(self) -> float:
        """The m of the textbooks: sqrt(4 h / (k d)) [1/m]."""
        return math.sqrt(4 * self.total_film_w_m2k / (self.conductivity_w_mk * self.diameter_mm / 1000))

    def drawn_w(self, root_c: float, *, length_mm: float) -> float:
        """Heat the rod draws from its root: sqrt(h p k A) θ tanh(m L) [W]."""
        d_m = self.diameter_mm / 1000
        conductance = math.sqrt(self.total_film_w_m2k * math.pi * d_m * self.conductivity_w_mk * math.pi * d_m**2 / 4)
        return conductance * (root_c - ROOM_C) * math.tanh(self.parameter_per_m * length_mm / 1000)

    def endless_reach_mm(self, root_c: float, *, limit_c: float) -> float:
        """Where a very long rod has fallen to `limit_c`: ln(θ root / θ limit) / m [mm]."""
        return 1000 * math.log((root_c - ROOM_C) / (limit_c - ROOM_C)) / self.parameter_per_m

    def bare_length_mm(
        self, root_c: float, *, grip_c: float, emissivity: float = BRIGHT, film_w_m2k: float = FILM_W_M2K
    ) -> float:
        """Length from the root to an insulated grip that then stands at `grip_c`, steady [mm].

        First integral of k d/4 T'' = h (T − room) + ε σ (T⁴ − room⁴), with T' = 0 at the grip: exact for both losses.
        With T = grip + u² the mean loss between grip and T stays in the integrand, which is finite everywhere.
        """
        room_k, tip_k = ROOM_C + KELVIN_AT_0_C, grip_c + KELVIN_AT_0_C
        square, cube, fourth, room_fourth = tip_k**2, tip_k**3, tip_k**4, room_k**4

        def mean_loss_w_m2(at_k: float) -> float:
            # (at⁵ − tip⁵) / 5 (at − tip)
            powers = (fourth + at_k * cube + at_k**2 * square + at_k**3 * tip_k + at_k**4) / 5
            convected = film_w_m2k * ((at_k + tip_k) / 2 - room_k)
            return convected + emissivity * STEFAN_BOLTZMANN_W_M2K4 * (powers - room_fourth)

        span = quad(lambda u: 2 / math.sqrt(mean_loss_w_m2(tip_k + u * u)), 0.0, math.sqrt(root_c - grip_c))[0]
        return float(1000 * span * math.sqrt(self.conductivity_w_mk * self.diameter_mm / 8000))

    def grip_c(self, root_c: float, *, length_mm: float) -> float:
        """Steady temperature at an insulated grip after `length_mm` of bare, bright rod [°C], to 0.1 K."""

        def too_far_mm(tip_c: float) -> float:
            return self.bare_length_mm(root_c, grip_c=tip_c) - length_mm

        coolest_c, hottest_c = ROOM_C + NOTHING_K, root_c - NOTHING_K
        if too_far_mm(coolest_c) <= 0.0:
            return coolest_c
        if too_far_mm(hottest_c) >= 0.0:
            return root_c
        return float(brentq(too_far_mm, coolest_c, hottest_c, xtol=0.01))


def arrival_s(length_mm: float, *, diffusivity_mm2_s: float) -> float:
    """Time until the first half per cent of the root's rise arrives: from reach = 4 sqrt(α t) [s].

    >>> round(4 * 13.57**0.5 * 60**0.5, 1)  # reach in mild steel after a minute [mm]
    114.1
    >>> round(arrival_s(114.1, diffusivity_mm2_s=13.57))
    60
    """
    return (length_mm / 4) ** 2 / diffusivity_mm2_s
