"""A drawing as a page of PDF has it: its shapes as operators, in their order, and the words that stand over them all.

The few kinds of elements that `svg.add` makes; the operators are those of ISO 32000-1, annex A.
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from .lettering import as_seen, width_mm
from .svg import num, rgb_of

if TYPE_CHECKING:
    from collections.abc import Mapping
    from xml.etree import ElementTree as ET

ALPHA = "A"
"""What the names of opacities begin with."""

_MOVE = re.compile(r"(translate|rotate)\(([^)]*)\)")
_QUARTER = 4 / 3 * (math.sqrt(2) - 1)  # of the radius: handles of a cubic that is a quarter of a circle, within 0.03 %
_BOLD_RIM = 0.045  # of the letter's size: the font comes in one weight
_LASTING = {"transform", "opacity"}  # what the page would keep after an element
_PEN = ("stroke", "stroke-width", "stroke-linejoin", "stroke-linecap", "stroke-dasharray")
_INHERITED = {"fill", "fill-rule", "opacity", *_PEN}
_PLAIN = {"fill": "#000000", "stroke": "none", "stroke-width": "1"}  # SVG 2: what is not said
_PAINTED = {(False, False): "n", (False, True): "S", (True, False): "f", (True, True): "B"}  # by fill and stroke
Style = dict[str, str]
Matrix = tuple[float, float, float, float, float, float]
_STAYS: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


class Words(NamedTuple):
    """A line of words on a page whose user unit is a millimetre, y down."""

    letters: str  # in the order in which they stand
    size_mm: float
    place: Matrix  # of their base line's beginning, and how it is turned
    colour: str
    rim: str  # colour of the line around each letter, or none
    rim_mm: float


class Painter:
    """Writes down one page, whose user unit is a millimetre, y down; then knows the opacities it used."""

    def __init__(self, page: ET.Element, *, but: ET.Element | None = None) -> None:
        self.words: list[Words] = []
        self.alphas: set[str] = set()
        self._but = but
        self._said: list[str] = []
        self._place = _STAYS
        self._forget()
        self._children(page, _PLAIN)

    @property
    def content(self) -> str:
        """Operators of all shapes."""
        return "\n".join(self._said)

    def _children(self, parent: ET.Element, style: Style) -> None:
        for element in parent:
            if element.tag in {"title", "desc"} or element is self._but:
                continue
            own = style | {name: value for name, value in element.items() if name in _INHERITED}
            if _LASTING.isdisjoint(element.keys()):  # else nothing of it outlives the element
                self._element(element, own)
                continue
            outer = self._place
            self._said.append("q")
            for move in _moves(element.get("transform", "")):
                self._said.append(" ".join(map(num, move)) + " cm")
                self._place = _joined(move, self._place)
            self._forget()
            self._element(element, own)
            self._said.append("Q")
            self._place = outer
            self._forget()

    def _forget(self) -> None:
        """What was set last is not known any more: a state was kept or taken back."""
        self._pen_set: tuple[str | None, ...] = ()
        self._ink = ""

    def _element(self, element: ET.Element, style: Style) -> None:
        if element.tag == "g":
            self._children(element, style)
        elif element.tag == "text":
            self._text(element, style)
        else:
            self._shape(element, style)

    def _shape(self, element: ET.Element, style: Style) -> None:
        fill, is_stroked = style["fill"], style["stroke"] != "none"
        is_filled = fill != "none"
        if is_stroked:
            self._pen(style)
        if is_filled and fill != self._ink:
            self._ink = fill
            self._said.append(f"{rgb(fill)} rg")
        if alpha := style.get("opacity"):
            self.alphas.add(alpha)
            self._said.append(f"/{ALPHA}{alpha} gs")
        self._said += _path(element)
        rule = "*" if is_filled and style.get("fill-rule") == "evenodd" else ""
        self._said.append(_PAINTED[is_filled, is_stroked] + rule)

    def _pen(self, style: Mapping[str, str]) -> None:
        pen = tuple(map(style.get, _PEN))
        if pen == self._pen_set:
            return
        self._pen_set = pen
        join, cap = (int(style.get(f"stroke-line{what}") == "round") for what in ("join", "cap"))
        dashes = style.get("stroke-dasharray", "none").replace("none", "")
        self._said.append(f"{rgb(style['stroke'])} RG {style['stroke-width']} w {join} j {cap} J [{dashes}] 0 d")

    def _text(self, element: ET.Element, style: Style) -> None:
        size_mm = float(element.get("font-size", "1"))
        letters = as_seen(element.text or "")
        back = {"middle": 0.5, "end": 1.0}.get(element.get("text-anchor", ""), 0.0)
        x, y = float(element.get("x", "0")), float(element.get("y", "0"))
        if back:
            x -= back * width_mm(letters, size_mm=size_mm)
        fill, rim, rim_mm = style["fill"], style["stroke"], float(style["stroke-width"])
        if element.get("font-weight") == "bold":
            rim, rim_mm = fill, _BOLD_RIM * size_mm
        self.words.append(Words(letters, size_mm, _joined((1.0, 0.0, 0.0, 1.0, x, y), self._place), fill, rim, rim_mm))


@cache
def rgb(hex_code: str) -> str:
    """A colour as PDF has it: red, green and blue of one."""
    return " ".join(num(part / 255) for part in rgb_of(hex_code))


def _moves(transform: str) -> list[Matrix]:
    found: list[Matrix] = []
    for kind, words in _MOVE.findall(transform):
        numbers = [float(number) for number in words.split()]
        if kind == "rotate":
            sine, cosine = math.sin(math.radians(numbers[0])), math.cos(math.radians(numbers[0]))
            found.append((cosine, sine, -sine, cosine, 0.0, 0.0))
        else:
            found.append((1.0, 0.0, 0.0, 1.0, numbers[0], numbers[1]))
    return found


def _joined(inner: Matrix, outer: Matrix) -> Matrix:
    """First the inner, then the outer (ISO 32000-1, 8.3.4)."""
    (a, b, c, d, e, f), (p, q, r, s, t, u) = inner, outer
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def _path(element: ET.Element) -> list[str]:
    """Outline of a shape; numbers that the drawing has in words already are not written anew."""
    if element.tag == "line":
        x0, y0, x1, y1 = (element.get(name, "0") for name in ("x1", "y1", "x2", "y2"))
        return [f"{x0} {y0} m {x1} {y1} l"]
    if element.tag == "circle":
        x, y, r = (float(element.get(name, "0")) for name in ("cx", "cy", "r"))
        return [_rounded((x - r, y - r, x + r, y + r), r)]
    if element.tag == "rect":
        x0, y0, wide, high = (element.get(name, "0") for name in ("x", "y", "width", "height"))
        if (radius := element.get("rx")) is None:
            return [f"{x0} {y0} {wide} {high} re"]
        x, y = float(x0), float(y0)
        return [_rounded((x, y, x + float(wide), y + float(high)), float(radius))]
    return _lines(element.get("d", ""))


def _rounded(box: tuple[float, float, float, float], r: float) -> str:
    """A rectangle whose corners are quarters of circles; a circle where it is two radii wide and high."""
    (x0, y0, x1, y1), k = box, r * (1 - _QUARTER)
    bends = (
        ((x1 - r, y0), (x1 - k, y0, x1, y0 + k, x1, y0 + r)),
        ((x1, y1 - r), (x1, y1 - k, x1 - k, y1, x1 - r, y1)),
        ((x0 + r, y1), (x0 + k, y1, x0, y1 - k, x0, y1 - r)),
        ((x0, y0 + r), (x0, y0 + k, x0 + k, y0, x0 + r, y0)),
    )
    said = [f"{num(x)} {num(y)} l {' '.join(map(num, bend))} c" for (x, y), bend in bends]
    return f"{num(x0 + r)} {num(y0)} m {' '.join(said)} h"


def _lines(data: str) -> list[str]:
    """What PDF calls the lines of our paths, which begin with M, go straight, and may end in Z."""
    found = []
    for line in data.split("M")[1:]:
        numbers = line.rstrip("Z").split()
        steps = [*numbers, *numbers[::2]]  # as long as need be, and every word of it replaced
        steps[::3], steps[1::3], steps[2::3] = numbers[::2], numbers[1::2], ["l"] * (len(numbers) // 2)
        steps[2] = "m"
        found.append(" ".join(steps))
        if line.endswith("Z"):
            found.append("h")
    return found
