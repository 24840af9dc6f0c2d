"""Milling arithmetic: speed, feed, chip, force, power, and what they do to a slender carbide cutter.

    vc   cutting speed at the rim               fz   feed per tooth
    ae   radial engagement (stepover)           ap   axial depth
    φs   arc over which a tooth is in the cut   h    chip thickness: hmax the greatest, hm the mean over the arc
    kc   cutting force per chip section         Q    metal removed per minute

Published values of kc for brass differ by a factor of three, and chips of 2 to 10 µm lie below the range its law
was fitted over (0.05 to 2.5 mm): every force and power here is an estimate, never a limit: the plan tells its band.
"""

from __future__ import annotations

import math

CHIP_CLAMP_MM = 0.002
"""Thinnest chip the force law is asked about: below, the edge radius decides, not the law (common practice)."""

RESULTANT_SHARE = 1.1
"""Resultant over tangential force: a radial part of 0.3 to 0.5 of it (from memory, textbook)."""

CARBIDE_MODULUS_MPA = 600_000.0  # cemented carbide, 580 to 620 GPa (from memory)
FLUTED_SHARE = 0.80  # equivalent bending diameter of a fluted shank over D: Kops & Vo, CIRP Annals 39/1, 1990
RUPTURE_MPA = 3500.0  # transverse rupture strength of carbide, 3000 to 4000 (from memory)
STRESS_LIMIT_MPA = RUPTURE_MPA / 4  # common practice, no source


def spindle_rpm(cutting_speed_m_min: float, diameter_mm: float) -> float:
    """N = 1000 vc / (π D) [1/min].

    >>> round(spindle_rpm(100.0, 1.0))  # textbook arithmetic
    31831
    """
    return 1000 * cutting_speed_m_min / (math.pi * diameter_mm)


def cutting_speed_m_min(rpm: float, diameter_mm: float) -> float:
    """Vc = π D n / 1000 [m/min]."""
    return math.pi * diameter_mm * rpm / 1000


def feed_mm_per_min(fz_mm: float, *, flutes: int, rpm: float) -> float:
    """Vf = fz z n [mm/min]."""
    return fz_mm * flutes * rpm


def removal_mm3_per_min(*, ae_mm: float, ap_mm: float, feed: float) -> float:
    """Q = ae ap vf [mm³/min]."""
    return ae_mm * ap_mm * feed


def engagement_rad(ae_share: float) -> float:
    """Arc of a side cut, φs = acos(1 − 2 ae/D) [rad], for 0 < ae/D ≤ 1; a slot has π."""
    return math.acos(1 - 2 * min(ae_share, 1.0))


def chip_factor(ae_share: float) -> float:
    """Greatest chip over feed per tooth: 2 √(ae/D (1 − ae/D)) below ae = D/2, 1 from there [-]."""
    return 1.0 if ae_share >= 0.5 else 2 * math.sqrt(ae_share * (1 - ae_share))


def mean_chip_mm(fz_mm: float, *, ae_share: float) -> float:
    """Mean over the arc, hm = 2 (ae/D) fz / φs, for an end mill (setting angle 90°) [mm].

    Source: Dietrich, Tschätsch, Praxis der Zerspanungstechnik, 11th ed. 2014.
    """
    return 2 * min(ae_share, 1.0) * fz_mm / engagement_rad(ae_share)


def specific_force_n_mm2(chip_mm: float, *, kc11_n_mm2: float, mc: float) -> float:
    """Kienzle's law, kc = kc1.1 h^−mc with h in mm, held at `CHIP_CLAMP_MM` below it [N/mm²].

    >>> round(specific_force_n_mm2(0.006216, kc11_n_mm2=700.0, mc=0.27), 1)  # Kienzle by hand, VDI 3323 group 26
    2759.6
    """
    return kc11_n_mm2 * math.pow(max(chip_mm, CHIP_CLAMP_MM), -mc)


def tooth_force_n(chip_mm: float, *, ap_mm: float, kc: float) -> float:
    """Tangential force of one tooth, Fc = ap h kc, for helix 0 [N]; the chip is held at `CHIP_CLAMP_MM` below it."""
    return ap_mm * max(chip_mm, CHIP_CLAMP_MM) * kc


def teeth_in_cut(flutes: int, *, ae_share: float) -> float:
    """Average number of teeth in the cut, zE = z φs / 2π [-]."""
    return flutes * engagement_rad(ae_share) / (2 * math.pi)


def power_w(removal_mm3_min: float, kc: float) -> float:
    """P = Q kc / 60 000 with Q in mm³/min, kc in N/mm² [W]."""
    return removal_mm3_min * kc / 60_000


def torque_nmm(power: float, rpm: float) -> float:
    """T = P / ω [N mm]."""
    return 1000 * power / (2 * math.pi * rpm / 60)


def second_moment_mm4(diameter_mm: float) -> float:
    """I = π d⁴ / 64 [mm⁴]."""
    return math.pi * diameter_mm**4 / 64


def deflection_mm(force_n: float, *, reach_mm: float, fluted_mm: float, overhang_mm: float, shank_mm: float) -> float:
    """Tip of a cantilever in two sections, δ = F/3E (a³/I₁ + (L³ − a³)/I₂) [mm].

    `reach_mm` a at the bending diameter `fluted_mm`, from there `shank_mm` to the overhang L; from the beam equation.
    """
    soft = reach_mm**3 / second_moment_mm4(fluted_mm)
    stiff = (max(overhang_mm, reach_mm) ** 3 - reach_mm**3) / second_moment_mm4(shank_mm)
    return force_n / (3 * CARBIDE_MODULUS_MPA) * (soft + stiff)


def bending_stress_mpa(force_n: float, *, lever_mm: float, fluted_mm: float) -> float:
    """Root of the flutes, σ = 32 F a / (π d³) [MPa]."""
    return 32 * force_n * lever_mm / (math.pi * fluted_mm**3)


def ramp_mm(depth_mm: float, angle_deg: float) -> float:
    """Length of a straight ramp, L = d / tan β [mm]."""
    return depth_mm / math.tan(math.radians(angle_deg))
