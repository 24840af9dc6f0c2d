"""The few conversions and constants, each with its authority."""

from __future__ import annotations

import math

MM_PER_INCH = 25.4  # exact: international yard and pound agreement, 1959
KELVIN_AT_0_C = 273.15  # exact: definition of the Celsius scale
STEFAN_BOLTZMANN_W_M2K4 = 5.670374e-8  # CODATA 2018
CSS_PX_PER_INCH = 96.0  # exact: CSS Values and Units, reference pixel
MM_PER_CSS_PX = MM_PER_INCH / CSS_PX_PER_INCH
DRILL_POINT_DEG = 118.0  # included angle of a standard twist drill point; common practice, no source


def drill_point_mm(diameter_mm: float) -> float:
    """Length of the cone a 118° drill leaves at the bottom of a hole [mm].

    >>> round(drill_point_mm(5.105), 4)  # trade arithmetic: 0.30043 d
    1.5337
    """
    return diameter_mm / 2 / math.tan(math.radians(DRILL_POINT_DEG) / 2)


def within(value: float, low: float, high: float) -> float:
    """Bring `value` into [low, high]."""
    return min(max(value, low), high)
