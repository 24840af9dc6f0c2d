"""Dimensions as a drawing office sets them: extension lines, an arrow at each end, the figure on or above the line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .svg import INK, PAPER, add, num
from .words import put, width_of

if TYPE_CHECKING:
    from xml.etree import ElementTree as ET

_SIZE_MM = 2.3
_CAPITAL = 0.73  # height of a figure in font sizes
_LINE_MM = 0.13
_ARROW_MM = 1.7
_BEYOND_MM = 1.0  # how far an extension line runs past the arrow
_OFF_MM = 0.8  # and how far it keeps off the body


def across(  # noqa: PLR0913  a dimension has that many parts
    parent: ET.Element, x0: float, x1: float, *, y: float, from_y: float, figure: str = ""
) -> None:
    """Dimension a width at height `y`; extension lines come from `from_y`. `figure` for what is not at true size."""
    _dimension(parent, x1 - x0, turn=f"translate({num(x0)} {num(y)})", rise=from_y - y, figure=figure)


def upright(  # noqa: PLR0913  likewise
    parent: ET.Element, y0: float, y1: float, *, x: float, from_x: float, figure: str = ""
) -> None:
    """Dimension a height (`y0` above `y1` on the page) at `x`; the figure reads from below."""
    _dimension(parent, y1 - y0, turn=f"translate({num(x)} {num(y1)}) rotate(-90)", rise=from_x - x, figure=figure)


def figure_of(length_mm: float) -> str:
    """A length to the hundredth, halves up as in a shop, though as a float a half may be a little less."""
    return f"{length_mm + 1e-6:.2f}"


def _dimension(parent: ET.Element, length: float, *, turn: str, rise: float, figure: str) -> None:
    group = add(parent, "g", transform=turn, stroke=INK, stroke_width=_LINE_MM, fill="none")
    side = 1.0 if rise > 0 else -1.0
    for x in (0.0, length):
        add(group, "line", x1=x, y1=rise - side * _OFF_MM, x2=x, y2=-side * _BEYOND_MM)
    figure = figure or figure_of(length)
    wide = width_of(figure, size_mm=_SIZE_MM) + 1.2
    inside = length > wide + 2 * _ARROW_MM
    outer = 0.0 if inside else _ARROW_MM + 1.6  # a short length has its arrows outside, pointing inwards
    add(group, "line", x1=-outer, y1=0.0, x2=length + outer, y2=0.0)
    for x, way in ((0.0, 1 if inside else -1), (length, -1 if inside else 1)):
        back = num(x + way * _ARROW_MM)
        add(group, "path", d=f"M{num(x)} 0 {back} -0.32 {back} 0.32Z", fill=INK, stroke="none")
    middle = length / 2
    if inside:
        add(
            group,
            "rect",
            x=middle - wide / 2,
            y=-0.6 * _SIZE_MM,
            width=wide,
            height=1.2 * _SIZE_MM,
            fill=PAPER,
            stroke="none",
        )
        put(group, figure, at=(middle, 0.36 * _SIZE_MM), size_mm=_SIZE_MM, text_anchor="middle").set("stroke", "none")
    else:
        # above its line: beside it, it would meet the dimension round the corner; where that is between the extension
        # lines, and they stand too close for it, below their ends
        is_below = side < 0 and length < wide
        base = _BEYOND_MM + 0.5 + _CAPITAL * _SIZE_MM if is_below else -_BEYOND_MM - 0.5
        line = put(group, figure, at=(middle, base), size_mm=_SIZE_MM, text_anchor="middle")
        line.set("stroke", "none")
