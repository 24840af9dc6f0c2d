"""Where hot metal meets the work: two half spaces in sudden contact (Incropera and DeWitt, chapter 5.7).

No heat of drying or charring is taken off, so a depth found here is an upper bound.
"""

from __future__ import annotations

import math

from scipy.special import erfcinv

MOISTURE_SHARE = 1.2  # about a fifth more heat dries the layer that chars; common practice, no source
SPREAD_BAND = (0.28, 1.0)  # sideways over depth: plane conduction past an edge gives 0.28, smoke and glow widen it


def interface_c(face_c: float, work_c: float, *, face_effusivity: float, work_effusivity: float) -> float:
    """Temperature of the touching surfaces [°C]; effusivities sqrt(k ρ c) in W s^½/(m² K).

    >>> round(interface_c(400.0, 20.0, face_effusivity=19262.0, work_effusivity=390.0), 1)  # within 2 % of the face
    392.5
    """
    return (face_effusivity * face_c + work_effusivity * work_c) / (face_effusivity + work_effusivity)


def scorch_depth_mm(
    seconds: float, *, surface_c: float, char_c: float, work_c: float, diffusivity_mm2_s: float
) -> float:
    """Depth that has reached `char_c` below a surface held at `surface_c` [mm]; 0 when the surface is too cool.

    x = 2 sqrt(α t) erfc⁻¹((char − work) / (surface − work))
    """
    if surface_c <= char_c:
        return 0.0
    return float(2 * math.sqrt(diffusivity_mm2_s * seconds) * erfcinv((char_c - work_c) / (surface_c - work_c)))


def impression_j_mm2(seconds: float, *, effusivity: float, warmed_by_k: float) -> float:
    """Heat the work draws through each mm² of land in one print: 2 e ΔT sqrt(t / π) [J/mm²], moisture not counted.

    >>> round(impression_j_mm2(3.0, effusivity=390.0, warmed_by_k=380.0), 4)  # by hand
    0.2896
    """
    return 2 * effusivity * warmed_by_k * math.sqrt(seconds / math.pi) / 1e6
