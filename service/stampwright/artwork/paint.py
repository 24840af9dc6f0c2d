"""Paint to ink, whatever the drawing was written in: does it add, does it cover, or neither."""

from __future__ import annotations

from typing import Literal, NamedTuple

PaintRule = Literal["dark", "painted", "light", "luminance", "alpha"]
"""The ink rules of a job, and the two by which masks show their content."""

HALF = 0.5  # the threshold of luma, opacity and masks


class Colour(NamedTuple):
    """A colour as it weighs on paper: luma of the coded values, 0 black to 1 white, and opacity."""

    luma: float
    alpha: float


def luma(red: float, green: float, blue: float) -> float:
    """How light a colour of coded channels 0 to 1 is, 0 to 1: what a viewer of the drawing would call dark or light.

    Weights of Rec. ITU-R BT.709 on the coded values.
    """
    red, green, blue = (min(max(float(part), 0.0), 1.0) for part in (red, green, blue))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def adds_ink(colour: Colour, rule: PaintRule) -> bool | None:
    """Whether paint adds ink (True), covers it with bare ground (False), or does neither (None).

    Dark and light are judged over white paper by luma; `painted` takes whatever is painted.
    """
    if colour.alpha <= 0:
        return None
    if rule == "painted":
        return True
    if rule in ("luminance", "alpha"):
        shows = colour.alpha * (colour.luma if rule == "luminance" else 1.0) >= HALF
        return True if shows else False if colour.alpha >= HALF else None
    over_white = colour.luma * colour.alpha + 1 - colour.alpha
    dark = over_white < HALF
    if not dark and colour.luma >= HALF and colour.alpha < HALF:
        return None  # a veil of light paint: what is below still shows
    if not dark and colour.luma < HALF:
        return None  # a faint shade of dark paint: lightens nothing, darkens too little
    return dark == (rule == "dark")


def is_hard(colour: Colour) -> bool:
    """Whether a mask's paint is plain black or white, so that cutting it at one half loses nothing."""
    return colour.alpha >= 1 and min(colour.luma, 1 - colour.luma) < 1e-6
