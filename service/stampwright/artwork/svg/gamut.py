"""Colours of other spaces to coded sRGB (CSS Color 4, 10 and 12): what a screen shows of them, clipped to its gamut."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray
    from tinycss2.color4 import Color

    Floats = NDArray[np.float64]

Triple = tuple[float, float, float]

# Primaries and white of each space as CIE xy, CSS Color 4, 10.3 to 10.8
_D65, _D50 = (0.3127, 0.3290), (0.3457, 0.3585)
_PRIMARIES = {
    "srgb": ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060), _D65),
    "display-p3": ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060), _D65),
    "a98-rgb": ((0.640, 0.330), (0.210, 0.710), (0.150, 0.060), _D65),
    "rec2020": ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046), _D65),
    "prophoto-rgb": ((0.734699, 0.265301), (0.159597, 0.840403), (0.036598, 0.000105), _D50),
}
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


def coded_srgb(colour: Color) -> Triple | None:
    """Red, green and blue of a colour in sRGB as coded values, 0 to 1; None when its space is not known."""
    values = np.array([part or 0.0 for part in colour.coordinates])
    if colour.space == "srgb":
        return _triple(values)
    xyz = _xyz_d65(colour, values)
    return None if xyz is None else _triple(_coded(np.linalg.inv(_to_xyz("srgb")) @ xyz))


def _triple(values: Floats) -> Triple:
    red, green, blue = np.clip(np.nan_to_num(values), 0.0, 1.0).tolist()
    return red, green, blue


def _xyz_d65(colour: Color, values: Floats) -> Floats | None:
    space = colour.space
    if space in ("oklab", "oklch", "xyz", "xyz-d65"):
        return np.array(colour.to("xyz-d65").coordinates)
    if space in ("lab", "lch", "xyz-d50"):
        return np.asarray(_TO_D65 @ np.array(colour.to("xyz-d50").coordinates))
    if space not in _LINEAR:
        return None
    linear = np.sign(values) * _LINEAR[space](np.abs(values))
    xyz = _to_xyz("srgb" if space == "srgb-linear" else space) @ linear
    return np.asarray(_TO_D65 @ xyz if space == "prophoto-rgb" else xyz)


def _to_xyz(space: str) -> Floats:
    """Matrix from linear red, green, blue to XYZ: the primaries, scaled so that they add up to the white."""
    *primaries, white = (np.array([x / y, 1.0, (1 - x - y) / y]) for x, y in _PRIMARIES[space])
    columns = np.column_stack(primaries)
    return np.asarray(columns * np.linalg.solve(columns, white))


def _adapted() -> Floats:
    """From the white of D50 to that of D65, by Bradford's cone responses (CSS Color 4, 12)."""
    cones = [_BRADFORD @ np.array([x / y, 1.0, (1 - x - y) / y]) for x, y in (_D50, _D65)]
    return np.asarray(np.linalg.inv(_BRADFORD) @ np.diag(cones[1] / cones[0]) @ _BRADFORD)


_TO_D65 = _adapted()


def _coded(linear: Floats) -> Floats:
    size = np.abs(linear)
    return np.asarray(np.sign(linear) * np.where(size > 0.0031308, 1.055 * size ** (1 / 2.4) - 0.055, 12.92 * size))


def _of_srgb(coded: Floats) -> Floats:
    return np.asarray(np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4))


def _of_rec2020(coded: Floats) -> Floats:
    alpha, beta = 1.09929682680944, 0.018053968510807
    return np.asarray(np.where(coded < beta * 4.5, coded / 4.5, ((coded + alpha - 1) / alpha) ** (1 / 0.45)))


def _of_prophoto(coded: Floats) -> Floats:
    return np.asarray(np.where(coded <= 16 / 512, coded / 16, coded**1.8))


_LINEAR: dict[str, Callable[[Floats], Floats]] = {
    "srgb-linear": lambda coded: coded,
    "display-p3": _of_srgb,
    "a98-rgb": lambda coded: np.asarray(coded ** (563 / 256)),
    "rec2020": _of_rec2020,
    "prophoto-rgb": _of_prophoto,
}
