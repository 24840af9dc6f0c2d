"""Paint to ink, whatever the drawing was written in: does it add, does it cover, or neither."""

from __future__ import annotations

from typing import Literal, NamedTuple

PaintRule = Literal["dark", "painted", "light", "luminance", "alpha"]
"""The ink rules of a job, and the two by which masks show their content."""

_CLEAR = 0.02  # of luma: viewers compose in 8 bits, and layers add up their rounding; five steps
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


class Backdrop:
    """The lumas that may lie below the next paint, wherever that is: of what is dark so far, and of what is light.

    Paper is white. Translucent paint of which every one of them makes what the ink rule takes it for leaves no doubt:
    black at a fifth over white and black is light grey and black, as if it had been drawn in those.
    """

    def __init__(self) -> None:
        self._dark: tuple[float, float] | None = None  # the least and the most
        self._light = 1.0  # the least

    def settles(self, colour: Colour) -> bool:
        """Whether paint comes to what the rules `dark` and `light` take it for, by at least `_CLEAR` luma."""
        takes = adds_ink(colour, "dark")
        if takes:
            return _over(colour, 1.0) < HALF - _CLEAR
        light = _over(colour, self._light) >= HALF + _CLEAR
        if self._dark is None:
            return light
        least, most = (_over(colour, luma) for luma in self._dark)
        return light and (least >= HALF + _CLEAR if takes is False else most < HALF - _CLEAR)

    def cover(self, colour: Colour) -> None:
        """Take in paint."""
        takes = adds_ink(colour, "dark")
        least, most = self._dark or (self._light, self._light)
        if takes:
            self._dark = min(least, _over(colour, least)), max(most if self._dark else 0.0, _over(colour, 1.0))
        elif takes is False:
            self._light = min(self._light, _over(colour, least))
        else:
            self._light = min(self._light, _over(colour, self._light))
            self._dark = self._dark and (min(least, _over(colour, least)), max(most, _over(colour, most)))

    def blur(self) -> None:
        """Take in paint of which no single colour is known: from now on anything may lie below."""
        self._dark, self._light = (0.0, HALF), HALF


def _over(colour: Colour, below: float) -> float:
    return colour.alpha * colour.luma + (1 - colour.alpha) * below


def is_hard(colour: Colour) -> bool:
    """Whether a mask's paint is plain black or white, so that cutting it at one half loses nothing."""
    return colour.alpha >= 1 and min(colour.luma, 1 - colour.luma) < 1e-6
